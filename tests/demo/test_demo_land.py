"""The invented land: believable shapes that do not touch, spacings by age, habits as published."""

import itertools

import numpy as np
import pytest
import shapely

from orchardmap.demo import people
from orchardmap.demo.land import CURVED, PLOTS, laid_out
from orchardmap.geometry.frame import local_xy_m
from orchardmap.geometry.rows import rows_of_block

LAND = {one.plot.code: one for one in laid_out()}
ROWS = {code: rows_of_block(one.outline, one.planting, block_id=code) for code, one in LAND.items()}

# Amateur Gardening, January 2019, "Apples and pears: tip or spur bearing"
# https://www.amateurgardening.com/top-tips/fruit-veg/apples-and-pears-tip-or-spur-bearing-5979
PARTIAL_TIP = {
    "Adams's Pearmain", "Blenheim Orange", "Bramley's Seedling", "Lord Lambourne", "Worcester Pearmain",
}  # fmt: skip
SPUR = {
    "Ashmead's Kernel", "Cox's Orange Pippin", "Egremont Russet", "Howgate Wonder", "James Grieve", "Lord Derby",
}  # fmt: skip
# Orchard Origins, 23 July 2014, https://orchardorigins.org/2014/07/23/spur-bearing-and-tip-bearing-fruit-trees/
TIP = {"Cornish Gilliflower", "Genet Moyle", "Irish Peach"}


def test_outlines_are_valid_and_blocks_stand_apart():
    origin = np.array([-2.716, 52.234])
    in_metres = [
        shapely.transform(one.outline, lambda lonlat: local_xy_m(lonlat, origin)) for one in LAND.values()
    ]
    assert all(shapely.is_valid(in_metres))
    gaps_m = [a.distance(b) for a, b in itertools.combinations(in_metres, 2)]
    assert min(gaps_m) > 5.0  # room for a tractor between any two blocks


def test_shapes_are_of_many_kinds():
    holes = [
        code for code, one in LAND.items() if any(part.interiors for part in shapely.get_parts(one.outline))
    ]
    in_parts = [code for code, one in LAND.items() if len(shapely.get_parts(one.outline)) == 2]
    hollow = [code for code, one in LAND.items() if one.outline.area / one.outline.convex_hull.area < 0.93]
    assert holes == ["W3"]
    assert in_parts == ["H3", "B5"]
    assert "H6" in hollow  # the yard takes a corner: an L
    assert [code for code, one in LAND.items() if one.planting.baseline] == [CURVED]


def test_the_pond_cuts_rows_into_parts_that_keep_one_number():
    cut = [row for row in ROWS["W3"] if len(row.part_positions) == 2]
    assert len(cut) >= 5
    assert all(min(row.part_positions) > 0 for row in cut)


def test_only_curved_rows_bend():
    def most_bend_m(code: str) -> float:
        bends = []
        for row in ROWS[code]:
            for part in row.line.geoms:
                xy_m = local_xy_m(shapely.get_coordinates(part), part.coords[0])
                chord = shapely.LineString(xy_m[[0, -1]])
                bends.append(float(shapely.distance(shapely.points(xy_m), chord).max()))
        return max(bends)

    assert most_bend_m(CURVED) > 2.0
    assert max(most_bend_m(code) for code in ROWS if code != CURVED) < 0.01


def test_rows_run_with_a_side_of_their_block():
    """Where the south side of a field is a fence, an edge of the outline and the rows have one bearing."""
    fenced = {"home", "wash", "long", "ham"}
    tried = [one for one in LAND.values() if one.plot.field in fenced and one.plot.turn_deg in {0, 180}]
    assert len(tried) > 15
    for one in tried:
        sides_deg = []
        for part in shapely.get_parts(one.outline):
            lonlat = shapely.get_coordinates(part.exterior)
            east, north = np.diff(local_xy_m(lonlat, lonlat[0]), axis=0).T
            sides_deg += list(np.degrees(np.arctan2(east, north))[np.hypot(east, north) > 25.0])
        apart_deg = np.abs((np.array(sides_deg) - one.planting.bearing_deg + 90.0) % 180.0 - 90.0)
        assert apart_deg.min() < 0.5, one.plot.code


def test_rows_are_about_eighteen_hundred_and_none_longer_than_wire_holds_on_close_plantings():
    assert 1700 <= sum(len(rows) for rows in ROWS.values()) <= 1900
    # at most about 150 m with wire support: OMAFRA, "Trellis" (neworchard/english/apples/9trellis.html)
    close = [row for code, rows in ROWS.items() if LAND[code].plot.is_close for row in rows]
    assert max(row.length_m for row in close) <= 150.0


def test_old_plantings_are_wide_and_new_ones_close():
    years = np.array([plot.planted for plot in PLOTS])
    ground_m2 = np.array([plot.row_spacing_m * plot.tree_spacing_m for plot in PLOTS])
    assert np.corrcoef(years, ground_m2)[0, 1] < -0.9
    assert len({plot.row_spacing_m for plot in PLOTS}) >= 8
    assert len({round(one.planting.bearing_deg / 10) for one in LAND.values()}) >= 8


def test_every_block_has_one_crew_and_a_known_variety():
    given = [code for gang in people.GANGS for code in gang.blocks]
    assert sorted(given) == sorted(LAND)
    assert {plot.variety for plot in PLOTS} == {name for name, _, _ in people.VARIETIES}


@pytest.mark.parametrize(("names", "habit"), [(PARTIAL_TIP, "both"), (SPUR, "spur"), (TIP, "tip")])
def test_bearing_habits_are_the_published_ones(names, habit):
    assert {name for name, own, _ in people.VARIETIES if own == habit} == names


def test_habit_sources_say_where_to_read_them():
    assert all("https://" in source for _, _, source in people.VARIETIES)


def test_names_of_people_and_crews_are_all_different():
    names = [name for name, _ in people.OTHERS]
    for gang in people.GANGS:
        names += [gang.name, gang.foreman, *gang.workers]
    assert len(set(names)) == len(names)
    assert len(people.GANGS) == 6
