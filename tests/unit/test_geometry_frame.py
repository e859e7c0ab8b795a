"""The local frame against PROJ's own transverse Mercator, and there and back."""

from typing import Any

import numpy as np
import pyproj
import pytest

from orchardmap.geometry.frame import curvature_radius_m, local_xy_m, lonlat_deg, origin_lonlat

GEOD = pyproj.Geod(ellps="WGS84")


def around(origin: tuple[float, float], reach_m: float, count: int = 400) -> Any:
    """Points up to ``reach_m`` from an origin in every direction."""
    draw = np.random.default_rng(5)
    lon, lat, _ = GEOD.fwd(
        np.full(count, origin[0]),
        np.full(count, origin[1]),
        draw.uniform(0, 360, count),
        draw.uniform(0, reach_m, count),
    )
    return np.stack((lon, lat), axis=1)


@pytest.mark.parametrize(
    "origin", [(11.3, 46.5), (-120.5, 0.0), (174.8, -41.3), (24.0, 65.0), (-71.0, -53.0), (10.0, 75.0)]
)
def test_local_xy_agrees_with_proj_within_a_thousandth_of_a_millimetre_at_5_km(origin):
    points = around(origin, 5_000.0)
    witness = pyproj.Proj(f"+proj=tmerc +lat_0={origin[1]} +lon_0={origin[0]} +k=1 +ellps=WGS84 +units=m")
    expected = np.stack(witness(points[:, 0], points[:, 1]), axis=1)
    assert np.abs(local_xy_m(points, origin) - expected).max() < 1e-6
    back = np.stack(witness(expected[:, 0], expected[:, 1], inverse=True), axis=1)
    metres_a_degree = 111_000.0
    assert np.abs(lonlat_deg(expected, origin) - back).max() * metres_a_degree < 1e-6


def test_local_xy_stays_under_a_tenth_of_a_millimetre_at_50_km():
    # ten times farther than a block reaches: the series degrades slowly
    points = around((11.3, 46.5), 50_000.0)
    witness = pyproj.Proj("+proj=tmerc +lat_0=46.5 +lon_0=11.3 +k=1 +ellps=WGS84 +units=m")
    expected = np.stack(witness(points[:, 0], points[:, 1]), axis=1)
    assert np.abs(local_xy_m(points, (11.3, 46.5)) - expected).max() < 1e-4


def test_there_and_back_is_exact_to_a_hundredth_of_a_micrometre_at_the_origin():
    for lat in range(-80, 81, 5):
        there = lonlat_deg(np.zeros((1, 2)), (11.3, float(lat)))
        assert np.abs(there - [11.3, lat]).max() * 111_000.0 < 1e-8


def test_each_point_may_bring_its_own_origin():
    points = np.array([(11.31, 46.51), (-120.49, 36.02)])
    origins = np.array([(11.3, 46.5), (-120.5, 36.0)])
    together = local_xy_m(points, origins)
    apart = np.array([local_xy_m(points[i : i + 1], origins[i])[0] for i in range(2)])
    assert together == pytest.approx(apart, abs=1e-9)
    assert lonlat_deg(together, origins) == pytest.approx(points, abs=1e-11)


def test_longitudes_are_the_same_whether_wrapped_or_not():
    wrapped = local_xy_m([(-179.999, -16.8), (179.999, -16.8)], (180.0, -16.8))
    running = local_xy_m([(180.001, -16.8), (179.999, -16.8)], (-180.0, -16.8))
    assert wrapped == pytest.approx(running, abs=1e-6)
    assert wrapped[0, 0] == pytest.approx(-wrapped[1, 0])
    assert lonlat_deg(wrapped, (180.0, -16.8))[:, 0].tolist() == pytest.approx([180.001, 179.999])


def test_origin_is_the_middle_of_the_bounding_box():
    assert origin_lonlat([(11.0, 45.0), (11.2, 45.0), (11.2, 45.1)]).tolist() == pytest.approx([11.1, 45.05])
    assert origin_lonlat([(-179.9, 1.0), (179.9, 2.0)]).tolist() == pytest.approx([180.0, 1.5])


def test_curvature_radius_at_equator_and_pole():
    # by definition: a sqrt(1 - e2) = b at the equator, a / sqrt(1 - e2) = a^2 / b at the pole (NGA.STND.0036: b)
    b = 6_356_752.314245
    assert float(curvature_radius_m(0.0)) == pytest.approx(b, abs=1e-3)
    assert float(curvature_radius_m(90.0)) == pytest.approx(6_378_137.0**2 / b, abs=1e-3)
