"""Weak areas as they are told: with odds in words, who worked there, which points failed, and the ground they take."""

import hashlib
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from orchardmap.geometry.patch import patch_ring
from orchardmap.quality.area_texts import level_text, odds_text
from orchardmap.quality.farm_areas import LOOSEST_LEVEL, FarmAreas
from orchardmap.quality.weak_areas import WeakArea
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.checked_trees import ReadCheck
from orchardmap.usecases.lot_ground import pruned_in
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.point_sentences import point_sentences
from orchardmap.usecases.return_facts import ReturnFacts
from orchardmap.usecases.weak_spots import farm_areas, overlaps, read_looks

__all__ = ["LEVELS", "farm_weak_areas", "standing_areas"]

Json = dict[str, Any]
LEVELS = (0.01, 0.05, 0.10, LOOSEST_LEVEL)
"""What the list offers, from strict to loose."""


def farm_weak_areas(
    store: Store, farm_id: str, *, day: date | None, level: float | None, language: str, now: datetime
) -> Json:
    """Return a farm's weak areas, held to one level over all its blocks.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        As of this day; None is today.
    level : float or None, above 0, at most `LOOSEST_LEVEL`
        None is the farm's own setting.
    language : str
        Of the words; English where it has no catalogue.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer: ``areas`` by block and from the most striking one on, those that new trees cleared (state
        "none") too; ``looked_at``, blocks with enough checks for it; ``sensitivity``, what each of `LEVELS` would show and what it means.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        found = farm_areas(conn, at, level=level)
        told = _areas_json(conn, at, found, found.of_block, language=language)
        levels = [farm_areas(conn, at, level=one) for one in LEVELS]
    return {
        "day": at.day.isoformat(),
        "level": found.level,
        "looked_at": found.looked_at,
        "words": level_text(found.level, blocks=found.looked_at, language=language),
        "areas": sorted(
            (area for areas in told.values() for area in areas),
            key=lambda one: (one["block_code"], -one["llr"]),
        ),
        "sensitivity": [_sensitivity(one, language) for one in levels],
    }


def _sensitivity(found: FarmAreas, language: str) -> Json:
    return {
        "level": found.level,
        "words": level_text(found.level, blocks=found.looked_at, language=language),
        "areas": sum(len(found.standing(block_id)) for block_id in found.of_block),
    }


def standing_areas(
    conn: Connection, at: Moment, block_ids: Collection[str], *, language: str = "en"
) -> dict[str, list[Json]]:
    """Return the areas of some blocks that are suspect or confirmed at the farm's own level, by block id.

    Blocks without one are left out. No person is named.
    """
    told = _areas_json(conn, at, farm_areas(conn, at), block_ids, language=language)
    standing = {
        block_id: [one for one in areas if one["state"] != "none"] for block_id, areas in told.items()
    }
    return {block_id: areas for block_id, areas in standing.items() if areas}


def _areas_json(
    conn: Connection, at: Moment, found: FarmAreas, block_ids: Collection[str], *, language: str
) -> dict[str, list[Json]]:
    """Return the weak areas of some blocks as the service tells them, by block id; blocks without one are left out."""
    shown = {block_id: found.of_block[block_id] for block_id in block_ids if block_id in found.of_block}
    if not shown:
        return {}
    codes = {block.id: block.code for block in orchard.blocks(conn, at.farm.id)}
    crews = {crew.id: crew.name for crew in farm_store.crews(conn, at.farm.id)}
    rows = orchard.rows_of_blocks(conn, sorted(shown))
    pruned = pruned_in(conn, at, sorted(shown))
    looks = read_looks(conn, at, shown)
    inside = {
        (block_id, area): looks.blocks[block_id].inside(area.rows, area.positions)
        for block_id, areas in shown.items()
        for area in areas
    }
    words = point_sentences(conn, at, [check for checks in inside.values() for check in checks], language)
    return {
        block_id: [
            {
                "id": _area_id(at, block_id, area),
                "block_id": block_id,
                "block_code": codes[block_id],
                **_found(area),
                "trees": _trees_in(area, pruned[block_id].trees),
                "odds_words": odds_text(area, deals=found.deals, language=language),
                "crews": _crews(inside[block_id, area], crews),
                "points": _points(inside[block_id, area], words),
                "returns": _returns(looks.returns, block_id, area),
                "ring": patch_ring(rows[block_id], numbers=area.rows, positions=area.positions),
            }
            for area in areas
        ]
        for block_id, areas in shown.items()
    }


def _trees_in(area: WeakArea, pruned: Iterable[tuple[int, int]]) -> int:
    """Return how many pruned trees an area holds: a return made of it goes over these."""
    (first_row, last_row), (first, last) = area.rows, area.positions
    return sum(first_row <= row <= last_row and first <= position <= last for row, position in pruned)


def _returns(returns: Sequence[ReturnFacts], block_id: str, area: WeakArea) -> list[str]:
    """Return the ids of the returns that ask for trees of an area and were not taken back."""
    of_block = (one for one in returns if one.said.block_id == block_id and one.state != "cancelled")
    return [one.said.id for one in of_block if overlaps(one, area)]


def _area_id(at: Moment, block_id: str, area: WeakArea) -> str:
    """Return what names an area as long as its bounds stay: new checks inside make it no other one."""
    season_id = at.season.id if at.season else ""
    told = f"{season_id} {block_id} {area.rows} {area.positions}"
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _found(area: WeakArea) -> Json:
    again = area.recheck
    return {
        "rows": list(area.rows),
        "positions": list(area.positions),
        "checked": area.checked,
        "faulty": area.faulty,
        "llr": round(area.llr, 8),
        "p": round(area.p, 8),
        "state": area.state,
        "recheck": again and {"checked": again.checked, "faulty": again.faulty, "p": round(again.p, 8)},
    }


def _crews(checks: Sequence[ReadCheck], names: Mapping[str, str]) -> list[Json]:
    """Return the crews that pruned the trees, by name."""
    checked = Counter(check.crew_id for check in checks if check.crew_id is not None)
    faulty = Counter(check.crew_id for check in checks if check.verdict == "faulty")
    return [
        {"crew_id": crew_id, "crew": names[crew_id], "checked": n, "faulty": faulty[crew_id]}
        for crew_id, n in sorted(checked.items(), key=lambda one: (names[one[0]], one[0]))
    ]


def _points(checks: Sequence[ReadCheck], words: Mapping[str, str]) -> list[Json]:
    """Return the points that the trees missed, the one missed most often first."""
    failed = Counter(key for check in checks for key in check.failed)
    return [
        {"key": key, "sentence": words.get(key, key), "failed": n}
        for key, n in sorted(failed.items(), key=lambda one: (-one[1], one[0]))
    ]
