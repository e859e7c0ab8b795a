"""A plan from two points: "pass nearly always at this share of faulty trees, hardly ever at that one"."""

from bisect import bisect_left
from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from orchardmap.errors import InputError
from orchardmap.model.lot import TwoPoints
from orchardmap.quality.bounds import share
from orchardmap.quality.passing import Model, faulty_in_lot, pass_chance

__all__ = ["MOST_CHECKS", "TwoPointPlan", "promised_plan", "two_point_plan"]

MOST_CHECKS = 10_000
"""More trees than anybody checks: seven days of eight hours at 20 seconds each."""

_ROUNDING = 1e-12
"""More than a chance is off by (2e-15 at the most, measured up to lots of 50,000): exactly one half keeps "one half"."""


class TwoPointPlan(NamedTuple):
    """Check ``n`` trees; up to ``accept`` faulty ones pass."""

    n: int
    accept: int


def two_point_plan(
    p1: float, pa1: float, p2: float, pa2: float, *, model: Model, lot: int | None = None
) -> TwoPointPlan:
    """Return the plan with the smallest accept number that keeps both promises, and its fewest trees.

    Parameters
    ----------
    p1, pa1 : float, 0 to 1
        A lot with this share of faulty trees passes with this chance at the least.
    p2, pa2 : float, 0 to 1
        A lot with this share passes with this chance at the most; ``p1 < p2`` and ``pa2 < pa1``.
    model : {"binomial", "poisson", "hypergeometric"}
        As in `orchardmap.quality.passing`.
    lot : int, optional
        Trees in the lot, for the hypergeometric model alone.

    Returns
    -------
    TwoPointPlan

    Raises
    ------
    InputError
        If a value is out of range, the lot is too small to tell the two shares apart, or no plan of `MOST_CHECKS` trees
        keeps both promises.

    Notes
    -----
    For accept numbers from 0 the fewest trees that keep the second promise are sought (the chance falls with every tree
    more), until they keep the first one too.

    Examples
    --------
    >>> two_point_plan(0.05, 0.95, 0.15, 0.075, model="binomial")
    TwoPointPlan(n=80, accept=7)
    """
    return promised_plan(TwoPoints(p1, pa1, p2, pa2), model=model, lot=lot)


def promised_plan(
    promises: TwoPoints, *, model: Model, lot: int | None = None, least: int = 1
) -> TwoPointPlan:
    """Return the same of two promises, among the plans of ``least`` trees or more.

    Parameters
    ----------
    promises : TwoPoints
    model, lot
        As there.
    least : int, ``>= 1``
        Trees to check at the least, no more than the lot has.

    Returns
    -------
    TwoPointPlan

    Raises
    ------
    InputError
        As `two_point_plan` says.

    Examples
    --------
    >>> promised_plan(TwoPoints(0.05, 0.95, 0.3, 0.1), model="binomial")
    TwoPointPlan(n=16, accept=2)
    """
    p1, p2 = share(promises.p1, "p1"), share(promises.p2, "p2")
    pa1, pa2 = share(promises.pa1, "pa1"), share(promises.pa2, "pa2")
    _in_order(p1, p2, "p2", "p1")
    _in_order(pa2, pa1, "pa1", "pa2")

    def passes(n: int, accept: int, p: float) -> float:
        return float(pass_chance(n, accept, p, model=model, lot=lot))

    def keeps_the_second(accept: int, n: int) -> bool:
        return passes(n, accept, p2) <= pa2 + _ROUNDING

    passes(1, 0, p1)  # the model and the lot are looked at before anything is sought
    if lot is not None and faulty_in_lot(p1, lot) == faulty_in_lot(p2, lot):
        raise InputError(
            f"In a lot of {lot} trees {p1:g} and {p2:g} are as many trees.",
            where="p2",
            todo="Give shares further apart.",
        )
    most = MOST_CHECKS if lot is None else min(lot, MOST_CHECKS)
    n, accept = least, 0
    while True:
        n = _fewest(partial(keeps_the_second, accept), n, most)
        if passes(n, accept, p1) >= pa1 - _ROUNDING:
            return TwoPointPlan(n, accept)
        accept += 1


def _fewest(keeps: Callable[[int], bool], low: int, most: int) -> int:
    """Return the fewest trees that keep a promise, which more trees keep too."""
    high, step = low, 1
    while not keeps(high):
        if high == most:
            raise InputError(
                f"No plan of up to {most:,} trees tells such a good lot from such a bad one so surely.",
                where="p2",
                todo="Give shares further apart, or larger risks.",
            )
        low, high, step = high + 1, min(high + step, most), 2 * step
    return low + bisect_left(range(low, high), True, key=keeps)


def _in_order(less: float, more: float, where: str, other: str) -> None:
    if less >= more:
        raise InputError(f"It is {more:g}; it must be more than {other} ({less:g}).", where=where)
