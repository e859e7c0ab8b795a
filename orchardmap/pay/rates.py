"""Rates by variety and method with the days they hold on, and the one rate that holds for a piece of work."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import combinations
from typing import Literal

from orchardmap.errors import InputError
from orchardmap.model.people import Method

__all__ = ["Rate", "RateUnit", "Validity", "Wage", "refuse_overlaps", "valid_rate", "valid_wage"]

RateUnit = Literal["tree", "hour"]


@dataclass(frozen=True, slots=True)
class Validity:
    """Days on which something holds, both included."""

    first: date | None = None
    """None: always before."""
    last: date | None = None
    """None: until further notice."""

    def __post_init__(self) -> None:
        if self.first and self.last and self.last < self.first:
            raise InputError(
                f"It would end on {self.last}, before it begins on {self.first}.",
                where="last",
                todo="Turn the days round.",
            )

    def holds(self, day: date) -> bool:
        """Tell whether it holds on a day."""
        return (self.first is None or self.first <= day) and (self.last is None or day <= self.last)

    def meets(self, other: "Validity") -> bool:
        """Tell whether some day is in both."""
        starts = max(self.first or date.min, other.first or date.min)
        return starts <= min(self.last or date.max, other.last or date.max)

    def __str__(self) -> str:
        return f"{self.first or 'the beginning'} to {self.last or 'further notice'}"


@dataclass(frozen=True, slots=True)
class Rate:
    """What a tree or an hour is paid: for a variety and a method, or for any."""

    unit: RateUnit
    amount: Decimal
    """In the currency's main unit; it may be finer than the smallest coin."""
    variety: str | None = None
    """None for every variety."""
    method: Method | None = None
    """None for every method."""
    validity: Validity = Validity()

    def __post_init__(self) -> None:
        if self.amount < 0:
            raise InputError(f"It is {self.amount}.", where="rate", todo="Give 0 or more.")

    @property
    def of(self) -> str:
        """What it is for, in words."""
        return f"{self.variety or 'every variety'}, {self.method or 'every method'}"


@dataclass(frozen=True, slots=True)
class Wage:
    """The least that an hour must bring, as the farm enters it."""

    per_hour: Decimal
    validity: Validity = Validity()

    def __post_init__(self) -> None:
        if self.per_hour < 0:
            raise InputError(f"It is {self.per_hour}.", where="minimum_wage", todo="Give 0 or more.")


def refuse_overlaps(rates: Sequence[Rate], wages: Sequence[Wage] = ()) -> None:
    """Refuse rates of which it could not be said which one holds.

    Parameters
    ----------
    rates : sequence of Rate
        Two of one variety and method may not share a day, by the tree or by the hour.
    wages : sequence of Wage
        No two may share a day.

    Raises
    ------
    InputError
        If two share a day; it names both by their numbers from 1 and says on which days they hold.
    """
    for (a, one), (b, other) in combinations(enumerate(rates, 1), 2):
        if (one.variety, one.method) == (other.variety, other.method) and one.validity.meets(other.validity):
            raise InputError(
                f"Rates {a} and {b} are both for {one.of}, and share days ({one.validity}; {other.validity}).",
                where=f"rate {b}",
                todo="End the earlier one on the day before the later one begins.",
            )
    for (a, wage), (b, later) in combinations(enumerate(wages, 1), 2):
        if wage.validity.meets(later.validity):
            raise InputError(
                f"Minimum wages {a} and {b} share days ({wage.validity}; {later.validity}).",
                where=f"minimum wage {b}",
                todo="End the earlier one on the day before the later one begins.",
            )


def valid_rate(rates: Sequence[Rate], variety: str | None, method: Method | None, day: date) -> Rate | None:
    """Return the rate that holds for a piece of work: the most specific one.

    Parameters
    ----------
    rates : sequence of Rate
        Without overlaps.
    variety, method : str or None
        Of the work; None where it is not known, which only a rate for every one fits.
    day : date

    Returns
    -------
    Rate or None
        For variety and method; else for the variety by any method; else for the method in any variety; else for all. None where
        none holds on that day.

    Examples
    --------
    >>> gala = Rate("tree", Decimal("0.40"), variety="Gala")
    >>> ladder = Rate("tree", Decimal("0.50"), method="ladder")
    >>> valid_rate([ladder, gala], "Gala", "ladder", date(2026, 1, 12)).amount
    Decimal('0.40')
    """
    fitting = [
        one
        for one in rates
        if one.variety in {None, variety} and one.method in {None, method} and one.validity.holds(day)
    ]
    # a variety decides more of the work than what one stands on: small and large trees differ by more than ladder and platform do
    return max(fitting, key=lambda one: (one.variety is not None, one.method is not None), default=None)


def valid_wage(wages: Sequence[Wage], day: date) -> Wage | None:
    """Return the minimum wage that holds on a day, or None."""
    return next((one for one in wages if one.validity.holds(day)), None)
