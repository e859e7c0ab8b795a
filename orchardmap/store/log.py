"""The log: marks, withdrawals, checks and the numbered changes. Appended, never edited."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, insert, or_, select, update

from orchardmap.errors import UnknownError
from orchardmap.store import tables as t
from orchardmap.store.bell import name_changed
from orchardmap.store.row_tables import chunks
from orchardmap.store.standing import RECORDS, Standing, counts, standing_marks, stands, waits, withdrawn
from orchardmap.work.speaking import OTHER_CREW

__all__ = [
    "RECORDS",
    "Change",
    "Standing",
    "append_changes",
    "append_records",
    "blocks_worked",
    "changes_after",
    "checks_of",
    "content_hashes_of_row",
    "cursor",
    "fitting_marks",
    "last_days_worked",
    "lock_farm",
    "mark_exists",
    "marks_of_blocks",
    "placeless",
    "records_by_id",
    "rows_worked",
    "set_aside_counts",
    "set_aside_of_blocks",
    "set_aside_records",
    "set_reason",
    "standing_marks",
    "versions",
    "withdrawals_of",
]  # fmt: skip


PLACELESS = ("unknown_block", "unknown_row", "other_ground", "beyond_row_end", "no_tree_there")
"""Reasons that another ground may take away, or bring."""


@dataclass(frozen=True, slots=True)
class Change:
    """One numbered change of a farm: where to look, not what it says."""

    kind: str
    subject_id: str
    block_id: str | None = None
    row: int | None = None
    seq: int = 0


def lock_farm(conn: Connection, farm_id: str) -> int:
    """Make other writers of the farm wait for this transaction, and return its change cursor.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    asked = select(t.farms.c.change_seq).where(t.farms.c.id == farm_id)
    if conn.dialect.name == "postgresql":
        asked = asked.with_for_update()
    seq = conn.execute(asked).scalar_one_or_none()
    if seq is None:
        raise UnknownError("no such farm", where=farm_id)
    return int(seq)


def append_changes(conn: Connection, farm_id: str, found: Sequence[Change]) -> int:
    """Number the changes and append them; return the farm's new cursor."""
    taken = conn.execute(
        update(t.farms)
        .where(t.farms.c.id == farm_id)
        .values(change_seq=t.farms.c.change_seq + len(found))
        .returning(t.farms.c.change_seq)
    ).scalar_one()
    if found:
        first = int(taken) - len(found) + 1
        conn.execute(
            insert(t.changes),
            [
                {
                    "farm_id": farm_id,
                    "seq": first + i,
                    "kind": c.kind,
                    "subject_id": c.subject_id,
                    "block_id": c.block_id,
                    "row": c.row,
                }
                for i, c in enumerate(found)
            ],
        )
        name_changed(conn, farm_id)
    return int(taken)


def cursor(conn: Connection, farm_id: str) -> int:
    """Return the number of the farm's newest change."""
    return int(conn.execute(select(t.farms.c.change_seq).where(t.farms.c.id == farm_id)).scalar_one())


def changes_after(conn: Connection, farm_id: str, after: int, *, limit: int) -> list[Change]:
    """Return up to ``limit`` changes above ``after``, in order."""
    c = t.changes.c
    asked = select(c.kind, c.subject_id, c.block_id, c.row, c.seq).where(c.farm_id == farm_id, c.seq > after)
    return [Change(*r) for r in conn.execute(asked.order_by(c.seq).limit(limit))]


def versions(
    conn: Connection, kind: str, farm_id: str, ids: Iterable[str]
) -> dict[str, dict[str, str | None]]:
    """Return what is kept under each id: content hash -> why that version is set aside, or None."""
    table = RECORDS[kind]
    found: dict[str, dict[str, str | None]] = defaultdict(dict)
    wanted = list(ids)
    for i in range(0, len(wanted), 500):
        asked = select(table.c.id, table.c.content_hash, table.c.set_aside).where(table.c.farm_id == farm_id)
        for record in conn.execute(asked.where(table.c.id.in_(wanted[i : i + 500]))):
            found[record.id][record.content_hash] = record.set_aside
    return found


def append_records(conn: Connection, kind: str, found: Sequence[dict[str, Any]]) -> None:
    """Append records of one kind, each a full set of that table's columns."""
    if found:
        conn.execute(insert(RECORDS[kind]), list(found))


def set_reason(conn: Connection, kind: str, farm_id: str, record_id: str, reason: str | None) -> None:
    """Say why no version of an id counts, or that nothing speaks against it any more."""
    table = RECORDS[kind]
    conn.execute(
        update(table).where(table.c.farm_id == farm_id, table.c.id == record_id).values(set_aside=reason)
    )


def last_days_worked(conn: Connection, season_id: str, *, until: date, most: int) -> list[date]:
    """Return the last days on which a mark that stands says work was done, the newest first."""
    m = t.marks.c
    asked = select(m.day).where(stands(season_id))
    return list(
        conn.execute(asked.where(m.day <= until).distinct().order_by(m.day.desc()).limit(most)).scalars()
    )


def rows_worked(conn: Connection, season_id: str, days: Sequence[date]) -> set[tuple[str, int]]:
    """Return (block id, row) of the rows that were marked on any of the days."""
    m = t.marks.c
    asked = select(m.block_id, m.row).where(m.season_id == season_id, m.day.in_(days), counts("mark"))
    return {(r.block_id, r.row) for r in conn.execute(asked.distinct())}


def blocks_worked(conn: Connection, farm_id: str, day: date, crew_id: str | None) -> list[str]:
    """Return the ids of the blocks of which rows were marked on the day, by any crew or by that one, in order."""
    m = t.marks.c
    of_farm = select(t.seasons.c.id).where(t.seasons.c.farm_id == farm_id)
    asked = select(m.block_id).where(m.season_id.in_(of_farm), m.day == day, counts("mark"))
    if crew_id is not None:
        asked = asked.where(m.crew_id == crew_id)
    return list(conn.execute(asked.distinct().order_by(m.block_id)).scalars())


def records_by_id(conn: Connection, kind: str, farm_id: str, ids: Sequence[str]) -> list[Any]:
    """Return every version of the records of these ids."""
    table = RECORDS[kind]
    return [
        r
        for i in range(0, len(ids), 500)
        for r in conn.execute(
            select(table).where(table.c.farm_id == farm_id, table.c.id.in_(ids[i : i + 500]))
        )
    ]


def marks_of_blocks(conn: Connection, block_ids: Sequence[str], season_id: str) -> list[Any]:
    """Return all marks of some blocks, newest first, each with ``withdrawn`` and ``counts``; set-aside ones too."""
    m = t.marks.c
    asked = select(t.marks, withdrawn().label("withdrawn"), counts("mark").label("counts"))
    asked = asked.where(m.season_id == season_id).order_by(m.server_at.desc(), m.id.desc())
    return [
        one for chunk in chunks(block_ids) for one in conn.execute(asked.where(m.block_id.in_(list(chunk))))
    ]


def fitting_marks(conn: Connection, block_id: str) -> list[Any]:
    """Return all marks of a block, of any season, against which nothing speaks but perhaps what is asked after closures."""
    m = t.marks.c
    fits = or_(m.set_aside.is_(None), m.set_aside.in_(("device_revoked", OTHER_CREW)))
    return list(conn.execute(select(t.marks).where(m.block_id == block_id, fits)))


def closed_out_marks(conn: Connection, block_id: str) -> list[Any]:
    """Return all marks of a block, of any season, that are set aside because the block was closed."""
    m = t.marks.c
    return list(conn.execute(select(t.marks).where(m.block_id == block_id, m.set_aside == "block_closed")))


def placeless(conn: Connection, kind: str, block_id: str) -> list[Any]:
    """Return all records of a kind of a block, of any season, that are set aside because what they name was not there."""
    r = RECORDS[kind].c
    return list(conn.execute(select(RECORDS[kind]).where(r.block_id == block_id, r.set_aside.in_(PLACELESS))))


def withdrawals_of(conn: Connection, farm_id: str, mark_ids: Iterable[str]) -> list[Any]:
    """Return every version of the withdrawals that name one of these marks."""
    w = t.withdrawals.c
    return [
        r
        for chunk in chunks(sorted(mark_ids))
        for r in conn.execute(select(t.withdrawals).where(w.farm_id == farm_id, w.mark_id.in_(chunk)))
    ]


def content_hashes_of_row(conn: Connection, season_id: str, block_id: str, row: int) -> set[str]:
    """Return the content hashes of all marks of a row, of those that do not count too."""
    m = t.marks.c
    asked = select(m.content_hash).where(m.season_id == season_id, m.block_id == block_id, m.row == row)
    return set(conn.execute(asked).scalars())


def mark_exists(conn: Connection, block_id: str, row: int | None = None) -> bool:
    """Tell whether any mark was ever made in a block (then its row numbers are permanent), or in a row of it."""
    asked = select(t.marks.c.id).where(t.marks.c.block_id == block_id)
    if row is not None:
        asked = asked.where(t.marks.c.row == row)
    return conn.execute(asked.limit(1)).first() is not None


def checks_of(
    conn: Connection, season_id: str, *, block_ids: Sequence[str] | None = None, until: date | None = None
) -> list[Any]:
    """Return the checks of a season that judge a tree and count, oldest first: what tells of it, not how the record came here.

    Those that say why a tree could not be judged are `orchardmap.store.not_judged`'s: nothing that counts trees must meet them.
    """
    c = t.checks.c
    told = (
        c.id, c.block_id, c.row, c.position, c.day, c.corrected_at, c.server_at, c.auditor_id, c.verdict, c.drawn,
        c.note, c.brief_id, c.brief_version, c.lot_id, c.findings, c.second,
    )  # fmt: skip
    asked = (
        select(*told)
        .where(c.season_id == season_id, c.not_judged.is_(None), counts("check"))
        .order_by(c.day, c.corrected_at, c.id)
    )
    if until is not None:
        asked = asked.where(c.day <= until)
    if block_ids is not None:
        asked = asked.where(c.block_id.in_(list(block_ids)))
    return list(conn.execute(asked))


def set_aside_counts(conn: Connection, farm_id: str) -> dict[str, int]:
    """Return how many records of each kind are set aside and wait for a manager."""
    found = {}
    for kind, table in RECORDS.items():
        asked = select(table.c.id).where(table.c.farm_id == farm_id, waits(kind))
        found[kind] = len(set(conn.execute(asked).scalars()))
    return found


def set_aside_of_blocks(conn: Connection, farm_id: str) -> dict[str, int]:
    """Return how many marks, checks and tree counts that name a place in a block, and withdrawals of such marks, wait for a manager."""
    ids: dict[str, set[str]] = defaultdict(set)
    for kind in ("mark", "check", "tree_count"):
        c = RECORDS[kind].c
        for r in conn.execute(select(c.block_id, c.id).where(c.farm_id == farm_id, waits(kind))):
            ids[r.block_id].add(r.id)
    w, m = t.withdrawals.c, t.marks.c
    named = select(m.block_id, w.id).where(
        w.farm_id == farm_id, m.farm_id == w.farm_id, m.id == w.mark_id, waits("withdrawal")
    )
    for r in conn.execute(named):
        ids[r.block_id].add(r.id)
    return {block_id: len(found) for block_id, found in ids.items()}


def set_aside_records(conn: Connection, farm_id: str) -> list[tuple[str, Any]]:
    """Return (kind, record) of everything that is set aside and waits for a manager, newest first."""
    found = [
        (kind, record)
        for kind, table in RECORDS.items()
        for record in conn.execute(select(table).where(table.c.farm_id == farm_id, waits(kind)))
    ]
    return sorted(found, key=lambda one: (one[1].server_at, one[1].id, one[1].content_hash), reverse=True)
