"""Hours by person: typed by a manager, corrected by a later entry, never edited."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.pay import PersonDay
from orchardmap.store import audit, log
from orchardmap.store import farm as farm_store
from orchardmap.store import pay as pay_store
from orchardmap.store.session import Connection, Store

__all__ = ["TypedHours", "hours_json", "type_hours"]

Json = dict[str, Any]
DAY_HOURS = 24.0


@dataclass(frozen=True, slots=True)
class TypedHours:
    """One entry as it was typed."""

    id: str
    """Made by the page: the same one again is taken once."""
    person_id: str
    crew_id: str
    day: date
    hours: float
    """At work, rest left out; 0 takes an entry back."""
    rest_minutes: int = 0
    replaces_id: str | None = None
    """The standing entry of that person, crew and day, where there is one."""


def type_hours(
    store: Store,
    *,
    farm_id: str,
    typed: Sequence[TypedHours],
    by: str | None = None,
    actor: str = "shell",
    now: datetime,
) -> None:
    """Append hours by person, all or none.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    typed : sequence of TypedHours
        One that is there already, word for word, is passed over.
    by : str or None
        Account; None for the shell.
    actor : str
        The same as the audit log names it.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If the farm has no such person or crew.
    ConflictError
        If an id was used for something else, or an entry stands there that the new one does not name: somebody was quicker.
    InputError
        If a day is to come, hours are no share of a day, or a person's hours of one day come to more than 24.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        today = now.astimezone(ZoneInfo(farm_store.farm(conn, farm_id).time_zone)).date()
        made = [
            PersonDay(
                one.id, farm_id, one.person_id, one.crew_id, one.day, round(one.hours, 2), one.rest_minutes,
                one.replaces_id, now, by,
            )
            for one in typed
        ]  # fmt: skip
        new = _not_there_yet(conn, made)
        if not new:
            return
        _refuse_unknown(conn, farm_id, new)
        _refuse_unfit(new, today)
        _refuse_stale(conn, farm_id, new)
        pay_store.add_person_days(conn, new)
        days = sorted({one.day for one in new})
        log.append_changes(conn, farm_id, [log.Change("pay", farm_id)])
        audit.note(
            conn,
            "hours_typed",
            at=now,
            actor=actor,
            subject=farm_id,
            farm_id=farm_id,
            entries=len(new),
            first=days[0].isoformat(),
            last=days[-1].isoformat(),
        )


def _not_there_yet(conn: Connection, made: Sequence[PersonDay]) -> list[PersonDay]:
    known = pay_store.person_days_by_id(conn, [one.id for one in made])
    for one in made:
        kept = known.get(one.id)
        if kept is not None and _said(kept) != _said(one):
            raise ConflictError(
                "the id was used for other hours", where=one.id, todo="Give this entry its own id."
            )
    return [one for one in made if one.id not in known]


def _said(one: PersonDay) -> tuple[object, ...]:
    """Return what an entry says, whoever typed it when."""
    return one.farm_id, one.person_id, one.crew_id, one.day, one.hours, one.rest_minutes, one.replaces_id


def _refuse_unknown(conn: Connection, farm_id: str, new: Sequence[PersonDay]) -> None:
    people = {one.id for one in farm_store.people(conn, farm_id)}
    crews = {one.id for one in farm_store.crews(conn, farm_id)}
    for one in new:
        if one.person_id not in people:
            raise UnknownError("no such person on this farm", where=one.person_id)
        if one.crew_id not in crews:
            raise UnknownError("no such crew on this farm", where=one.crew_id)


def _refuse_unfit(new: Sequence[PersonDay], today: date) -> None:
    for one in new:
        where = one.day.isoformat()
        if one.day > today:
            raise InputError(
                "the day is still to come", where=where, todo="Type hours when they were worked."
            )
        if not (0 <= one.hours <= DAY_HOURS and 0 <= one.rest_minutes <= DAY_HOURS * 60):
            raise InputError(
                "hours and rest are from 0 to 24 hours", where=where, todo="Give hours of one day."
            )
        if one.rest_minutes and not one.hours:
            raise InputError("rest without work", where=where, todo="Give the hours at work too.")


def _refuse_stale(conn: Connection, farm_id: str, new: Sequence[PersonDay]) -> None:
    """Raise unless each entry names the one that stands in its place, and no day has more than 24 hours then."""
    days = [one.day for one in new]
    standing = pay_store.standing_person_days(conn, farm_id, first=min(days), last=max(days))
    last = {_place(one): one for one in standing}
    for one in new:
        kept = last.get(_place(one))
        if one.replaces_id != (None if kept is None else kept.id):
            raise ConflictError(
                "these hours were typed by somebody else meanwhile",
                where=one.day.isoformat(),
                todo="Look at the week again.",
            )
        last[_place(one)] = one
    of_day: dict[tuple[date, str], float] = defaultdict(float)
    for one in last.values():
        of_day[one.day, one.person_id] += one.hours + one.rest_minutes / 60
    over = sorted(day for (day, _), hours in of_day.items() if hours > DAY_HOURS)
    if over:
        raise InputError(
            "one person's hours of a day come to more than 24",
            where=over[0].isoformat(),
            todo="Look at the other crew's entry of that day.",
        )


def _place(one: PersonDay) -> tuple[str, str, date]:
    return one.person_id, one.crew_id, one.day


def hours_json(store: Store, farm_id: str, *, first: date, last: date) -> Json:
    """Return the hours that stand from one day to another, by day, crew and person.

    Raises
    ------
    UnknownError
        If no farm has that id.
    InputError
        If the days run backwards.
    """
    if last < first:
        raise InputError("the last day comes before the first", where="last", todo="Turn the days round.")
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        found = pay_store.standing_person_days(conn, farm_id, first=first, last=last)
    return {"first": first.isoformat(), "last": last.isoformat(), "hours": [_told(one) for one in found]}


def _told(one: PersonDay) -> Mapping[str, object]:
    keys = ("id", "person_id", "crew_id", "hours", "rest_minutes")
    return {key: getattr(one, key) for key in keys} | {"day": one.day.isoformat()}
