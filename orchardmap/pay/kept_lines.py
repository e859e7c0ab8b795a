"""Lines as a run keeps them once they were paid, and what a later run owes beside them."""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from orchardmap.pay.corrections import corrections
from orchardmap.pay.lines import LineKey, PayLine

__all__ = ["KeptLine", "digest_of", "line_from_json", "line_json", "owed", "paid_so_far"]


@dataclass(frozen=True, slots=True)
class KeptLine:
    """One amount of a run."""

    line: PayLine
    paid_before: Decimal | None = None
    """Of a correction: what earlier runs paid for the same. The line's amount is what is added, below 0 what is taken back."""

    @property
    def is_correction(self) -> bool:
        """It changes what was paid before."""
        return self.paid_before is not None


def paid_so_far(kept: Iterable[KeptLine]) -> dict[LineKey, Decimal]:
    """Return what runs paid for each thing, corrections among it."""
    found: dict[LineKey, Decimal] = {}
    for one in kept:
        found[one.line.key] = found.get(one.line.key, Decimal(0)) + one.line.amount
    return found


def owed(
    now: Sequence[PayLine],
    paid: Mapping[LineKey, Decimal],
    was_paid: Callable[[LineKey], bool],
) -> list[KeptLine]:
    """Return what a run adds, so that all runs together come to what the records say now.

    Parameters
    ----------
    now : sequence of PayLine
        Of all days that were paid so far and of the new ones, as the records are now.
    paid : mapping of LineKey to Decimal
        See `paid_so_far`.
    was_paid : callable
        Whether what a line is for belongs to a crew's day that a run held before, whatever it came to then.

    Returns
    -------
    list of KeptLine
        Lines of new days as they are, in order; then a line for each amount of earlier ones that changed.

    Examples
    --------
    Twelve were paid, the records say ten now, and a day is new:

    >>> day = date(2026, 1, 12)
    >>> def line(person, amount):
    ...     return PayLine(person, "A", day, "trees", Decimal(amount), Fraction(8), Fraction("0.5"))
    >>> paid = {line("Ana", 12).key: Decimal(12)}
    >>> for one in owed([line("Ana", 10), line("Ben", 7)], paid, lambda key: key.person_id == "Ana"):
    ...     print(one.line.person_id, one.line.amount, one.is_correction)
    Ben 7 False
    Ana -2 True
    """
    fresh = [KeptLine(line) for line in now if line.key not in paid and not was_paid(line.key)]
    keys = {one.line.key for one in fresh}
    changed = corrections(paid, [line for line in now if line.key not in keys])
    return fresh + [
        KeptLine(_bare(key, amount), paid.get(key, Decimal(0))) for key, amount in changed.items()
    ]


def _bare(key: LineKey, amount: Decimal) -> PayLine:
    person_id, crew_id, day, period, kind, variety, method, is_return = key
    nothing = Fraction(0)
    return PayLine(
        person_id, crew_id, day, kind, amount, nothing, nothing, period, variety, method, is_return
    )


def line_json(kept: KeptLine) -> dict[str, Any]:
    """Return a line as JSON; numbers that must stay exact are text: amounts decimal, hours and rates fractions."""
    line = kept.line
    return {
        "person_id": line.person_id,
        "crew_id": line.crew_id,
        "day": line.day.isoformat(),
        "period": line.period,
        "kind": line.kind,
        "variety_id": line.variety,
        "method": line.method,
        "is_return": line.is_return,
        "amount": f"{line.amount:f}",
        "hours": str(line.hours),
        "rate": str(line.rate),
        "crew_trees": line.crew_trees,
        "crew_hours": str(line.crew_hours),
        "crew_amount": f"{line.crew_amount:f}",
        "paid_before": None if kept.paid_before is None else f"{kept.paid_before:f}",
    }


def line_from_json(said: Mapping[str, Any]) -> KeptLine:
    """Return a line that `line_json` told."""
    line = PayLine(
        person_id=said["person_id"],
        crew_id=said["crew_id"],
        day=date.fromisoformat(said["day"]),
        kind=said["kind"],
        amount=Decimal(said["amount"]),
        hours=Fraction(said["hours"]),
        rate=Fraction(said["rate"]),
        period=said["period"],
        variety=said["variety_id"],
        method=said["method"],
        is_return=said["is_return"],
        crew_trees=said["crew_trees"],
        crew_hours=Fraction(said["crew_hours"]),
        crew_amount=Decimal(said["crew_amount"]),
    )
    return KeptLine(line, None if said["paid_before"] is None else Decimal(said["paid_before"]))


def digest_of(said: object) -> str:
    """Return the SHA-256 of JSON values, the same however their keys are ordered."""
    plain = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(plain.encode()).hexdigest()
