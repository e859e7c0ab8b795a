"""The limits of a point as a picture shows them."""

from dataclasses import dataclass
from fractions import Fraction

__all__ = ["Limits"]

_SAID_IN_PARTS = 4
"""The most parts of which people say a ratio as a fraction: a half, two thirds, three quarters."""
_DRAWN_IN_PARTS = 8


@dataclass(frozen=True, slots=True)
class Limits:
    """Inclusive limits in the unit of the point, each None where there is none."""

    low: float | None = None
    high: float | None = None
    decimal_sign: str = "."

    def words(self, unit: str = "") -> str:
        """Return the limits in figures, empty where there are none."""
        # "at least" and "at most" without the signs of comparison: readers of the drawings did not know them
        if self.low is not None and self.high is not None:
            upto = "" if self.low == self.high else f"\N{EN DASH}{self.figure(self.high)}"
            return f"{self.figure(self.low)}{upto}{unit}"
        if self.low is not None:
            return f"{self.figure(self.low)}+{unit}"
        if self.high is not None:
            return f"0\N{EN DASH}{self.figure(self.high)}{unit}"
        return ""

    def over(self) -> str:
        """Return what is too much of a ratio, empty where there is no limit."""
        if self.high is None:
            return ""
        said = Fraction(self.high).limit_denominator(_SAID_IN_PARTS)
        is_said = said < 1 and abs(said - self.high) <= 0.01
        return f"> {said if is_said else self.figure(self.high)}"

    def ratio(self, usual: Fraction) -> Fraction:
        """Return the ratio to draw, in few parts and between a tenth and nine tenths."""
        if self.high is None:
            return usual
        return Fraction(min(max(self.high, 0.1), 0.9)).limit_denominator(_DRAWN_IN_PARTS)

    def count(self, usual: int, *, most: int, least: int = 1) -> int:
        """Return how many to draw: the middle of the limits, rounded up, within what a picture holds."""
        given = [value for value in (self.low, self.high) if value is not None]
        wanted = -(-sum(given) // len(given)) if given else usual
        return int(min(max(wanted, least), most))

    def figure(self, value: float) -> str:
        """Return a number to two places at most, with the decimal sign of the reader's language."""
        return f"{round(value, 2):.12g}".replace(".", self.decimal_sign)
