"""What a run of days comes to: reckoned from the records that stand, less what was paid before."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.pay import KeptRules, PayRun
from orchardmap.model.season import Season
from orchardmap.pay.credit import HeldTrees
from orchardmap.pay.earnings import pay
from orchardmap.pay.kept_lines import KeptLine, digest_of, line_from_json, line_json, owed, paid_so_far
from orchardmap.pay.kept_sheet import floor_json, hours_json
from orchardmap.pay.lines import CrewLine, LineKey, Pay
from orchardmap.pay.terms import PayTerms, Period
from orchardmap.pay.worked import PayWork
from orchardmap.store import farm as farm_store
from orchardmap.store import pay as pay_store
from orchardmap.store.session import Connection
from orchardmap.usecases.moments import Moment, current_season
from orchardmap.usecases.pay_rules import terms_of
from orchardmap.usecases.pay_work import SeasonWork, season_work

__all__ = ["Reckoned", "RunDays", "reckoned"]

_WEEK = timedelta(days=6)


@dataclass(frozen=True, slots=True)
class RunDays:
    """Days of a run, both included, of one crew or of all."""

    first: date
    last: date
    crew_id: str | None = None

    def holds(self, crew_id: str, day: date) -> bool:
        """Tell whether a crew's day is among them."""
        return self.first <= day <= self.last and self.crew_id in {None, crew_id}

    def meets(self, first: date, period: Period) -> bool:
        """Tell whether any of them is in a day or week."""
        end = first + (_WEEK if period == "week" else timedelta(0))
        return self.first <= end and first <= self.last

    def touches(self, key: LineKey) -> bool:
        """Tell whether any of them is among the days that a line is for."""
        return self.meets(key.day, key.period) and self.crew_id in {None, key.crew_id}


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What a run would pay now."""

    days: RunDays
    season_id: str
    rules: KeptRules
    terms: PayTerms | None
    """None where nobody said what the farm pays by: then there is nothing else."""
    earlier: tuple[PayRun, ...]
    work: SeasonWork
    pay: Pay
    """Of these days alone."""
    all_pay: Pay
    """Of these and of all that were paid before; its sums are what all runs will have paid."""
    lines: tuple[KeptLine, ...]
    """What this run adds."""

    @property
    def lines_json(self) -> list[dict[str, Any]]:
        """The lines as they would be kept."""
        return [line_json(one) for one in self.lines]

    @property
    def sheet_json(self) -> dict[str, Any]:
        """What sheets tell beside the lines, as it would be kept."""
        hours = self.new_work.hours
        tests = [one for one in self.all_pay.floor_tests if self.days.meets(one.first, one.period)]
        return {
            "hours": [
                hours_json(one)
                for one in sorted(hours, key=lambda one: (one.day, one.crew_id, one.person_id))
            ],
            "floor_tests": [floor_json(one) for one in tests],
        }

    @property
    def digest(self) -> str:
        """By this somebody who saw it names what is to be exported."""
        return digest_of([self.lines_json, self.sheet_json])

    @property
    def held(self) -> list[HeldTrees]:
        """Trees of these days that wait for a manager."""
        return [
            one
            for one in self.work.trees.held
            if any(self.days.holds(crew, day) for crew in one.crew_ids for day in one.days)
        ]

    def _was_paid(self, crew_id: str, day: date) -> bool:
        return any(
            RunDays(one.first_day, one.last_day, one.crew_id).holds(crew_id, day) for one in self.earlier
        )

    @property
    def new_work(self) -> PayWork:
        """Work of the days that no earlier run holds: hours and trees beside money that is paid for other days would mislead."""
        return self.work.within(
            lambda crew, day: self.days.holds(crew, day) and not self._was_paid(crew, day)
        )

    @property
    def left_out(self) -> list[date]:
        """Days with work before these that no run holds: nobody is paid them unless somebody is told."""
        before = self.work.within(
            lambda crew, day: (
                day < self.days.first and self.days.crew_id in {None, crew} and not self._was_paid(crew, day)
            )
        )
        return sorted({day for _, day in before.units})

    @property
    def unshared(self) -> list[CrewLine]:
        """What crews earned on days of which nobody's hours are known."""
        return list(self.pay.unshared)


def reckoned(conn: Connection, at: Moment, days: RunDays) -> Reckoned:
    """Return what a run of some days would pay.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        The farm, and its day.
    days : RunDays

    Returns
    -------
    Reckoned

    Raises
    ------
    InputError
        If the days run backwards, are to come, or belong to two seasons.
    UnknownError
        If the farm has no such crew, or no season.
    """
    season = _season_of(conn, at, days)
    crews = {crew.id for crew in farm_store.crews(conn, at.farm.id)}
    if days.crew_id is not None and days.crew_id not in crews:
        raise UnknownError("no such crew on this farm", where=days.crew_id)
    rules = pay_store.kept_rules(conn, at.farm.id)
    terms = terms_of(rules)
    earlier = pay_store.runs(conn, season.id)
    # as of today, whatever the days: a verdict or a settlement that came later counts
    whole = replace(at, season=season, day=at.today)
    work = season_work(conn, whole, with_bonus=terms is not None and terms.bonus_per_tree > 0)
    own, everything, lines = Pay(), Pay(), []
    if terms is not None:
        spans = [RunDays(one.first_day, one.last_day, one.crew_id) for one in earlier]
        own = pay(work.within(days.holds), terms)
        everything = pay(
            work.within(lambda crew, day: any(one.holds(crew, day) for one in (*spans, days))), terms
        )
        lines = _owed(everything, earlier, spans, days)
    return Reckoned(days, season.id, rules, terms, tuple(earlier), work, own, everything, tuple(lines))


def _owed(
    everything: Pay, earlier: Sequence[PayRun], spans: Sequence[RunDays], days: RunDays
) -> list[KeptLine]:
    """Return what the run adds: of one crew's run the lines of everybody who has any with that crew."""
    paid = paid_so_far(line_from_json(said) for run in earlier for said in run.lines)
    found = owed(everything.lines, paid, lambda key: any(one.touches(key) for one in spans))
    if days.crew_id is None:
        return found
    keys = {*paid, *(line.key for line in everything.lines)}
    people = {key.person_id for key in keys if key.crew_id == days.crew_id}
    return [one for one in found if one.line.person_id in people]


def _season_of(conn: Connection, at: Moment, days: RunDays) -> Season:
    if days.last < days.first:
        raise InputError("the last day comes before the first", where="last", todo="Turn the days round.")
    if days.last > at.today:
        raise InputError("the last day is still to come", where="last", todo="Pay what was worked.")
    seasons = farm_store.seasons(conn, at.farm.id)
    season, end = current_season(seasons, days.first), current_season(seasons, days.last)
    if season is None or end is None:
        raise UnknownError("the farm has no season yet", where="season", todo="Open one in Set-up.")
    if season.id != end.id:
        raise InputError(
            "the days belong to two seasons",
            where="first",
            todo=f"Begin with {end.opens_on}, or end on the day before.",
        )
    return season
