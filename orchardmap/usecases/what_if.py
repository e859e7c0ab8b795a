"""What if: the forecast of a season side by side with what a manager thinks of doing. Nothing is stored."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.calendar import SeasonCalendar
from orchardmap.planning.needs import MORE, Sought
from orchardmap.planning.queues import QueueBlock, queue_forecast
from orchardmap.planning.season import Season
from orchardmap.store.session import Store
from orchardmap.usecases.forecasting import DRAWS, finish_json, seed_of, short_people
from orchardmap.usecases.moments import moment
from orchardmap.usecases.season_ahead import last_evening, season_ahead
from orchardmap.usecases.season_records import SeasonRecords, season_records
from orchardmap.work.calendar_rules import MOST_PEOPLE, refuse_odd_calendar

__all__ = ["Case", "NewCrew", "what_if"]

Json = dict[str, Any]
MOST_LOST_DAYS = 250
_RATIOS = 0.1, 10.0


@dataclass(frozen=True, slots=True)
class NewCrew:
    """A crew that may come. How fast it is nobody knows: as fast as crews are."""

    people: int
    method: str | None = None
    """As most prune where nobody says."""


@dataclass(frozen=True, slots=True)
class Case:
    """What is done otherwise from the next day on; what is left out stays as it is."""

    people: Mapping[str, int] = field(default_factory=dict)
    """By crew, how many more; fewer where it is below 0."""
    crews: tuple[NewCrew, ...] = ()
    weekdays: str | None = None
    hours_per_day: float | None = None
    lost_days: int = 0
    """The next working days on which nobody can work."""
    methods: Mapping[str, str] = field(default_factory=dict)
    """By crew."""
    ratios: Mapping[str, float] = field(default_factory=dict)
    """By method, of its pace to the farm's, as is thought before any day: days that tell of it soon outweigh it."""


def what_if(store: Store, farm_id: str, cases: Sequence[Case], *, certainty: float, now: datetime) -> Json:
    """Return when the season may be finished as things stand, and in each of some cases.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    cases : sequence of Case
        Each by itself.
    certainty : float
        Share of seasons, 0 to 1, that are to be finished in time with the people that ``short_people`` names.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``now`` and ``cases`` meet the same seasons that may be, so what differs between them is what was changed; ``sure_by`` is
        the day by which it is finished with the certainty asked. Where nothing can be forecast ``missing`` says why, as in `orchardmap.usecases.forecasting.forecast`.

    Raises
    ------
    UnknownError
        If a crew is not one of the farm's.
    InputError
        If a case cannot be, ``where`` names it (from 1) and the field.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        if at.season is None or at.season.closed:
            return {"missing": ["season"], "now": None, "cases": []}
        records = season_records(conn, at.farm, at.season)
    for number, case in enumerate(cases, 1):
        _refuse_odd(case, records, f"case {number}")
    ahead = season_ahead(records, last_evening(records, at.day, at.today), at.day)
    if ahead.season is None:
        return {"missing": list(ahead.missing), "now": None, "cases": []}
    told = [
        _told(records, season, ahead.queue, certainty)
        for season in (ahead.season, *(_changed(ahead.season, case) for case in cases))
    ]
    return {"missing": [], "now": told[0], "cases": told[1:]}


def _refuse_odd(case: Case, records: SeasonRecords, where: str) -> None:
    known = {crew.id for crew in records.crews}
    for crew_id in (*case.people, *case.methods):
        if crew_id not in known:
            raise UnknownError("no such crew on this farm", where=crew_id)
    for people in (*case.people.values(), *(crew.people for crew in case.crews)):
        if abs(people) > MOST_PEOPLE:
            raise InputError(f"{people} people cannot be", where=f"{where}, people")
    if not 0 <= case.lost_days <= MOST_LOST_DAYS:
        raise InputError(
            f"{case.lost_days} days cannot be lost",
            where=f"{where}, lost_days",
            todo=f"Give 0 to {MOST_LOST_DAYS}.",
        )
    for method, ratio in case.ratios.items():
        if not _RATIOS[0] <= ratio <= _RATIOS[1]:
            raise InputError(
                f"{ratio:g} cannot be the ratio of {method}",
                where=f"{where}, ratios",
                todo=f"Give {_RATIOS[0]:g} to {_RATIOS[1]:g}.",
            )
    calendar = records.calendar or SeasonCalendar()
    thought = replace(
        calendar,
        weekdays=calendar.weekdays if case.weekdays is None else case.weekdays,
        hours_per_day=calendar.hours_per_day if case.hours_per_day is None else case.hours_per_day,
    )
    try:
        refuse_odd_calendar(thought, records.season)
    except InputError as error:
        raise InputError(error.what, where=f"{where}, {error.where}", todo=error.todo) from error


def _changed(season: Season, case: Case) -> Season:
    """Return the season as it would be; a crew never has fewer than no people."""
    more = case.people
    people = {
        crew: max(0.0, season.people.get(crew, 0.0) + more.get(crew, 0)) for crew in {*season.people, *more}
    }
    methods = {**season.methods, **case.methods}
    for number, new in enumerate(case.crews, 1):
        # no id looks like it, and no two crews that come are one; the first is the one that people who are short come as
        name = MORE if number == 1 else f"{MORE}{number}"
        people[name] = float(new.people)
        if new.method is not None:
            methods[name] = new.method
    calendar = replace(
        season.calendar,
        weekmask=case.weekdays or season.calendar.weekmask,
        hours_per_day=case.hours_per_day or season.calendar.hours_per_day,
    )
    lost = calendar.days(season.first, case.lost_days).tolist()
    # a crew that is away stays away, however many it is
    strengths = [
        replace(one, people=max(0.0, one.people + more.get(one.crew, 0))) if one.people else one
        for one in season.strengths
    ]
    return replace(
        season,
        people=people,
        methods=methods,
        calendar=replace(calendar, holidays=calendar.holidays | frozenset(lost)),
        strengths=strengths,
        prior=replace(season.prior, ratio={**season.prior.ratio, **case.ratios}),
    )


def _told(records: SeasonRecords, season: Season, queue: Sequence[QueueBlock], certainty: float) -> Json:
    seed, must = seed_of(records.season.id), records.season.must_finish_on
    finish = queue_forecast(season, queue, seed=seed, draws=DRAWS).farm
    sure_by = finish.day(certainty)
    return {
        "finish": finish_json(finish),
        "sure_by": sure_by.isoformat() if sure_by else None,
        "chance": finish.chance(must),
        "short_people": short_people(season, queue, finish, Sought(must, certainty, seed, DRAWS)),
    }
