"""Pay as the answer of `calc pay`: totals, people with their days and weeks, crews, held trees, notices."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from orchardmap.pay.credit import CreditedTrees
from orchardmap.pay.lines import CrewLine, LineKind, Notice, NoticeCode, Pay, PayLine, total
from orchardmap.pay.terms import PayTerms
from orchardmap.pay.worked import PayWork, PersonDay, person_days

__all__ = ["pay_answer"]

_KEYS: dict[LineKind, str] = {
    "trees": "piece_pay",
    "hours": "hourly_pay",
    "other": "other_pay",
    "bonus": "bonus",
    "rest": "rest_pay",
    "top_up": "top_up",
    "overtime": "overtime_premium",
}
_NOTICES: dict[NoticeCode, str] = {
    "hours_without_pay": "These hours earned nothing by themselves: no trees, and no rate by the hour.",
    "trees_without_hours": "Nobody's hours are known for this day, so nobody is paid for its trees.",
    "hours_of_other_work": "Nobody has hours for trees of this variety and method; all who were there share them.",
    "week_of_unnamed": "People known by number only may be others on other days; weekly figures take them for the same.",
}
_CUT_WEEK = "The days given cut this week; floor, rest or overtime over it are reckoned from what is given."


def pay_answer(
    pay: Pay, work: PayWork, trees: CreditedTrees, terms: PayTerms, cut_weeks: Iterable[date] = ()
) -> dict[str, Any]:
    """Return pay as plain JSON.

    Parameters
    ----------
    pay : Pay
        Made from ``work`` by ``terms``.
    work : PayWork
    trees : CreditedTrees
        Whose credits are those of ``work``.
    terms : PayTerms
    cut_weeks : iterable of date
        First days of weeks of which some days are not in it.

    Returns
    -------
    dict
        Amounts are numbers in the currency's main unit, whole in its smallest coin; hours and rates have six decimals at most.
    """
    days = person_days(work.hours)
    people = sorted({one.person_id for one in work.hours} | {one.person_id for one in pay.lines})
    crews = sorted(
        {one.crew_id for one in trees.credits}
        | {crew_id for one in trees.held for crew_id in one.crew_ids}
        | {one.crew_id for one in work.hours}
        | {one.crew_id for one in work.bonus}
    )
    return {
        "currency": terms.currency.code or None,
        "totals": {
            "trees_done": trees.done,
            "trees_credited": sum(one.trees for one in trees.credits),
            "trees_held": sum(one.trees for one in trees.held),
            "trees_for_nobody": sum(one.trees for one in trees.for_nobody),
            **_time(days.values()),
            **_sums(pay.lines),
            "unshared": float(sum((one.amount for one in pay.unshared), Decimal(0))),
        },
        "people": [_person(one, pay, days, terms) for one in people],
        "crews": [_crew(one, pay, trees) for one in crews],
        "held": [
            {
                "block": one.block_id or None, "row": one.row or None, "first": one.first or None, "last": one.last or None,
                "trees": one.trees, "crews": list(one.crew_ids), "days": [day.isoformat() for day in one.days],
            }
            for one in trees.held
        ],
        "notices": [*(_notice(one) for one in pay.notices), *({"week_from": str(day), "says": _CUT_WEEK} for day in cut_weeks)],
    }  # fmt: skip


def _sums(lines: Iterable[PayLine]) -> dict[str, float]:
    found = list(lines)
    return {key: float(total(found, kind)) for kind, key in _KEYS.items()} | {"pay": float(total(found))}


def _time(days: Collection[PersonDay]) -> dict[str, float]:
    return {
        "hours": _number(sum((one.hours for one in days), Fraction(0))),
        "rest_h": _number(sum((one.rest_hours for one in days), Fraction(0))),
    }


def _person(
    person_id: str, pay: Pay, days: dict[tuple[str, date], PersonDay], terms: PayTerms
) -> dict[str, Any]:
    lines = pay.of_person(person_id)
    own_days = [one for (person, _), one in days.items() if person == person_id]
    weeks = sorted({terms.start_of(one.day, "week") for one in own_days}) if terms.has_weeks else []
    return {
        "person": person_id,
        **_time(own_days),
        **_sums(lines),
        "days": [_day(one, lines, pay) for one in own_days],
        "weeks": [_week(first, lines, pay, own_days, terms) for first in weeks],
        "lines": [_line(one) for one in lines],
    }


def _day(day: PersonDay, lines: Sequence[PayLine], pay: Pay) -> dict[str, Any]:
    own = [one for one in lines if one.period == "day" and one.day == day.day]
    return {
        "day": day.day.isoformat(),
        "crews": sorted(day.crew_hours),
        **_time([day]),
        **_sums(own),
        **_floor(pay, day.person_id, day.day, "day"),
    }


def _week(
    first: date, lines: Sequence[PayLine], pay: Pay, days: Sequence[PersonDay], terms: PayTerms
) -> dict[str, Any]:
    own = [one for one in lines if terms.start_of(one.day, "week") == first]
    in_week = [one for one in days if terms.start_of(one.day, "week") == first]
    person_id = in_week[0].person_id
    told = {
        "week_from": first.isoformat(),
        **_time(in_week),
        **_sums(own),
        **_floor(pay, person_id, first, "week"),
    }
    for one in pay.overtime:
        if (one.person_id, one.first) == (person_id, first):
            told |= {"regular_rate": _number(one.regular_rate), "overtime_h": _number(one.hours_over)}
    return told


def _floor(pay: Pay, person_id: str, first: date, period: str) -> dict[str, float]:
    return next(
        (
            {"floor_h": _number(one.hours), "floor_earned": float(one.earned), "floor": float(one.floor)}
            for one in pay.floor_tests
            if (one.person_id, one.first, one.period) == (person_id, first, period)
        ),
        {},
    )


def _line(one: PayLine) -> dict[str, Any]:
    told = {
        "day" if one.period == "day" else "week_from": one.day.isoformat(),
        "kind": _KEYS[one.kind],
        "crew": one.crew_id,
        "variety": one.variety,
        "method": one.method,
        "return": one.is_return or None,
        "hours": _number(one.hours),
        "rate": _number(one.rate) if one.rate else None,
    }
    if one.crew_trees:
        told |= {
            "crew_trees": one.crew_trees, "crew_hours": _number(one.crew_hours), "crew_amount": float(one.crew_amount),
        }  # fmt: skip
    return {key: value for key, value in told.items() if value is not None} | {"amount": float(one.amount)}


def _crew(crew_id: str, pay: Pay, trees: CreditedTrees) -> dict[str, Any]:
    own = [one for one in trees.credits if one.crew_id == crew_id]
    lines = pay.of_crew(crew_id)
    unshared = sum((one.amount for one in pay.unshared if one.crew_id == crew_id), Decimal(0))
    return {
        "crew": crew_id,
        "people": sorted({one.person_id for one in lines}),
        "trees": sum(one.trees for one in own),
        "trees_of_returns": sum(one.trees for one in own if one.return_id is not None),
        "trees_held": sum(one.trees for one in trees.held if crew_id in one.crew_ids),
        **_sums(lines),
        "unshared": float(unshared),
        "lines": [_crew_line(one) for one in pay.crew_lines if one.crew_id == crew_id],
    }


def _crew_line(one: CrewLine) -> dict[str, Any]:
    told = {
        "day": one.day.isoformat(), "kind": _KEYS[one.kind], "variety": one.variety, "method": one.method,
        "return": one.is_return or None, "trees": one.trees, "rate": float(one.rate), "amount": float(one.amount),
    }  # fmt: skip
    return {key: value for key, value in told.items() if value is not None}


def _notice(one: Notice) -> dict[str, Any]:
    told = {
        "day": one.day.isoformat(),
        "crew": one.crew_id,
        "person": one.person_id or None,
        "says": _NOTICES[one.code],
    }
    return {key: value for key, value in told.items() if value is not None}


def _number(exact: Fraction) -> float:
    return round(float(exact), 6)
