"""Every fault of an outline is found and placed; only small slips are repaired."""

import json
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon

from geometries import AWKWARD, COMB, POND, on_earth, rectangle
from orchardmap.errors import OutlineError
from orchardmap.geometry.geodesy import area_m2
from orchardmap.geometry.outline import faults, outline_from_geojson, repaired

GOOD = [[11.3, 46.5], [11.301, 46.5], [11.301, 46.501], [11.3, 46.501], [11.3, 46.5]]
METRES = [[677000.0, 5152000.0], [677100.0, 5152000.0], [677100.0, 5152200.0], [677000.0, 5152000.0]]
SWAPPED = [[-36.1, 141.3], [-36.1, 141.301], [-36.101, 141.301], [-36.1, 141.3]]


def polygon(*rings: Any) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": list(rings)}


def codes(geometry: Any) -> list[str]:
    return [fault.code for fault in faults(geometry)]


@pytest.mark.parametrize(
    "outline", [rectangle(), POND, COMB, MultiPolygon([rectangle(), rectangle(50, 50, south_m=300)])]
)
def test_sound_outlines_have_no_fault(outline):
    assert faults(on_earth(outline)) == []
    assert faults(json.loads(shapely.to_geojson(on_earth(outline)))) == []


@pytest.mark.parametrize(
    ("geometry", "code", "where"),
    [
        (Point(11, 46), "kind", ""),
        (LineString([(11, 46), (12, 46)]), "kind", ""),
        ({"type": "Feature"}, "kind", ""),
        (polygon([["a", 46.5]]), "kind", ""),
        (polygon([["11.3", "46.5"]] * 4), "kind", ""),
        (polygon(7), "kind", ""),
        ({"type": "Polygon"}, "empty", ""),
        (Polygon(), "empty", ""),
        (polygon([[11.3, 46.5], [float("nan"), 46.5], *GOOD[2:]]), "not_finite", "vertex 2"),
        (polygon(GOOD, [[11.3, 46.5], [11.3, float("inf")], [11.3, 46.5]]), "not_finite", "hole 1 vertex 2"),
        (polygon(METRES), "out_of_range", "vertex 1 (677000, 5.152e+06)"),
        (
            polygon([[11.0, 89.0], [12.0, 89.0], [12.0, 89.1], [11.0, 89.0]]),
            "out_of_range",
            "vertex 1 (11, 89)",
        ),
        (polygon(SWAPPED), "swapped", "vertex 1 (-36.1, 141.3)"),
        (polygon(GOOD[:-1]), "unclosed", ""),
        (polygon(GOOD, GOOD[:-1]), "unclosed", "hole 1"),
        (
            {"type": "MultiPolygon", "coordinates": [[GOOD], [GOOD[:3] + GOOD[:1]], [GOOD[:-1]]]},
            "unclosed",
            "part 3",
        ),
        (polygon([GOOD[0], GOOD[1], GOOD[0]]), "too_few", ""),
        (polygon([GOOD[0]] * 5), "too_few", ""),
    ],
)
def test_fault_is_found_and_placed(geometry, code, where):
    found = [(fault.code, fault.where) for fault in faults(geometry)]
    assert (code, where) in found
    assert all(fault.sentence.endswith(".") for fault in faults(geometry))


def test_crossing_rings_are_placed_where_they_cross():
    slip = Polygon([(0, 0), (100, 0), (100, 100), (0, 100), (0, 50), (-1, 51), (1, 51)])
    fault = next(fault for fault in faults(on_earth(slip)) if fault.code == "self_crossing")
    lon, lat = map(float, fault.where.split(", "))
    assert (lon, lat) == pytest.approx((11.3, 46.50046), abs=2e-5)


def test_too_many_vertices_and_too_large_a_block_are_faults():
    angle = np.linspace(0.0, 2 * np.pi, 20_002)
    assert codes(on_earth(Polygon(100 * np.stack((np.cos(angle), np.sin(angle)), axis=1)))) == ["too_many"]
    assert codes(on_earth(rectangle(4000, 4000))) == ["too_large"]  # 1,600 ha
    assert codes(on_earth(rectangle(11_000, 10))) == ["too_large"]  # 11 km
    assert codes(on_earth(rectangle(3000, 3000))) == []  # 900 ha


def test_collapsed_outlines_have_no_area():
    assert "no_area" in codes(on_earth(AWKWARD["triangle of no width"]))
    assert "no_area" in codes(on_earth(AWKWARD["crumb"]))


@pytest.mark.parametrize("name", AWKWARD)
def test_awkward_outlines_get_sentences_never_a_crash(name):
    for fault in faults(on_earth(AWKWARD[name])):
        assert fault.sentence


def test_repair_leaves_a_sound_outline_alone_and_drops_z():
    flat = on_earth(rectangle())
    high = shapely.force_3d(flat, 312.0)
    repair = repaired(high)
    assert not repair.changed
    assert not repair.outline.has_z
    assert repair.outline.equals(flat)
    assert repair.area_before_m2 == repair.area_after_m2 == pytest.approx(20_000.0, abs=0.1)


def corner_slip(side_m: float) -> Any:
    """A hectare whose edges cross near one corner: the loop there is half a square of that side."""
    w = side_m
    ring = [(0, 0), (100, 0), (100, 100), (w, 100), (-w, 100 - w), (-w, 100), (w, 100 - w), (0, 98 - w)]
    return on_earth(Polygon(ring))


@pytest.mark.parametrize("side_m", [1.0, 8.0])
def test_a_slip_at_a_corner_is_repaired_and_both_areas_are_told(side_m):
    # the loop w^2 / 2 counts against the area as drawn and for it once repaired: 2 (w^2 / 2) / 1 ha
    repair = repaired(corner_slip(side_m))
    assert repair.changed
    assert repair.outline.is_valid
    assert repair.change_share == pytest.approx(side_m**2 / 10_000.0, abs=3e-4)
    assert repair.area_after_m2 - repair.area_before_m2 == pytest.approx(side_m**2, abs=0.01)
    assert repair.area_after_m2 == pytest.approx(area_m2(repair.outline))


def test_a_slip_of_two_percent_is_refused_with_both_areas():
    with pytest.raises(OutlineError, match=r"from 0\.9\d+ ha to 0\.9\d+ ha, more than 1 %"):
        repaired(corner_slip(15.0))


def test_a_bow_tie_is_refused_because_its_area_would_change():
    with pytest.raises(OutlineError, match="more than 1 %"):
        repaired(on_earth(AWKWARD["bow tie"]))
    lopsided = Polygon([(0, 0), (100, 0), (100, 90), (0, 100), (10, 110), (0, 90)])
    with pytest.raises(OutlineError):
        repaired(on_earth(Polygon([(0, 0), (100, 100), (100, 0), (0, 60)])))
    assert repaired(on_earth(lopsided)).outline.is_valid


def test_nothing_is_left_of_an_outline_without_area():
    with pytest.raises(OutlineError, match="Nothing"):
        repaired(Polygon([(11.0, 46.0), (11.5, 46.0), (12.0, 46.0)]))


def test_outline_from_geojson_tells_the_first_fault():
    assert outline_from_geojson(polygon(GOOD)).area > 0
    with pytest.raises(OutlineError, match="hole 1"):
        outline_from_geojson(polygon(GOOD, GOOD[:-1]))
    three = [[*point, 250.0] for point in GOOD]
    assert not outline_from_geojson(polygon(three)).has_z
