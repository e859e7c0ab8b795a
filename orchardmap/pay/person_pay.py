"""What is reckoned person by person, once it is known what each one earned: rest time, the floor, overtime."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from orchardmap.pay.lines import FloorTest, LineKind, Missing, OvertimeWeek, PayLine, total
from orchardmap.pay.rates import valid_wage
from orchardmap.pay.terms import Overtime, PayTerms, Period
from orchardmap.pay.worked import Hours, PersonDay

__all__ = ["Span", "floor_tests", "overtime_weeks", "rest_lines", "spans"]

_EARNED: tuple[LineKind, ...] = ("trees", "hours", "other")


@dataclass(frozen=True, slots=True)
class Span:
    """A person's day or week: days with hours, and the lines that fall on them."""

    person_id: str
    first: date
    period: Period
    days: tuple[PersonDay, ...]
    lines: tuple[PayLine, ...]

    @property
    def hours(self) -> Fraction:
        """Worked, rest apart."""
        return sum((one.hours for one in self.days), Fraction(0))

    @property
    def rest_hours(self) -> Fraction:
        """Of rest."""
        return sum((one.rest_hours for one in self.days), Fraction(0))

    @property
    def crew_id(self) -> str:
        """The crew with most of the hours."""
        by_crew: dict[str, Fraction] = defaultdict(Fraction)
        for day in self.days:
            for crew_id, hours in day.crew_hours.items():
                by_crew[crew_id] += hours
        return min(by_crew, key=lambda crew_id: (-by_crew[crew_id], crew_id))


def spans(
    days: Collection[PersonDay], lines: Sequence[PayLine], terms: PayTerms, period: Period
) -> list[Span]:
    """Return the days or weeks of people in which they have hours, by person and day."""
    own_days: dict[tuple[str, date], list[PersonDay]] = defaultdict(list)
    for one in days:
        own_days[one.person_id, terms.start_of(one.day, period)].append(one)
    own_lines: dict[tuple[str, date], list[PayLine]] = defaultdict(list)
    for line in lines:
        own_lines[line.person_id, terms.start_of(line.day, period)].append(line)
    return [Span(*key, period, tuple(own_days[key]), tuple(own_lines[key])) for key in sorted(own_days)]


def rest_lines(
    week_or_day: Span, hours: Mapping[tuple[str, date], Sequence[Hours]], terms: PayTerms
) -> list[PayLine]:
    """Return what somebody's rest time brings, by day and crew.

    Parameters
    ----------
    week_or_day : Span
        With all lines that rest does not depend on.
    hours : mapping of (str, date) to sequence of Hours
        Entries by person and day.
    terms : PayTerms

    Returns
    -------
    list of PayLine
        At the greater of that day's minimum wage and what the span earned by hours worked.
    """
    earned = Fraction(total(week_or_day.lines, *_EARNED, "bonus"))
    regular = earned / week_or_day.hours if week_or_day.hours else Fraction(0)
    made = []
    for day in week_or_day.days:
        wage = valid_wage(terms.wages, day.day)
        rate = max(regular, Fraction(wage.per_hour) if wage else Fraction(0))
        by_crew: dict[str, Fraction] = defaultdict(Fraction)
        for entry in hours[day.person_id, day.day]:
            by_crew[entry.crew_id] += entry.rest_hours
        made += [
            PayLine(day.person_id, crew_id, day.day, "rest", terms.paid.rounded(rate * rest), rest, rate)
            for crew_id, rest in by_crew.items()
            if rest
        ]
    return made


def floor_tests(
    found: Sequence[Span], terms: PayTerms
) -> tuple[list[FloorTest], list[PayLine], set[Missing]]:
    """Hold what people earned against the minimum wage.

    Parameters
    ----------
    found : sequence of Span
        Of the floor's period, with all that was earned.
    terms : PayTerms

    Returns
    -------
    tuple of (list of FloorTest, list of PayLine, set of Missing)
        A line for each top-up above 0. Spans with a day on which no wage holds are not tested.
    """
    kinds = (
        _EARNED + (("bonus",) if terms.bonus_in_floor else ()) + (("rest",) if terms.rest.in_floor else ())
    )
    tests, lines, missing = [], [], set()
    for span in found:
        exact = Fraction(0)
        for day in span.days:
            wage = valid_wage(terms.wages, day.day)
            if wage is None:
                missing.add(Missing("minimum_wage", day.day))
            else:
                exact += Fraction(wage.per_hour) * _counted(day, terms)
        hours = sum((_counted(day, terms) for day in span.days), Fraction(0))
        floor, earned = terms.paid.rounded(exact), total(span.lines, *kinds)
        top_up = max(floor - earned, Decimal(0))
        tests.append(FloorTest(span.person_id, span.first, span.period, hours, earned, floor, top_up))
        if top_up:
            lines.append(
                PayLine(
                    span.person_id,
                    span.crew_id,
                    span.first,
                    "top_up",
                    top_up,
                    hours,
                    Fraction(0),
                    span.period,
                )
            )
    return tests, lines, missing


def _counted(day: PersonDay, terms: PayTerms) -> Fraction:
    return day.hours + (day.rest_hours if terms.rest.in_floor else 0)


def overtime_weeks(
    weeks: Sequence[Span], rule: Overtime, terms: PayTerms
) -> tuple[list[OvertimeWeek], list[PayLine]]:
    """Return the weeks of people with hours above the limit, and the premium for each.

    Parameters
    ----------
    weeks : sequence of Span
        With everything that was earned, top-ups included.
    rule : Overtime
    terms : PayTerms

    Returns
    -------
    tuple of (list of OvertimeWeek, list of PayLine)
    """
    found, lines = [], []
    for week in weeks:
        hours = week.hours + week.rest_hours
        over = hours - Fraction(rule.after_hours)
        if over <= 0:
            continue
        earned = total(week.lines)
        regular = Fraction(earned) / hours
        rate = regular * Fraction(rule.premium)
        premium = terms.paid.rounded(rate * over)
        found.append(OvertimeWeek(week.person_id, week.first, hours, earned, regular, over, premium))
        lines.append(
            PayLine(week.person_id, week.crew_id, week.first, "overtime", premium, over, rate, "week")
        )
    return found, lines
