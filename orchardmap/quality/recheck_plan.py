"""How many trees of a return are checked anew: enough of them to tell whether they are good now. Pure."""

from functools import lru_cache

from orchardmap.model.lot import LotPlan, TablePlan
from orchardmap.quality.lot_plan import SizedLot, sized
from orchardmap.quality.plan import larger_plans, sampling_plan
from orchardmap.quality.two_points import promised_plan
from orchardmap.quality.weak_areas import RECHECK_TREES

__all__ = ["recheck_sized"]


@lru_cache(maxsize=1024)
def recheck_sized(plan: LotPlan, lot: int) -> SizedLot:
    """Return how many trees of a lot drawn over a return are checked: `RECHECK_TREES` at the least, or all.

    Parameters
    ----------
    plan : TablePlan or TwoPoints
    lot : int, ``>= 1``
        Trees in the lot.

    Returns
    -------
    SizedLot
        What the plan asks for where that is enough. Else of the tables the next larger sample that is, with its own numbers;
        where it is more than the lot, all trees, with the numbers of the largest sample that the lot could hold. Of two
        promises the fewest trees that are enough and keep both.

    Raises
    ------
    InputError
        As `orchardmap.quality.lot_plan.sized` says.

    Examples
    --------
    >>> recheck_sized(TablePlan("I", 4.0), 100)[:4], recheck_sized(TablePlan("I", 4.0), 10)[:4]
    ((100, 32, 3, 4), (10, 10, 0, 1))
    """
    own = sized(plan, lot)
    least = min(lot, RECHECK_TREES)
    if own.n >= least:
        return own
    if isinstance(plan, TablePlan):
        return _of_tables(plan, own, least)
    n, accept = promised_plan(plan, model="hypergeometric", lot=lot, least=least)
    return SizedLot(lot, n, accept, accept + 1, None)


def _of_tables(plan: TablePlan, own: SizedLot, least: int) -> SizedLot:
    found = sampling_plan(own.lot, level=plan.level, aql=plan.aql, severity=plan.severity)
    for larger in larger_plans(found, aql=plan.aql, severity=plan.severity):
        if larger.n > own.lot:
            break
        found = larger
        if found.n >= least:
            break
    n = found.n if found.n >= least else own.lot
    return SizedLot(own.lot, n, found.accept, found.reject, found.code_letter)
