"""Set a farm up: farm, varieties, season, crews, people, blocks with their rows; counts are in `counting`."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache
from zoneinfo import available_timezones

import uuid_utils
from shapely.geometry import MultiLineString, MultiPolygon, Polygon

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.geometry.geodesy import area_m2
from orchardmap.geometry.laying import laid_rows
from orchardmap.geometry.surveyed import told_bearing_deg
from orchardmap.model.access import Membership
from orchardmap.model.orchard import Block, Farm, Habit, Planting, Row, Variety
from orchardmap.model.people import Crew, Method, Person, Role
from orchardmap.model.season import Season
from orchardmap.store import access, audit, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.units import m2_to_ha
from orchardmap.usecases.counting import count_row, count_rows, recount_row, shape_version

__all__ = [
    "BlockPlan", "By", "add_crew", "add_person", "add_season", "add_variety", "count_row", "count_rows",
    "create_farm", "made_rows", "new_id", "plant_blocks", "recount_row", "refuse_no_time", "tidy_name",
]  # fmt: skip


def new_id() -> str:
    """Make an id: a UUIDv7, so that ids sort by the time they were made."""
    return str(uuid_utils.uuid7())


@dataclass(frozen=True, slots=True)
class By:
    """Who adds something and when, as the audit log tells it; what is invented is added by nobody, and not told."""

    actor: str
    now: datetime
    """With time zone, by the server's clock."""


@dataclass(frozen=True, slots=True)
class BlockPlan:
    """A block as set-up wants it: an outline with its planting, or surveyed rows."""

    code: str
    name: str
    variety_id: str | None
    outline: Polygon | MultiPolygon | None
    planting: Planting | None
    surveyed: tuple[MultiLineString, ...] = ()
    """Rows as they were surveyed; they replace the rows that the planting would give."""
    numbers: tuple[int, ...] | None = None
    """Their numbers as known on the farm; ordered from left to right without them."""


def tidy_name(name: str, what: str) -> str:
    """Return a name without needless blanks.

    Raises
    ------
    InputError
        If it is empty, too long, or holds what no engine keeps.
    """
    tidy = " ".join(name.split())
    if not tidy or len(tidy) > 200 or "\x00" in tidy:
        raise InputError(f"a {what} needs a name of 1 to 200 characters", where="name")
    return tidy


@cache  # a walk over the machine's files
def _time_zones() -> set[str]:
    # names such as "localtime" depend on the machine; an IANA name does not
    return available_timezones() - {"localtime", "posixrules", "Factory"}


def known_time_zone(name: str) -> str:
    """Return an IANA name of a time zone; raises `InputError` where it is none."""
    if name not in _time_zones():
        raise InputError(
            f"no time zone {name!r}", where="time_zone", todo="Use a name such as Europe/London."
        )
    return name


def create_farm(
    store: Store,
    *,
    name: str,
    time_zone: str,
    now: datetime,
    manager_id: str | None = None,
    actor: str = "shell",
) -> Farm:
    """Make a farm, managed by an account where one is given.

    Raises
    ------
    InputError
        If the name is empty or the time zone is not an IANA name.
    ConflictError
        If a farm of that name is there already.
    """
    made = Farm(id=new_id(), name=tidy_name(name, "farm"), time_zone=known_time_zone(time_zone))
    with store.write() as conn:
        farm_store.add_farm(conn, made, now=now)
        if manager_id is not None:
            access.set_membership(conn, Membership(manager_id, made.id, "manager"))
        audit.note(conn, "farm_made", at=now, actor=actor, subject=made.id, farm_id=made.id)
    return made


def _add(store: Store, farm_id: str, thing: Variety | Season | Crew | Person, by: By | None) -> None:
    """Add what is named once per farm."""
    kind = type(thing).__name__.lower()
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        farm_store.add_named(conn, thing)
        log.append_changes(conn, farm_id, [log.Change(kind, thing.id)])
        if by is not None:
            audit.note(conn, f"{kind}_added", at=by.now, actor=by.actor, subject=thing.id, farm_id=farm_id)


def add_variety(
    store: Store,
    *,
    farm_id: str,
    name: str,
    habit: Habit,
    habit_source: str = "",
    by: By | None = None,
    **leanings: bool,
) -> Variety:
    """Add what may be planted; `leanings` are the flags of `Variety`."""
    made = Variety(new_id(), farm_id, tidy_name(name, "variety"), habit, habit_source, **leanings)
    _add(store, farm_id, made, by)
    return made


def refuse_no_time(opens_on: date, must_finish_on: date) -> None:
    """Raise `InputError` where a season would have to finish before it opens."""
    if must_finish_on <= opens_on:
        raise InputError(
            "a season must finish after it opens", where="must_finish_on", todo="Give a later day."
        )


def add_season(
    store: Store,
    *,
    farm_id: str,
    name: str,
    opens_on: date,
    must_finish_on: date,
    by: By | None = None,
) -> Season:
    """Add a season.

    Raises
    ------
    InputError
        If it would have to finish before it opens.
    """
    refuse_no_time(opens_on, must_finish_on)
    made = Season(new_id(), farm_id, tidy_name(name, "season"), opens_on, must_finish_on)
    _add(store, farm_id, made, by)
    return made


def add_crew(
    store: Store,
    *,
    farm_id: str,
    name: str,
    method: Method = "ladder",
    by: By | None = None,
) -> Crew:
    """Add a crew."""
    made = Crew(new_id(), farm_id, tidy_name(name, "crew"), None, method)
    _add(store, farm_id, made, by)
    return made


def add_person(
    store: Store,
    *,
    farm_id: str,
    name: str,
    role: Role,
    crew_id: str | None = None,
    by: By | None = None,
) -> Person:
    """Add a person.

    Raises
    ------
    UnknownError
        If the crew is not one of this farm.
    """
    made = Person(new_id(), farm_id, tidy_name(name, "person"), role, crew_id)
    with store.read() as conn:
        if crew_id is not None and crew_id not in {crew.id for crew in farm_store.crews(conn, farm_id)}:
            raise UnknownError("no such crew on this farm", where=crew_id)
    _add(store, farm_id, made, by)
    return made


def plant_blocks(
    store: Store,
    *,
    farm_id: str,
    plans: Sequence[BlockPlan],
    actor: str = "shell",
    now: datetime | None = None,
) -> list[Block]:
    """Take blocks with all their rows, in one transaction.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    plans : sequence of BlockPlan
        Outlines in lonlat degrees (WGS 84) with their plantings, or surveyed rows.
    actor : str
        Who takes them, for the audit log.
    now : datetime with time zone, optional
        The server's clock; without it the audit log is not written (a farm that is invented).

    Returns
    -------
    list of Block
        In the order of the plans.

    Raises
    ------
    InputError
        If a plan gives no row or lacks a code; nothing is taken then.
    UnknownError
        If a variety is not one of the farm's; nothing is taken then.
    ConflictError
        If two plans share a code or the farm has one of them already; nothing is taken then.
    """
    codes = [tidy_name(plan.code, "block code") for plan in plans]
    twice = sorted({code for code in codes if codes.count(code) > 1})
    if twice:
        raise ConflictError(
            "two blocks share a code", where=", ".join(twice), todo="Give each a code of its own."
        )
    planted = [_planted(plan, code, farm_id) for plan, code in zip(plans, codes, strict=True)]
    made = [block for block, _ in planted]
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        farm_store.refuse_foreign_varieties(conn, farm_id, [block.variety_id for block in made])
        orchard.add_blocks(conn, made, [row for _, rows in planted for row in rows])
        log.append_changes(conn, farm_id, [log.Change("block", b.id, b.id) for b in made])
        if now is not None:
            audit.note(conn, "blocks_taken", at=now, actor=actor, farm_id=farm_id, blocks=len(made))
    return made


def made_rows(plan: BlockPlan, block_id: str) -> list[Row]:
    """Return the rows that a plan gives (see `laid_rows`)."""
    return laid_rows(
        plan.outline,
        plan.planting,
        surveyed=plan.surveyed,
        numbers=plan.numbers,
        block_id=block_id,
        where=plan.code,
    )


def _planted(plan: BlockPlan, code: str, farm_id: str) -> tuple[Block, list[Row]]:
    block_id = new_id()
    rows = made_rows(plan, block_id)
    area_ha = m2_to_ha(area_m2(plan.outline)) if plan.outline is not None else 0.0
    name = " ".join(plan.name.split()) or code
    laid = _as_laid(plan, rows)
    block = Block(block_id, farm_id, code, name, plan.variety_id, plan.outline, laid, area_ha)
    return replace(block, shape_version=shape_version(block, rows)), rows


def _as_laid(plan: BlockPlan, rows: Sequence[Row]) -> Planting | None:
    """Return the planting with the bearing that its rows have: two points, a drawn row and a survey replace what was typed."""
    typed = plan.planting
    if typed is None or not (plan.surveyed or typed.first_row or typed.baseline):
        return typed
    bearing_deg = told_bearing_deg([row.line for row in rows])
    return typed if bearing_deg is None else replace(typed, bearing_deg=bearing_deg)
