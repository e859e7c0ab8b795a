"""What is still owed for days that were paid before: records that come late never change what was paid, they add lines."""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from orchardmap.pay.lines import LineKey, PayLine

__all__ = ["amounts", "corrections"]


def amounts(lines: Iterable[PayLine]) -> dict[LineKey, Decimal]:
    """Return what lines pay for each thing."""
    found: dict[LineKey, Decimal] = {}
    for line in lines:
        found[line.key] = found.get(line.key, Decimal(0)) + line.amount
    return found


def corrections(paid: Mapping[LineKey, Decimal], now: Iterable[PayLine]) -> dict[LineKey, Decimal]:
    """Return what must be added to what was paid so that it is what the records say now.

    Parameters
    ----------
    paid : mapping of LineKey to Decimal
        All that was paid for some days, earlier corrections among it.
    now : iterable of PayLine
        For the same days, as the records are now.

    Returns
    -------
    dict of LineKey to Decimal
        Below 0 where too much was paid; what did not change is left out.
    """
    owed = amounts(now)
    changed = {key: owed.get(key, Decimal(0)) - paid.get(key, Decimal(0)) for key in {*owed, *paid}}
    return {key: changed[key] for key in sorted(changed, key=str) if changed[key]}
