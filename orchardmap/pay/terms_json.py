"""A farm's terms of pay as JSON, and back: what is kept of them, and what a job of `calc pay` holds."""

from decimal import Decimal
from typing import Any

from orchardmap.errors import InputError
from orchardmap.model.people import METHODS
from orchardmap.pay.fields import Fields
from orchardmap.pay.money import ROUNDING_RULES, Currency, Rounding
from orchardmap.pay.rates import Rate, Validity, Wage
from orchardmap.pay.terms import PERIODS, Overtime, PayTerms, Rest

__all__ = ["TERM_KEYS", "terms_from_json", "terms_json"]

TERM_KEYS = (
    "currency", "minor_digits", "rounding", "rounding_step", "rates", "minimum_wage", "floor_period", "week_starts", "returns_paid",
    "bonus_per_tree", "bonus_in_floor", "rest_paid", "rest_rate_over", "rest_in_floor", "overtime_after_h_per_week",
    "overtime_premium",
)  # fmt: skip
_RATE_KEYS = ("per", "rate", "variety", "method", "first", "last")
_WAGE_KEYS = ("per_hour", "first", "last")
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def terms_from_json(document: object) -> PayTerms:
    """Return the terms that an object holds.

    Parameters
    ----------
    document : object
        With keys of `TERM_KEYS`; those left out or null have the first guesses of `PayTerms`, and no legal figure has one.

    Returns
    -------
    PayTerms

    Raises
    ------
    InputError
        If a key is not known or its value cannot be used, or rates share days; ``where`` names the key.

    Examples
    --------
    >>> terms_from_json({"rates": [{"per": "tree", "rate": 0.45}]}).rates[0].amount
    Decimal('0.45')
    """
    given = Fields(document, TERM_KEYS)
    currency = Currency(
        given.text("currency") if given.has("currency") else "", given.whole("minor_digits", 2)
    )
    return PayTerms(
        currency=currency,
        rates=tuple(_rate(one) for one in given.objects("rates", _RATE_KEYS)),
        wages=_wages(given),
        rounding=Rounding(
            given.number("rounding_step", currency.minor_unit),
            given.word("rounding", ROUNDING_RULES, "half_up"),
        ),
        floor_period=given.word("floor_period", PERIODS, "day"),
        week_starts=_WEEKDAYS.index(given.word("week_starts", _WEEKDAYS, "Monday")),
        returns_paid=given.flag("returns_paid", default=False),
        bonus_per_tree=given.number("bonus_per_tree", Decimal(0)),
        bonus_in_floor=given.flag("bonus_in_floor", default=False),
        rest=Rest(
            given.flag("rest_paid", default=False),
            given.word("rest_rate_over", PERIODS, "day"),
            given.flag("rest_in_floor", default=True),
        ),
        overtime=_overtime(given),
    )


def _rate(given: Fields) -> Rate:
    method = given.word("method", METHODS) if given.has("method") else None
    return Rate(
        given.word("per", ("tree", "hour")),
        given.number("rate"),
        given.optional_text("variety"),
        method,
        _validity(given),
    )


def _validity(given: Fields) -> Validity:
    first, last = given.optional_day("first"), given.optional_day("last")
    try:
        return Validity(first, last)
    except InputError as error:
        raise given.placed(error) from None


def _wages(given: Fields) -> tuple[Wage, ...]:
    if not isinstance(given.given.get("minimum_wage", []), list):
        return (Wage(given.number("minimum_wage")),)
    return tuple(
        Wage(one.number("per_hour"), _validity(one)) for one in given.objects("minimum_wage", _WAGE_KEYS)
    )


def _overtime(given: Fields) -> Overtime | None:
    if not given.has("overtime_after_h_per_week") and not given.has("overtime_premium"):
        return None
    return Overtime(given.number("overtime_after_h_per_week"), given.number("overtime_premium"))


def terms_json(terms: PayTerms) -> dict[str, Any]:
    """Return terms as an object that `terms_from_json` reads back as the same terms; exact numbers are text."""
    said: dict[str, Any] = {
        "currency": terms.currency.code or None,
        "minor_digits": terms.currency.minor_digits,
        "rounding": terms.paid.rule,
        "rounding_step": _text(terms.paid.step),
        "rates": [
            {
                "per": one.unit,
                "rate": _text(one.amount),
                "variety": one.variety,
                "method": one.method,
                **_days(one.validity),
            }
            for one in terms.rates
        ],
        "minimum_wage": [{"per_hour": _text(one.per_hour), **_days(one.validity)} for one in terms.wages],
        "floor_period": terms.floor_period,
        "week_starts": _WEEKDAYS[terms.week_starts],
        "returns_paid": terms.returns_paid,
        "bonus_per_tree": _text(terms.bonus_per_tree),
        "bonus_in_floor": terms.bonus_in_floor,
        "rest_paid": terms.rest.is_paid,
        "rest_rate_over": terms.rest.over,
        "rest_in_floor": terms.rest.in_floor,
    }
    if terms.overtime is not None:
        said["overtime_after_h_per_week"] = _text(terms.overtime.after_hours)
        said["overtime_premium"] = _text(terms.overtime.premium)
    return said


def _text(number: Decimal) -> str:
    return f"{number:f}"


def _days(validity: Validity) -> dict[str, str | None]:
    return {
        name: day.isoformat() if day else None
        for name, day in (("first", validity.first), ("last", validity.last))
    }
