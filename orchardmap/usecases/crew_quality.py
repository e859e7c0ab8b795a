"""Crews compared fairly, as of a day: each against what its blocks had to be expected to give any crew."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from math import isfinite
from typing import Any

import numpy as np

from orchardmap.model.orchard import Block, Variety
from orchardmap.model.people import Crew
from orchardmap.quality.crew_expected import CrewInBlock, ExpectedFaulty, expected_faulty
from orchardmap.quality.crew_standings import CrewStanding, Limits, crew_standings
from orchardmap.quality.crew_texts import standing_text
from orchardmap.quality.funnel import FAR, NEAR, share_limits
from orchardmap.quality.intervals import wilson_interval
from orchardmap.store import farm as farm_store
from orchardmap.store import log, orchard
from orchardmap.store.lots import returns_of_lots
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.checked_trees import ReadCheck, read_checks
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.point_sentences import point_sentences

__all__ = ["farm_crew_quality", "first_looks", "looks_in_blocks"]

Json = dict[str, Any]
_FUNNEL_POINTS = 60


def farm_crew_quality(store: Store, farm_id: str, *, day: date | None, language: str, now: datetime) -> Json:
    """Return how the crews' trees were found, each with its interval and its limits; crews stand by name and are not ranked.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        As of this day; None is today.
    language : str
        Of the words; English where it has no catalogue.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer: ``crews``, ``funnel`` (limits of the share of faulty trees by how many were checked), ``points`` and
        ``habits`` with each crew's share and interval. Nobody's name but the crews' is in it.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        crews = sorted(farm_store.crews(conn, farm_id), key=lambda crew: (crew.name, crew.id))
        blocks = {block.id: block for block in orchard.blocks(conn, farm_id)}
        varieties = {variety.id: variety for variety in farm_store.varieties(conn, farm_id)}
        looks = first_looks(conn, at)
        words = point_sentences(conn, at, looks, language)
        seq = log.cursor(conn, farm_id)
    found = looks_in_blocks(looks, blocks, varieties)
    checked = [crew for crew in crews if any(one.crew_id == crew.id for one in found)]
    share = sum(one.faulty for one in found) / len(looks) if looks else None
    return {
        "day": at.day.isoformat(),
        "cursor": seq,
        "faulty_share": share,
        "crews": _crews(checked, found, language),
        "funnel": _funnel(share, max(_checks_of(found).values(), default=0)),
        "points": _points(looks, words),
        "habits": _habits(found),
    }


def first_looks(conn: Connection, at: Moment) -> list[ReadCheck]:
    """Return the checks that tell of a crew's own work: drawn trees that are credited to one, the latest check of each.

    Those of a lot drawn over a return tell of trees that were chosen for being bad, or were gone over again.
    """
    checks = read_checks(conn, at)
    recheck_of = returns_of_lots(conn, at.season.id) if at.season else {}
    latest = {
        (check.block_id, check.row, check.position): check
        for check in sorted(checks, key=lambda one: (one.day, one.corrected_at, one.id))
        if check.drawn and not check.second and not check.is_after_return and check.lot_id not in recheck_of
    }
    return [check for check in latest.values() if check.crew_id is not None]


def looks_in_blocks(
    looks: Iterable[ReadCheck], blocks: Mapping[str, Block], varieties: Mapping[str, Variety]
) -> list[CrewInBlock]:
    """Count such checks, and the faulty trees among them, of each crew in each block."""
    faulty: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for check in looks:
        faulty[str(check.crew_id), check.block_id].append(check.verdict == "faulty")
    found = []
    for (crew_id, block_id), told in sorted(faulty.items()):
        variety = varieties.get(blocks[block_id].variety_id or "")
        habit = variety.habit if variety else "unknown"
        made = CrewInBlock(crew_id, block_id, variety.id if variety else None, habit, len(told), sum(told))
        found.append(made)
    return found


def _checks_of(found: Iterable[CrewInBlock]) -> dict[str, int]:
    checks: dict[str, int] = defaultdict(int)
    for one in found:
        checks[one.crew_id] += one.checked
    return checks


def _crews(crews: Sequence[Crew], found: Sequence[CrewInBlock], language: str) -> list[Json]:
    told = expected_faulty(found)
    against = [told[crew.id] for crew in crews]
    standings = crew_standings(
        [one.checked for one in against], [one.faulty for one in against], [one.expected for one in against]
    )
    return [
        {"crew_id": crew.id, "crew": crew.name} | _standing(one, standing, language)
        for crew, one, standing in zip(crews, against, standings, strict=True)
    ]


def _standing(one: ExpectedFaulty, standing: CrewStanding, language: str) -> Json:
    return {
        "checked": one.checked,
        "faulty": one.faulty,
        "expected": round(one.expected, 4),
        "alone": one.alone,
        "left_out": one.left_out,
        "ratio": standing.ratio,
        "near": _span(standing.near, one),
        "far": _span(standing.far, one),
        "standing": standing.standing,
        "words": standing_text(one, standing.standing, language=language),
        "wilson": _wilson(one.faulty, one.checked),
    }


def _span(limits: Limits, one: ExpectedFaulty) -> list[float]:
    """Return limits of a ratio; where there are none, all that could be found."""
    high = limits.high if isfinite(limits.high) else one.checked / one.expected if one.expected else 0.0
    return [limits.low, high]


def _wilson(faulty: int, checked: int) -> list[float]:
    return list(wilson_interval(faulty, checked)) if checked else [0.0, 1.0]


def _funnel(share: float | None, most: int) -> list[list[float]]:
    """Return the limits of a share at so many numbers of checks up to the most any crew has."""
    if share is None or most < 1:
        return []
    checked = np.unique(np.rint(np.linspace(1, most, _FUNNEL_POINTS)).astype(np.int64))
    limits = [
        one
        for level in (NEAR, FAR)
        for one in share_limits(np.full(len(checked), share), checked, level=level)
    ]
    return [
        list(line) for line in zip(checked.tolist(), *(one.round(6).tolist() for one in limits), strict=True)
    ]


def _parts(
    counted: Iterable[tuple[str, str, bool]],
) -> dict[str, list[Json]]:
    """Return, by what they are put together by, each crew's checks, the failed ones and their interval."""
    told: dict[str, dict[str, list[bool]]] = defaultdict(lambda: defaultdict(list))
    for key, crew_id, is_failed in counted:
        told[key][crew_id].append(is_failed)
    return {
        key: [
            {
                "crew_id": crew_id,
                "checked": len(failed),
                "failed": sum(failed),
                "wilson": _wilson(sum(failed), len(failed)),
            }
            for crew_id, failed in sorted(of_crew.items())
        ]
        for key, of_crew in told.items()
    }


def _points(looks: Sequence[ReadCheck], words: Mapping[str, str]) -> list[Json]:
    """Return each point with how often each crew's trees missed it, the one that was missed most often first."""
    parts = _parts((key, str(check.crew_id), key in check.failed) for check in looks for key in check.judged)
    told = [{"key": key, "sentence": words.get(key, key), "crews": crews} for key, crews in parts.items()]
    return sorted(told, key=lambda one: (-sum(crew["failed"] for crew in one["crews"]), one["key"]))


def _habits(found: Iterable[CrewInBlock]) -> list[Json]:
    parts = _parts((one.habit, one.crew_id, at < one.faulty) for one in found for at in range(one.checked))
    return [{"habit": habit, "crews": crews} for habit, crews in sorted(parts.items())]
