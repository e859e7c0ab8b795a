"""OWSLib, the Python client, reads every collection of a farm."""

from urllib.parse import parse_qs, urlsplit

import pytest
from owslib.ogcapi.features import Features
from owslib.util import Authentication
from pyproj import Geod
from shapely.geometry import shape

from featured_farm import COUNTS, LAYERS


@pytest.fixture(scope="module", params=["key", "token"])
def client(offer, request):
    """By a reading key, and by a session's token."""
    secret = offer.key if request.param == "key" else offer.token
    return Features(offer.root, headers={"Authorization": f"Bearer {secret}"})


def test_reads_what_there_is(client):
    assert client.feature_collections() == list(LAYERS)
    assert {one.rpartition("/")[2] for one in client.conformance()["conformsTo"]} == {
        "core",
        "oas30",
        "geojson",
    }
    assert client.api()["openapi"] == "3.0.3"
    assert client.collection("rows")["itemType"] == "feature"
    assert (
        client.collection_schema("rows")["properties"]["properties"]["properties"]["length_m"]["type"]
        == "number"
    )


@pytest.mark.parametrize("layer", LAYERS)
def test_reads_every_feature_page_by_page(client, layer):
    ids: list[str] = []
    after: dict[str, str] | None = {}
    while after is not None:
        page = client.collection_items(layer, limit=20, **after)
        ids += [one["id"] for one in page["features"]]
        following = [link["href"] for link in page["links"] if link["rel"] == "next"]
        after = {"after": parse_qs(urlsplit(following[0]).query)["after"][0]} if following else None
    assert len(ids) == len(set(ids)) == COUNTS[layer] == page["numberMatched"]
    assert client.collection_item(layer, ids[-1])["properties"] == page["features"][-1]["properties"]


def test_lengths_are_ours(client, offer):
    measure = Geod(ellps="WGS84").geometry_length
    rows = client.collection_items("rows", limit=1000)["features"]
    found = {one["id"]: measure(shape(one["geometry"])) for one in rows}
    assert found == pytest.approx(offer.row_lengths_m, abs=0.001)


def test_asks_for_a_box_and_a_day(client):
    asked = client.collection_items("rows", bbox=[11.2990, 46.4, 11.2997, 47.0])
    assert 0 < asked["numberMatched"] < COUNTS["rows"]
    told = client.collection_items("progress", datetime_="2026-01-19")["features"]
    assert [one["properties"]["pruned_trees"] for one in told] == [0, 40]


def test_key_is_good_as_the_password_of_basic_and_for_no_other_farm(offer):
    by_password = Features(offer.root, auth=Authentication("anybody", offer.key))
    assert by_password.feature_collections() == list(LAYERS)
    other = Features(offer.other_root, headers={"Authorization": f"Bearer {offer.key}"})
    with pytest.raises(RuntimeError, match="no such farm"):
        other.collection_items("rows")
    cut = Features(offer.root, headers={"Authorization": f"Bearer {offer.key[:-1]}"})
    with pytest.raises(RuntimeError, match="Copy it again, whole"):
        cut.feature_collections()


def test_wrong_token_and_another_farm_are_refused(offer):
    wrong = Features(offer.root, headers={"Authorization": "Bearer wrong"})
    with pytest.raises(RuntimeError, match="sign-in"):
        wrong.feature_collections()
    other = Features(offer.other_root, headers={"Authorization": f"Bearer {offer.token}"})
    with pytest.raises(RuntimeError, match="no such farm"):
        other.collection_items("rows")
