"""Published geodesic values. Each case names its source in `geometry_checks.json` and in its test id."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pyproj
import pytest
import shapely
from shapely.geometry import Point

from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.geodesy import (
    area_m2,
    destination_lonlat,
    distance_azimuth,
    line_length_m,
    perimeter_m,
    point_line_distance_m,
)
from orchardmap.geometry.outline import unwrapped_outline

CHECKS = json.loads(Path(__file__).with_name("geometry_checks.json").read_text(encoding="utf-8"))
CASES = CHECKS["published_geodesic_checks"]


def geometry(text: str) -> Any:
    return shapely.from_wkt(text)


def in_degrees(feet: Any) -> Any:
    to_degrees = pyproj.Transformer.from_crs(2249, 4326, always_xy=True)
    return np.stack(to_degrees.transform(feet[:, 0], feet[:, 1]), axis=1)


def cases(kind: str) -> list[Any]:
    return [pytest.param(c, id=f"{c['id']} [{c['source'][:60]}]") for c in CASES if c["kind"] == kind]


def test_all_28_published_cases_are_here_and_name_their_source():
    assert len(CASES) == 28
    assert all(len(case["source"]) > 20 for case in CASES)
    assert {c["kind"] for c in CASES} == {"inverse", "direct", "length", "point_to_line", "area"}


@pytest.mark.parametrize("case", cases("inverse"))
def test_distance_and_azimuth_are_the_published_ones(case):
    given, published = case["input"], case["published"]
    distance, azimuth = distance_azimuth(given["lonlat1"], given["lonlat2"], ellipsoid=given["ellipsoid"])
    assert float(distance) == pytest.approx(published["distance_m"], abs=case["abs_tolerance"])
    if "azimuth1_deg" in published:
        # tables print azimuths to 5 to 13 digits; Karney's Table 3 is a first approximation (1e-8 deg)
        digits = len(str(published["azimuth1_deg"]).partition(".")[2])
        within = max(10.0**-digits, 1.5e-9)
        assert float(azimuth) == pytest.approx(published["azimuth1_deg"] % 360.0, abs=within)


@pytest.mark.parametrize("case", cases("direct"))
def test_destination_is_the_published_one(case):
    given = case["input"]
    end = destination_lonlat(
        given["lonlat"], given["azimuth_deg"], distance_m=given["distance_m"], ellipsoid=given["ellipsoid"]
    )
    assert end.tolist() == pytest.approx(case["published"]["lonlat2"], abs=case["abs_tolerance"])


@pytest.mark.parametrize("case", cases("length"))
def test_line_length_is_the_published_one(case):
    line = geometry(case["input"]["wkt"])
    length = line_length_m(line, ellipsoid=case["input"]["ellipsoid"])
    assert length == pytest.approx(case["published"]["length_m"], abs=case["abs_tolerance"])


@pytest.mark.parametrize("case", cases("point_to_line"))
def test_distance_from_point_to_line_is_the_published_one(case):
    line = geometry(case["input"]["wkt"])
    distance = point_line_distance_m(Point(case["input"]["point"]), line)
    assert distance == pytest.approx(case["published"]["distance_m"], abs=case["abs_tolerance"])


@pytest.mark.parametrize("case", cases("area"))
def test_area_and_perimeter_are_the_published_ones(case):
    given, published, within = case["input"], case["published"], case["abs_tolerance"]
    if "wkt_epsg2249" in given:  # PostGIS prints this plot in feet of Massachusetts: degrees first
        outline = shapely.transform(geometry(given["wkt_epsg2249"]), in_degrees)
    else:
        outline = geometry(given["wkt"])
    if "area_m2" in published:
        assert area_m2(outline) == pytest.approx(published["area_m2"], abs=within["area"])
    if "perimeter_m" in published:
        assert perimeter_m(outline) == pytest.approx(published["perimeter_m"], abs=within["perimeter"])


def test_perimeter_with_holes_is_what_postgis_counts():
    # computed with PostGIS 3.3.2 ST_Perimeter(geography) for the case area_pyproj_hole
    outline = geometry("POLYGON((1 1,10 1,10 10,1 10,1 1),(1 2,3 4,5 2,1 2))")
    assert perimeter_m(outline, with_holes=True) == pytest.approx(5051193.246347145, abs=1e-3)


def test_outline_across_the_antimeridian_keeps_its_area_and_its_frame():
    # geometry_checks.json, other.antimeridian: geodesic and local TM (lon_0 = 180) agree to 1e-5 m2
    outline = geometry(CHECKS["other"]["antimeridian"]["wkt"])
    expected = CHECKS["other"]["antimeridian"]["area_m2"]
    assert area_m2(outline) == pytest.approx(expected, abs=0.005)
    origin = origin_lonlat(shapely.get_coordinates(outline))
    assert origin.tolist() == pytest.approx([180.0, -16.8005])
    local = shapely.transform(outline, lambda lonlat: local_xy_m(lonlat, origin))
    assert local.area == pytest.approx(area_m2(outline), abs=1e-4)
    assert shapely.get_coordinates(unwrapped_outline(outline))[:, 0].min() > 179.9
