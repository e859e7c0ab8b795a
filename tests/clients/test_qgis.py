"""A headless QGIS reads every collection of a farm. Nightly: its packages are large (`.ci/nightly-packages` installs them)."""

import json
from pathlib import Path

import pytest

from featured_farm import COUNTS, LAYERS

SCRIPT = Path(__file__).with_name("qgis_client.py")
pytestmark = pytest.mark.nightly


@pytest.fixture(scope="module")
def found(offer, tmp_path_factory):
    """What QGIS found; its Python bindings are the system's, so its interpreter is too."""
    return offer.found_by(
        "/usr/bin/python3", SCRIPT, tmp_path_factory.mktemp("qgis"), LAYERS=json.dumps(LAYERS)
    )


def test_reads_every_feature_of_every_collection(found):
    assert found["valid"]
    assert found["counts"] == found["read"] == COUNTS
    assert found["pages"] == COUNTS["rows"], "through eight pages as in one"
    assert found["crs"] == "EPSG:4326"
    assert (found["kinds"]["blocks"], found["kinds"]["rows"], found["kinds"]["checks"]) == (
        "MultiPolygon",
        "MultiLineString",
        "Point",
    )


def test_fields_have_their_kinds(found):
    fields = found["fields"]
    assert (fields["block"], fields["row"], fields["length_m"], fields["day"]) == (
        "String",
        "Integer",
        "Real",
        "Date",
    )


def test_lengths_are_ours(found, offer):
    assert found["lengths"] == pytest.approx(offer.row_lengths_m, abs=0.001)


def test_box_and_day_and_block(found):
    assert found["filters"]
    assert found["early_marks"] == [3]
    assert found["one_block"] == COUNTS["rows"] / 2
    assert 0 < found["box"] < COUNTS["rows"]
    assert found["yesterday"] == [0, 40]


def test_wrong_token_and_another_farm_are_refused(found):
    assert not found["wrong_token"]
    assert not found["other_farm"]


def test_key_as_password_reads_every_collection_of_its_farm_and_of_no_other(found):
    assert found["by_key"] == COUNTS
    assert not found["key_elsewhere"]
