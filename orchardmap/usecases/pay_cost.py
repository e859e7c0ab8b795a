"""What the season cost so far: by tree, block and hectare, against the budget that the farm entered."""

from datetime import datetime
from fractions import Fraction
from typing import Any

from orchardmap.pay.cost import BlockCost, block_costs
from orchardmap.pay.earnings import pay
from orchardmap.pay.money import Rounding
from orchardmap.pay.terms import PayTerms
from orchardmap.store import orchard, row_tables
from orchardmap.store import pay as pay_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.pay_rules import terms_of
from orchardmap.usecases.pay_work import SeasonWork, season_work

__all__ = ["cost_json"]

Json = dict[str, Any]


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
        Amounts as decimal text, to the smallest coin (per tree and hectare too); ``expected`` is the season's cost if every
        tree that is left costs what the credited ones did.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        terms = terms_of(pay_store.kept_rules(conn, farm_id))
        if at.season is None or terms is None:
            return {"season_id": None, "currency": None, "blocks": [], "budget": None, "is_whole": False}
        work = season_work(conn, at, with_bonus=terms.bonus_per_tree > 0)
        return _told(conn, at, terms, work)


def _told(conn: Connection, at: Moment, terms: PayTerms, work: SeasonWork) -> Json:
    assert at.season is not None  # noqa: S101 - asked by who has a season
    made = work.within(lambda _crew, _day: True)
    found = pay(made, terms)
    costs = block_costs(found.lines, made.credits)
    of_block = {one.block_id: one for one in costs}
    sizes = row_tables.block_trees(conn, at.farm.id)
    trees, credited = sum(n for _, n in sizes.values()), sum(one.trees for one in costs)
    cost = sum((one.amount for one in costs), Fraction(0))
    blocks = [
        (block, sizes.get(block.id, (0, 0))[1], of_block.get(block.id))
        for block in orchard.blocks(conn, at.farm.id)
    ]
    area = sum((_area_ha(block.area_ha, n, found) for block, n, found in blocks), Fraction(0))
    expected = cost / credited * trees if credited else None
    kept = pay_store.budget(conn, at.season.id)
    budget = None if kept is None else Fraction(kept.amount) * (trees if kept.is_per_tree else 1)
    return {
        "season_id": at.season.id,
        "currency": terms.currency.code,
        "trees": trees,
        "credited": credited,
        "cost": _money(cost, terms),
        "cost_per_tree": _money(cost / credited, terms) if credited else None,
        "cost_per_ha": _money(cost / area, terms) if area else None,
        "expected": None if expected is None else _money(expected, terms),
        "budget": None
        if kept is None or budget is None
        else {
            "amount": f"{kept.amount:f}",
            "is_per_tree": kept.is_per_tree,
            "whole": _money(budget, terms),
            "per_tree": _money(budget / trees, terms) if trees else None,
        },
        "without_block": _money(_amount(of_block.get(None)), terms),
        "is_whole": not (found.missing or found.unshared),
        "blocks": [_block_json(block.id, block.area_ha, n, found, terms) for block, n, found in blocks],
    }


def _amount(one: BlockCost | None) -> Fraction:
    return Fraction(0) if one is None else one.amount


def _area_ha(area_ha: float, trees: int, found: BlockCost | None) -> Fraction:
    """Return the ground of a block, if it is pruned in part that under its credited trees."""
    credited = found.trees if found else 0
    return Fraction(area_ha) * credited / trees if trees and area_ha > 0 else Fraction(0)


def _block_json(block_id: str, area_ha: float, trees: int, found: BlockCost | None, terms: PayTerms) -> Json:
    credited, cost = (0, Fraction(0)) if found is None else (found.trees, found.amount)
    area = _area_ha(area_ha, trees, found)
    return {
        "block_id": block_id,
        "trees": trees,
        "credited": credited,
        "cost": _money(cost, terms),
        "cost_per_tree": _money(cost / credited, terms) if credited else None,
        "cost_per_ha": _money(cost / area, terms) if area else None,
    }


def _money(exact: Fraction, terms: PayTerms) -> str:
    return f"{Rounding(terms.currency.minor_unit).rounded(exact):f}"
