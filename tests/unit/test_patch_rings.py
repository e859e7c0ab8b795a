"""The ground of a weak area: it holds its trees and no others, on straight, bent, cut and lone rows."""

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiLineString, Polygon

from geometries import LANE, on_earth, planting, rectangle
from orchardmap.geometry.frame import local_xy_m
from orchardmap.geometry.patch import patch_ring
from orchardmap.geometry.positions import position_lonlat
from orchardmap.geometry.rows import rows_of_block
from orchardmap.model.orchard import Row

ORIGIN = (11.3, 46.5)


def arcs(rows=8, radius_m=60.0, spacing_m=4.0, positions=40):
    """Rows that bend by a quarter of a circle, one around the other."""
    turns = np.linspace(0, np.pi / 2, 60)
    made = []
    for number in range(1, rows + 1):
        r = radius_m + spacing_m * number
        line = shapely.LineString(np.column_stack((r * np.cos(turns), r * np.sin(turns))))
        made.append(Row("b", number, MultiLineString([on_earth(line)]), line.length, 1.0, (positions,)))
    return made


ORCHARDS = {
    "straight": rows_of_block(on_earth(rectangle()), planting(bearing_deg=30.0)),
    "cut by a lane": rows_of_block(on_earth(LANE), planting()),
    "bent": arcs(),
}


def ground_of(ring):
    assert ring[0] == ring[-1]
    return Polygon(local_xy_m(ring, ORIGIN))


@pytest.mark.parametrize("name", ORCHARDS)
@pytest.mark.parametrize("positions", [(1, 9), (12, 30), (25, 25)])
def test_trees_of_the_area_stand_inside_and_all_others_outside(name, positions):
    rows = ORCHARDS[name]
    numbers = (rows[2].number, rows[4].number)
    ground = ground_of(patch_ring(rows, numbers=numbers, positions=positions))
    assert ground.is_valid
    for row in rows:
        trees = shapely.points(local_xy_m(position_lonlat(row), ORIGIN))
        inside = np.flatnonzero(shapely.contains(ground, trees)) + 1
        expected = (
            range(positions[0], min(positions[1], row.positions) + 1)
            if numbers[0] <= row.number <= numbers[1]
            else ()
        )
        assert inside.tolist() == list(expected), f"row {row.number}"


def straight(number, *, positions=10, spacing_m=2.0):
    """A row north, 4 m from the next one, with half a tree before the first and behind the last."""
    length_m = positions * spacing_m
    line = on_earth(shapely.LineString([(4 * number, 0), (4 * number, length_m)]))
    return Row("b", number, MultiLineString([line]), length_m, spacing_m / 2, (positions,))


def test_it_takes_half_a_row_and_half_a_tree_around():
    rows = [straight(number) for number in (1, 2, 3, 4)]
    ground = ground_of(patch_ring(rows, numbers=(2, 3), positions=(3, 5)))
    assert ground.bounds == pytest.approx((6.0, 4.0, 14.0, 10.0), abs=0.02)
    assert ground.area == pytest.approx(8 * 6, rel=0.01)
    assert len(ground.exterior.coords) <= 9, "straight sides carry no points"


def test_a_shorter_row_is_taken_to_its_end_and_one_that_ends_before_is_left_out():
    rows = [straight(1, positions=40), straight(2, positions=20), straight(3, positions=40)]
    around = patch_ring(rows, numbers=(1, 3), positions=(18, 30))
    trees = shapely.points(local_xy_m(position_lonlat(rows[1]), ORIGIN))
    assert np.flatnonzero(shapely.contains(ground_of(around), trees)).tolist() == [17, 18, 19]
    beyond = ground_of(patch_ring(rows, numbers=(1, 3), positions=(25, 30)))
    assert beyond.bounds == pytest.approx((2.0, 48.0, 14.0, 60.0), abs=0.02)
    assert patch_ring([rows[1]], numbers=(2, 2), positions=(21, 30)) == []


def test_a_lone_row_has_ground_too():
    ground = ground_of(patch_ring([straight(1)], numbers=(1, 1), positions=(2, 5)))
    assert ground.bounds == pytest.approx((2.0, 2.0, 6.0, 10.0), abs=0.02)


def test_a_first_tree_at_the_very_end_of_its_row_has_half_a_tree_beyond_it():
    line = MultiLineString([on_earth(shapely.LineString([(0, 0), (0, 18)]))])
    ground = ground_of(patch_ring([Row("b", 1, line, 18.0, 0.0, (10,))], numbers=(1, 1), positions=(1, 10)))
    assert ground.bounds == pytest.approx((-2.0, -1.0, 2.0, 19.0), abs=0.02)
