"""Marks and checks that somebody types into a shell, by the names that people use."""

from dataclasses import dataclass
from datetime import date, datetime

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.check import Check, TreeVerdict
from orchardmap.model.orchard import Row
from orchardmap.model.people import Method
from orchardmap.model.row_code import read_row_list
from orchardmap.model.season import Season
from orchardmap.model.work import Mark, Receipt
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases.giving_out import wanted_season
from orchardmap.usecases.moments import moment
from orchardmap.usecases.named import auditor_named, block_named, crew_named
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.recording import record_checks, record_marks

__all__ = ["ShellCheck", "ShellMarks", "check_tree", "mark_rows"]


@dataclass(frozen=True, slots=True)
class ShellMarks:
    """Rows of a block, whole or between two positions, as pruned by a crew on a day."""

    block: str
    rows: str
    crew: str
    first: int = 1
    last: int | None = None
    """None is the end of each row."""
    method: Method | None = None
    """None is how the crew prunes."""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class ShellCheck:
    """A tree that was looked at while walking."""

    block: str
    row: int
    position: int
    verdict: TreeVerdict
    auditor: str = ""
    note: str = ""
    day: date | None = None


def mark_rows(store: Store, farm_id: str, wish: ShellMarks, *, now: datetime) -> list[Receipt]:
    """Record the marks, all or none; what does not fit is set aside as from a tablet.

    Raises
    ------
    UnknownError
        If farm, block, row or crew is not there, or the farm has no season.
    InputError
        If rows or positions make no sense.
    """
    block, crew = block_named(store, farm_id, wish.block), crew_named(store, farm_id, wish.crew)
    rows = _rows(store, block.id)
    season, day = _season(store, farm_id, wish.day, now)
    marks = []
    for number in read_row_list(wish.rows):
        row = _row(rows, block.code, number)
        last = row.positions if wish.last is None else wish.last
        if last < wish.first:
            raise InputError(
                f"from {wish.first} to {last} is no stretch of row {number}",
                where="--to",
                todo="Give a later position.",
            )
        marks.append(
            Mark(
                new_id(), season.id, block.id, number, wish.first, last, crew.id, day, wish.method or crew.method, None, None, now
            )
        )  # fmt: skip
    return record_marks(store, farm_id=farm_id, marks=marks, sent_at=now, now=now)


def check_tree(store: Store, farm_id: str, wish: ShellCheck, *, now: datetime) -> Receipt:
    """Record the check.

    Raises
    ------
    UnknownError
        If farm, block, row or auditor is not there, or the farm has no season.
    """
    block = block_named(store, farm_id, wish.block)
    auditor = auditor_named(store, farm_id, wish.auditor).id if wish.auditor else None
    _row(_rows(store, block.id), block.code, wish.row)
    season, day = _season(store, farm_id, wish.day, now)
    made = Check(
        new_id(), season.id, block.id, wish.row, wish.position, auditor, day, wish.verdict, False, None, now, wish.note
    )  # fmt: skip
    (receipt,) = record_checks(store, farm_id=farm_id, checks=[made], sent_at=now, now=now)
    return receipt


def _season(store: Store, farm_id: str, day: date | None, now: datetime) -> tuple[Season, date]:
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
    return wanted_season(at), at.day


def _rows(store: Store, block_id: str) -> dict[int, Row]:
    with store.read() as conn:
        return {row.number: row for row in orchard.rows(conn, block_id)}


def _row(rows: dict[int, Row], block: str, number: int) -> Row:
    if number not in rows:
        todo = f"Its rows are {min(rows)} to {max(rows)}." if rows else "It has no rows."
        raise UnknownError(f"block {block} has no row {number}", todo=todo)
    return rows[number]
