"""What work cost, block by block: every amount of a crew's day goes to the trees that the crew pruned that day."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from orchardmap.pay.credit import Credit
from orchardmap.pay.lines import PayLine

__all__ = ["BlockCost", "BlockPlan", "block_costs", "expected_cost"]

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


@dataclass(frozen=True, slots=True)
class BlockPlan:
    """A block as a season must pay for it."""

    block_id: str
    trees: int
    """All of them, blanks and pollinizers left out."""
    variety: str | None = None
    rate: Fraction | None = None
    """What a tree of it is paid by the rates; None where they are by the hour."""


def expected_cost(blocks: Iterable[BlockPlan], costs: Iterable[BlockCost]) -> Fraction | None:
    """Return what a season comes to once all trees are pruned.

    Parameters
    ----------
    blocks : iterable of BlockPlan
    costs : iterable of BlockCost
        So far.

    Returns
    -------
    Fraction or None
        What was paid so far, and for each tree that is left what trees of its block cost so far; where none of the block is
        credited those of its variety; where none of that is, its rate; else those of all blocks. None where nothing says.

    Examples
    --------
    A block half done at 2 a tree, one of the same variety at that, too, and one of another at its rate of 5:

    >>> plan = [BlockPlan("H1", 20, "v"), BlockPlan("H2", 10, "v"), BlockPlan("H3", 4, "w", Fraction(5))]
    >>> print(expected_cost(plan, [BlockCost("H1", 10, Fraction(20))]))
    80
    """
    plans, found = list(blocks), {one.block_id: one for one in costs}
    trees: dict[str | None, int] = defaultdict(int)
    paid: dict[str | None, Fraction] = defaultdict(Fraction)
    for plan in plans:
        if (done := found.get(plan.block_id)) is not None:
            trees[plan.variety] += done.trees
            paid[plan.variety] += done.amount
    all_trees, whole = sum(trees.values()), sum((one.amount for one in found.values()), Fraction(0))
    expected = whole
    for plan in plans:
        done = found.get(plan.block_id)
        left = max(0, plan.trees - (done.trees if done else 0))
        if done and done.trees:
            each: Fraction | None = done.amount / done.trees
        elif trees[plan.variety]:
            each = paid[plan.variety] / trees[plan.variety]
        else:
            each = plan.rate if plan.rate is not None or not all_trees else whole / all_trees
        if left and each is None:
            return None
        expected += left * (each or 0)
    return expected


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
