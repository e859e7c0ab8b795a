"""How many people each crew has, and how it does at each bearing habit: its pace, and its faulty trees where enough were looked at."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.orchard import Habit, Variety
from orchardmap.planning.pace import PacePrior, Work, fitted_pace
from orchardmap.planning.pace_days import pace_days
from orchardmap.planning.work_ahead import Skill
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection
from orchardmap.usecases.crew_quality import first_looks, looks_in_blocks
from orchardmap.usecases.crew_sizes import gone_since, usual_people
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.season_records import SeasonRecords

__all__ = ["crew_people", "crew_skills", "said_people"]

FIRST_PACE = 9.0
"""Trees per person-hour where nobody said and nothing was pruned yet: 67 to 81 a person-day (Ela Family Farms 2015, trade.md 2.2)."""
ENOUGH_CHECKS = 30
"""Trees of a crew and a habit that must be looked at before their faults count. A first guess of ours."""
_HABITS: tuple[Habit, ...] = ("spur", "tip", "both", "unknown")


def crew_people(conn: Connection, records: SeasonRecords, today: date) -> dict[str, int]:
    """Return the people of each crew: those that something tells (see `said_people`), else as many as the others have."""
    said = said_people(conn, records, today)
    known = [n for n in said.values() if n]
    others = round(sum(known) / len(known)) if known else 1
    return {crew.id: said.get(crew.id, others) for crew in records.crews}


def said_people(conn: Connection, records: SeasonRecords, today: date) -> dict[str, int]:
    """Return the people of each crew of which they are told: as said for today, else as the forecast reckons, else those entered.

    A crew that is away today has the people that it comes back with: it is nobody only where it is away to the end.
    """
    found = dict.fromkeys(gone_since(records, today), 0)
    found |= {crew: round(n) for crew, n in usual_people(records, today).items()}
    must = records.season.must_finish_on
    spans = (one for one in records.strengths if one.first <= today <= one.last)
    found |= {one.crew_id: one.people for one in spans if one.people or one.last >= must}
    entered = Counter(person.crew_id for person in farm_store.people(conn, records.farm.id))
    return {
        crew.id: found.get(crew.id, entered[crew.id])
        for crew in records.crews
        if crew.id in found or entered[crew.id]
    }


def crew_skills(
    conn: Connection, at: Moment, records: SeasonRecords
) -> tuple[dict[str, dict[Habit, Skill]], dict[Habit, Skill]]:
    """Return each crew's skill at the habits that it has pruned, and the usual one at every habit."""
    calendar = records.calendar or SeasonCalendar()
    varieties = {variety.id: variety for variety in farm_store.varieties(conn, at.farm.id)}
    habit: dict[str, Habit] = {one.id: one.habit for one in varieties.values()}
    trees: dict[date, dict[Work, float]] = {}
    for day, of in records.credited.items():
        told: dict[Work, float] = defaultdict(float)
        for work, n in of.items():
            told[work._replace(variety=habit.get(work.variety, "unknown"))] += n
        trees[day] = told
    expected = calendar.expected_pace or _mean_pace(records) or FIRST_PACE
    told_days = pace_days(
        trees, records.hours, PacePrior(expected), lambda _day, _crew, n: n * calendar.hours_per_day
    )
    # a crew's way of pruning is part of how fast it is
    days = [replace(one, work=Work(one.work.crew, one.work.variety)) for one in told_days]
    known = sorted({(one.work.crew, one.work.variety) for one in days})
    works = [Work(crew, one) for crew, one in known] + [Work("", one) for one in _HABITS]
    paces = dict(
        zip(works, fitted_pace(days, works, PacePrior(expected)).interval()[0].tolist(), strict=True)
    )
    faulty, usual_faulty = _faulty(conn, at, records, varieties)
    skills: dict[str, dict[Habit, Skill]] = defaultdict(dict)
    usual = {one: Skill(paces[Work("", one)], usual_faulty.get(one, 0.0)) for one in _HABITS}
    for crew, one in ((crew, one) for crew, told in known for one in _HABITS if one == told):
        share = faulty.get((crew, one), usual[one].faulty_share)
        skills[crew][one] = Skill(paces[Work(crew, one)], share)
    return skills, usual


def _mean_pace(records: SeasonRecords) -> float:
    """Return the trees of a person-hour over all days that have both; 0 for none."""
    days = {one.day for one in records.hours}
    trees = sum(n for day, of in records.credited.items() if day in days for n in of.values())
    hours = sum(one.person_hours for one in records.hours if one.day in records.credited)
    return trees / hours if hours else 0.0


def _faulty(
    conn: Connection, at: Moment, records: SeasonRecords, varieties: Mapping[str, Variety]
) -> tuple[dict[tuple[str, str], float], dict[str, float]]:
    """Return the share of faulty trees of each crew and habit of which enough were looked at, and of each habit."""
    checked: Counter[tuple[str, str]] = Counter()
    faulty: Counter[tuple[str, str]] = Counter()
    blocks = {block.id: block for block in records.blocks}
    for one in looks_in_blocks(first_looks(conn, at), blocks, varieties):
        for key in ((one.crew_id, one.habit), ("", one.habit)):
            checked[key] += one.checked
            faulty[key] += one.faulty
    shares = {key: faulty[key] / n for key, n in checked.items() if n >= ENOUGH_CHECKS}
    usual = {habit: share for (crew, habit), share in shares.items() if not crew}
    return {key: share for key, share in shares.items() if key[0]}, usual
