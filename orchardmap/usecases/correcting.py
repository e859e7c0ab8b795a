"""What was entered once and is wrong: a farm's name and time zone, a season's name and days, a crew's name and method, a person's name."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.orchard import Farm
from orchardmap.model.people import Crew, Person
from orchardmap.model.season import Season
from orchardmap.store import audit, log
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.planting import By, known_time_zone, refuse_no_time, tidy_name

__all__ = ["correct_crew", "correct_farm", "correct_season", "rename_person"]

Named = TypeVar("Named", Season, Crew, Person)


def correct_farm(store: Store, *, farm_id: str, changes: Mapping[str, str], by: By) -> Farm:
    """Say anew what a farm is called and in which time zone it lies.

    The day that a record tells stays as it is: it was the day of whoever made it. Only what is today, and the hours that moments
    are told in, follow the time zone.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    changes : mapping of str
        ``name``, ``time_zone`` (an IANA name); what is left out stays as it is.
    by : By
        Who says so, for the audit log.

    Returns
    -------
    Farm
        As it is now.

    Raises
    ------
    UnknownError
        If there is no such farm.
    InputError
        If the name is empty or the time zone is not an IANA name.
    ConflictError
        If another farm has that name.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = farm_store.farm(conn, farm_id)
        name = tidy_name(changes.get("name", kept.name), "farm")
        made = replace(kept, name=name, time_zone=known_time_zone(changes.get("time_zone", kept.time_zone)))
        if made != kept:
            farm_store.edit_farm(conn, made)
            log.append_changes(conn, farm_id, [log.Change("farm", farm_id)])
            audit.note(conn, "farm_corrected", at=by.now, actor=by.actor, subject=farm_id, farm_id=farm_id)
    return made


def correct_season(
    store: Store, *, farm_id: str, season_id: str, changes: Mapping[str, Any], by: By
) -> Season:
    """Say anew what a season is called and from when to when it goes; its records stay its own.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id, season_id : str
        The season.
    changes : mapping of str
        ``name``, ``opens_on``, ``must_finish_on``; what is left out stays as it is.
    by : By
        Who says so, for the audit log.

    Returns
    -------
    Season
        As it is now.

    Raises
    ------
    UnknownError
        If the farm has no such season.
    InputError
        If it would have to finish before it opens, or would open after work that was recorded in it.
    ConflictError
        If another season has that name, or it would open before an earlier season or after a later one.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        seasons = farm_store.seasons(conn, farm_id)
        kept = _of(seasons, season_id, "season")
        name = tidy_name(changes.get("name", kept.name), "season")
        made = replace(kept, **{**changes, "name": name})
        refuse_no_time(made.opens_on, made.must_finish_on)
        if made.opens_on != kept.opens_on:
            _refuse_moved(conn, seasons, kept, made)
        _keep(conn, kept, made, by, "season_corrected")
    return made


def correct_crew(store: Store, *, farm_id: str, crew_id: str, changes: Mapping[str, Any], by: By) -> Crew:
    """Say anew what a crew is called and how it prunes: ``name``, ``method``; what is left out stays as it is.

    A mark tells by itself how it was pruned, so those that are there keep what they tell. Raises `UnknownError` where the farm
    has no such crew, `ConflictError` where the name is another's.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = _of(farm_store.crews(conn, farm_id), crew_id, "crew")
        made = replace(kept, **{**changes, "name": tidy_name(changes.get("name", kept.name), "crew")})
        _keep(conn, kept, made, by, "crew_corrected")
    return made


def rename_person(store: Store, *, farm_id: str, person_id: str, name: str, by: By) -> Person:
    """Give a person another name; raises `UnknownError` where the farm has no such person."""
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = _of(farm_store.people(conn, farm_id), person_id, "person")
        made = replace(kept, name=tidy_name(name, "person"))
        _keep(conn, kept, made, by, "person_renamed")
    return made


def _of(things: Sequence[Named], wanted: str, what: str) -> Named:
    found = next((one for one in things if one.id == wanted), None)
    if found is None:
        raise UnknownError(f"no such {what} on this farm", where=wanted)
    return found


def _keep(conn: Connection, kept: Named, made: Named, by: By, event: str) -> None:
    """Write what is said anew, unless nothing is."""
    if made == kept:
        return
    farm_store.edit_named(conn, made)
    log.append_changes(conn, made.farm_id, [log.Change(type(made).__name__.lower(), made.id)])
    audit.note(conn, event, at=by.now, actor=by.actor, subject=made.id, farm_id=made.farm_id)


def _refuse_moved(conn: Connection, seasons: Sequence[Season], kept: Season, made: Season) -> None:
    """Refuse another opening day where records would lie before it, or where the order of seasons would be another.

    A day belongs to the last season that was open by then: a season that opened before an earlier one would take its days.

    Raises
    ------
    InputError
        If work of the season is recorded before that day.
    ConflictError
        If another season lies between.
    """
    first = farm_store.first_day_recorded(conn, made.id)
    if first is not None and made.opens_on > first:
        raise InputError(
            f"work of this season is recorded from {first} on",
            where="opens_on",
            todo="Give that day or an earlier one.",
        )
    others = [one for one in seasons if one.id != kept.id]
    crossed = [
        one
        for one in others
        if one.opens_on == made.opens_on or (one.opens_on < kept.opens_on) != (one.opens_on < made.opens_on)
    ]
    if crossed:
        raise ConflictError(
            f"the season {crossed[0].name} opens on {crossed[0].opens_on}",
            where="opens_on",
            todo="Seasons stay in their order: give a day on the same side of it.",
        )
