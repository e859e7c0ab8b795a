"""How a farm pays: every choice that a law, a contract or a custom makes is a setting here, and none has a legal figure as its default."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Literal, get_args

from orchardmap.errors import InputError
from orchardmap.pay.money import Currency, Rounding
from orchardmap.pay.rates import Rate, Wage, refuse_overlaps

__all__ = ["PERIODS", "Overtime", "PayTerms", "Period", "Rest"]

Period = Literal["day", "week"]
PERIODS: tuple[Period, ...] = get_args(Period)
_WEEKDAYS = 7


@dataclass(frozen=True, slots=True)
class Rest:
    """What becomes of rest minutes that were recorded beside the hours worked."""

    is_paid: bool = False
    """Paid as a line of its own, at the greater of the minimum wage and the regular rate; else they bring nothing by themselves."""
    over: Period = "day"
    """Over which the regular rate is reckoned: what was earned by the hours worked, rest apart."""
    in_floor: bool = True
    """Whether rest time and what it brings enter the floor test."""


@dataclass(frozen=True, slots=True)
class Overtime:
    """A premium on hours above so many a week, as a share of the week's regular rate."""

    after_hours: Decimal
    """In a week, hours and rest time together."""
    premium: Decimal
    """Share of the regular rate paid on top, 0.5 for half."""

    def __post_init__(self) -> None:
        for name, value in (
            ("overtime_after_h_per_week", self.after_hours),
            ("overtime_premium", self.premium),
        ):
            if value < 0:
                raise InputError(f"It is {value}.", where=name, todo="Give 0 or more.")


@dataclass(frozen=True, slots=True)
class PayTerms:
    """The terms of one farm."""

    currency: Currency
    rates: tuple[Rate, ...]
    wages: tuple[Wage, ...] = ()
    """Minimum wages; without any no floor is tested."""
    rounding: Rounding | None = None
    """None rounds halves up to the smallest coin."""
    floor_period: Period = "day"
    week_starts: int = 0
    """0 for Monday to 6 for Sunday."""
    returns_paid: bool = False
    """Whether trees gone over again are paid by the tree once more. Hours on them are paid as any."""
    bonus_per_tree: Decimal = Decimal(0)
    """For the trees of accepted lots."""
    bonus_in_floor: bool = False
    """Whether a bonus counts towards the minimum wage."""
    rest: Rest = Rest()
    overtime: Overtime | None = None

    def __post_init__(self) -> None:
        refuse_overlaps(self.rates, self.wages)
        if self.paid.step % self.currency.minor_unit:
            raise InputError(
                f"It is {self.paid.step}, and the smallest coin is {self.currency.minor_unit}.",
                where="rounding_step",
                todo="Give a step of whole coins.",
            )
        if self.bonus_per_tree < 0:
            raise InputError(f"It is {self.bonus_per_tree}.", where="bonus_per_tree", todo="Give 0 or more.")
        if not 0 <= self.week_starts < _WEEKDAYS:
            raise InputError(
                f"It is {self.week_starts}.", where="week_starts", todo="Give 0 (Monday) to 6 (Sunday)."
            )

    @property
    def paid(self) -> Rounding:
        """The rounding that holds."""
        return self.rounding or Rounding(self.currency.minor_unit)

    @property
    def has_weeks(self) -> bool:
        """Whether anything is reckoned over weeks, so that a pay period should not cut one."""
        return (
            (bool(self.wages) and self.floor_period == "week")
            or (self.rest.is_paid and self.rest.over == "week")
            or self.overtime is not None
        )

    def start_of(self, day: date, period: Period) -> date:
        """Return the first day of the day or week that a day belongs to."""
        return (
            day if period == "day" else day - timedelta(days=(day.weekday() - self.week_starts) % _WEEKDAYS)
        )
