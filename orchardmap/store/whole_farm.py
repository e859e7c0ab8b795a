"""A whole farm as lines of plain values, table by table, and back: the same from and into both engines.

What is the server's and not the farm's is left out, and so is every secret. Tables and columns that come later are taken
along by themselves; what must not leave has to be named here.
"""

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, LargeBinary, Table, Text, func, insert, select
from sqlalchemy.exc import IntegrityError

from orchardmap.errors import ConflictError, ImportFileError
from orchardmap.store import access_tables, schema
from orchardmap.store import tables as t
from orchardmap.store.account_names import STAND_IN
from orchardmap.store.plain_values import kept_value, plain_value

__all__ = [
    "LEFT_OUT",
    "add_lines",
    "farm_lines",
    "farm_tables",
    "foreign_ids",
    "line_count",
]

LEFT_OUT: Mapping[str, str] = {
    "accounts": "who signs in here; the names of those that the farm's records name go along by themselves",
    "memberships": "what accounts may do here",
    "sessions": "secrets",
    "sign_in_links": "secrets",
    "pair_codes": "secrets",
    "reading_keys": "secrets",
    "pins": "secrets",
    "failed_tries": "of this server",
    "settings": "of this server",
    "audit_log": "one chain over all farms of this server, which no part can leave whole",
    "import_drafts": "files that nobody took yet; kept for two days",
    "row_states": "a cache of the log, folded anew where it arrives",
}
"""Tables that stay, and why."""
_LEFT_OUT_COLUMNS = {
    "blocks": {"key"},  # numbers of this database
    "rows": {"key"},
    "devices": {"token_hash", "holder_id", "holder_at"},
}
_ORDER = {"blocks": ("id",), "rows": ("block_id", "number")}
"""What orders the tables whose primary key stays."""
_PARENTS = {"block_id": t.blocks, "season_id": t.seasons, "crew_id": t.crews, "variety_id": t.varieties, "person_id": t.people}  # fmt: skip
_AT_ONCE, _PICTURES_AT_ONCE = 500, 8
"""Lines that are in memory together; a picture is as large as a thousand of them."""
Line = dict[str, Any]


def farm_tables() -> tuple[str, ...]:
    """Return the names of the tables that hold a farm, parents before children."""
    assert schema  # noqa: S101 - it is what makes the metadata whole
    return tuple(table.name for table in t.metadata.sorted_tables if table.name not in LEFT_OUT)


def columns_of(name: str) -> list[Column[Any]]:
    """Return the columns of a table that go along."""
    return _columns(t.metadata.tables[name])


def _columns(table: Table) -> list[Column[Any]]:
    without = _LEFT_OUT_COLUMNS.get(table.name, set()) | {"farm_id"}
    return [column for column in table.c if column.name not in without]


def _at_once(table: Table) -> int:
    has_pictures = any(isinstance(column.type, LargeBinary) for column in table.c)
    return _PICTURES_AT_ONCE if has_pictures else _AT_ONCE


def _of_farm(table: Table, farm_id: str) -> ColumnElement[bool]:
    """Return the condition that a line is the farm's: by its own column, else by what it belongs to."""
    if table is t.farms:
        return table.c.id == farm_id
    if "farm_id" in table.c:
        return table.c.farm_id == farm_id
    column, key = next((column, key) for column in table.c for key in column.foreign_keys)
    return column.in_(select(key.column).where(_of_farm(key.column.table, farm_id)))


def _order(conn: Connection, table: Table) -> list[ColumnElement[Any]]:
    names = _ORDER.get(table.name) or tuple(column.name for column in table.primary_key)
    # letters by their code on both engines: a database's own order of words is its own
    is_postgres = conn.dialect.name == "postgresql"
    keys = [table.c[name] for name in names]
    return [key.collate("C") if is_postgres and isinstance(key.type, Text) else key for key in keys]


def farm_lines(conn: Connection, farm_id: str, name: str) -> Iterator[Line]:
    """Yield what a table holds of a farm, one line after the other.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm_id : str
        The farm; not among the values, for all lines are its own.
    name : str
        One of `farm_tables`.

    Yields
    ------
    dict
        Values that JSON can carry, by column; in an order that no engine decides.
    """
    table = t.metadata.tables[name]
    columns = _columns(table)
    asked = select(*columns).where(_of_farm(table, farm_id)).order_by(*_order(conn, table))
    for record in conn.execute(asked, execution_options={"yield_per": _at_once(table)}):
        yield {column.name: plain_value(column, value) for column, value in zip(columns, record, strict=True)}


def line_count(conn: Connection, farm_id: str, name: str) -> int:
    """Return how many lines a table holds of a farm."""
    table = t.metadata.tables[name]
    asked = select(func.count()).select_from(table).where(_of_farm(table, farm_id))
    return int(conn.execute(asked).scalar_one())


def add_lines(conn: Connection, farm_id: str, name: str, lines: Iterable[Line]) -> None:
    """Append lines of a farm to a table.

    Parameters
    ----------
    conn : Connection
        In a write transaction, which must be given up after an error.
    farm_id : str
        The farm.
    name : str
        One of `farm_tables`.
    lines : iterable of dict
        As `farm_lines` gave them; read one after the other.

    Raises
    ------
    InputError
        If a line lacks a column, has one too many, or a value does not fit.
    ConflictError
        If something of it is here already, or it hangs on what is not.
    """
    table = t.metadata.tables[name]
    kept = (
        _kept(table, line, farm_id, where=f"{name}, line {number}") for number, line in enumerate(lines, 1)
    )
    try:
        while piece := list(islice(kept, _at_once(table))):
            conn.execute(insert(table), piece)
    except IntegrityError as error:
        raise ConflictError(
            "it holds what is here already, or hangs on what it does not hold",
            where=name,
            todo="Nothing was taken. Import into a server that does not have the farm.",
        ) from error


def _kept(table: Table, line: Line, farm_id: str, *, where: str) -> Line:
    columns = _columns(table)
    beyond = set(line) - {column.name for column in columns}
    if beyond:
        raise ImportFileError(
            "it holds what is not known here", where=f"{where}, {min(beyond)[:40]}", todo="Nothing was taken."
        )
    values = {column.name: kept_value(column, line, where=where) for column in columns}
    if "farm_id" in table.c:
        values["farm_id"] = farm_id
    if table is access_tables.devices:
        values["token_hash"] = f"{STAND_IN}{values['id']}"  # no token has such a hash
    return values


def foreign_ids(conn: Connection, farm_id: str) -> list[str]:
    """Return the columns, as table.column, in which lines of a farm name what is another farm's."""
    found = []
    for name in farm_tables():
        table = t.metadata.tables[name]
        for column in set(_PARENTS) & set(table.c.keys()):
            parent = _PARENTS[column]
            asked = select(parent.c.id).join(table, table.c[column] == parent.c.id)
            asked = asked.where(_of_farm(table, farm_id), parent.c.farm_id != farm_id).limit(1)
            if conn.execute(asked).first() is not None:
                found.append(f"{name}.{column}")
    return sorted(found)
