"""Laws of rows that hold for any outline, and the scan line against GEOS."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon

from geometries import ORIGIN, centred, on_earth, planting, turned
from orchardmap.geometry.frame import local_xy_m, lonlat_deg, origin_lonlat
from orchardmap.geometry.geodesy import line_lengths_m
from orchardmap.geometry.outline import faults
from orchardmap.geometry.plantings import planting_table, position_counts
from orchardmap.geometry.rows import RowLines, orchard_rows, rows_of_block, rows_of_blocks
from orchardmap.geometry.scanline import Ground, StraightParts, straight_parts
from orchardmap.model.orchard import Planting

MODEST = settings(max_examples=60, deadline=None)


@st.composite
def star_outlines(draw: st.DrawFn, largest_m: float = 250.0) -> Any:
    """A simple outline of 3 to 12 corners about the origin, perhaps with a pond in the middle."""
    corners = draw(st.integers(3, 12))
    spread = [draw(st.floats(0.3, 1.0)) for _ in range(corners)]
    angles = np.cumsum(spread) / sum(spread) * 2.0 * math.pi
    radii = np.array([draw(st.floats(40.0, largest_m)) for _ in range(corners)])
    ring = np.stack((radii * np.cos(angles), radii * np.sin(angles)), axis=1)
    outline: Any = Polygon(ring)
    if draw(st.booleans()):
        outline = outline.difference(
            shapely.Point(draw(st.floats(-9, 9)), 0.0).buffer(draw(st.floats(2.0, 30.0)), 3)
        )
    assume(isinstance(outline, Polygon) and outline.is_valid and outline.area > 100.0)
    return outline


@st.composite
def grounds(draw: st.DrawFn) -> Any:
    """One outline, or two side by side as a block in two parts."""
    first = draw(star_outlines())
    if draw(st.booleans()):
        return first
    second = draw(star_outlines())
    gap = first.bounds[3] - second.bounds[1] + draw(st.floats(5.0, 40.0))
    return MultiPolygon([first, translate(second, draw(st.floats(-60.0, 60.0)), gap)])


@st.composite
def plantings(draw: st.DrawFn) -> Planting:
    pitch = draw(st.floats(2.0, 9.0))
    double = draw(st.booleans())
    return planting(
        bearing_deg=draw(st.floats(0.0, 359.99)),
        row_spacing_m=pitch,
        tree_spacing_m=draw(st.floats(0.6, 6.0)),
        end_offset_m=draw(st.floats(0.0, 3.0)),
        first_row_offset_m=draw(st.floats(0.1, 6.0)),
        headland_m=draw(st.floats(0.0, 12.0)),
        min_row_length_m=draw(st.floats(1.0, 20.0)),
        lines_per_row=2 if double else 1,
        pair_spacing_m=0.4 * pitch if double else 0.0,
    )


def by_geos(outline: Any, numbers: Planting) -> list[Any]:
    """Rows one by one with shapely in PROJ-free local metres: (positions, length, parts) of each row."""
    origin = origin_lonlat(shapely.get_coordinates(outline))
    local = shapely.transform(outline, lambda lonlat: local_xy_m(lonlat, origin))
    angle = math.radians(numbers.bearing_deg)
    along, across = (
        np.array([math.sin(angle), math.cos(angle)]),
        np.array([math.cos(angle), -math.sin(angle)]),
    )
    u, v = (shapely.get_coordinates(local) @ np.stack((along, across), axis=1)).T
    rows, k = [], 0
    while v.min() + numbers.first_row_offset_m + k * numbers.row_spacing_m < v.max():
        for twin in range(numbers.lines_per_row):
            at = (
                v.min()
                + numbers.first_row_offset_m
                + k * numbers.row_spacing_m
                + twin * numbers.pair_spacing_m
            )
            line = shapely.LineString([
                at * across + (u.min() - 9) * along,
                at * across + (u.max() + 9) * along,
            ])
            parts = [
                p.length - 2 * numbers.headland_m
                for p in shapely.get_parts(line.intersection(local))
                if p.length
            ]
            kept = [m for m in parts if m > 0.001 and m + 0.001 >= numbers.min_row_length_m]
            if kept:
                room = [m - 2 * numbers.end_offset_m + 0.001 for m in kept]
                trees = sum(math.floor(r / numbers.tree_spacing_m) + 1 for r in room if r >= 0)
                rows.append((trees, sum(kept), len(kept), kept))
        k += 1
    return rows


def clear_of_thresholds(lengths_m: Any, numbers: Planting) -> bool:
    """False where a part is within a micrometre of one tree more or less, or of the minimum length."""
    room = (np.asarray(lengths_m) - 2 * numbers.end_offset_m + 0.001) / numbers.tree_spacing_m
    near_tree = np.abs(room - np.round(room)) * numbers.tree_spacing_m < 1e-5
    near_least = np.abs(np.asarray(lengths_m) + 0.001 - numbers.min_row_length_m) < 1e-5
    return not (near_tree | near_least).any()


def scanned(shapes: list[Any], numbers: list[Planting]) -> StraightParts:
    """The scan line alone, all shapes in one local frame: halves keep the frame of the whole."""
    rings, shape = shapely.get_rings(shapely.get_parts(np.array(shapes, dtype=object)), return_index=True)
    owner = shapely.get_parts(np.array(shapes, dtype=object), return_index=True)[1][shape]
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    ground = Ground(xy, ring, owner[ring], np.tile(ORIGIN, (len(shapes), 1)))
    bearings = np.array([one.bearing_deg for one in numbers])
    nowhere, right = np.full(len(shapes), np.nan), np.ones(len(shapes))
    return straight_parts(
        ground, planting_table(numbers), bearing_deg=bearings, first_v_m=nowhere, side=right
    )


def same_edges(one: RowLines, other: RowLines) -> bool:
    """False only where a row line grazes a corner within nanometres and so comes or goes."""
    graze = abs(len(one) - len(other)) + abs(len(one.part_length_m) - len(other.part_length_m))
    assert graze <= 2
    return graze == 0


@MODEST
@given(grounds(), plantings())
def test_scan_line_gives_the_rows_that_geos_gives(ground, numbers):
    outline = on_earth(ground)
    rows = rows_of_blocks([outline], [numbers])
    expected = by_geos(outline, numbers)
    assume(clear_of_thresholds([m for *_, parts in expected for m in parts], numbers))
    assert len(rows) == len(expected)
    assert np.diff(rows.first_part).tolist() == [parts for _, _, parts, _ in expected]
    assert rows.positions.tolist() == [trees for trees, *_ in expected]
    assert rows.length_m == pytest.approx([length for _, length, *_ in expected], abs=2e-6)


@MODEST
@given(grounds(), plantings())
def test_lengths_are_the_geodesic_lengths_of_the_lines_given_out(ground, numbers):
    rows = rows_of_blocks([on_earth(ground)], [numbers])
    values = orchard_rows(rows, ["b"])[0]
    assert [row.number for row in values] == list(range(1, len(values) + 1))
    assert rows.length_m == pytest.approx(line_lengths_m([row.line for row in values]), abs=2e-6)
    assert [row.positions for row in values] == rows.positions.tolist()


@MODEST
@given(grounds(), plantings(), st.floats(0.0, 359.0))
def test_turning_the_block_with_its_bearing_changes_nothing(ground, numbers, turn):
    plain = rows_of_blocks([on_earth(centred(ground))], [numbers])
    assume(clear_of_thresholds(plain.part_length_m, numbers))
    turned_numbers = replace(numbers, bearing_deg=(numbers.bearing_deg + turn) % 360.0)
    again = rows_of_blocks([on_earth(centred(turned(ground, turn)))], [turned_numbers])
    assume(same_edges(plain, again))
    assert again.number.tolist() == plain.number.tolist()
    assert again.positions.tolist() == plain.positions.tolist()
    assert again.length_m == pytest.approx(plain.length_m, abs=1e-4)


@MODEST
@given(grounds(), plantings(), st.floats(-170.0, 170.0), st.floats(-60.0, 60.0))
def test_the_same_block_elsewhere_on_earth_has_the_same_rows(ground, numbers, lon, lat):
    here = rows_of_blocks([on_earth(centred(ground))], [numbers])
    there = rows_of_blocks([on_earth(centred(ground), (lon, lat))], [numbers])
    assume(clear_of_thresholds(here.part_length_m, numbers) and same_edges(here, there))
    assert there.number.tolist() == here.number.tolist()
    assert there.positions.tolist() == here.positions.tolist()
    assert there.length_m == pytest.approx(here.length_m, abs=1e-4)


@MODEST
@given(grounds(), plantings())
def test_travelling_the_other_way_mirrors_the_numbers_and_keeps_the_totals(ground, numbers):
    numbers = replace(numbers, lines_per_row=1, pair_spacing_m=0.0)
    outline = on_earth(ground)
    forth = rows_of_blocks([outline], [numbers])
    assume(len(forth) > 0 and clear_of_thresholds(forth.part_length_m, numbers))
    # the matching offset: from the right-hand extreme back to the last row line
    origin = origin_lonlat(shapely.get_coordinates(outline))
    angle = math.radians(numbers.bearing_deg)
    xy = local_xy_m(shapely.get_coordinates(outline), origin)
    v = xy[:, 0] * math.cos(angle) - xy[:, 1] * math.sin(angle)
    room = np.ptp(v) - numbers.first_row_offset_m
    left = room - math.floor(room / numbers.row_spacing_m) * numbers.row_spacing_m
    assume(1e-3 < left < numbers.row_spacing_m - 1e-3)
    back = replace(numbers, bearing_deg=(numbers.bearing_deg + 180.0) % 360.0, first_row_offset_m=left)
    mirrored = rows_of_blocks([outline], [back])
    assume(len(mirrored) >= len(forth))  # the way back may find a row before the first offset
    extra = len(mirrored) - len(forth)
    assert mirrored.length_m[: len(forth)][::-1] == pytest.approx(forth.length_m, abs=1e-5)
    assert mirrored.positions[: len(forth)][::-1].tolist() == forth.positions.tolist()
    assert extra <= math.ceil(numbers.first_row_offset_m / numbers.row_spacing_m)


@MODEST
@given(star_outlines(), plantings(), st.integers(1, 12))
def test_splitting_a_block_between_two_rows_conserves_rows_metres_and_positions(ground, numbers, after):
    numbers = replace(numbers, lines_per_row=1, pair_spacing_m=0.0, bearing_deg=0.0)
    west, south, east, north = ground.bounds
    cut = west + numbers.first_row_offset_m + (after - 0.5) * numbers.row_spacing_m
    assume(west + 1.0 < cut < east - 1.0)
    left = ground.intersection(shapely.box(west - 1, south - 1, cut, north + 1))
    right = ground.intersection(shapely.box(cut, south - 1, east + 1, north + 1))
    assume(all(isinstance(half, Polygon | MultiPolygon) and half.area > 1.0 for half in (left, right)))
    in_half = replace(numbers, first_row_offset_m=numbers.row_spacing_m / 2.0)
    split = scanned([left, right], [numbers, in_half])
    together = scanned([ground], [numbers])
    assume(clear_of_thresholds(together.length_m, numbers))
    assert len(np.unique(np.stack((split.block, split.line)), axis=1).T) == len(np.unique(together.line))
    assert split.length_m == pytest.approx(together.length_m, abs=1e-6)
    spacing = {"tree_spacing_m": numbers.tree_spacing_m, "end_offset_m": numbers.end_offset_m}
    assert (
        position_counts(split.length_m, **spacing).tolist()
        == position_counts(together.length_m, **spacing).tolist()
    )


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-60, 60, width=16), st.floats(-60, 60, width=16)), min_size=3, max_size=9),
    st.floats(0.0, 359.9),
)
@example([(0.0, 0.0), (0.0, 0.0), (0.0, 0.0)], 0.0)
@example([(0.0, 0.0), (0.0, 0.0), (0.0, 1.0)], 2.2250738585e-313)
@example([(0.0, 0.0), (60.0, 0.0), (60.0, 0.001), (0.0, 0.001)], 90.0)
def test_any_ring_of_numbers_gives_finite_rows_or_a_plain_refusal(ring, bearing):
    outline = on_earth(Polygon(ring))
    found = faults(outline)
    assert all(fault.sentence for fault in found)
    rows = rows_of_blocks([outline], [planting(bearing_deg=bearing, min_row_length_m=0.0)])
    assert np.isfinite(rows.length_m).all()
    assert (rows.part_length_m > 0.0).all()
    values = orchard_rows(rows, [""])[0]
    assert sum(row.positions for row in values) == rows.positions.sum()


@MODEST
@given(plantings())
@example(Planting(0.0, 3.5246, 1.0, first_row_offset_m=5.40625, min_row_length_m=1.0))
def test_a_rectangle_has_the_rows_of_the_hand_formula(numbers):
    # across: ceil((width - offset) / pitch) lines; along: one length, 180 m less two headlands
    numbers = replace(numbers, lines_per_row=1, pair_spacing_m=0.0)
    width = 90.0
    lines = math.ceil((width - numbers.first_row_offset_m) / numbers.row_spacing_m)
    over = (width - numbers.first_row_offset_m) / numbers.row_spacing_m
    # nearer than 10 mm to the far side a line counts as on it
    assume(abs(over - round(over)) * numbers.row_spacing_m > 0.011)
    ground = turned(shapely.box(-45, -90, 45, 90), numbers.bearing_deg)
    rows = rows_of_blocks([on_earth(ground, ORIGIN)], [numbers])
    assert len(rows) == lines
    assert rows.length_m == pytest.approx(180.0 - 2.0 * numbers.headland_m, abs=2e-5)


@pytest.mark.parametrize("bearing_deg", range(0, 360, 9))
@pytest.mark.parametrize("first_row_offset_m", [0.0, 4.0])
def test_row_on_the_very_edge_does_not_hang_on_rounding(bearing_deg, first_row_offset_m):
    """100 m across at 4 m: 25 rows from the first side on, 24 from one spacing in; the line on the far side never counts."""
    angle = np.radians(bearing_deg)
    turn = np.array([(np.cos(angle), -np.sin(angle)), (np.sin(angle), np.cos(angle))])
    corners = np.array([(0, 0), (100, 0), (100, 200), (0, 200)], float) @ turn
    outline = Polygon(np.round(lonlat_deg(corners, (11.3, 46.5)), 8))
    rows = rows_of_block(outline, Planting(float(bearing_deg), 4.0, 2.0, 0.0, first_row_offset_m))
    assert len(rows) == (25 if first_row_offset_m == 0 else 24)
    assert {row.positions for row in rows} <= {100, 101}
    assert all(abs(row.length_m - 200.0) < 0.01 for row in rows)
