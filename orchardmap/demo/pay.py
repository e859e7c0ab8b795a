"""What the invented farm pays by, hours of its people, and runs that were paid: every amount is made up, in a currency that nobody has."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from orchardmap.demo.ids import uuid7
from orchardmap.demo.season import moment, opens_on
from orchardmap.demo.work import CrewAtWork, minutes_a_tree
from orchardmap.model.people import Person
from orchardmap.store import crew_days as crew_day_store
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.usecases import pay_rules, pay_runs
from orchardmap.usecases.crew_days import standing_crew_days
from orchardmap.usecases.pay_reckoning import RunDays
from orchardmap.usecases.pay_rules import Doer
from orchardmap.usecases.person_hours import TypedHours, hours_json, type_hours

CURRENCY = "XTS"
"""ISO 4217's code for tests: amounts in it are nobody's."""
HOUR_AT_TREES = 22.0  # invented: what an hour at the trees brings by the rates below
HOUR_AT_LEAST = "12.00"  # invented
BUDGET_PER_TREE = "2.40"  # invented
RATE_STEP = 0.05
REST_MIN = 20
PAID_WEEKS = (4, 2)
"""Weeks of the first locked run, and of the second one, which carries a correction to the first."""


@dataclass(frozen=True, slots=True)
class Payday:
    """Whose pay it is: the farm and its season at work."""

    farm_id: str
    season_id: str
    crews: Sequence[CrewAtWork]
    variety_ids: dict[str, str]
    """Name -> id."""
    today: date
    now: datetime


def pay_people(store: Store, about: Payday, rng: np.random.Generator) -> None:
    """Enter rules, a budget and hours up to last week's end; lock two runs, of which the second corrects the first.

    Hours of this week are still to be typed, so its crews share alike.
    """
    opening = opens_on(about.today)
    begins = Doer(None, "shell", moment(opening, 0.0))
    pay_rules.save_rules(store, farm_id=about.farm_id, rules=_rules(about), revision=0, by=begins)
    pay_rules.save_budget(store, farm_id=about.farm_id, amount=BUDGET_PER_TREE, is_per_tree=True, by=begins)
    entries = _hours(store, about, rng)
    paid, more = PAID_WEEKS
    first = RunDays(opening, opening + timedelta(weeks=paid, days=-1))
    second = RunDays(first.last + timedelta(days=1), first.last + timedelta(weeks=more))
    for week in range((about.today - opening).days // 7):
        start = opening + timedelta(weeks=week)
        own = [one for one in entries if start <= one.day < start + timedelta(weeks=1)]
        at = moment(start + timedelta(weeks=1), 0.5)
        if own:
            type_hours(store, farm_id=about.farm_id, typed=own, now=at)
        for run in (first, second):
            if start + timedelta(days=6) == run.last:
                if run is second:
                    _correct(store, about, first, at, rng)
                _export(store, about, run, at, rng)


def _rules(about: Payday) -> dict[str, Any]:
    """Return rates by variety and method, from how long a tree takes; and one a method for trees of any other variety."""
    minutes: dict[tuple[str | None, str], list[float]] = defaultdict(list)
    for crew in about.crews:
        for block in crew.blocks:
            method = crew.gang.method
            taken = minutes_a_tree(block.plot, crew.gang) * crew.gang.speed
            for variety in (about.variety_ids[block.plot.variety], None):
                minutes[variety, method].append(taken)
    rates = [
        {"per": "tree", "rate": _rate(float(np.mean(taken))), "variety": variety, "method": method}
        for (variety, method), taken in sorted(
            minutes.items(), key=lambda item: (item[0][0] or "~", item[0][1])
        )
    ]
    return {
        "currency": CURRENCY,
        "rates": rates,
        "minimum_wage": [{"per_hour": HOUR_AT_LEAST}],
        "rest_paid": True,
    }


def _rate(minutes: float) -> str:
    steps = max(1, round(minutes / 60.0 * HOUR_AT_TREES / RATE_STEP))
    return f"{steps * RATE_STEP:.2f}"


def _hours(store: Store, about: Payday, rng: np.random.Generator) -> list[TypedHours]:
    """Return hours of those who came, as many as the crew-days say: the foreman, and workers by lot."""
    with store.read() as conn:
        said = standing_crew_days(crew_day_store.counting_crew_days(conn, about.farm_id), about.season_id)
        people = farm_store.people(conn, about.farm_id)
    of_crew: dict[str, list[Person]] = defaultdict(list)
    for person in people:
        if person.crew_id is not None:
            of_crew[person.crew_id].append(person)
    made = []
    for one in said:
        there = sorted(of_crew[one.crew_id], key=lambda person: (person.role != "foreman", person.name))
        came = [0, *sorted(rng.permutation(np.arange(1, len(there)))[: one.people - 1].tolist())]
        made += [
            TypedHours(
                uuid7(moment(one.day, 10.0), rng), there[at].id, one.crew_id, one.day, one.hours, REST_MIN
            )
            for at in came
        ]
    return made


def _correct(store: Store, about: Payday, paid: RunDays, at: datetime, rng: np.random.Generator) -> None:
    """Take an hour off somebody's last day of a run that was paid."""
    there = hours_json(store, about.farm_id, first=paid.first, last=paid.last)["hours"]
    kept = next(one for one in reversed(there) if one["hours"] > 1)
    day = date.fromisoformat(kept["day"])
    shorter = TypedHours(
        uuid7(at, rng), kept["person_id"], kept["crew_id"], day, kept["hours"] - 1, REST_MIN, kept["id"]
    )
    type_hours(store, farm_id=about.farm_id, typed=[shorter], now=at)


def _export(store: Store, about: Payday, run: RunDays, at: datetime, rng: np.random.Generator) -> None:
    seen = pay_runs.preview(store, about.farm_id, run, now=at)["digest"]
    by = Doer(None, "shell", at)
    pay_runs.export_run(store, farm_id=about.farm_id, run_id=uuid7(at, rng), days=run, seen=seen, by=by)
