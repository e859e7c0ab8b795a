"""Curved rows, surveyed rows, bearings, slope, and distances on the ellipsoid."""

import math
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, MultiLineString, Point, Polygon

from geometries import L_SHAPE, on_earth, planting, rectangle, turned
from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.bearing import bearing_suggestions, textbook_trees_per_ha
from orchardmap.geometry.curved import curved_rows
from orchardmap.geometry.frame import local_xy_m
from orchardmap.geometry.geodesy import area_m2, distance_azimuth, line_lengths_m, point_line_distance_m
from orchardmap.geometry.rows import rows_of_block
from orchardmap.geometry.slope import surface_factor, surface_length_m
from orchardmap.geometry.surveyed import measured_pitch_m, rows_bearing_deg, surveyed_rows
from orchardmap.model.orchard import Row

ORIGIN = (11.3, 46.5)


def points_of(line: Any) -> Any:
    return tuple(map(tuple, shapely.get_coordinates(on_earth(line)).tolist()))


def arc(radius_m: float, first_deg: float = 0.0, last_deg: float = 90.0, chords: int = 900) -> LineString:
    angle = np.radians(np.linspace(first_deg, last_deg, chords + 1))
    return LineString(radius_m * np.stack((np.cos(angle), np.sin(angle)), axis=1))


def local(row: Row) -> Any:
    return shapely.transform(row.line, lambda lonlat: local_xy_m(lonlat, ORIGIN))


def test_curved_rows_are_quarter_circles_at_the_row_spacing():
    # a quarter ring from 60 to 101 m about the origin; the baseline runs clockwise at 100 m, its right is inward
    ring = Polygon([*arc(101).coords, *reversed(arc(60).coords)])
    rows = rows_of_block(
        on_earth(ring),
        planting(baseline=points_of(arc(100).reverse()), row_spacing_m=5.0, tree_spacing_m=2.0),
    )
    radii = [100.0 - 5.0 * k for k in range(8)]  # 100, 95 ... 65; at 60 lies the edge itself
    assert len(rows) in (8, 9)
    assert [row.length_m for row in rows[:8]] == pytest.approx([r * math.pi / 2 for r in radii], abs=0.03)
    for row, radius in zip(rows, radii, strict=False):
        away = np.hypot(*shapely.get_coordinates(local(row)).T)
        assert np.abs(away - radius).max() < 0.01
    assert rows[0].positions == math.floor(157.0796 / 2.0) + 1


def test_curved_rows_run_the_way_the_baseline_was_drawn():
    ring = Polygon([*arc(101).coords, *reversed(arc(60).coords)])
    rows = rows_of_block(on_earth(ring), planting(baseline=points_of(arc(100).reverse()), row_spacing_m=5.0))
    for row in rows[:8]:
        x, y = shapely.get_coordinates(local(row)).T
        assert y[0] > 50 > y[-1]
        assert x[0] < 50 < x[-1]


@pytest.mark.parametrize(
    "ends", [[(0, 0), (0, 200)], [(0, 200), (0, 0)], [(100, 0), (100, 200)], [(100, 200), (100, 0)]]
)
def test_baseline_on_the_outlines_own_edge_keeps_its_direction(ends):
    # the outline's own sense must not turn a row round, nor split one that runs along its edge
    for outline in (rectangle(), rectangle().reverse()):
        rows = rows_of_block(
            outline=on_earth(outline.buffer(0.001)), planting=planting(baseline=points_of(LineString(ends)))
        )
        xy = shapely.get_coordinates(local(rows[0]))
        assert np.sign(xy[-1, 1] - xy[0, 1]) == np.sign(ends[1][1] - ends[0][1])


def test_curved_rows_lose_headland_and_short_parts_like_straight_ones():
    ring = Polygon([*arc(101).coords, *reversed(arc(60).coords)])
    shape = on_earth(ring.difference(Point(60, 60).buffer(6.0)))
    baseline = points_of(arc(100).reverse())
    rows = rows_of_block(
        shape, planting(baseline=baseline, row_spacing_m=5.0, headland_m=4.0, min_row_length_m=10.0)
    )
    # the pond about radius 84.9 cuts the rows at 90, 85 and 80; each part loses twice 4 m
    assert [len(row.part_positions) for row in rows[:6]] == [1, 1, 2, 2, 2, 1]
    # on radius r the pond (radius 6, centre at d) takes 4 r asin(sqrt((6^2 - (r - d)^2) / 4 r d))
    d = math.hypot(60, 60)
    cut_m = 4 * 85 * math.asin(math.sqrt((6.0**2 - (85 - d) ** 2) / (4 * 85 * d)))
    assert rows[3].length_m == pytest.approx(85 * math.pi / 2 - cut_m - 16.0, abs=0.1)


def test_rows_longer_than_the_baseline_reach_the_outline():
    rows = rows_of_block(
        on_earth(rectangle()), planting(baseline=points_of(LineString([(2.5, 80), (2.5, 120)])))
    )
    assert len(rows) == 25
    assert [row.length_m for row in rows] == pytest.approx([200.0] * 25, abs=0.002)


def test_every_curved_row_keeps_its_distance_from_the_baseline_itself():
    wave = LineString([(x, 12.0 * math.sin(x / 40.0)) for x in range(0, 201, 4)])
    ground = shapely.box(0, -90, 200, 16)
    rows = rows_of_block(on_earth(ground), planting(baseline=points_of(wave), row_spacing_m=4.0))
    assert len(rows) > 15
    for k, row in enumerate(rows):
        inner = [p for p in shapely.get_coordinates(local(row).segmentize(1.0)) if 40 < p[0] < 160]
        away = shapely.distance(wave, shapely.points(inner))
        assert np.abs(away - 4.0 * k).max() < 0.05


@pytest.mark.parametrize("line", [[(-50, 0), (-50, 200)], [(50, 50), (50, 51)]])
def test_baseline_outside_or_too_short_is_refused(line):
    with pytest.raises(OutlineError, match="drawn first row"):
        rows_of_block(on_earth(rectangle()), planting(baseline=points_of(LineString(line))))


def test_curved_rows_refuse_what_they_cannot_lay():
    with pytest.raises(InputError, match="no baseline"):
        curved_rows(on_earth(rectangle()), planting())
    baseline = points_of(LineString([(2.5, 80), (2.5, 120)]))
    with pytest.raises(OutlineError, match="no vertices"):
        curved_rows(Polygon(), planting(baseline=baseline))
    with pytest.raises(InputError, match="rows"):
        curved_rows(
            on_earth(rectangle(9000, 100)),
            planting(baseline=points_of(LineString([(1, 0), (1, 90)])), row_spacing_m=0.5),
        )


def surveyed_lines(xs: Any, south: float = 0.0, north: float = 100.0) -> list[Any]:
    return [on_earth(LineString([(x, south), (x, north)])) for x in xs]


def test_surveyed_rows_keep_an_order_that_runs_across_and_sort_one_that_does_not():
    planted = planting(tree_spacing_m=2.0)
    for xs, expected in [((0, 4, 8), (0, 4, 8)), ((8, 4, 0), (8, 4, 0)), ((4, 8, 0), (0, 4, 8))]:
        rows = surveyed_rows(surveyed_lines(xs), planting=planted)
        assert [round(shapely.get_coordinates(local(row))[0, 0]) for row in rows] == list(expected)
        assert [row.number for row in rows] == [1, 2, 3]
        assert {row.positions for row in rows} == {51}


def test_surveyed_row_drawn_the_other_way_is_turned_round():
    lines = surveyed_lines((0, 4, 8))
    lines[1] = lines[1].reverse()
    for row in surveyed_rows(lines, planting=planting()):
        assert shapely.get_coordinates(local(row))[0, 1] == pytest.approx(0.0, abs=1e-6)
    assert rows_bearing_deg(lines) == pytest.approx(0.0, abs=1e-4) or rows_bearing_deg(lines) > 359.999


def test_surveyed_rows_take_the_farms_numbers_and_counts():
    rows = surveyed_rows(
        surveyed_lines((0, 4, 8)), planting=planting(), numbers=[7, 3, 5], counted={3: 40, 7: 0}, block_id="b"
    )
    assert [(row.number, row.counted_positions, row.positions) for row in rows] == [
        (3, 40, 40),
        (5, None, 53),
        (7, 0, 0),
    ]
    parts = MultiLineString([
        part for line in surveyed_lines((0,)) for part in (line, on_earth(LineString([(0, 110), (0, 150)])))
    ])
    cut = surveyed_rows([parts], planting=planting(tree_spacing_m=2.0))[0]
    assert cut.part_positions == (51, 21)
    assert cut.length_m == pytest.approx(140.0, abs=1e-3)
    counted_only = surveyed_rows(surveyed_lines((0,)), counted={1: 33})[0]
    assert (counted_only.positions, counted_only.part_positions) == (33, (0,))


@pytest.mark.parametrize(
    ("options", "key"),
    [
        ({"numbers": [1, 2]}, "numbers"),
        ({"numbers": [1, 1, 2]}, "numbers"),
        ({"numbers": [0, 1, 2]}, "numbers"),
        ({"counted": {9: 4}}, "counted"),
        ({"counted": {2: -4}}, "counted"),
        ({"planting": None}, "tree_spacing_m"),
        ({"planting": planting(tree_spacing_m=0.0)}, "tree_spacing_m"),
    ],
)
def test_surveyed_rows_refuse_by_name(options, key):
    with pytest.raises(InputError) as refusal:
        surveyed_rows(surveyed_lines((0, 4, 8)), **{"planting": planting(), **options})
    assert refusal.value.where == key


def test_surveyed_rows_without_length_or_vertices_are_refused():
    with pytest.raises(OutlineError):
        surveyed_rows([LineString([(11, 46), (11, 46)])], planting=planting())
    with pytest.raises(OutlineError):
        surveyed_rows([LineString()], planting=planting(), numbers=[1])
    with pytest.raises(OutlineError, match="two rows"):
        measured_pitch_m(surveyed_lines((0,)))
    assert surveyed_rows([]) == []
    assert measured_pitch_m(surveyed_lines((0, 3, 8))) == pytest.approx(4.0, abs=1e-5)


@pytest.mark.parametrize("bearing", [0.0, 20.0, 89.0, 137.0, 179.5])
def test_long_rectangle_has_one_bearing_and_its_perpendicular(bearing):
    found = bearing_suggestions(on_earth(turned(rectangle(80, 240, west_m=-40, south_m=-120), bearing)))
    by_code: dict[str, float] = {one.code: one.bearing_deg for one in found.suggestions}
    for code, expected in [
        ("longest_edge", bearing),
        ("minimum_rectangle", bearing),
        ("principal_axis", bearing),
        ("across_longest_edge", bearing + 90),
    ]:
        off = (by_code[code] - expected) % 180.0
        assert min(off, 180.0 - off) < 0.01, code
    assert not found.disagree
    assert found.spread_deg < 0.01


def test_suggestions_that_disagree_are_flagged():
    # an L: the longest edges run north, its area leans to the north-west
    assert bearing_suggestions(on_earth(L_SHAPE)).disagree
    assert bearing_suggestions(on_earth(rectangle(100, 101))).disagree  # too round to have an axis
    with pytest.raises(OutlineError):
        bearing_suggestions(Polygon([(11, 46), (11.1, 46.1), (11.2, 46.2)]))
    with pytest.raises(OutlineError):
        bearing_suggestions(Polygon())


def test_vertices_along_a_side_do_not_shorten_it():
    side = [(0.0, y + 0.0) for y in range(240, -1, -10)]
    found = bearing_suggestions(
        on_earth(Polygon([(0, 240), *side[1:-1], (0, 0), (100, 0), (100, 240)][::-1]))
    )
    assert (
        found.suggestions[0].bearing_deg % 180.0 == pytest.approx(0.0, abs=0.01)
        or found.suggestions[0].bearing_deg > 179.9
    )


def test_textbook_figure_is_area_over_spacing_squared():
    assert textbook_trees_per_ha(3.5, 1.0) == pytest.approx(10_000 / 3.5)
    with pytest.raises(InputError):
        textbook_trees_per_ha(0.0, 1.0)
    with pytest.raises(InputError):
        textbook_trees_per_ha(4.0, float("nan"))


def test_slope_that_is_no_number_is_refused():
    assert surface_length_m(100.0, 0.0) == 100.0
    with pytest.raises(InputError):
        surface_factor(float("nan"))


def test_line_lengths_leave_gaps_between_parts_out():
    two = MultiLineString([on_earth(LineString([(0, 0), (0, 30)])), on_earth(LineString([(0, 70), (0, 90)]))])
    assert line_lengths_m([two, LineString()]) == pytest.approx([50.0, 0.0], abs=1e-6)
    assert line_lengths_m([]).shape == (0,)


def test_distance_to_a_line_beside_it_beyond_its_end_and_in_its_gap():
    line = MultiLineString([
        on_earth(LineString([(0, 0), (0, 30)])),
        on_earth(LineString([(0, 70), (0, 90)])),
    ])
    for place, expected in [((5, 10), 5.0), ((3, -4), 5.0), ((0, 50), 20.0), ((0, 20), 0.0)]:
        assert point_line_distance_m(on_earth(Point(place)), line) == pytest.approx(expected, abs=1e-5)
    with pytest.raises(OutlineError):
        point_line_distance_m(Point(), line)


def test_area_takes_rings_either_way_round_and_azimuth_is_never_negative():
    one = on_earth(rectangle())
    assert area_m2(one) == pytest.approx(area_m2(one.reverse()))
    assert area_m2(Polygon()) == 0.0
    assert float(distance_azimuth((11.0, 46.0), (10.9, 46.0))[1]) == pytest.approx(270.0, abs=0.1)
