"""Rows, geodesic lengths and positions of whole farms: ours against a Python loop and against GEOS.

    python -m bench.rows [--rounds 5] [--loop-rounds 2]        (from the top of the repository)

Synthetic farms S (60 blocks) and L (600 blocks, about 51,000 rows). Four routes, interleaved in
every round so that a drifting machine drifts for all of them; medians, and ratios within this run:

* ours: `rows_of_blocks` (parts, geodesic lengths, positions, both ends in degrees)
* loop: one shapely intersection and one pyproj call a part, in Python
* vectorised: the same with shapely and pyproj on arrays
* bare: only `shapely.intersection` of the vectorised route, on lines and outlines made before

All must give the same rows and positions; the longest difference of a row's length is printed.
"""

import argparse
import os
import platform
import statistics
import time

import numpy as np
import pyproj
import shapely
from shapely.geometry import LineString, Polygon

from orchardmap.geometry.frame import lonlat_deg, origin_lonlat
from orchardmap.geometry.rows import rows_of_blocks
from orchardmap.model.orchard import Planting

GEOD = pyproj.Geod(ellps="WGS84")


def farm(blocks, seed=7):
    """Blocks of four to nine corners, one in seven with a bay, on a grid of 700 m."""
    draw = np.random.default_rng(seed)
    outlines, plantings = [], []
    for index in range(blocks):
        origin = (11.3 + 0.009 * (index % 25), 46.3 + 0.0063 * (index // 25))
        half = draw.uniform(90.0, 240.0, 2)
        corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half + draw.normal(0.0, 6.0, (4, 2))
        if index % 7 == 0:
            corners = np.insert(
                corners, 1, [(-0.2 * half[0], -half[1]), (0, 0.3 * half[1]), (0.2 * half[0], -half[1])], 0
            )
        angle = np.radians(draw.uniform(0.0, 360.0))
        turn = np.array([(np.cos(angle), -np.sin(angle)), (np.sin(angle), np.cos(angle))])
        outlines.append(Polygon(lonlat_deg(corners @ turn, origin)))
        bearing = float((np.degrees(angle) + draw.normal(0.0, 2.0)) % 360.0)
        pitch = float(draw.choice([3.2, 3.5, 4.0, 4.5]))
        plantings.append(
            Planting(
                bearing, pitch, float(draw.uniform(0.9, 2.5)), 0.5, first_row_offset_m=2.0, headland_m=5.0
            )
        )
    return outlines, plantings


def tmerc(origin):
    # pyproj.Proj is made in microseconds where Transformer.from_crs takes 20 ms: the peers get the quick one
    place = f"+proj=tmerc +lat_0={float(origin[1])!r} +lon_0={float(origin[0])!r} +k=1 +ellps=WGS84 +units=m"
    return pyproj.Proj(place)


def lines_of(local, planting):
    """Start and end of every row line of one block in its local frame, long enough to cross it."""
    angle = np.radians(planting.bearing_deg)
    along, across = np.array([np.sin(angle), np.cos(angle)]), np.array([np.cos(angle), -np.sin(angle)])
    xy = shapely.get_coordinates(local)
    u, v = xy @ along, xy @ across
    at = np.arange(v.min() + planting.first_row_offset_m, v.max(), planting.row_spacing_m)
    starts = at[:, None] * across + (u.min() - 10.0) * along
    return starts, starts + (np.ptp(u) + 20.0) * along


def positions(length_m, planting):
    return int((length_m - 2 * planting.end_offset_m + 0.001) // planting.tree_spacing_m) + 1


def by_loop(outlines, plantings):
    rows = trees = 0
    metres = []
    for outline, planting in zip(outlines, plantings, strict=True):
        to_local = tmerc(origin_lonlat(shapely.get_coordinates(outline)))
        local = shapely.transform(outline, to_local, interleaved=False)
        for start, end in zip(*lines_of(local, planting), strict=True):
            inside = LineString([start, end]).intersection(local)
            row_m = 0.0
            for part in getattr(inside, "geoms", [inside]):
                if part.is_empty or part.length <= 2 * planting.headland_m:
                    continue
                first = part.interpolate(planting.headland_m)
                last = part.interpolate(part.length - planting.headland_m)
                lon, lat = to_local([first.x, last.x], [first.y, last.y], inverse=True)
                length = GEOD.line_length(lon, lat)
                if length + 0.001 >= planting.min_row_length_m:
                    row_m += length
                    trees += positions(length, planting)
            if row_m:
                rows += 1
                metres.append(row_m)
    return rows, trees, np.array(metres)


def prepared(outlines, plantings):
    """Local outlines, row lines, and for each line its block: what the bare intersection starts from."""
    frames, locals_, lines, owner = [], [], [], []
    for index, (outline, planting) in enumerate(zip(outlines, plantings, strict=True)):
        frames.append(tmerc(origin_lonlat(shapely.get_coordinates(outline))))
        locals_.append(shapely.transform(outline, frames[-1], interleaved=False))
        starts, ends = lines_of(locals_[-1], planting)
        lines.append(np.stack((starts, ends), axis=1))
        owner.append(np.full(len(starts), index))
    owner = np.concatenate(owner)
    return frames, np.array(locals_)[owner], shapely.linestrings(np.concatenate(lines)), owner


def vectorised(outlines, plantings, ready=None):
    frames, grounds, lines, owner = ready or prepared(outlines, plantings)
    parts, line = shapely.get_parts(shapely.intersection(lines, grounds), return_index=True)
    solid = shapely.length(parts) > 0.0
    parts, line = parts[solid], line[solid]
    block = owner[line]
    headland, offset, spacing, shortest = np.array([
        (p.headland_m, p.end_offset_m, p.tree_spacing_m, p.min_row_length_m) for p in plantings
    ])[block].T
    ends = shapely.get_coordinates(parts).reshape(-1, 2, 2)
    step = ends[:, 1] - ends[:, 0]
    length = np.hypot(*step.T)
    unit = step / length[:, None]
    kept = length > 2 * headland
    first, last = ends[:, 0] + unit * headland[:, None], ends[:, 1] - unit * headland[:, None]
    lonlat = np.empty((len(parts), 4))
    for index in np.unique(block):  # PROJ knows one centre a call
        here = block == index
        for place, column in ((first, 0), (last, 2)):
            lonlat[here, column], lonlat[here, column + 1] = frames[index](
                place[here, 0], place[here, 1], inverse=True
            )
    metres = np.asarray(GEOD.inv(*lonlat.T)[2])
    kept &= metres + 0.001 >= shortest
    trees = int((np.floor((metres - 2 * offset + 0.001) / spacing)[kept] + 1).sum())
    row_m = np.bincount(line[kept], weights=metres[kept], minlength=len(lines))
    return int((row_m > 0).sum()), trees, row_m[row_m > 0]


def timed(function, *args):
    start = time.perf_counter()
    result = function(*args)
    return time.perf_counter() - start, result


def measure(name, blocks, rounds, loop_rounds):
    outlines, plantings = farm(blocks)
    ready = prepared(outlines, plantings)
    routes = {
        "ours": (rows_of_blocks, outlines, plantings),
        "bare": (shapely.intersection, ready[2], ready[1]),
        "vectorised": (vectorised, outlines, plantings),
        "loop": (by_loop, outlines, plantings),
    }
    seconds = {route: [] for route in routes}
    answers = {}
    for nth in range(rounds):
        for route, (function, *args) in routes.items():
            if route == "loop" and nth >= loop_rounds:
                continue
            spent, answers[route] = timed(function, *args)
            seconds[route].append(spent)
    ours = answers["ours"]
    rows, trees = len(ours), int(ours.positions.sum())
    print(
        f"\nfarm {name}: {blocks} blocks, {rows:,} rows, {trees:,} positions, {ours.length_m.sum() / 1000:,.1f} km"
    )
    medians = {route: statistics.median(spent) for route, spent in seconds.items()}
    for route, median in medians.items():
        print(
            f"  {route:11} {median:8.4f} s  {rows / median:10,.0f} rows/s  ours is {median / medians['ours']:6.1f} x as fast"
            f"  ({len(seconds[route])} rounds)"
        )
    print(f"  ours / bare intersection: {medians['ours'] / medians['bare']:.3f} (target <= 0.25)")
    print(f"  loop / ours: {medians['loop'] / medians['ours']:.0f} (target >= 60)")
    for route in ("loop", "vectorised"):
        same = answers[route][:2] == (rows, trees)
        off_mm = np.abs(answers[route][2] - ours.length_m).max() * 1000 if same else float("nan")
        print(f"  {route}: same rows and positions: {same}; row lengths differ by at most {off_mm:.6f} mm")
        assert same, f"{route} disagrees: {answers[route][:2]} against {(rows, trees)}"


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--loop-rounds", type=int, default=2)
    args = parser.parse_args()
    print(
        f"Python {platform.python_version()}, numpy {np.__version__}, shapely {shapely.__version__} "
        f"(GEOS {shapely.geos_version_string}), pyproj {pyproj.__version__} (PROJ {pyproj.proj_version_str}), "
        f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.2f}"
    )
    measure("S", 60, args.rounds, args.loop_rounds)
    measure("L", 600, args.rounds, args.loop_rounds)
    print(f"\nload at the end {os.getloadavg()[0]:.2f}")


if __name__ == "__main__":
    main()
