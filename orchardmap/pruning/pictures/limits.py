"""The limits of a point as a picture shows them."""

from dataclasses import dataclass
from fractions import Fraction

__all__ = ["Limits"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Inclusive limits in the unit of the point, each None where there is none."""

    low: float | None = None
    high: float | None = None

    def words(self, unit: str = "") -> str:
        """Return the limits in figures and signs alone, empty where there are none."""
        if self.low is not None and self.high is not None:
            both = _figure(self.low), _figure(self.high)
            return "\N{EN DASH}".join(dict.fromkeys(both)) + unit
        if self.low is not None:
            return f"\N{GREATER-THAN OR EQUAL TO} {_figure(self.low)}{unit}"
        if self.high is not None:
            return f"\N{LESS-THAN OR EQUAL TO} {_figure(self.high)}{unit}"
        return ""

    def count(self, usual: int, *, most: int, least: int = 1) -> int:
        """Return how many to draw: the middle of the limits, rounded up, within what a picture holds."""
        given = [value for value in (self.low, self.high) if value is not None]
        wanted = -(-sum(given) // len(given)) if given else usual
        return int(min(max(wanted, least), most))

    def share(self, usual: Fraction) -> Fraction:
        """Return a ratio as a fraction of few parts, as people say it: a half, two thirds."""
        if self.high is None:
            return usual
        parts = Fraction(min(max(self.high, 0.1), 0.9))
        return next(
            near
            for most in range(2, 11)
            if abs((near := parts.limit_denominator(most)) - parts) <= 0.01 or most == 10
        )


def _figure(value: float) -> str:
    return f"{round(value, 2):g}"
