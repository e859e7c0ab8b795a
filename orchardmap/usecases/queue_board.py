"""The plan of who prunes what next, as the board shows it, and a proposal for it."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from orchardmap.model.queue import BlockTerms
from orchardmap.planning.giving import propose
from orchardmap.planning.giving_texts import Reason, reason_text, reasons_of
from orchardmap.planning.work_ahead import AheadBlock, AheadCrew
from orchardmap.store import log
from orchardmap.store.session import Store
from orchardmap.usecases.giving_out import standing_queues
from orchardmap.usecases.moments import moment
from orchardmap.usecases.work_to_give import WorkToGive, work_to_give

__all__ = ["proposed_queues", "read_queues"]

Json = dict[str, Any]
_DAYS_TOLD = 200


def read_queues(store: Store, farm_id: str, *, now: datetime) -> Json:
    """Return the queues of the season of today, with what the board needs to draw them.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer: ``queues`` of all crews by name, ``open`` (given to nobody), ``revision``, ``own_first``;
        ``crews`` with people (a guess where ``people_known`` is false) and expected pace by habit, ``days`` (working days ahead), ``blocks`` with work left by id.

    Raises
    ------
    UnknownError
        If no farm has that id, or it has no season yet.
    """
    with store.read() as conn:
        work = work_to_give(conn, moment(conn, farm_id, None, now))
        kept = standing_queues(conn, work.season.id, work.left)
        seq = log.cursor(conn, farm_id)
    return {
        "farm_id": farm_id,
        "season_id": work.season.id,
        "cursor": seq,
        "revision": kept.revision,
        "own_first": kept.own_first,
        **_queues_json(work.crews, kept.by_crew, kept.open),
        "must_finish_on": work.season.must_finish_on.isoformat(),
        "days": [day.isoformat() for day in work.days.days[:_DAYS_TOLD]],
        "crews": [_crew_json(crew, work) for crew in work.crews],
        "blocks": {block.id: _block_json(block, work) for block in work.blocks},
    }


def proposed_queues(store: Store, farm_id: str, *, language: str, now: datetime) -> Json:
    """Return a proposal of who prunes what next; nothing is stored.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    language : str
        Of the sentences; English where it has no catalogue.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``queues``, ``open`` and ``revision`` as `read_queues` tells them, ``reasons`` of each block as codes with values, and
        ``words``, the same as one line.

    Raises
    ------
    UnknownError
        If no farm has that id, or it has no season yet.
    """
    with store.read() as conn:
        work = work_to_give(conn, moment(conn, farm_id, None, now))
        kept = standing_queues(conn, work.season.id, work.left)
    found = propose(work.blocks, work.crews, work.days)
    reasons = reasons_of(found, work.blocks, work.crews, work.days)
    names = {crew.id: crew.name for crew in work.crews}
    given_to = {block: place.crew_id for block, place in found.places.items()}
    words = {
        block: reason_text(said, crew=names.get(given_to.get(block, "")), language=language)
        for block, said in reasons.items()
    }
    return {
        "season_id": work.season.id,
        "revision": kept.revision,
        "own_first": kept.own_first,
        **_queues_json(work.crews, dict(found.queues), found.open),
        "reasons": {block: [_reason_json(one) for one in said] for block, said in reasons.items()},
        "words": words,
    }


def _queues_json(
    crews: Iterable[AheadCrew], by_crew: Mapping[str, tuple[str, ...]], nobody: Iterable[str]
) -> Json:
    return {
        "queues": [{"crew_id": crew.id, "blocks": list(by_crew.get(crew.id, ()))} for crew in crews],
        "open": list(nobody),
    }


def _crew_json(crew: AheadCrew, work: WorkToGive) -> Json:
    """Tell what a crew does in a day, going over faulty trees again included."""
    habits = sorted({block.habit for block in work.blocks})
    return {
        "crew_id": crew.id,
        "people": crew.people,
        "people_known": crew.id in work.counted,
        "method": crew.method,
        "hours_per_day": work.days.hours_per_day,
        "paces": {habit: 1.0 / crew.skill(habit).person_h_per_tree for habit in habits},
    }


def _block_json(block: AheadBlock, work: WorkToGive) -> Json:
    own = work.terms.get(block.id, BlockTerms()).must_finish_on
    last = work.worked.get(block.id)
    return {
        "left": block.trees,
        "habit": block.habit,
        "is_biennial": block.is_biennial,
        "must_finish_on": block.must_finish_on.isoformat(),
        "own_must_finish_on": None if own is None else own.isoformat(),
        "platform_fits": block.platform_fits,
        "closed": [[first.isoformat(), until.isoformat()] for first, until in block.closed],
        "worked": None if last is None else {"crew_id": last.crew_id, "day": last.day.isoformat()},
    }


def _reason_json(reason: Reason) -> Json:
    values = {name: v.isoformat() if isinstance(v, date) else v for name, v in reason.values.items()}
    return {"code": reason.code, "values": values}
