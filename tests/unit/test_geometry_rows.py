"""Conventions of straight rows, each on a block small enough to work by hand."""

from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon, Polygon

from geometries import AWKWARD, COMB, LANE, POND, on_earth, planting, rectangle, turned
from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.frame import local_xy_m
from orchardmap.geometry.geodesy import line_lengths_m
from orchardmap.geometry.plantings import position_counts
from orchardmap.geometry.rows import RowLines, orchard_rows, rows_of_block, rows_of_blocks

ORIGIN = (11.3, 46.5)


def local_ends(rows: RowLines) -> Any:
    return local_xy_m(rows.start_lonlat, ORIGIN), local_xy_m(rows.end_lonlat, ORIGIN)


def one(outline: Any, **changes: Any) -> RowLines:
    return rows_of_blocks([on_earth(outline)], [planting(**changes)])


def test_rows_north_start_in_the_south_and_are_numbered_from_the_west():
    rows = one(rectangle(), first_row_offset_m=2.5)
    starts, ends = local_ends(rows)
    assert starts[:, 0] == pytest.approx(2.5 + 4.0 * np.arange(25), abs=0.002)
    assert starts[:, 1] == pytest.approx(0.0, abs=0.002)
    assert ends[:, 1] == pytest.approx(200.0, abs=0.002)


def test_rows_east_start_in_the_west_and_are_numbered_from_the_north():
    # travelling east, the right hand points south
    rows = one(rectangle(), bearing_deg=90.0, first_row_offset_m=1.0)
    starts, ends = local_ends(rows)
    assert len(rows) == 50
    assert starts[:2, 1] == pytest.approx([199.0, 195.0], abs=0.002)
    assert ends[0, 0] - starts[0, 0] == pytest.approx(100.0, abs=0.002)


def test_a_row_lies_left_of_the_rightmost_vertex_never_on_it():
    # 100 m: at 0.5, 4.5 ... 96.5 = 25 rows; with offset 3.9 the last of 25 lies at 99.9
    assert len(one(rectangle(), first_row_offset_m=0.5)) == 25
    assert len(one(rectangle(), first_row_offset_m=3.9)) == 25
    assert len(one(rectangle(), first_row_offset_m=100.5)) == 0


def test_headland_is_cut_at_the_outline_and_at_the_pond():
    rows = one(POND, first_row_offset_m=2.5, headland_m=6.0, tree_spacing_m=2.0)
    parts = np.diff(rows.first_part)
    # rows at 42.5 ... 58.5 meet the pond (80 to 120 m): two parts of 80 - 12 = 68 m, 35 positions each
    assert parts.tolist() == [1] * 10 + [2] * 5 + [1] * 10
    assert rows.part_length_m[10:12] == pytest.approx(68.0, abs=0.002)
    assert rows.positions[10] == 70
    assert rows.length_m[0] == pytest.approx(188.0, abs=0.002)
    starts, ends = local_ends(rows)
    assert (starts[10, 1], ends[10, 1], starts[11, 1], ends[11, 1]) == pytest.approx(
        (6, 74, 126, 194), abs=0.002
    )


def test_short_parts_are_dropped_after_the_headland():
    # 20 m rows with 9 m headland leave 2 m, under the 3 m minimum: no row at all
    assert len(one(rectangle(100, 20), headland_m=9.0)) == 0
    assert len(one(rectangle(100, 20), headland_m=8.5, first_row_offset_m=2.0)) == 25
    assert len(one(rectangle(100, 20), headland_m=10.0, min_row_length_m=0.0)) == 0


def test_a_row_that_does_not_exist_takes_no_number():
    # a notch 30 m wide across the whole height but for 2 m: rows in it are too short to exist
    notched = Polygon([(0, 0), (100, 0), (100, 50), (70, 50), (70, 2), (40, 2), (40, 50), (0, 50)])
    rows = one(notched, first_row_offset_m=1.0)
    assert rows.number.tolist() == list(range(1, len(rows) + 1))
    x = local_ends(rows)[0][:, 0]
    assert x == pytest.approx([*np.arange(1.0, 40.0, 4.0), *np.arange(73.0, 100.0, 4.0)], abs=0.002)


def test_parts_of_a_row_are_in_order_of_travel():
    north, south = one(LANE, first_row_offset_m=2.0), one(LANE, bearing_deg=180.0, first_row_offset_m=2.0)
    assert np.diff(north.first_part).tolist() == [2] * 25
    assert north.part_positions[:2].tolist() == [43, 53]  # floor(80 / 1.9) + 1, floor(100 / 1.9) + 1
    assert south.part_positions[:2].tolist() == [53, 43]
    swapped = MultiPolygon(list(reversed(LANE.geoms)))
    assert one(swapped, first_row_offset_m=2.0).part_positions[:2].tolist() == [43, 53]


def test_parts_that_share_an_edge_are_one_ground():
    rows = one(MultiPolygon([rectangle(50, 50), rectangle(50, 50, south_m=50)]), first_row_offset_m=3.0)
    assert np.diff(rows.first_part).tolist() == [1] * 12
    assert rows.length_m == pytest.approx(100.0, abs=0.002)


def test_a_comb_is_cut_at_every_tooth():
    # rows east at y = 40 from the north edge 60: v from 20 on crosses three teeth
    rows = one(COMB, bearing_deg=90.0, first_row_offset_m=20.0, row_spacing_m=30.0)
    assert np.diff(rows.first_part).tolist() == [3, 1]
    assert rows.part_length_m == pytest.approx([10, 20, 20, 90], abs=0.002)


def test_double_rows_are_two_numbered_lines_a_pitch():
    rows = one(rectangle(), row_spacing_m=5.0, lines_per_row=2, pair_spacing_m=1.2, first_row_offset_m=1.9)
    x = local_ends(rows)[0][:, 0]
    assert x[:4] == pytest.approx([1.9, 3.1, 6.9, 8.1], abs=0.002)
    assert rows.number.tolist() == list(range(1, 41))
    assert rows.pair.tolist() == [k // 2 for k in range(40)]


def test_second_line_of_a_pair_beyond_the_outline_does_not_exist():
    # pitch 5: pairs at 4, 9 ... 99; the twin of the last would stand at 100.2
    rows = one(rectangle(), row_spacing_m=5.0, lines_per_row=2, pair_spacing_m=1.2, first_row_offset_m=4.0)
    assert len(rows) == 39


@pytest.mark.parametrize("bearing", [0.0, 37.0, 90.0, 171.6, 270.0])
def test_first_row_by_two_points_gives_bearing_and_place(bearing):
    outline = turned(rectangle(), bearing)
    first = turned(shapely.LineString([(7.0, 10.0), (7.0, 190.0)]), bearing)
    points = tuple(map(tuple, shapely.get_coordinates(on_earth(first))))
    rows = rows_of_block(
        on_earth(outline), planting(first_row=points, bearing_deg=12.0, first_row_offset_m=9.0)
    )
    assert len(rows) == 24  # 7, 11 ... 99
    row_1 = shapely.transform(rows[0].line, lambda lonlat: local_xy_m(lonlat, ORIGIN))
    assert row_1.hausdorff_distance(turned(shapely.LineString([(7, 0), (7, 200)]), bearing)) < 0.002


@pytest.mark.parametrize("bearing", [0.0, 37.0, 222.0])
@pytest.mark.parametrize("ends", [(10.0, 190.0), (190.0, 10.0)], ids=["from the south", "from the north"])
@pytest.mark.parametrize(
    ("east_m", "rows_m"), [(7.0, np.arange(7.0, 100.0, 4.0)), (95.0, np.arange(95.0, 0.0, -4.0))]
)
def test_rows_follow_the_first_one_to_where_the_block_lies_whichever_end_was_named_first(
    bearing, ends, east_m, rows_m
):
    line = turned(shapely.LineString([(east_m, y) for y in ends]), bearing)
    points = tuple(map(tuple, shapely.get_coordinates(on_earth(line))))
    laid = rows_of_blocks([on_earth(turned(rectangle(), bearing))], [planting(first_row=points)])
    found, expected = (
        local_ends(laid),
        [
            shapely.get_coordinates(turned(shapely.MultiPoint([(x, y) for x in rows_m]), bearing))
            for y in ((0.0, 200.0) if ends[0] < ends[1] else (200.0, 0.0))
        ],
    )
    assert laid.number.tolist() == list(range(1, len(rows_m) + 1))
    assert np.array(found) == pytest.approx(np.array(expected), abs=0.003)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ([(7, 10), (7, 13)], "less than one row spacing apart"),
        ([(-9, 10), (-9, 190)], "outside the outline"),
        ([(-2, 10), (-2, 190)], "No part of the row"),
    ],
)
def test_first_row_that_names_no_row_is_refused(line, says):
    points = tuple(map(tuple, shapely.get_coordinates(on_earth(shapely.LineString(line)))))
    with pytest.raises(OutlineError, match=says) as refusal:
        rows_of_block(on_earth(rectangle()), planting(first_row=points))
    assert "first_row" in refusal.value.where


def test_blocks_laid_together_are_the_blocks_laid_alone():
    outlines = [on_earth(shape) for shape in (POND, LANE, COMB, turned(rectangle(), 33.0))]
    plantings = [
        planting(headland_m=3.0),
        planting(bearing_deg=90.0, row_spacing_m=3.1, first_row_offset_m=1.0),
        planting(lines_per_row=2, pair_spacing_m=1.0, first_row_offset_m=0.7),
        planting(bearing_deg=213.0, end_offset_m=1.0),
    ]
    together = orchard_rows(rows_of_blocks(outlines, plantings), ["a", "b", "c", "d"])
    for outline, one_planting, name, rows in zip(outlines, plantings, "abcd", together, strict=True):
        assert rows == rows_of_block(outline, one_planting, block_id=name)
        assert rows


def test_row_values_carry_line_length_and_positions():
    row = rows_of_block(on_earth(POND), planting(first_row_offset_m=42.5, end_offset_m=1.0), block_id="p")[0]
    assert (row.block_id, row.number, len(row.line.geoms)) == ("p", 1, 2)
    assert row.part_positions == (42, 42)
    assert row.length_m == pytest.approx(line_lengths_m([row.line])[0], abs=1e-6)
    assert row.length_m == pytest.approx(160.0, abs=0.002)


def test_row_lengths_are_geodesic_far_from_the_middle_too():
    # 8 km wide: the frame's scale at its edge is 0.2 ppm too large; lengths must not be
    rows = rows_of_blocks(
        [on_earth(rectangle(8000, 900))], [planting(row_spacing_m=500.0, first_row_offset_m=1.0)]
    )
    values = orchard_rows(rows, [""])[0]
    assert rows.length_m == pytest.approx(line_lengths_m([row.line for row in values]), abs=2e-6)


def test_no_blocks_and_no_room_give_no_rows():
    assert len(rows_of_blocks([], [])) == 0
    assert rows_of_block(on_earth(rectangle(2, 2)), planting()) == []


@pytest.mark.parametrize("name", AWKWARD)
@pytest.mark.parametrize("bearing", [0.0, 45.0, 90.0, 301.7])
def test_awkward_outlines_never_fall_over(name, bearing):
    rows = rows_of_blocks(
        [on_earth(AWKWARD[name])], [planting(bearing_deg=bearing, row_spacing_m=0.7, min_row_length_m=0.0)]
    )
    assert np.isfinite(rows.length_m).all()
    assert (rows.part_length_m > 0.0).all()
    assert (rows.part_positions >= 0).all()


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"bearing_deg": 360.0}, "bearing_deg"),
        ({"bearing_deg": -1.0}, "bearing_deg"),
        ({"bearing_deg": float("nan")}, "bearing_deg"),
        ({"row_spacing_m": 0.0}, "row_spacing_m"),
        ({"tree_spacing_m": float("inf")}, "tree_spacing_m"),
        ({"headland_m": -1.0}, "headland_m"),
        ({"lines_per_row": 3}, "lines_per_row"),
        ({"lines_per_row": 2}, "pair_spacing_m"),
        ({"lines_per_row": 2, "pair_spacing_m": 4.0}, "pair_spacing_m"),
        ({"pair_spacing_m": 1.0}, "pair_spacing_m"),
        ({"first_row": ((11.3, 46.5),)}, "first_row"),
        ({"first_row": ((11.3, 46.5), (11.3, 146.5))}, "first_row"),
        ({"baseline": ((11.3, 46.5),)}, "baseline"),
        ({"baseline": ((11.3, 46.5), (11.3, 46.6)), "first_row": ((11.3, 46.5), (11.3, 46.6))}, "first_row"),
    ],
)
def test_planting_that_cannot_be_used_is_refused_by_name(changes, key):
    with pytest.raises(InputError) as refusal:
        rows_of_block(on_earth(rectangle()), planting(**changes))
    assert refusal.value.where == key


def test_more_rows_than_any_block_has_are_refused():
    with pytest.raises(InputError, match="rows"):
        rows_of_block(on_earth(rectangle(9000, 100)), planting(row_spacing_m=0.1))


def test_outlines_that_are_not_on_earth_are_refused():
    with pytest.raises(OutlineError, match="degrees"):
        rows_of_block(Polygon([(500000, 5150000), (500100, 5150000), (500100, 5150100)]), planting())
    with pytest.raises(OutlineError, match="no vertices"):
        rows_of_block(Polygon(), planting())
    with pytest.raises(InputError, match="1 outlines and 0 plantings"):
        rows_of_blocks([on_earth(rectangle())], [])
    with pytest.raises(InputError, match="curved"):
        rows_of_blocks([on_earth(rectangle())], [planting(baseline=((11.3, 46.5), (11.3, 46.501)))])


def test_block_across_the_antimeridian_has_the_rows_of_the_same_block_elsewhere():
    here = rows_of_blocks([on_earth(rectangle(), (179.9995, -16.8))], [planting(first_row_offset_m=2.5)])
    wrapped = shapely.transform(
        on_earth(rectangle(), (179.9995, -16.8)),
        lambda p: np.stack(((p[:, 0] + 180) % 360 - 180, p[:, 1]), axis=1),
    )
    across = rows_of_blocks([wrapped], [planting(first_row_offset_m=2.5)])
    assert len(across) == 25
    assert across.length_m == pytest.approx(here.length_m, abs=1e-6)
    assert np.ptp(across.start_lonlat[:, 0]) < 0.01


@pytest.mark.parametrize(
    ("length_m", "spacing_m", "end_m", "expected"),
    [
        (200.0, 1.9, 1.0, 105),  # floor(198 / 1.9) + 1
        (3.3, 1.1, 0.0, 4),  # 3.3 / 1.1 is 2.9999999999999996 in binary
        (1.9999, 2.0, 1.0, 1),  # two end offsets less a tenth of a millimetre: within the slack
        (1.998, 2.0, 1.0, 0),  # 2 mm short: no room
        (9.9992, 2.0, 0.0, 6),  # 0.8 mm short of five spacings: reached
        (9.998, 2.0, 0.0, 5),  # 2 mm short: not reached
        (0.5, 2.0, 0.0, 1),
    ],
)
def test_position_rule_and_its_slack_of_a_millimetre(length_m, spacing_m, end_m, expected):
    assert position_counts([length_m], tree_spacing_m=spacing_m, end_offset_m=end_m).tolist() == [expected]
