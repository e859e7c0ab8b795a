"""Which records count and which marks stand: the merge model's questions, asked in SQL (see `orchardmap.work.merging`)."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Exists,
    Table,
    and_,
    exists,
    func,
    null,
    or_,
    select,
    true,
    tuple_,
)

from orchardmap.store import tables as t
from orchardmap.store.return_tables import returns
from orchardmap.store.tree_count_tables import tree_counts
from orchardmap.work.merging import CAN_COUNT

__all__ = [
    "RECORDS",
    "Answer",
    "LotAnswer",
    "Standing",
    "answering",
    "counts",
    "cut_rows",
    "lot_answers",
    "standing_answers",
    "standing_claims",
    "standing_marks",
    "standing_records",
    "stands",
    "waits",
    "withdrawn",
]

RECORDS: Mapping[str, Table] = {
    "mark": t.marks,
    "withdrawal": t.withdrawals,
    "check": t.checks,
    "crew_day": t.crew_days,
    "tree_count": tree_counts,
}


@dataclass(frozen=True, slots=True)
class Standing:
    """A mark that stands, as coverage needs it."""

    block_id: str
    row: int
    first: int
    last: int
    crew_id: str
    day: date
    id: str
    content_hash: str


@dataclass(frozen=True, slots=True)
class Answer:
    """A mark that stands and says of a return that its stretch was gone over again."""

    return_id: str
    id: str
    row: int
    first: int
    last: int
    crew_id: str
    day: date
    corrected_at: datetime
    """When it was made, by the service's clock."""


@dataclass(frozen=True, slots=True)
class LotAnswer:
    """A mark that stands and says that trees were gone over again by a return."""

    block_id: str
    lot_id: str | None
    """Of the lot that the return was made from; None of a weak area's."""
    row: int
    first: int
    last: int
    day: date
    corrected_at: datetime


@cache
def counts(kind: str) -> ColumnElement[bool]:
    """Return the condition that a record of that kind counts: it fits, or a manager let this very version count.

    The one condition for every question about what counts; asking ``set_aside IS NULL`` would miss what was let count.
    """
    r = RECORDS[kind].c
    let_count = _word(kind, naming=r.content_hash)
    fits: ColumnElement[bool] = r.set_aside.is_(None)
    if kind == "crew_day":
        # of several entries of one day a manager leaves some out, though nothing is wrong with them by themselves
        fits = and_(fits, ~_word(kind, naming=null()))
    return or_(fits, and_(r.set_aside.in_(sorted(CAN_COUNT)), let_count))


@cache
def waits(kind: str) -> ColumnElement[bool]:
    """Return the condition that a record of that kind is set aside and no manager has spoken of all there is of it."""
    return and_(RECORDS[kind].c.set_aside.is_not(None), ~_word(kind))


def _word(kind: str, *, naming: ColumnElement[Any] | None = None) -> Exists:
    """Build the condition that the last settlement of a record saw all that is to it (and names the version given).

    That is all its versions, and the reason for which it is set aside now.
    """
    r, s = RECORDS[kind].c, t.settlements.alias("word").c
    later, version = t.settlements.alias("later").c, RECORDS[kind].alias("version").c
    of_record = [s.farm_id == r.farm_id, s.record_kind == kind, s.record_id == r.id]
    outdone = exists().where(
        later.farm_id == s.farm_id,
        later.record_kind == s.record_kind,
        later.record_id == s.record_id,
        later.number > s.number,
    )
    versions = (
        select(func.count()).where(version.farm_id == s.farm_id, version.id == s.record_id).scalar_subquery()
    )
    # a settlement is taken only when every version that it saw is there, and none is ever gone: so to have
    # seen as many as there are is to have seen them all
    saw_all = func.json_array_length(s.seen) >= versions
    conditions = [*of_record, ~outdone, saw_all, or_(s.reason.is_(None), s.reason == r.set_aside)]
    if naming is not None:
        conditions.append(s.content_hash == naming)
    return exists().where(*conditions)


@cache
def withdrawn() -> Exists:
    """Return the condition that a mark was taken back; a withdrawal by somebody who may not is set aside."""
    w, m = t.withdrawals.c, t.marks.c
    return exists().where(w.farm_id == m.farm_id, w.mark_id == m.id, counts("withdrawal"))


def stands(season_id: str) -> ColumnElement[bool]:
    """Return the condition that a mark of the season counts, was not taken back, and is of the first round."""
    return and_(t.marks.c.return_id.is_(None), _counts_still(season_id))


def answering(season_id: str) -> ColumnElement[bool]:
    """Return the condition that a mark of the season counts, was not taken back, and answers a return."""
    return and_(t.marks.c.return_id.is_not(None), _counts_still(season_id))


def _counts_still(season_id: str) -> ColumnElement[bool]:
    return and_(t.marks.c.season_id == season_id, counts("mark"), ~withdrawn())


def standing_marks(
    conn: Connection,
    season_id: str,
    *,
    block_ids: Sequence[str] | None = None,
    rows: Collection[tuple[str, int]] | None = None,
    until: date | None = None,
) -> list[Standing]:
    """Return the marks of a season that stand: they count, are not withdrawn, and are of the first round.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    season_id : str
        The season.
    block_ids : sequence of str, optional
        Only these blocks.
    rows : collection of (str, int), optional
        Only these rows (block id, number): a handful of records, however long the log is.
    until : date, optional
        Only work of this day or earlier.

    Returns
    -------
    list of Standing
    """
    m = t.marks.c
    asked = select(m.block_id, m.row, m.first, m.last, m.crew_id, m.day, m.id, m.content_hash).where(
        stands(season_id)
    )
    if until is not None:
        asked = asked.where(m.day <= until)
    wanted: list[ColumnElement[bool]] = [true()]
    if rows is not None:
        wanted = _of_rows(rows)
    elif block_ids is not None:
        wanted = [m.block_id.in_(block_ids[i : i + 500]) for i in range(0, len(block_ids), 500)]
    return [Standing(*r) for condition in wanted for r in conn.execute(asked.where(condition))]


def standing_claims(conn: Connection, season_id: str) -> list[tuple[str, int, int, int, date, str, str]]:
    """Return the marks of a season that stand as block id, row, first, last, day, crew id and method."""
    m = t.marks.c
    asked = select(m.block_id, m.row, m.first, m.last, m.day, m.crew_id, m.method).where(stands(season_id))
    return [tuple(found) for found in conn.execute(asked)]


def standing_answers(
    conn: Connection, season_id: str, return_ids: Collection[str], *, until: date | None = None
) -> list[Answer]:
    """Return the marks of a season that answer one of these returns and stand, by day and id; up to a day where one is given."""
    m = t.marks.c
    asked = select(m.return_id, m.id, m.row, m.first, m.last, m.crew_id, m.day, m.corrected_at).where(
        _counts_still(season_id)
    )
    if until is not None:
        asked = asked.where(m.day <= until)
    ids = sorted(return_ids)
    chunks = [ids[i : i + 500] for i in range(0, len(ids), 500)]
    found = [Answer(*r) for chunk in chunks for r in conn.execute(asked.where(m.return_id.in_(chunk)))]
    return sorted(found, key=lambda one: (one.day, one.id))


def lot_answers(conn: Connection, season_id: str) -> list[LotAnswer]:
    """Return the marks of a season that stand and answer a return, one that was cancelled too."""
    m, r = t.marks.c, returns.c
    asked = (
        select(m.block_id, r.lot_id, m.row, m.first, m.last, m.day, m.corrected_at)
        .join_from(t.marks, returns, r.id == m.return_id)
        .where(_counts_still(season_id))
    )
    return [LotAnswer(*found) for found in conn.execute(asked)]


def cut_rows(conn: Connection, season_id: str, *, until: date) -> list[tuple[str, int, date]]:
    """Return block, row and day of all work of a season that stands, up to a day: each once, in order.

    Trees gone over again by a return were cut again, so its marks are among them.
    """
    m = t.marks.c
    asked = select(m.block_id, m.row, m.day).where(_counts_still(season_id), m.day <= until)
    return [(b, r, d) for b, r, d in conn.execute(asked.distinct().order_by(m.block_id, m.row, m.day))]


def standing_records(conn: Connection, season_id: str, rows: Collection[tuple[str, int]]) -> list[Any]:
    """Return the same marks of some rows with everything that is kept of them."""
    asked = select(t.marks).where(stands(season_id))
    return [r for condition in _of_rows(rows) for r in conn.execute(asked.where(condition))]


def _of_rows(rows: Collection[tuple[str, int]]) -> list[ColumnElement[bool]]:
    keys = sorted(rows)
    m = t.marks.c
    return [tuple_(m.block_id, m.row).in_(keys[i : i + 300]) for i in range(0, len(keys), 300)]
