"""OWSLib, the Python client, reads every collection of a farm."""

from urllib.parse import parse_qs, urlsplit

import pytest
from owslib.ogcapi.features import Features
from pyproj import Geod
from shapely.geometry import shape

from featured_farm import COUNTS, LAYERS


@pytest.fixture(scope="module")
def client(offer):
    return Features(offer.root, headers={"Authorization": f"Bearer {offer.token}"})


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


def test_wrong_token_and_another_farm_are_refused(offer):
    wrong = Features(offer.root, headers={"Authorization": "Bearer wrong"})
    with pytest.raises(RuntimeError, match="sign-in"):
        wrong.feature_collections()
    other = Features(offer.other_root, headers={"Authorization": f"Bearer {offer.token}"})
    with pytest.raises(RuntimeError, match="no such farm"):
        other.collection_items("rows")
