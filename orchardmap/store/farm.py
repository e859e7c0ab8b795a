"""Farms and what is named once per farm: varieties, seasons, crews, people."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import date, datetime
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import Connection, Insert, Table, Update, delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from orchardmap.errors import ConflictError, UnknownError
from orchardmap.model.orchard import Farm, Variety
from orchardmap.model.people import Crew, Person
from orchardmap.model.season import Season
from orchardmap.store import tables as t

__all__ = [
    "Newest",
    "add_farm",
    "add_named",
    "crews",
    "edit_farm",
    "edit_named",
    "farm",
    "farms",
    "first_day_recorded",
    "newest",
    "people",
    "refuse_foreign_varieties",
    "seasons",
    "set_setting",
    "setting",
    "take_setting",
    "varieties",
]

Named = TypeVar("Named", Variety, Season, Crew, Person)
_TABLES: Mapping[type, Table] = {Variety: t.varieties, Season: t.seasons, Crew: t.crews, Person: t.people}


def add_farm(conn: Connection, farm: Farm, *, now: datetime) -> None:
    """Append a farm; raises `ConflictError` where one of that name is there already."""
    _write_farm(conn, insert(t.farms).values(id=farm.id, made_at=now), farm)


def edit_farm(conn: Connection, farm: Farm) -> None:
    """Replace what a farm is called and its time zone; raises `ConflictError` where another farm has that name."""
    _write_farm(conn, update(t.farms).where(t.farms.c.id == farm.id), farm)


def _write_farm(conn: Connection, how: Insert | Update, farm: Farm) -> None:
    try:
        conn.execute(how.values(name=farm.name, time_zone=farm.time_zone))
    except IntegrityError as error:
        raise ConflictError(
            "a farm of that name is there already", where=farm.name, todo="Choose another name."
        ) from error


def add_named(conn: Connection, thing: Variety | Season | Crew | Person) -> None:
    """Append a variety, season, crew or person.

    Raises
    ------
    ConflictError
        If the farm has one of that name already.
    """
    _write(conn, insert(_TABLES[type(thing)]), thing)


def edit_named(conn: Connection, thing: Variety | Season | Crew | Person) -> None:
    """Replace what is kept of a variety, season, crew or person that is there.

    Raises
    ------
    ConflictError
        If the farm has another one of that name.
    """
    table = _TABLES[type(thing)]
    _write(conn, update(table).where(table.c.id == thing.id), thing)


def _write(conn: Connection, how: Insert | Update, thing: Variety | Season | Crew | Person) -> None:
    try:
        conn.execute(how.values(**asdict(thing)))
    except IntegrityError as error:
        word = type(thing).__name__.lower()
        raise ConflictError(
            f"the farm has a {word} of that name already", where=thing.name, todo="Choose another name."
        ) from error


def _all(conn: Connection, made: type[Named], farm_id: str, *, by: str = "name") -> list[Named]:
    table = _TABLES[made]
    found = conn.execute(select(table).where(table.c.farm_id == farm_id).order_by(table.c[by], table.c.id))
    return [made(**dict(record._mapping)) for record in found]


def varieties(conn: Connection, farm_id: str) -> list[Variety]:
    """Return the farm's varieties by name."""
    return _all(conn, Variety, farm_id)


def refuse_foreign_varieties(conn: Connection, farm_id: str, asked: Iterable[str | None]) -> None:
    """Raise if a variety is not one of the farm's.

    Raises
    ------
    UnknownError
        If it is another farm's, or nobody's; both look the same.
    """
    for variety_id in set(asked) - {variety.id for variety in varieties(conn, farm_id)} - {None}:
        raise UnknownError("no such variety on this farm", where=variety_id or "")


def seasons(conn: Connection, farm_id: str) -> list[Season]:
    """Return the farm's seasons, oldest first."""
    return _all(conn, Season, farm_id, by="opens_on")


def first_day_recorded(conn: Connection, season_id: str) -> date | None:
    """Return the first day of which any record of a season tells that was not set aside; None for none."""
    days = []
    for table in (t.marks, t.checks, t.crew_days):
        asked = select(func.min(table.c.day)).where(table.c.season_id == season_id)
        days.append(conn.execute(asked.where(table.c.set_aside.is_(None))).scalar_one())
    return min((day for day in days if day is not None), default=None)


def crews(conn: Connection, farm_id: str) -> list[Crew]:
    """Return the farm's crews by name."""
    return _all(conn, Crew, farm_id)


def people(conn: Connection, farm_id: str) -> list[Person]:
    """Return the farm's people by name."""
    return _all(conn, Person, farm_id)


def _farm(record: Any) -> Farm:  # noqa: ANN401 - a row of the farms table
    return Farm(id=record.id, name=record.name, time_zone=record.time_zone)


def farms(conn: Connection) -> list[Farm]:
    """Return all farms by name."""
    return [_farm(record) for record in conn.execute(select(t.farms).order_by(t.farms.c.name))]


def farm(conn: Connection, farm_id: str) -> Farm:
    """Return one farm.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    record = conn.execute(select(t.farms).where(t.farms.c.id == farm_id)).one_or_none()
    if record is None:
        raise UnknownError("no such farm", where=farm_id)
    return _farm(record)


class Newest(NamedTuple):
    """Where a farm stands, in one question: what is kept for its last change is as new as that."""

    time_zone: str
    epoch: str | None
    """Of the database."""
    cursor: int
    """Number of its newest change."""


def newest(conn: Connection, farm_id: str) -> Newest:
    """Return where a farm stands.

    Raises
    ------
    UnknownError
        If there is no farm of that id.
    """
    epoch = select(t.settings.c.value).where(t.settings.c.name == "epoch").scalar_subquery()
    asked = select(t.farms.c.time_zone, epoch, t.farms.c.change_seq).where(t.farms.c.id == farm_id)
    found = conn.execute(asked).one_or_none()
    if found is None:
        raise UnknownError("no such farm", where=farm_id)
    return Newest(*found)


def setting(conn: Connection, name: str) -> str | None:
    """Return one of the database's own settings (such as its epoch), or None."""
    return conn.execute(select(t.settings.c.value).where(t.settings.c.name == name)).scalar_one_or_none()


def set_setting(conn: Connection, name: str, value: str) -> None:
    """Set one of the database's own settings."""
    conn.execute(delete(t.settings).where(t.settings.c.name == name))
    conn.execute(insert(t.settings).values(name=name, value=value))


def take_setting(conn: Connection, name: str, value: str) -> bool:
    """Take one of the database's own settings away if it has that value; tell whether it had."""
    t_name, t_value = t.settings.c.name, t.settings.c.value
    return conn.execute(delete(t.settings).where(t_name == name, t_value == value)).rowcount > 0
