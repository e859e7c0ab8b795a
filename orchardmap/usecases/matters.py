"""What waits for a manager: stretches that two crews claim, records set aside, crew-days entered twice."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from orchardmap.model.work import StretchSettlement
from orchardmap.store import farm as farm_store
from orchardmap.store import log, orchard, row_tables, states
from orchardmap.store.session import Connection, Store
from orchardmap.store.settlements import record_settlements, settled_at, stretch_settlements
from orchardmap.store.standing import standing_records
from orchardmap.usecases.crew_days import several_standing
from orchardmap.usecases.ground_moves import GroundMoves
from orchardmap.usecases.settling import record_facts
from orchardmap.work.acceptance import hindrance
from orchardmap.work.intake import SET_ASIDE
from orchardmap.work.settling import Claim, HeldStretch, held_stretches

__all__ = ["matters"]

Json = dict[str, Any]
_TOLD = (
    "season_id", "block_id", "row", "first", "last", "position", "crew_id", "method", "mark_id", "reason", "verdict", "not_judged", "what", "number", "people",
    "hours", "replaces_id", "recorder_id", "auditor_id", "device_id", "handed_in_by",
)  # fmt: skip
"""What of a record set aside is shown, where its kind has it."""


def matters(store: Store, farm_id: str, *, now: datetime) -> Json:
    """Return everything that waits for a manager, as of now.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer: cursor, overlaps (opened again ones first), set_aside and crew_days.
    """
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        names = {crew.id: crew.name for crew in farm_store.crews(conn, farm_id)}
        block_ids = [block.id for block in orchard.blocks(conn, farm_id)]
        overlaps = [
            one
            for season in farm_store.seasons(conn, farm_id)
            for one in _overlaps(conn, farm_id, season.id, block_ids, names)
        ]
        return {
            "cursor": log.cursor(conn, farm_id),
            "overlaps": sorted(overlaps, key=lambda one: one["status"] != "reopened"),
            "set_aside": _set_aside(conn, farm_id, now),
            "crew_days": [
                asdict(one) | {"day": one.day.isoformat()} for one in several_standing(conn, farm_id)
            ],
        }


def _overlaps(
    conn: Connection, farm_id: str, season_id: str, block_ids: Sequence[str], names: dict[str, str]
) -> list[Json]:
    """Return the stretches of a season that hold trees for a manager, by block, row and position."""
    rows = set(states.overlap_rows(conn, season_id, block_ids))
    table = row_tables.named_rows(conn, farm_id, rows)
    marks: dict[tuple[str, int], list[Any]] = defaultdict(list)
    for mark in standing_records(conn, season_id, rows):
        marks[mark.block_id, mark.row].append(mark)
    words: dict[tuple[str, int], list[StretchSettlement]] = defaultdict(list)
    for word in stretch_settlements(conn, season_id, rows=rows):
        words[word.block_id, word.row].append(word)
    when = settled_at(conn, farm_id, {word.id for of in words.values() for word in of})
    found = []
    for i, (block_id, row) in enumerate(zip(table.block_id, table.number.tolist(), strict=True)):
        of = {mark.id: mark for mark in marks[block_id, row]}
        claims = [Claim(m.id, m.first, m.last, m.crew_id, m.content_hash) for m in of.values()]
        not_trees = {position for at, position in table.not_trees if at == i}
        for held in held_stretches(claims, words[block_id, row], positions=int(table.positions[i])):
            trees = sum(position not in not_trees for position in range(held.first, held.last + 1))
            if trees:  # where two crews claim blanks alone, nobody is the poorer
                place = {"season_id": season_id, "block_id": block_id, "row": row, "trees": trees}
                found.append(place | _held(held, of, names, when))
    return found


def _held(held: HeldStretch, marks: dict[str, Any], names: dict[str, str], when: dict[str, datetime]) -> Json:
    crews = {claim.crew_id: names.get(claim.crew_id, "") for claim in held.claims}
    return {
        "first": held.first,
        "last": held.last,
        "status": held.status,
        "crews": [
            {"id": crew_id, "name": name}
            for crew_id, name in sorted(crews.items(), key=lambda c: (c[1], c[0]))
        ],
        "marks": [_mark(marks[claim.id], names) for claim in held.claims],
        "settlements": [
            {
                "number": word.number,
                "first": word.first,
                "last": word.last,
                "credited_crew_id": word.credited_crew_id,
                "seen": sorted(word.seen),
                "note": word.note,
                "settled_at": when[word.id].isoformat(),
            }
            for word in held.settlements
        ],
    }


def _mark(mark: Any, names: dict[str, str]) -> Json:  # noqa: ANN401 - a row of the marks table
    keys = ("id", "content_hash", "first", "last", "crew_id", "recorder_id", "device_id")
    return {key: getattr(mark, key) for key in keys} | {
        "crew": names.get(mark.crew_id, ""),
        "day": mark.day.isoformat(),
        "server_at": mark.server_at.isoformat(),
    }


def _set_aside(conn: Connection, farm_id: str, now: datetime) -> list[Json]:
    """Return the records set aside that wait, newest first, each with all its versions."""
    of: dict[tuple[str, str], list[Any]] = defaultdict(list)
    for kind, record in log.set_aside_records(conn, farm_id):
        of[kind, record.id].append(record)
    spoken_of = {(word.record_kind, word.record_id) for word in record_settlements(conn, farm_id)}
    facts = {
        kind: record_facts(
            conn, farm_id, kind, [r for (k, _), found in of.items() if k == kind for r in found], now
        )
        for kind in {kind for kind, _ in of}
    }
    moves = GroundMoves(conn, farm_id)
    named = sorted({r.mark_id for (kind, _), found in of.items() if kind == "withdrawal" for r in found})
    marks = sorted(log.records_by_id(conn, "mark", farm_id, named), key=lambda mark: mark.content_hash)
    mark_of = {mark.id: mark for mark in marks}
    return [
        {
            "kind": kind,
            "id": record_id,
            "status": "reopened" if (kind, record_id) in spoken_of else "waiting",
            "versions": [
                _version(kind, record, hindrance(kind, record, facts[kind]), mark_of)
                | {"now_at": _now_at(record, moves)}
                for record in found
            ],
        }
        for (kind, record_id), found in of.items()
    ]


def _now_at(record: Any, moves: GroundMoves) -> Json | None:  # noqa: ANN401 - a row of any table of records
    """Return where the trees of a record stand that was made before its rows were changed; None where that is not known."""
    now = moves.where(record, record.corrected_at).now if record.set_aside == "other_ground" else None
    if now is None:
        return None
    return {"block_id": now.block_id, "row": now.row, "first": now.first, "last": now.last}


def _version(kind: str, record: Any, against: str | None, mark_of: dict[str, Any]) -> Json:  # noqa: ANN401 - a row of any table of records
    told = {key: getattr(record, key) for key in _TOLD if hasattr(record, key)}
    day = getattr(record, "day", None)
    if kind == "withdrawal":
        # it has a reason of its own, which must not hide why it was set aside; where it is, its mark says
        told["said"] = told.pop("reason")
        mark = mark_of.get(record.mark_id)
        told |= {key: getattr(mark, key, None) for key in ("block_id", "row", "first", "last", "crew_id")}
        day = getattr(mark, "day", None)
    return told | {
        "content_hash": record.content_hash,
        "reason_code": record.set_aside,
        "reason": SET_ASIDE[record.set_aside],
        "can_count": against is None,
        "cannot_count": SET_ASIDE[against] if against else "",
        "block_id": told.get("block_id"),
        "row": told.get("row"),
        "day": day.isoformat() if isinstance(day, date) else None,
        "device_at": record.device_at.isoformat(),
        "server_at": record.server_at.isoformat(),
    }
