"""Crew-days: take what a foreman says at knock-off, and tell which of them stand."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from orchardmap.model.people import ANYBODY, Sender
from orchardmap.model.work import CrewDay, Receipt
from orchardmap.store import crew_days as crew_day_store
from orchardmap.store import farm as farm_store
from orchardmap.store import log
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.taking import Upload, Values, facts_of, taken, true_day
from orchardmap.work.crew_days import Entry, misdirected, standing
from orchardmap.work.intake import SET_ASIDE, crew_day_set_aside

__all__ = [
    "Several",
    "blocks_of_day",
    "crew_days_of",
    "record_crew_days",
    "several_of",
    "several_standing",
    "standing_crew_days",
]

Json = dict[str, Any]
_MISDIRECTED = "other_crew_day"
_LEFT_OUT = "a manager let another entry of that day stand"


def record_crew_days(
    store: Store,
    *,
    farm_id: str,
    crew_days: Sequence[CrewDay],
    sent_at: datetime,
    now: datetime,
    sender: Sender = ANYBODY,
) -> list[Receipt]:
    """Append crew-days.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm whose device sends them.
    crew_days : sequence of CrewDay
        In any order; one may come before the one that it replaces.
    sent_at, now : datetime with time zone
        The device's clock at the upload, and the server's.
    sender : Sender
        Who hands them in: those of another crew than the sender's are set aside.

    Returns
    -------
    list of Receipt
        One for each, in order.
    """
    upload = Upload(farm_id, sent_at, now, sender)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        facts = facts_of(conn, upload, [])
        today = now.astimezone(facts.zone).date()

        def decide(crew_day: CrewDay, values: Values) -> str | None:
            return crew_day_set_aside(crew_day, facts, day=true_day(values, facts.zone, today), today=today)

        batch = taken(
            conn, "crew_day", crew_days, decide, speaks_for=lambda one: {one.crew_id}, upload=upload
        )
        turned = _judge_corrections(conn, farm_id, batch.touched)
        log.append_changes(conn, farm_id, [log.Change("crew_day", one.id) for one in batch.touched])
    return [
        Receipt(r.id, "set_aside", SET_ASIDE[_MISDIRECTED]) if r.id in turned else r for r in batch.receipts
    ]


def _judge_corrections(conn: Connection, farm_id: str, touched: Sequence[CrewDay]) -> set[str]:
    """Set aside what corrects another crew's or day's entry, whichever of the two came first; return the ids set aside."""
    new = {one.id for one in touched}
    corrections = crew_day_store.replacing(conn, farm_id, new)
    corrections += [
        one
        for one in log.records_by_id(conn, "crew_day", farm_id, sorted(new))
        if one.replaces_id is not None
    ]
    targets: dict[str, list[Entry]] = defaultdict(list)
    for one in log.records_by_id(conn, "crew_day", farm_id, sorted({one.replaces_id for one in corrections})):
        targets[one.id].append(_entry(one))
    turned = set()
    for one in corrections:
        if one.set_aside not in {None, _MISDIRECTED}:
            continue
        reason = _MISDIRECTED if misdirected(_entry(one), targets[one.replaces_id]) else None
        if reason is not None:
            turned.add(one.id)
        if reason != one.set_aside:
            log.set_reason(conn, "crew_day", farm_id, one.id, reason)
    return turned


def _entry(record: Any) -> Entry:  # noqa: ANN401 - a row of the crew_days table
    return Entry(record.id, record.season_id, record.crew_id, record.day, record.replaces_id)


def _standing_ids(records: Iterable[Any]) -> set[str]:
    return standing([_entry(one) for one in records if one.counts])


def standing_crew_days(counting: Sequence[Any], season_id: str) -> list[Any]:
    """Return those of the farm's counting crew-days that stand and are of a season, in their order."""
    ids = _standing_ids(counting)
    return [one for one in counting if one.id in ids and one.season_id == season_id]


def crew_days_of(store: Store, farm_id: str, *, day: date | None, crew_id: str | None) -> list[Json]:
    """Return the crew-days of a farm, those set aside and replaced too, in order of arrival within each day.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        Only those of this day (corrected for the device's clock).
    crew_id : str or None
        Only those of this crew.

    Returns
    -------
    list of dict
        Each with ``standing``, ``set_aside`` (the reason in words) and ``person_hours``.
    """
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        found = crew_day_store.crew_days(conn, farm_id, day=day, crew_id=crew_id)
    ids = _standing_ids(found)
    return [_told(one, is_standing=one.counts and one.id in ids) for one in found]


def _told(record: Any, *, is_standing: bool) -> Json:  # noqa: ANN401 - a row of the crew_days table
    keys = (
        "id", "content_hash", "season_id", "crew_id", "people", "hours", "method", "recorder_id", "replaces_id", "device_id",
    )  # fmt: skip
    return {key: getattr(record, key) for key in keys} | {
        "day": record.day.isoformat(),
        "person_hours": record.people * record.hours,
        "device_at": record.device_at.isoformat(),
        "server_at": record.server_at.isoformat(),
        "standing": is_standing,
        "set_aside": None if record.counts else SET_ASIDE.get(record.set_aside, _LEFT_OUT),
    }


def blocks_of_day(store: Store, farm_id: str, *, day: date, crew_id: str | None) -> list[str]:
    """Return the ids of the blocks in which the crew (None: any) marked rows that count on the day.

    A tablet reads these alone for the crew's day, however many blocks the farm has.
    """
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        return log.blocks_worked(conn, farm_id, day, crew_id)


@dataclass(frozen=True, slots=True)
class Several:
    """Crew-days of one crew, day and method of which several stand: a manager must say which holds."""

    crew_id: str
    day: date
    method: str
    entries: tuple[Json, ...]


def several_standing(conn: Connection, farm_id: str) -> list[Several]:
    """Return where several crew-days of one crew, day and method stand, by day and crew.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm_id : str
        The farm.

    Returns
    -------
    list of Several
    """
    counting = crew_day_store.counting_crew_days(conn, farm_id)
    ids = _standing_ids(counting)
    return several_of(one for one in counting if one.id in ids)


def several_of(found: Iterable[Any]) -> list[Several]:
    """Return where of these crew-days, which all stand, several are of one crew, day and method."""
    of: dict[tuple[date, str, str], list[Json]] = defaultdict(list)
    for one in found:
        of[one.day, one.crew_id, one.method].append(_told(one, is_standing=True))
    return [
        Several(crew_id, day, method, tuple(entries))
        for (day, crew_id, method), entries in sorted(of.items())
        if len(entries) > 1
    ]
