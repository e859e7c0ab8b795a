"""What the season cost so far: by tree, block and hectare, against the budget that the farm entered."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from orchardmap.model.orchard import Block
from orchardmap.model.pay import Budget
from orchardmap.model.people import METHODS
from orchardmap.pay.cost import BlockCost, BlockPlan, block_costs, expected_cost
from orchardmap.pay.credit import Credit
from orchardmap.pay.earnings import pay
from orchardmap.pay.lines import Pay
from orchardmap.pay.money import Rounding, shares
from orchardmap.pay.rates import valid_rate
from orchardmap.pay.terms import PayTerms
from orchardmap.store import log, orchard, row_tables
from orchardmap.store import pay as pay_store
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.pay_rules import terms_of
from orchardmap.usecases.pay_work import season_work

__all__ = ["cost_json"]

Json = dict[str, Any]
_REMEMBERED: "Remembered[Json]" = Remembered(20)


def cost_json(store: Store, farm_id: str, *, now: datetime) -> Json:
    """Return what all credited work of the season comes to by the rules of today, whether it was paid yet or not.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        Amounts as decimal text, to the smallest coin (per tree and hectare too); ``cost`` is the sum of the lines as they are paid, and
        those of the blocks with ``without_block`` add up to it to the last coin. ``credited`` trees are those that the
        cost is for, ``left_out`` those of which hours or a rate are missing. ``expected`` is the season's cost if trees
        that are left cost what `orchardmap.pay.cost.expected_cost` takes; ``waits_on`` the first day on which something is missing.
        Remembered until something of the farm changes; ``cursor`` is the farm's, up to which it was read.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        terms = terms_of(pay_store.kept_rules(conn, farm_id))
        if at.season is None or terms is None:
            nothing: Json = {
                "season_id": None,
                "currency": None,
                "blocks": [],
                "budget": None,
                "is_whole": False,
            }
            return {**nothing, "cursor": log.cursor(conn, farm_id)}
        told = _REMEMBERED.answer(conn, farm_id, at.today, lambda: _told(conn, at, terms))
        return {**told, "cursor": log.cursor(conn, farm_id)}


def _told(conn: Connection, at: Moment, terms: PayTerms) -> Json:
    assert at.season is not None  # noqa: S101 - asked by who has a season
    work = season_work(conn, at, with_bonus=terms.bonus_per_tree > 0)
    made = work.within(lambda _crew, _day: True)
    found = pay(made, terms)
    counted = _with_known_pay(made.credits, found)
    costs = block_costs(found.lines, counted)
    of_block = {one.block_id: one for one in costs}
    coins = _coins(costs, terms)
    sizes = row_tables.block_trees(conn, at.farm.id)
    trees, credited = sum(n for _, n in sizes.values()), sum(one.trees for one in costs)
    cost = sum((one.amount for one in costs), Fraction(0))
    blocks = [
        (block, sizes.get(block.id, (0, 0))[1], of_block.get(block.id))
        for block in orchard.blocks(conn, at.farm.id)
    ]
    area = sum((_area_ha(block.area_ha, n, found) for block, n, found in blocks), Fraction(0))
    planned = [
        BlockPlan(block.id, n, block.variety_id, _rate(terms, block, at.day)) for block, n, _ in blocks
    ]
    expected = expected_cost(planned, costs)
    waits = _waits_on(found)
    return {
        "season_id": at.season.id,
        "currency": terms.currency.code,
        "trees": trees,
        "credited": credited,
        "cost": _money(cost, terms),
        "cost_per_tree": _money(cost / credited, terms) if credited else None,
        "cost_per_ha": _money(cost / area, terms) if area else None,
        "expected": None if expected is None else _money(expected, terms),
        "budget": _budget_json(pay_store.budget(conn, at.season.id), trees, terms),
        "without_block": coins.get(None) or _money(Fraction(0), terms),
        "left_out": sum(one.trees for one in made.credits if one.return_id is None) - credited,
        "held": sum(one.trees for one in work.trees.held),
        "is_whole": waits is None,
        "waits_on": waits and waits.isoformat(),
        "blocks": [_block_json(block, n, found, coins, terms) for block, n, found in blocks],
    }


def _with_known_pay(credits: Iterable[Credit], found: Pay) -> list[Credit]:
    """Return the trees that the amounts are for: with others beside them a tree would seem to cost less than it does."""
    without_hours = {(one.crew_id, one.day) for one in found.notices if one.code == "trees_without_hours"}
    without_rate = {(one.day, one.variety, one.method) for one in found.missing if one.what == "rate"}
    return [
        one
        for one in credits
        if (one.crew_id, one.day) not in without_hours
        and (one.day, one.variety, one.method) not in without_rate
    ]


def _waits_on(found: Pay) -> date | None:
    """Return the first day of which a rate, or hours of a crew with trees that bring something, are missing."""
    without_hours = {one.day for one in found.notices if one.code == "trees_without_hours"}
    return min({one.day for one in found.missing} | without_hours, default=None)


def _budget_json(kept: Budget | None, trees: int, terms: PayTerms) -> Json | None:
    if kept is None:
        return None
    whole = Fraction(kept.amount) * (trees if kept.is_per_tree else 1)
    return {
        "amount": f"{kept.amount:f}",
        "is_per_tree": kept.is_per_tree,
        "whole": _money(whole, terms),
        "per_tree": _money(whole / trees, terms) if trees else None,
    }


def _rate(terms: PayTerms, block: Block, day: date) -> Fraction | None:
    """Return what a tree of a block's variety is paid by the farm's rates, the mean of its methods; None where none is by the tree."""
    found = [valid_rate(terms.rates, block.variety_id, method, day) for method in METHODS]
    amounts = [Fraction(one.amount) for one in found if one is not None and one.unit == "tree"]
    return sum(amounts, Fraction(0)) / len(amounts) if amounts else None


def _coins(costs: Sequence[BlockCost], terms: PayTerms) -> dict[str | None, str]:
    """Return what each block cost in whole coins that add up to what was paid: rounded one by one they would miss it by some."""
    if not costs:
        return {}
    unit = terms.currency.minor_unit
    whole = Rounding(unit).rounded(sum((one.amount for one in costs), Fraction(0)))
    parts = shares(whole, [one.amount for one in costs], unit)
    return {one.block_id: f"{part:f}" for one, part in zip(costs, parts, strict=True)}


def _area_ha(area_ha: float, trees: int, found: BlockCost | None) -> Fraction:
    """Return the ground of a block, if it is pruned in part that under its credited trees."""
    credited = found.trees if found else 0
    return Fraction(area_ha) * credited / trees if trees and area_ha > 0 else Fraction(0)


def _block_json(
    block: Block, trees: int, found: BlockCost | None, coins: Mapping[str | None, str], terms: PayTerms
) -> Json:
    credited, cost = (0, Fraction(0)) if found is None else (found.trees, found.amount)
    area = _area_ha(block.area_ha, trees, found)
    return {
        "block_id": block.id,
        "trees": trees,
        "credited": credited,
        "cost": coins.get(block.id) or _money(cost, terms),
        "cost_per_tree": _money(cost / credited, terms) if credited else None,
        "cost_per_ha": _money(cost / area, terms) if area else None,
    }


def _money(exact: Fraction, terms: PayTerms) -> str:
    return f"{Rounding(terms.currency.minor_unit).rounded(exact):f}"
