"""A whole farm as one file, and back into a server that does not have it: the same view there, and no secret on the way.

The file holds people's names, pay and photos: it is for whoever manages the farm. Accounts, sessions, links, PINs and the keys of
tablets stay; of accounts that records speak of, the name goes along.
"""

from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import UUID

from orchardmap import __version__
from orchardmap.errors import ConflictError, ImportFileError
from orchardmap.geodata.packed_lines import Opened, Table, opened, packed, summed
from orchardmap.geodata.write import told_plainly
from orchardmap.store import account_names, audit
from orchardmap.store import farm as farm_store
from orchardmap.store import whole_farm as lines_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import fold_first
from orchardmap.usecases.planting import tidy_name
from orchardmap.usecases.steps import Told

__all__ = ["FORMAT", "MovedFarm", "note_export", "pack_farm", "take_farm"]

FORMAT = 1
"""Raised whenever a table or column is added, renamed or taken away: then a step from the version before belongs here."""
_KIND = "orchardmap farm"
_ACCOUNTS = "accounts"
_TODO = "Nothing was taken."
Line = dict[str, Any]
_STEP = 1_000


class _Steps:
    """How far the way through lines is."""

    def __init__(self, told: Told, of: int) -> None:
        self._told, self._of, self._done = told, of, 0

    def counted(self, words: str, lines: Iterator[Line]) -> Iterator[Line]:
        """Yield lines, and tell of every thousandth."""
        for line in lines:
            yield line
            self._done += 1
            if self._told is not None and self._done % _STEP == 0:
                self._told(words, min(self._done, self._of), self._of)  # accounts are known at the end alone


@dataclass(frozen=True, slots=True)
class MovedFarm:
    """A farm that was written to a file or taken from one."""

    id: str
    name: str
    lines: Mapping[str, int]
    """By table."""


def pack_farm(store: Store, farm_id: str, path: Path, *, told: Told = None) -> MovedFarm:
    """Write a farm to a file: all that is its own, of one moment of the database.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    path : Path
        Written anew. The same farm gives the same bytes, whichever engine holds it.
    told : callable, optional

    Returns
    -------
    MovedFarm

    Raises
    ------
    UnknownError
        If no farm has that id.
    StoreError
        If it cannot be written, such as on a full disk.
    """
    with store.read() as conn:
        farm = farm_store.farm(conn, farm_id)
        about = {
            "format": _KIND,
            "version": FORMAT,
            "made_by": f"orchardmap {__version__}",
            "farm": {"id": farm.id, "name": farm.name},
        }
        of = (
            sum(lines_store.line_count(conn, farm_id, name) for name in lines_store.farm_tables())
            if told
            else 0
        )
        steps = _Steps(told, of)
        found = ((name, steps.counted("Writing the farm", lines)) for name, lines in _tables(conn, farm_id))
        with told_plainly(OSError):
            tables = packed(path, about, found)
    return MovedFarm(farm.id, farm.name, {table.name: table.lines for table in tables})


def note_export(store: Store, farm_id: str, *, actor: str, now: datetime) -> None:
    """Note in the audit log who took the whole farm away."""
    with store.write() as conn:
        audit.note(conn, "farm_exported", at=now, actor=actor, subject=farm_id, farm_id=farm_id)


def _tables(conn: Connection, farm_id: str) -> Iterator[tuple[str, Iterator[Line]]]:
    named: set[str] = set()
    for name in lines_store.farm_tables():
        yield name, _naming(lines_store.farm_lines(conn, farm_id, name), named)
    names = account_names.names(conn, named)
    yield _ACCOUNTS, iter({"id": one, "name": names[one]} for one in sorted(names))


def _naming(lines: Iterator[Line], named: set[str]) -> Iterator[Line]:
    """Yield the lines, and gather the ids of whoever did something by them: accounts are among these."""
    for line in lines:
        for column, value in line.items():
            if column.endswith("_by") and isinstance(value, str):
                actor = value.removeprefix("account:")
                named |= {actor} if _is_id(actor) else set()
        yield line


def _is_id(text: str) -> bool:
    try:
        return str(UUID(text)) == text
    except ValueError:
        return False


def take_farm(
    store: Store, path: Path, *, now: datetime, name: str = "", actor: str = "shell", told: Told = None
) -> MovedFarm:
    """Take a farm from a file that `pack_farm` wrote, in one transaction.

    Parameters
    ----------
    store : Store
        Open for writing.
    path : Path
        The file.
    now : datetime with time zone
        The clock.
    name : str
        What it is called here; as in the file when left out.
    actor : str
        For the audit log.
    told : callable, optional

    Returns
    -------
    MovedFarm

    Raises
    ------
    ImportFileError
        If it is no such file, was made by a newer program, or is not what was packed; nothing is taken then.
    ConflictError
        If the farm, its name or something of it is here already; nothing is taken then.
    """
    with opened(path) as file, store.write() as conn:
        farm_id, own_name = _whose(file)
        taken_name = tidy_name(name, "farm") if name else own_name
        _refuse_known(conn, farm_id, taken_name)
        by_name = {table.name: table for table in file.tables}
        # read once, and once more as they arrived
        steps = _Steps(told, 2 * sum(table.lines for table in file.tables))
        for table in lines_store.farm_tables():
            with closing(file.lines(by_name[table])) as packed_lines:
                lines = steps.counted("Taking the farm", packed_lines)
                if table == "farms":
                    lines = ({**line, "name": taken_name} for line in lines)
                lines_store.add_lines(conn, farm_id, table, lines)
        with closing(file.lines(by_name[_ACCOUNTS])) as accounts:
            account_names.add_stand_ins(conn, accounts, now=now)
        _refuse_other(conn, farm_id, by_name, steps, is_renamed=taken_name != own_name)
        if told is not None:
            told("Folding its log", 0, 0)
        fold_first(conn, farm_id)
        audit.note(conn, "farm_imported", at=now, actor=actor, subject=farm_id, farm_id=farm_id)
    return MovedFarm(farm_id, taken_name, {table.name: table.lines for table in file.tables})


def _whose(file: Opened) -> tuple[str, str]:
    """Return id and name of a file's farm.

    Raises
    ------
    ImportFileError
        If it is no farm, or of a version that is not known here.
    """
    about = file.about
    farm, version = about.get("farm") or {}, about.get("version")
    is_farm = about.get("format") == _KIND and isinstance(farm, dict)
    if not is_farm or not isinstance(version, int) or version < 1:
        raise ImportFileError("it is no farm", where="manifest.json", todo=_TODO)
    if version > FORMAT:
        raise ImportFileError(
            f"a newer orchardmap wrote it (version {version}; this one reads {FORMAT})",
            where="manifest.json",
            todo=f"{_TODO} Bring this server up to date first.",
        )
    wanted = {*lines_store.farm_tables(), _ACCOUNTS}
    if {table.name for table in file.tables} != wanted or not _is_id(str(farm.get("id"))):
        raise ImportFileError("it does not hold what a farm has", where="manifest.json", todo=_TODO)
    return str(farm["id"]), str(farm.get("name"))


def _refuse_known(conn: Connection, farm_id: str, name: str) -> None:
    for farm in farm_store.farms(conn):
        if farm.id == farm_id:
            raise ConflictError("this farm is here already", where=farm.name, todo=_TODO)
        if farm.name == name:
            raise ConflictError(
                "another farm here has that name", where=name, todo=f"{_TODO} Give it another one."
            )


def _refuse_other(
    conn: Connection, farm_id: str, said: Mapping[str, Table], steps: _Steps, *, is_renamed: bool
) -> None:
    """Refuse what did not arrive as it was packed, and what reaches into another farm; the transaction is given up then."""
    for table in lines_store.farm_tables():
        arrived = lines_store.farm_lines(conn, farm_id, table)
        here = summed(table, steps.counted("Comparing it with the file", arrived))
        if here != said[table] and not (is_renamed and table == "farms" and here.lines == 1):
            raise ImportFileError("it did not arrive as it was packed", where=table, todo=_TODO)
    foreign = lines_store.foreign_ids(conn, farm_id)
    if foreign:
        raise ImportFileError("it names what is another farm's", where=", ".join(foreign), todo=_TODO)
