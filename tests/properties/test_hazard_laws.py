"""Rows near a line overhead: against PROJ's own projection and geodesics, and laws that hold for any rows."""

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pyproj import Geod, Transformer
from shapely.geometry import LineString, MultiLineString

from geometries import ORIGIN, on_earth
from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.hazards import line_distances_m, rows_near_line
from orchardmap.model.hazard import HazardLine
from orchardmap.model.orchard import Row
from orchardmap.pruning.clearance import line_clearance_m
from orchardmap.pruning.farm_settings import FarmSettings
from orchardmap.usecases.hazards import line_hazards

MODEST = settings(max_examples=60, deadline=None)
METRES = st.floats(-400.0, 400.0).map(lambda value: round(value, 3))
PLACES = st.tuples(st.floats(-180.0, 180.0), st.floats(-60.0, 60.0))


@st.composite
def lines(draw: st.DrawFn) -> LineString:
    points = draw(st.lists(st.tuples(METRES, METRES), min_size=2, max_size=4, unique=True))
    return LineString(points)


BLOCKS = st.lists(lines(), min_size=1, max_size=6)


@MODEST
@given(BLOCKS, lines(), PLACES)
@example([LineString([(-50, 0), (50, 0)])], LineString([(-50, 9), (50, 9)]), (179.9999, -17.0))
def test_distances_are_those_of_projs_own_plane(rows, line, place):
    """An azimuthal equidistant plane of PROJ about the place: at 1 km it differs from ours by its scale alone, 1e-8."""
    far_line, *far_rows = (on_earth(one, place) for one in (line, *rows))
    plane = Transformer.from_crs(
        "EPSG:4326", f"+proj=aeqd +lon_0={place[0]} +lat_0={place[1]} +ellps=WGS84", always_xy=True
    )

    def planar(one):
        return shapely.transform(one, lambda lonlat: np.stack(plane.transform(*lonlat.T), axis=1))

    expected = [planar(row).distance(planar(far_line)) for row in far_rows]
    assert line_distances_m(far_rows, far_line) == pytest.approx(expected, abs=1e-4)


@MODEST
@given(BLOCKS, lines(), st.floats(0.0, 300.0), st.floats(0.0, 300.0))
def test_a_wider_clearance_never_lets_a_row_go(rows, line, one, other):
    near, far = sorted((one, other))
    rows, line = [on_earth(row) for row in rows], on_earth(line)
    assert not (rows_near_line(rows, line, near) & ~rows_near_line(rows, line, far)).any()


@MODEST
@given(BLOCKS, lines())
def test_direction_and_order_change_nothing_and_a_part_decides_for_its_row(rows, line):
    rows, line = [on_earth(row) for row in rows], on_earth(line)
    told = line_distances_m(rows, line)
    assert line_distances_m([row.reverse() for row in rows[::-1]], line.reverse())[::-1] == pytest.approx(
        told
    )
    together = line_distances_m([MultiLineString(rows)], MultiLineString([line]))
    assert together == pytest.approx([told.min()], abs=1e-6)


@MODEST
@given(BLOCKS, lines())
def test_a_row_is_near_from_exactly_its_own_distance_down(rows, line):
    rows, line = [on_earth(row) for row in rows], on_earth(line)
    for number, distance_m in enumerate(line_distances_m(rows, line)):
        assert rows_near_line(rows, line, distance_m)[number]
        if distance_m > 0:
            assert not rows_near_line(rows, line, np.nextafter(distance_m, 0.0))[number]


def told_rows(rows, line, settings, *, kv):
    """The rows that a block's crew is warned of, by the number of each."""
    planted = [Row("b", n, MultiLineString([on_earth(row)]), 1.0, 0.0, (1,)) for n, row in enumerate(rows, 1)]
    told = line_hazards(planted, [HazardLine("l", "f", "L", kv, MultiLineString([on_earth(line)]))], settings)
    return {row for hazard in told for row in hazard.rows}


REACHES = st.floats(0.0, 20.0)


@MODEST
@given(BLOCKS, lines(), st.floats(0.0, 300.0), REACHES, st.floats(0.0, 400.0))
def test_a_line_moved_away_never_adds_a_row(rows, line, away_m, reach_m, kv):
    """All rows south of all of the line, and the line moved north: every point of it then hangs further from every row."""
    settings = FarmSettings(line_reach_m=reach_m)
    rows = [shapely.affinity.translate(row, 0.0, -row.bounds[3]) for row in rows]
    near = shapely.affinity.translate(line, 0.0, -line.bounds[1] + 0.01)
    far = shapely.affinity.translate(near, 0.0, away_m)
    assert told_rows(rows, far, settings, kv=kv) <= told_rows(rows, near, settings, kv=kv)


@MODEST
@given(BLOCKS, lines(), REACHES, REACHES, st.floats(0.0, 400.0), st.floats(0.0, 400.0))
def test_more_reach_or_voltage_never_lets_a_row_go_and_the_clearance_itself_is_always_warned_of(
    rows, line, one_m, other_m, one_kv, other_kv
):
    (less_m, more_m), (less_kv, more_kv) = sorted((one_m, other_m)), sorted((one_kv, other_kv))
    less = told_rows(rows, line, FarmSettings(line_reach_m=less_m), kv=less_kv)
    assert less <= told_rows(rows, line, FarmSettings(line_reach_m=more_m), kv=more_kv)
    distances_m = line_distances_m([on_earth(row) for row in rows], on_earth(line))
    assert {n for n, d in enumerate(distances_m, 1) if d <= line_clearance_m(less_kv)} <= less


def test_a_parallel_line_stands_at_the_geodesic_distance():
    """One of GeographicLib's geodesics laid off at a right angle from the middle of a row."""
    geod = Geod(ellps="WGS84")
    lon, lat, _ = geod.fwd(*ORIGIN, 0.0, 12.5)
    row = on_earth(LineString([(-60, 0), (60, 0)]))
    line = LineString([(lon - 0.001, lat), (lon, lat), (lon + 0.001, lat)])
    assert line_distances_m([row], line) == pytest.approx([12.5], abs=2e-3)
    assert rows_near_line([row, on_earth(LineString([(-60, -4), (60, -4)]))], line, 13.0).tolist() == [
        True,
        False,
    ]


def test_rows_that_a_line_crosses_are_near_at_no_distance():
    rows = [on_earth(LineString([(x, -50), (x, 50)])) for x in (0, 4, 8)]
    assert rows_near_line(rows, on_earth(LineString([(2, 0), (5, 0)])), 0.0).tolist() == [False, True, False]


@pytest.mark.parametrize("bad", [LineString(), LineString([(0.0, 0.0), (float("inf"), 1.0)])])
def test_what_has_no_place_is_never_called_clear(bad):
    good = on_earth(LineString([(0, 0), (9, 9)]))
    with pytest.raises(OutlineError, match="row 2"):
        line_distances_m([good, bad], good)
    with pytest.raises(OutlineError, match="line"):
        line_distances_m([], bad)
    with pytest.raises(InputError, match="metres"):
        rows_near_line([good], good, -1.0)
