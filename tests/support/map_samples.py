"""An invented farm in the shapes the service answers with, for the tests and figures of the map.

Everything here is made up by a seeded generator; no real place, person or planting.
"""

import json
import math
import random
from dataclasses import dataclass, field
from typing import Any

from shapely import affinity, unary_union
from shapely.geometry import LineString, Polygon, box, mapping

LON, LAT = 12.0, 47.0
M_PER_DEG_LAT = 111_320.0
M_PER_DEG_LON = M_PER_DEG_LAT * math.cos(math.radians(LAT))
TODAY = "2026-02-12"
UNIT_DEG = 1e-7
MUST_CHECK, MAY_FAIL = 6, 1
# heritage cultivars, all older than a century
VARIETIES = [
    ("Ashmead's Kernel", "both"),
    ("Ribston Pippin", "spur"),
    ("Cornish Gilliflower", "tip"),
    ("Court Pendu Plat", "spur"),
    ("Irish Peach", "tip"),
    ("Roxbury Russet", "spur"),
]
POINTS = {
    "stubs": "No stub longer than 2 cm is left on the leader or the limbs.",
    "crossing": "Branches that cross or rub are taken out, the weaker of two.",
    "height": "No shoot reaches above the top wire at 3.5 m.",
}
FIELDS = [
    "Hollow",
    "Long Lea",
    "Upper Bank",
    "Mill Ground",
    "Fox Corner",
    "Quarry Side",
    "Old Wall",
    "Beech Piece",
]


@dataclass
class Sample:
    """Overview, shapes and states of one farm and day; ids are made from the block number."""

    farm: dict[str, Any]
    overview: dict[str, Any]
    shapes: dict[str, dict[str, Any]] = field(default_factory=dict)
    states: dict[str, dict[str, Any]] = field(default_factory=dict)
    features: dict[str, Any] = field(default_factory=dict)


def block_id(number: int) -> str:
    """Return the id of a block of the sample."""
    return f"00000000-0000-7000-8000-{number:012d}"


def lonlat(x_m: float, y_m: float) -> tuple[float, float]:
    """Return degrees from metres east and north of the sample's middle."""
    return LON + x_m / M_PER_DEG_LON, LAT + y_m / M_PER_DEG_LAT


def parcels(count: int, dice: random.Random, *, parcel_m: tuple[float, float]) -> list[Polygon]:
    """Return believable fields: a leaning grid with jittered corners and tracks between."""
    across = max(1, round(math.sqrt(count * parcel_m[1] / parcel_m[0] * 1.5)))
    made = []
    lines = math.ceil(count / across)
    corners = {
        (i, j): (
            (i - across / 2) * parcel_m[0] + dice.uniform(-0.13, 0.13) * parcel_m[0],
            (j - lines / 2) * parcel_m[1] + dice.uniform(-0.13, 0.13) * parcel_m[1],
        )
        for i in range(across + 1)
        for j in range(lines + 1)
    }
    for j in reversed(range(lines)):
        for i in range(across):
            whole = Polygon([corners[i, j], corners[i + 1, j], corners[i + 1, j + 1], corners[i, j + 1]])
            made.append(affinity.rotate(whole.buffer(-6, join_style="mitre"), 9, origin=(0, 0)))
    return made[:count]


def rows_of(parcel: Polygon, *, bearing_deg: float, pitch_m: float, tree_m: float) -> list[dict[str, Any]]:
    """Return straight rows clipped to a parcel, in metres, with how many positions each part holds."""
    turned = affinity.rotate(parcel, bearing_deg - 90, origin=(0, 0))
    west, south, east, north = turned.bounds
    made: list[dict[str, Any]] = []
    v = north - pitch_m / 2
    while v > south:
        cut = turned.buffer(-4).intersection(LineString([(west - 1, v), (east + 1, v)]))
        parts = []
        for piece in getattr(cut, "geoms", [cut]):
            if piece.is_empty or piece.length < 12:
                continue
            positions = math.floor((piece.length - 2) / tree_m) + 1
            back = affinity.rotate(piece, 90 - bearing_deg, origin=(0, 0))
            parts.append((positions, list(back.coords)))
        if parts:
            made.append({"n": len(made) + 1, "parts": parts})
        v -= pitch_m
    return made


def packed(
    rows: list[dict[str, Any]], origin: tuple[float, float], dice: random.Random
) -> list[dict[str, Any]]:
    """Return rows as the shape document carries them."""
    out = []
    for row in rows:
        parts = []
        for positions, line in row["parts"]:
            flat: list[int] = []
            for x, y in line:
                lon, lat = lonlat(x, y)
                flat += [round((lon - origin[0]) / UNIT_DEG), round((lat - origin[1]) / UNIT_DEG)]
            parts.append([positions, flat])
        total = sum(part[0] for part in parts)
        doc: dict[str, Any] = {"n": row["n"], "p": total, "e": 1.0, "parts": parts}
        blanks = sorted(p for p in range(1, total + 1) if dice.random() < 0.006)
        if blanks:
            doc["blanks"] = blanks
        if row["n"] % 6 == 3:
            doc["pollinizers"] = [p for p in range(9, total + 1, 12) if p not in blanks]
        out.append(doc)
    return out


def runs_of(rows: list[dict[str, Any]], stage: float, dice: random.Random) -> list[list[int]]:
    """Return the coverage of a block so far along: whole rows, then one where the crew stopped."""
    runs: list[list[int]] = []
    done = int(len(rows) * stage)
    for k, row in enumerate(rows):
        if k < done:
            runs.append([row["n"], 1, row["p"], 1, dice.randrange(2)])
        elif k == done and 0 < stage < 1:
            runs.append([row["n"], 1, max(1, int(row["p"] * 0.4)), 1, 0])
    if 0.3 < stage < 1 and done > 6:
        cut = rows[done - 2]["p"] // 3
        runs = [run for run in runs if run[0] != rows[done - 2]["n"]]
        n, p = rows[done - 2]["n"], rows[done - 2]["p"]
        runs += [[n, 1, cut, 1, 0], [n, cut + 1, 2 * cut, 2, -1], [n, 2 * cut + 1, p, 1, 1]]
    return runs


def checks_of(
    rows: list[dict[str, Any]], runs: list[list[int]], weak: bool, dice: random.Random
) -> list[list[Any]]:
    """Return checks on pruned trees, with more faults on the low rows of a weak block."""
    made: list[list[Any]] = []
    covered = {run[0] for run in runs}
    for row in rows:
        if row["n"] not in covered or dice.random() > 0.5:
            continue
        odds = 0.6 if weak and row["n"] % 10 < 4 else 0.06
        draw = dice.random()
        verdict = "faulty" if draw < odds else "minor" if draw < odds + 0.15 else "meets"
        failed = {"faulty": ["stubs", "height"][row["n"] % 2 :], "minor": ["crossing"], "meets": []}[verdict]
        made.append([
            f"check-{row['n']}", row["n"], dice.randint(1, max(1, row["p"] // 2)), verdict, "2026-02-10",
            "Orla", "stubs left low" if verdict == "faulty" else "", dice.random() > 0.15, None, failed, False, False,
        ])  # fmt: skip
    return made


def planted_checks() -> list[list[Any]]:
    """Return 14 checks in rows 11 to 13, positions 8 to 45, of which 9 are faulty."""
    return [
        [
            f"planted-{i}", 11 + i % 3, 8 + 37 * i // 13, "faulty" if i * 9 % 14 < 9 else "meets", "2026-02-10", "Orla", "",
            True, None, ["stubs"] if i * 9 % 14 < 9 else [], False, False,
        ]
        for i in range(14)
    ]  # fmt: skip


def weak_area(
    shape: dict[str, Any],
    rows: tuple[int, int],
    positions: tuple[int, int],
    checks: list[list[Any]],
    *,
    state: str = "suspect",
) -> dict[str, Any]:
    """Return a weak area as a block's state carries it, with a ring half a row wider than its trees on each side.

    The rows are straight and each of one part.
    """
    taken = [row for row in shape["rows"] if rows[0] <= row["n"] <= rows[1]]
    lines = []
    for row in taken:
        count, flat = row["parts"][0]
        ends = [
            ((lon * UNIT_DEG) * M_PER_DEG_LON, (lat * UNIT_DEG) * M_PER_DEG_LAT)
            for lon, lat in ((flat[0], flat[1]), (flat[-2], flat[-1]))
        ]
        whole = LineString(ends)
        step = (whole.length - 2 * row["e"]) / (count - 1)
        places = [row["e"] + (p - 1) * step for p in (positions[0], min(count, positions[1]))]
        lines.append(LineString([whole.interpolate(place) for place in places]))
    pitch = lines[0].distance(lines[1]) if len(lines) > 1 else 4.0
    hull = unary_union([line.buffer(pitch * 0.51, cap_style="square") for line in lines]).simplify(0.2)
    ring = [
        [shape["origin"][0] + x / M_PER_DEG_LON, shape["origin"][1] + y / M_PER_DEG_LAT]
        for x, y in mapping(hull)["coordinates"][0]
    ]
    inside = [c for c in checks if rows[0] <= c[1] <= rows[1] and positions[0] <= c[2] <= positions[1]]
    faulty = sum(c[3] == "faulty" for c in inside)
    return {
        "id": f"area-{rows[0]}-{positions[0]}", "rows": list(rows), "positions": list(positions), "checked": len(inside),
        "faulty": faulty, "llr": 7.5, "p": 0.001, "state": state, "recheck": None, "returns": [], "ring": ring,
        "odds_words": f"{faulty} of {len(inside)} faulty; chance alone: 1 in 1,000",
        "points": [{"key": "stubs", "sentence": POINTS["stubs"], "failed": faulty}],
        "crews": [{"crew_id": "c1", "crew": "Larches", "checked": len(inside), "faulty": faulty}],
    }  # fmt: skip


def _figures(blocks: list[dict[str, Any]]) -> dict[str, Any]:
    trees, pruned = sum(b["trees"] for b in blocks), sum(b["pruned"] for b in blocks)
    lots = {key: sum(b["verdict"] == key for b in blocks) for key in ("accepted", "send_back", "too_few")}
    return {
        "trees": trees,
        "pruned": pruned,
        "share": pruned / trees if trees else 0,
        "rows": sum(b["rows"] for b in blocks),
        "rows_done": 0,
        "overlap_trees": sum(b["overlap"] for b in blocks),
        "set_aside": 0,
        "trees_left": trees - pruned,
        "working_days_left": 31,
        "needed_per_day": 900,
        "recent_per_day": 870,
        "checked": sum(b["checked"] for b in blocks),
        "meets": 0,
        "minor": sum(b["minor"] for b in blocks),
        "faulty": sum(b["faulty"] for b in blocks),
        "lots": lots,
    }


def _block(
    number: int, parcel: Polygon, dice: random.Random, sample: Sample, pitch_m: float
) -> dict[str, Any]:
    key = block_id(number)
    bearing = (81.0 if number % 3 else 171.0) + dice.uniform(-4, 4)
    ring = [list(lonlat(x, y)) for x, y in parcel.exterior.coords]
    outline = Polygon(ring)
    origin = (outline.centroid.x, outline.centroid.y)
    rows = packed(rows_of(parcel, bearing_deg=bearing, pitch_m=pitch_m, tree_m=2.0), origin, dice)
    stage = [1.0, 0.72, 0.38, 0.0, 0.93, 0.15, 1.0, 0.5][number % 8]
    runs = runs_of(rows, stage, dice)
    weak = number % 8 == 2
    checks = checks_of(rows, runs, weak, dice)
    if weak:
        runs = [run if run[0] > 3 else [*run[:3], 3, run[4]] for run in runs]
    closed = {"until": "2026-02-13T06:00:00+01:00", "reason": "spray re-entry"} if number % 11 == 3 else None
    sample.shapes[key] = {
        "id": key, "version": f"v{number}", "outline": mapping(outline), "origin": list(origin),
        "unit_deg": UNIT_DEG, "rows": rows,
    }  # fmt: skip
    sample.states[key] = {
        "id": key, "day": TODAY, "cursor": 1, "crews": [{"id": "c1", "name": "Larches"}, {"id": "c2", "name": "Rooks"}],
        "runs": runs, "checks": checks, "closed": closed, "point_words": POINTS,
    }  # fmt: skip
    if weak:
        checks += planted_checks()
    areas = [weak_area(sample.shapes[key], (11, 13), (8, 45), checks)] if weak else []
    sample.states[key]["weak"] = areas
    faulty = sum(c[3] == "faulty" for c in checks)
    drawn = sum(c[7] for c in checks)
    drawn_faulty = sum(c[7] and c[3] == "faulty" for c in checks)
    verdict = "too_few" if drawn < MUST_CHECK else "send_back" if drawn_faulty > MAY_FAIL else "accepted"
    variety, habit = VARIETIES[number % len(VARIETIES)]
    covered = sum(min(r[2], 10**6) - r[1] + 1 for r in runs)
    apart = sum(len(r.get("blanks", ())) + len(r.get("pollinizers", ())) for r in rows)
    trees = sum(r["p"] for r in rows) - apart
    return {
        "id": key, "code": f"{'ABCDEFGH'[number // 8 % 8]}{number % 8 + 1}" if number < 64 else f"N{number}",
        "name": FIELDS[number % len(FIELDS)], "variety": variety, "habit": habit, "rows": len(rows), "trees": trees,
        "pruned": trees if stage == 1 else min(trees, covered),
        "overlap": sum(r[2] - r[1] + 1 for r in runs if r[3] == 2), "area_ha": parcel.area / 1e4,
        "checked": len(checks), "faulty": faulty, "minor": sum(c[3] == "minor" for c in checks),
        "drawn": drawn, "drawn_faulty": drawn_faulty, "must_check": MUST_CHECK if stage else None,
        "may_fail": MAY_FAIL if stage else None, "verdict": verdict if stage else "not_begun",
        "overlap_rows": sorted({r[0] for r in runs if r[3] == 2}),
        "weak": len(areas), "again": sum(r[2] - r[1] + 1 for r in runs if r[3] == 3), "closed": closed,
        "lonlat": [outline.representative_point().x, outline.representative_point().y],
        "bbox": list(outline.bounds), "shape_version": f"v{number}",
    }  # fmt: skip


def sample_farm(
    blocks: int = 28, *, seed: int = 7, parcel_m: tuple[float, float] = (210.0, 190.0), pitch_m: float = 4.0
) -> Sample:
    """Return an invented farm of so many blocks, half-way through its season."""
    dice = random.Random(seed)
    farm = {"id": "farm-1", "name": "Larkrise Orchards", "time_zone": "Europe/Vienna", "today": TODAY}
    sample = Sample(farm, {})
    facts = [
        _block(i, p, dice, sample, pitch_m) for i, p in enumerate(parcels(blocks, dice, parcel_m=parcel_m))
    ]
    sample.overview = {
        "farm_id": "farm-1", "day": TODAY, "season_id": "s1", "cursor": 1, "epoch": "e1",
        "figures": _figures(facts), "blocks": facts,
    }  # fmt: skip
    return sample


def one_block(rows: list[dict[str, Any]], runs: list[list[int]], *, half_m: float = 60.0) -> Sample:
    """Return a farm of a single square block with the rows given in metres, for cases by hand.

    Each row is ``{"n", "p", "e", "line": [(x_m, y_m), ...]}``.
    """
    key = block_id(1)
    square = box(-half_m, -half_m, half_m, half_m)
    outline = Polygon([lonlat(x, y) for x, y in square.exterior.coords])
    packed_rows = []
    for row in rows:
        flat: list[int] = []
        for x, y in row["line"]:
            lon, lat = lonlat(x, y)
            flat += [round((lon - LON) / UNIT_DEG), round((lat - LAT) / UNIT_DEG)]
        packed_rows.append({"n": row["n"], "p": row["p"], "e": row["e"], "parts": [[row["p"], flat]]})
    trees = sum(row["p"] for row in rows)
    facts = {
        "id": key, "code": "K1", "name": "Square", "variety": "Ribston Pippin", "habit": "spur", "rows": len(rows),
        "trees": trees, "pruned": sum(r[2] - r[1] + 1 for r in runs), "overlap": 0, "area_ha": square.area / 1e4,
        "checked": 0, "faulty": 0, "minor": 0, "drawn": 0, "drawn_faulty": 0, "must_check": MUST_CHECK,
        "may_fail": MAY_FAIL, "verdict": "too_few", "overlap_rows": [], "weak": 0, "again": 0,
        "closed": None, "lonlat": [LON, LAT], "bbox": list(outline.bounds), "shape_version": "v1",
    }  # fmt: skip
    overview = {
        "farm_id": "farm-1", "day": TODAY, "season_id": "s1", "cursor": 1, "epoch": "e1",
        "figures": _figures([facts]), "blocks": [facts],
    }  # fmt: skip
    farm = {"id": "farm-1", "name": "Larkrise Orchards", "time_zone": "Europe/Vienna", "today": TODAY}
    shape = {
        "id": key, "version": "v1", "outline": mapping(outline), "origin": [LON, LAT], "unit_deg": UNIT_DEG,
        "rows": packed_rows,
    }  # fmt: skip
    crews = [{"id": "c1", "name": "Larches"}, {"id": "c2", "name": "Rooks"}]
    state = {
        "id": key, "day": TODAY, "cursor": 1, "crews": crews, "runs": runs, "checks": [], "closed": None,
        "point_words": POINTS, "weak": [],
    }  # fmt: skip
    return Sample(farm, overview, {key: shape}, {key: state})


def copied(sample: Sample) -> Sample:
    """Return a sample that may be changed without changing the other."""
    return Sample(**json.loads(json.dumps(sample.__dict__)))
