"""`orchardmap calc pay`: from a job in JSON to what everybody is paid, without a database."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from orchardmap.errors import InputError
from orchardmap.jobs import answers_in_order
from orchardmap.model.people import METHODS, Method
from orchardmap.pay.answer import pay_answer
from orchardmap.pay.earnings import pay
from orchardmap.pay.fair_rate import fair_piece_rate
from orchardmap.pay.fields import Fields
from orchardmap.pay.job_trees import MARK_KEYS, ROW_KEYS, SETTLEMENT_KEYS, TREE_KEYS, trees_given
from orchardmap.pay.lines import Missing
from orchardmap.pay.money import ROUNDING_RULES, Currency, Rounding
from orchardmap.pay.terms import PayTerms
from orchardmap.pay.terms_json import TERM_KEYS, terms_from_json
from orchardmap.pay.worked import BonusTrees, Hours, PayWork, head_count

__all__ = ["calculated_pay", "calculated_pays"]

_FAIR_KEYS = ("wage", "average_trees", "factor", "rounding", "rounding_step", "minor_digits")
_WORK_KEYS = ("trees", "marks", "rows", "settlements", "hours", "accepted", "first", "last")
_HOURS_KEYS = ("day", "crew", "person", "people", "hours", "rest_minutes", "method", "variety", "rate")
_ACCEPTED_KEYS = ("day", "crew", "trees", "lot")
_MOST_PEOPLE = 1000
_NOTHING = Decimal(0)


def calculated_pays(document: object) -> dict[str, Any] | list[dict[str, Any]]:
    """Return the answer to whatever a job file holds: one job, or a list of them.

    Parameters
    ----------
    document : object
        Parsed JSON: a job (see `calculated_pay`) or a list.

    Returns
    -------
    dict or list of dict
        One answer, or a list of them in the same order.

    Raises
    ------
    InputError
        If a job cannot be answered; ``where`` names the job (from 1) and the key.
    """
    if isinstance(document, Mapping):
        return calculated_pay(document)
    return answers_in_order(document, calculated_pay)


def calculated_pay(job: object) -> dict[str, Any]:
    """Return what everybody is paid, or a fair piece rate.

    Parameters
    ----------
    job : mapping
        Keys as the help of ``orchardmap calc pay`` lists them: ``wage``, ``average_trees`` and ``factor`` for a fair piece rate,
        else terms of pay and work. Keys that are null count as left out.

    Returns
    -------
    dict

    Raises
    ------
    InputError
        If something is missing, unknown or cannot be used; ``where`` names the key.

    Examples
    --------
    >>> calculated_pay({"wage": 5.05, "average_trees": 10, "factor": 1.2})
    {'divisor': 8.333333, 'rate': 0.606, 'paid_rate': 0.61}
    """
    if isinstance(job, Mapping) and job.get("wage") is not None:
        return _fair_rate(Fields(job, _FAIR_KEYS))
    given = Fields(job, (*TERM_KEYS, *_WORK_KEYS))
    terms = terms_from_json({key: value for key, value in given.given.items() if key in TERM_KEYS})
    first, last = _period(given)
    trees = trees_given(
        given.objects("trees", TREE_KEYS),
        given.objects("marks", MARK_KEYS),
        given.objects("rows", ROW_KEYS),
        given.objects("settlements", SETTLEMENT_KEYS),
    ).within(first, last)
    hours = [one for fields in given.objects("hours", _HOURS_KEYS) for one in _hours(fields)]
    bonus = [_accepted(one) for one in given.objects("accepted", _ACCEPTED_KEYS)]
    work = PayWork(
        trees.credits,
        tuple(one for one in hours if first <= one.day <= last),
        tuple(one for one in bonus if first <= one.day <= last),
    )
    made = pay(work, terms)
    _refuse_missing(made.missing)
    return pay_answer(made, work, trees, terms, _cut_weeks(first, last, terms))


def _fair_rate(given: Fields) -> dict[str, Any]:
    trees, factor = given.number("average_trees"), given.number("factor")
    exact = fair_piece_rate(given.number("wage"), trees, factor)
    unit = Currency("", given.whole("minor_digits", 2)).minor_unit
    rounding = Rounding(given.number("rounding_step", unit), given.word("rounding", ROUNDING_RULES, "up"))
    paid = rounding.rounded(exact)
    return {
        "divisor": round(float(trees / factor), 6),
        "rate": round(float(exact), 6),
        "paid_rate": float(paid),
    }


def _period(given: Fields) -> tuple[date, date]:
    first, last = given.optional_day("first") or date.min, given.optional_day("last") or date.max
    if last < first:
        raise InputError(f"It is {last}, before the first day.", where="last", todo="Turn the days round.")
    return first, last


def _hours(given: Fields) -> Sequence[Hours]:
    crew_id, day, hours = given.text("crew"), given.day("day"), given.number("hours")
    method: Method | None = given.word("method", METHODS) if given.has("method") else None
    known = Hours(
        "", crew_id, day, hours, given.number("rest_minutes", _NOTHING), method, given.optional_text("variety"),
        given.number("rate") if given.has("rate") else None,
    )  # fmt: skip
    if given.has("people") == given.has("person"):
        raise given.placed(InputError("Give either person or people.", where="person"))
    if given.has("person"):
        return [replace(known, person_id=given.text("person"))]
    people = given.whole("people")
    if not 1 <= people <= _MOST_PEOPLE:
        raise given.placed(InputError(f"It is {people}.", where="people", todo=f"Give 1 to {_MOST_PEOPLE}."))
    counted = head_count(crew_id, day, people, hours, method)
    return [replace(known, person_id=one.person_id, is_named=False) for one in counted]


def _accepted(given: Fields) -> BonusTrees:
    return BonusTrees(
        given.text("crew"), given.day("day"), given.whole("trees"), given.optional_text("lot") or ""
    )


def _refuse_missing(missing: Sequence[Missing]) -> None:
    if not missing:
        return
    one = missing[0]
    if one.what == "rate":
        what = f"No rate holds for {one.variety or 'trees of no named variety'}, {one.method or 'no named method'}, on {one.day}."
        raise InputError(what, where="rates", todo="Add one, or one for every variety and method.")
    raise InputError(
        f"No minimum wage holds on {one.day}.", where="minimum_wage", todo="Add the one that does."
    )


def _cut_weeks(first: date, last: date, terms: PayTerms) -> list[date]:
    """Return the first days of weeks that the period cuts, where anything is reckoned by weeks."""
    if not terms.has_weeks:
        return []
    cut = set()
    if first != date.min and terms.start_of(first, "week") != first:
        cut.add(terms.start_of(first, "week"))
    if last != date.max and terms.start_of(last + timedelta(days=1), "week") != last + timedelta(days=1):
        cut.add(terms.start_of(last, "week"))
    return sorted(cut)
