"""Positions on rows: evenly between the end offsets, counted numbers shared out, rows split midway."""

from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiLineString

import place_vectors
from geometries import LANE, on_earth, planting, rectangle
from orchardmap.errors import InputError
from orchardmap.geometry.frame import local_xy_m
from orchardmap.geometry.geodesy import line_length_m
from orchardmap.geometry.positions import cut_after, nearest_rows, part_counts, position_lonlat, stretch_line
from orchardmap.geometry.rows import rows_of_block
from orchardmap.model.orchard import Row

ORIGIN = (11.3, 46.5)


def row(
    *parts: tuple[float, float],
    counts: tuple[int, ...],
    counted: int | None = None,
    end_offset_m: float = 1.0,
) -> Row:
    """A row going north along x = 0; each part is (from, to) in metres."""
    line = MultiLineString([on_earth(shapely.LineString([(0, a), (0, b)])) for a, b in parts])
    return Row(
        "b", 3, line, float(sum(b - a for a, b in parts)), end_offset_m, counts, counted_positions=counted
    )


def north_m(lonlat: Any) -> Any:
    return local_xy_m(lonlat, ORIGIN)[:, 1]


def test_positions_stand_evenly_between_the_end_offsets():
    assert north_m(position_lonlat(row((0, 10), counts=(5,)))) == pytest.approx([1, 3, 5, 7, 9], abs=1e-6)


def test_numbering_runs_on_through_the_parts():
    cut = row((0, 10), (30, 34), counts=(3, 2))
    assert north_m(position_lonlat(cut)) == pytest.approx([1, 5, 9, 31, 33], abs=1e-6)
    assert north_m(position_lonlat(cut, [4, 1])) == pytest.approx([31, 1], abs=1e-6)


def test_a_single_position_stands_in_the_middle_and_an_empty_part_has_none():
    assert north_m(position_lonlat(row((0, 10), (20, 20.5), (30, 33), counts=(1, 0, 1)))) == pytest.approx(
        [5, 31.5], abs=1e-6
    )
    assert position_lonlat(row((0, 1.5), counts=(0,))).shape == (0, 2)


def test_positions_on_a_bent_row_follow_the_bend():
    bent = on_earth(shapely.LineString([(0, 0), (0, 10), (10, 10)]))
    places = local_xy_m(position_lonlat(Row("b", 1, MultiLineString([bent]), 20.0, 0.0, (5,))), ORIGIN)
    assert places == pytest.approx(np.array([(0, 0), (0, 5), (0, 10), (5, 10), (10, 10)]), abs=1e-6)


@pytest.mark.parametrize(
    ("counts", "counted", "expected"),
    [
        ((42, 52), None, (42, 52)),
        ((42, 52), 94, (42, 52)),
        ((42, 52), 96, (43, 53)),  # 42.89 and 53.11: the larger remainder gets the one left
        ((42, 52), 95, (42, 53)),  # 42.45 and 52.55
        ((10, 10, 10), 31, (11, 10, 10)),
        ((5, 1), 0, (0, 0)),
        ((0, 0), 4, (3, 1)),  # no rule: by length, 10 m and 4 m: 2.86 and 1.14
    ],
)
def test_counted_number_is_shared_out_by_largest_remainder(counts, counted, expected):
    parts = [(0, 10), (30, 34), (50, 60)][: len(counts)]
    shared = part_counts(row(*parts, counts=counts, counted=counted))
    assert shared == expected
    assert sum(shared) == (counted if counted is not None else sum(counts))


def test_counted_positions_spread_evenly_and_fit_even_a_short_part():
    assert north_m(position_lonlat(row((0, 10), counts=(5,), counted=3))) == pytest.approx(
        [1, 5, 9], abs=1e-6
    )
    squeezed = north_m(position_lonlat(row((0, 1), counts=(0,), counted=2, end_offset_m=2.0)))
    assert squeezed == pytest.approx([0.5, 0.5], abs=1e-6)


def test_row_is_split_midway_between_the_last_pruned_tree_and_the_next():
    plain = row((0, 10), counts=(5,))
    assert list(cut_after(plain, 2)) == pytest.approx([0, 0.4])  # trees at 3 and 5: cut at 4
    assert cut_after(plain, 0) == (0, 0.0)
    assert cut_after(plain, 5) == (0, 1.0)
    cut = row((0, 10), (30, 34), counts=(3, 2))
    assert cut_after(cut, 3) == (0, 1.0)
    assert list(cut_after(cut, 4)) == pytest.approx([1, 0.5])


def test_stretches_that_follow_each_other_cover_the_row_once():
    cut = row((0, 10), (30, 34), counts=(3, 2))
    lengths = [line_length_m(stretch_line(cut, first=a, last=b)) for a, b in [(1, 1), (2, 4), (5, 5)]]
    assert lengths == pytest.approx([3.0, 7.0 + 2.0, 2.0], abs=1e-4)
    assert stretch_line(cut, first=1, last=5).equals(cut.line)
    assert len(stretch_line(cut, first=4, last=5).geoms) == 1


def test_a_stretch_of_a_bent_row_ends_midway_between_its_trees():
    """A degree east is shorter than one north, so a share of a line's degrees is none of its metres."""
    bent = Row(
        "b", 1, MultiLineString([on_earth(shapely.LineString([(0, 0), (0, 10), (30, 10)]))]), 40.0, 0.0, (5,)
    )
    (piece,) = stretch_line(bent, first=3, last=3).geoms
    assert local_xy_m(piece.coords, ORIGIN) == pytest.approx(np.array([(5, 10), (15, 10)]), abs=1e-3)


@pytest.mark.parametrize(("first", "last"), [(0, 2), (3, 2), (1, 6), (6, 6)])
def test_stretch_outside_the_row_is_refused(first, last):
    with pytest.raises(InputError, match=r"row 3|positions"):
        stretch_line(row((0, 10), counts=(5,)), first=first, last=last)


@pytest.mark.parametrize("wanted", [[0], [6], [1, 2, 99], [-1]])
def test_position_that_is_not_there_is_refused(wanted):
    with pytest.raises(InputError, match="positions 1 to 5"):
        position_lonlat(row((0, 10), counts=(5,)), wanted)


def test_nearest_rows_come_in_order_with_distance_and_position():
    rows = rows_of_block(on_earth(rectangle()), planting(first_row_offset_m=2.5, tree_spacing_m=2.0))
    # rows at 2.5, 6.5, 10.5 ...; trees at 0, 2, 4 ... m; the point lies at x = 7.0, y = 9.1
    point = tuple(shapely.get_coordinates(on_earth(shapely.Point(7.0, 9.1)))[0])
    near = nearest_rows(rows, point)
    assert [one.number for one in near] == [2, 3, 1]
    assert [one.distance_m for one in near] == pytest.approx([0.5, 3.5, 4.5], abs=0.002)
    assert [one.position for one in near] == [6, 6, 6]  # 10 m in: the sixth, nearer than the fifth at 8


def test_nearest_row_of_none_and_of_a_row_without_positions():
    assert nearest_rows([], ORIGIN) == []
    assert nearest_rows([row((0, 1), counts=(0,))], ORIGIN)[0].position == 0


def test_positions_of_a_laid_row_are_the_tree_spacing_apart_where_it_fits_exactly():
    # 80 m and 100 m with 2 m spacing and no end offset: 41 + 51 positions exactly 2 m apart
    laid = rows_of_block(on_earth(LANE), planting(tree_spacing_m=2.0, first_row_offset_m=1.0))[0]
    assert laid.part_positions == (41, 51)
    assert np.diff(north_m(position_lonlat(laid)))[[0, 39, 41, 90]] == pytest.approx(2.0, abs=1e-4)


def test_places_that_the_pages_are_held_to_are_these():
    """`web/tests/core/walk-places.test.ts` reads the file."""
    assert place_vectors.written() == place_vectors.FILE.read_text("utf-8")
