"""GDAL's OAPIF driver, as pyogrio bundles it, reads every collection of a farm; it is in every program that reads by GDAL."""

import sys
from pathlib import Path

import pytest

from featured_farm import COUNTS

SCRIPT = Path(__file__).with_name("gdal_client.py")


@pytest.fixture(scope="module")
def found(offer, tmp_path_factory):
    """What GDAL found, in one process for all tests."""
    return offer.found_by(sys.executable, SCRIPT, tmp_path_factory.mktemp("gdal"))


def test_reads_every_feature_of_every_collection_once(found):
    assert found["read"] == found["distinct"] == COUNTS
    assert found["counts"].items() <= COUNTS.items()
    assert len(found["counts"]) == 3
    assert found["pages"], "through eight pages as in one"


def test_finds_one_kind_of_geometry_and_the_fields_kinds(found):
    areas, lines = (
        ("blocks", "progress", "weak_areas", "farm_areas"),
        ("rows", "marks", "farm_lines", "power_lines"),
    )
    kinds = dict.fromkeys(areas, "MultiPolygon") | dict.fromkeys(lines, "MultiLineString")
    assert found["layers"] == kinds | dict.fromkeys(("checks", "farm_points"), "Point")
    assert found["crs"] == "EPSG:4326"
    rows, checks = found["fields"]["rows"], found["fields"]["checks"]
    assert (rows["id"], rows["row"], rows["length_m"], rows["day"]) == (
        "object",
        "int32",
        "float64",
        "datetime64[D]",
    )
    assert (checks["drawn"], checks["note"]) == ("bool", "object")
    assert found["fields"]["blocks"]["slope_percent"] == "float64", (
        "though no block tells one: the schema does"
    )


def test_lengths_are_ours(found, offer):
    """Measured by PROJ on what GDAL read, they are the stored lengths within a millimetre, and the told ones within its rounding."""
    for feature, length in found["lengths"].items():
        assert length == pytest.approx(offer.row_lengths_m[feature], abs=0.001)
        assert found["told_lengths"][feature] == pytest.approx(length, abs=0.0061)
    assert found["lengths"].keys() == offer.row_lengths_m.keys()


def test_box_is_asked_of_the_service_and_right(found):
    assert found["box"] == found["box_here"]
    assert 0 < len(found["box"]) < COUNTS["rows"]


def test_asks_for_a_day_and_a_block_by_filters(found):
    assert found["yesterday"] == [0, 40]
    assert found["rows_yesterday"] == 40
    assert found["marks_by_yesterday"] == 1
    assert found["one_block"] == ["K2"]


def test_check_without_a_place_is_read_without_a_place(found):
    assert found["nowhere"] == 1


def test_wrong_token_and_none_and_another_farm_are_refused(found):
    assert "401" in found["wrong_token"]
    assert "401" in found["no_token"]
    assert "404" in found["other_farm"]


def test_key_reads_every_collection_of_its_farm_as_header_and_as_password(found):
    assert found["by_key"] == COUNTS
    assert found["by_key_as_password"] == COUNTS["blocks"]
    assert "404" in found["key_elsewhere"]


def test_token_may_be_the_password_of_basic(found):
    """GDAL's option USERPWD, as of every program that knows only user and password."""
    assert found["by_basic"] == COUNTS["blocks"]
