"""What work cost, block by block: every amount of a crew's day goes to the trees that the crew pruned that day."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from orchardmap.pay.credit import Credit
from orchardmap.pay.lines import PayLine

__all__ = ["BlockCost", "block_costs"]

_WEEK_DAYS = 7


@dataclass(frozen=True, slots=True)
class BlockCost:
    """Trees of a block and what was paid for them."""

    block_id: str | None
    """None for what was paid on days without any tree."""
    trees: int
    """Of the first pruning."""
    amount: Fraction
    """In the currency's main unit, exact: parts add up to the lines."""


def block_costs(lines: Iterable[PayLine], credits: Iterable[Credit]) -> list[BlockCost]:
    """Return what lines come to for each block.

    Parameters
    ----------
    lines : iterable of PayLine
    credits : iterable of Credit
        Of the same crews' days.

    Returns
    -------
    list of BlockCost
        By block id, what belongs to none at the end. Amounts add up to those of the lines.

    Notes
    -----
    Pay by the tree goes to the blocks of that variety and method, a return's to the trees gone over, in the shares of their trees.
    What hangs on no kind of tree (hours, rest, top-up, overtime) goes to all trees of the crew's day or week alike.

    Examples
    --------
    >>> day = date(2026, 1, 12)
    >>> made = [Credit("A", day, 30, "v", block_id="H1"), Credit("A", day, 10, "v", block_id="H2")]
    >>> from decimal import Decimal
    >>> paid = PayLine("Ana", "A", day, "top_up", Decimal("2.00"), Fraction(8), Fraction(0))
    >>> [(one.block_id, one.trees, str(one.amount)) for one in block_costs([paid], made)]
    [('H1', 30, '3/2'), ('H2', 10, '1/2')]
    """
    of_unit: dict[tuple[str, date], list[Credit]] = defaultdict(list)
    trees: dict[str, int] = defaultdict(int)
    for one in credits:
        of_unit[one.crew_id, one.day].append(one)
        trees[one.block_id] += one.trees if one.return_id is None else 0
    amounts: dict[str | None, Fraction] = defaultdict(Fraction)
    for line in lines:
        for block_id, part in _parts(line, of_unit):
            amounts[block_id] += part * Fraction(line.amount)
    blocks = sorted({*trees, *(one for one in amounts if one is not None)})
    made = [BlockCost(one, trees[one], amounts[one]) for one in blocks]
    return made + ([BlockCost(None, 0, amounts[None])] if None in amounts else [])


def _parts(line: PayLine, of_unit: dict[tuple[str, date], list[Credit]]) -> list[tuple[str | None, Fraction]]:
    """Return the share of each block in a line; together 1."""
    span = range(_WEEK_DAYS if line.period == "week" else 1)
    there = [one for n in span for one in of_unit.get((line.crew_id, line.day + timedelta(days=n)), [])]
    if line.kind == "trees":
        kind = (line.variety, line.method, line.is_return)
        own = [one for one in there if (one.variety, one.method, one.return_id is not None) == kind]
        there = own or there
    whole = sum(one.trees for one in there)
    if not whole:
        return [(None, Fraction(1))]
    return [(one.block_id, Fraction(one.trees, whole)) for one in there]
