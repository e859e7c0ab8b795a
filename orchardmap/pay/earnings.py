"""Pay of a period: crews earn, people share, then rest time, the floor and overtime person by person."""

from collections import defaultdict
from datetime import date

from orchardmap.pay.crew_pay import crew_earnings
from orchardmap.pay.lines import LINE_KINDS, CrewLine, FloorTest, Notice, OvertimeWeek, Pay, PayLine
from orchardmap.pay.person_pay import floor_tests, overtime_weeks, rest_lines, spans
from orchardmap.pay.terms import PayTerms
from orchardmap.pay.worked import Hours, PayWork, PersonDay, person_days

__all__ = ["pay"]


def pay(work: PayWork, terms: PayTerms) -> Pay:
    """Return what everybody is paid for a period.

    Parameters
    ----------
    work : PayWork
        Of the period. Where the terms reckon by weeks (`PayTerms.has_weeks`), give whole weeks: a week that is cut is reckoned as it
        stands.
    terms : PayTerms

    Returns
    -------
    Pay
        The same whatever the order of what is given.

    Raises
    ------
    InputError
        If somebody's day has more than 24 hours.

    Examples
    --------
    Two people share 300 trees at 0.50, five hours to three; the one with five would earn 60.00 by a minimum wage of 12.00, so
    nothing is topped up:

    >>> from decimal import Decimal
    >>> from orchardmap.pay.credit import Credit
    >>> from orchardmap.pay.money import Currency
    >>> from orchardmap.pay.rates import Rate, Wage
    >>> monday = date(2026, 1, 12)
    >>> hours = [Hours("Ana", "A", monday, Decimal(5)), Hours("Ben", "A", monday, Decimal(3))]
    >>> terms = PayTerms(Currency("GBP"), (Rate("tree", Decimal("0.50")),), (Wage(Decimal("12.00")),))
    >>> made = pay(PayWork((Credit("A", monday, 300),), tuple(hours)), terms)
    >>> [(line.person_id, line.kind, str(line.amount)) for line in made.lines]
    [('Ana', 'trees', '93.75'), ('Ben', 'trees', '56.25')]
    """
    found = crew_earnings(work, terms)
    days = list(person_days(work.hours).values())
    if terms.rest.is_paid:
        entries: dict[tuple[str, date], list[Hours]] = defaultdict(list)
        for one in work.hours:
            entries[one.person_id, one.day].append(one)
        rests = [
            rest_lines(span, entries, terms) for span in spans(days, found.lines, terms, terms.rest.over)
        ]
        found.lines += [line for lines in rests for line in lines]
    tests: list[FloorTest] = []
    if terms.wages:
        tests, top_ups, missing = floor_tests(spans(days, found.lines, terms, terms.floor_period), terms)
        found.lines += top_ups
        found.missing |= missing
    weeks: list[OvertimeWeek] = []
    if terms.overtime is not None:
        weeks, premiums = overtime_weeks(spans(days, found.lines, terms, "week"), terms.overtime, terms)
        found.lines += premiums
    if terms.has_weeks:
        found.notices |= _unnamed_weeks(days, terms)
    return Pay(
        lines=tuple(sorted(found.lines, key=_line_order)),
        crew_lines=tuple(sorted(found.crew_lines, key=_crew_line_order)),
        unshared=tuple(sorted(found.unshared, key=_crew_line_order)),
        floor_tests=tuple(tests),
        overtime=tuple(weeks),
        missing=tuple(
            sorted(found.missing, key=lambda one: (one.what, one.day, one.variety or "", one.method or ""))
        ),
        notices=tuple(sorted(found.notices, key=lambda one: (one.day, one.crew_id, one.code, one.person_id))),
    )


def _unnamed_weeks(days: list[PersonDay], terms: PayTerms) -> set[Notice]:
    return {
        Notice("week_of_unnamed", terms.start_of(one.day, "week"), next(iter(one.crew_hours)))
        for one in days
        if not one.is_named
    }


def _line_order(one: PayLine) -> tuple[object, ...]:
    return (
        one.person_id, one.day, LINE_KINDS.index(one.kind), one.crew_id, one.variety or "", one.method or "",
        one.is_return, one.rate, one.hours,
    )  # fmt: skip


def _crew_line_order(one: CrewLine) -> tuple[object, ...]:
    return (one.crew_id, one.day, one.kind, one.variety or "", one.method or "", one.is_return)
