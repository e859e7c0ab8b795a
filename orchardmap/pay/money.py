"""Money that adds up: exact until it is paid, rounded once, split without losing a cent.

Rates and hours come as `Decimal`, which holds what somebody typed. In between everything is a `Fraction`, because a share of hours or a
regular rate has no last decimal. What is paid is a `Decimal` again, a whole number of steps: sums of those are exact.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal, get_args

from orchardmap.errors import InputError

__all__ = ["ROUNDING_RULES", "Currency", "Rounding", "RoundingRule", "shares"]

RoundingRule = Literal["half_up", "half_even", "up"]
ROUNDING_RULES: tuple[RoundingRule, ...] = get_args(RoundingRule)
_MOST_DIGITS = 4  # ISO 4217 knows no currency with more


@dataclass(frozen=True, slots=True)
class Currency:
    """What a farm pays in. A setting: no currency is assumed."""

    code: str
    """As it stands on the sheets, such as GBP."""
    minor_digits: int = 2
    """Decimals of the smallest coin: 2 for cents, 0 where there are none."""

    def __post_init__(self) -> None:
        if not 0 <= self.minor_digits <= _MOST_DIGITS:
            raise InputError(
                f"It is {self.minor_digits}.",
                where="minor_digits",
                todo=f"Give 0 to {_MOST_DIGITS} decimals.",
            )

    @property
    def minor_unit(self) -> Decimal:
        """The smallest coin."""
        return Decimal(1).scaleb(-self.minor_digits)


@dataclass(frozen=True, slots=True)
class Rounding:
    """How an amount becomes one that can be paid."""

    step: Decimal
    """What every amount is a whole number of: the smallest coin, or 0.05."""
    rule: RoundingRule = "half_up"
    """A half goes away from zero, or to the even step; ``up`` takes whatever is over to the next step."""

    def __post_init__(self) -> None:
        if not self.step > 0:
            raise InputError(
                f"It is {self.step}.", where="rounding_step", todo="Give a step above 0, such as 0.01."
            )

    def rounded(self, exact: Fraction) -> Decimal:
        """Return an amount as it is paid.

        Parameters
        ----------
        exact : Fraction
            In the currency's main unit.

        Returns
        -------
        Decimal
            A whole number of steps, with the decimals of the step.

        Examples
        --------
        >>> half = Fraction("2.5")
        >>> [str(Rounding(Decimal(1), rule).rounded(half)) for rule in ROUNDING_RULES]
        ['3', '2', '3']
        """
        steps = exact / Fraction(self.step)
        if self.rule == "up":
            whole = math.ceil(steps)
        elif self.rule == "half_even":
            whole = round(steps)
        else:
            whole = math.floor(abs(steps) + Fraction(1, 2)) * (1 if steps >= 0 else -1)
        return whole * self.step


def shares(total: Decimal, weights: Sequence[Fraction], step: Decimal, *, turn: int = 0) -> list[Decimal]:
    """Split an amount by weights so that the parts add up to it exactly: by largest remainder.

    Parameters
    ----------
    total : Decimal
        A whole number of steps.
    weights : sequence of Fraction, unitless
        At least one, none below 0, such as hours; parts are equal where all are 0.
    step : Decimal
        Each part is a whole number of these, less than one away from its exact share.
    turn : int
        With whom of equal remainders it begins: whoever asks with 0, 1, 2 ... from day to day gives each of them as many steps.

    Returns
    -------
    list of Decimal
        In the order of the weights. Steps left over go to the largest remainders.

    Examples
    --------
    >>> [str(part) for part in shares(Decimal("100.00"), [Fraction(1)] * 3, Decimal("0.01"))]
    ['33.34', '33.33', '33.33']
    >>> [str(part) for part in shares(Decimal("100.00"), [Fraction(1)] * 3, Decimal("0.01"), turn=1)]
    ['33.33', '33.34', '33.33']
    """
    steps = Fraction(total) / Fraction(step)
    whole = sum(weights)
    exact = [steps * weight / whole if whole else steps / len(weights) for weight in weights]
    parts = [math.floor(one) for one in exact]
    left_over = int(steps) - sum(parts)
    by_remainder: dict[Fraction, list[int]] = defaultdict(list)
    for at, one in enumerate(exact):
        by_remainder[one - parts[at]].append(at)
    for remainder in sorted(by_remainder, reverse=True):
        alike = by_remainder[remainder]
        begin = turn % len(alike)
        for at in (alike[begin:] + alike[:begin])[:left_over]:
            parts[at] += 1
        left_over = max(0, left_over - len(alike))
    return [part * step for part in parts]
