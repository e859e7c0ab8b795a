"""The chance that a lot passes: operating characteristics of a plan, and what it lets through on average.

Three models of the faulty trees among those checked: hypergeometric for a lot of known size (exact: trees are drawn
without replacement), binomial for a lot without end, Poisson for faults of which a tree can have several.
"""

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize_scalar
from scipy.special import bdtr, betaincinv, gammaincinv, pdtr
from scipy.stats import binom, hypergeom

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import within
from orchardmap.quality.bounds import whole

__all__ = [
    "MODELS",
    "Model",
    "Stage",
    "average_checked",
    "average_passed_on",
    "double_pass_chance",
    "faulty_in_lot",
    "pass_chance",
    "share_passed_with",
    "worst_passed_on",
]

Model = Literal["binomial", "poisson", "hypergeometric"]
MODELS: tuple[Model, ...] = ("binomial", "poisson", "hypergeometric")


class Stage(NamedTuple):
    """One of the two samples of a double plan; the numbers are of all faulty trees found so far."""

    n: int
    accept: int
    reject: int


def faulty_in_lot(p: ArrayLike, lot: int) -> NDArray[np.int64]:
    """Return how many trees of a lot a share means: the nearest whole number, the even one of two as near.

    Parameters
    ----------
    p : array_like of float, any shape, 0 to 1
        Share of faulty trees.
    lot : int
        Trees in the lot.

    Returns
    -------
    ndarray of int, same shape

    Examples
    --------
    >>> faulty_in_lot([0.01, 0.126], 100).tolist()
    [1, 13]
    """
    return np.rint(np.multiply(p, lot)).astype(np.int64)


def pass_chance(
    n: int, accept: int, p: ArrayLike, *, model: Model, lot: int | None = None
) -> NDArray[np.float64]:
    """Return the chance that a lot passes a plan, for each share of faulty trees: the OC curve.

    Parameters
    ----------
    n : int
        Trees checked, 1 or more.
    accept : int
        The most faulty ones among them that still pass.
    p : array_like of float, any shape, 0 to 1
        Share of faulty trees in the lot; with the Poisson model faults per tree.
    model : {"binomial", "poisson", "hypergeometric"}
        How faulty trees come into the sample.
    lot : int, optional
        Trees in the lot, ``>= n``; needed by the hypergeometric model (see `faulty_in_lot`), and by it alone.

    Returns
    -------
    ndarray of float64, same shape

    Raises
    ------
    InputError
        If a value is out of range, or a lot is missing or one too many; ``where`` names it.

    Examples
    --------
    >>> pass_chance(13, 1, [0, 0.1], model="hypergeometric", lot=50).round(3).tolist()
    [1.0, 0.611]
    """
    shares = within(p, "p", 0.0, 1.0, todo="Write 0.08 for 8 %.")
    size = _lot_of(model, lot)
    whole(n, "n", 1)
    whole(accept, "accept")
    if size is not None and n > size:
        raise InputError(f"It is {n}; the lot has {size} trees.", where="n", todo="Check the lot's trees.")
    return _chance(n, accept, shares, model, size)


def _lot_of(model: Model, lot: int | None) -> int | None:
    if model not in MODELS:
        raise InputError(f"There is no model {model!r}.", where="model", todo=f"Use {', '.join(MODELS)}.")
    if model == "hypergeometric":
        if lot is None:
            raise InputError("It is missing: this model is of a lot of so many trees.", where="lot")
        return whole(lot, "lot", 1)
    if lot is not None:
        raise InputError(
            f"The {model} model is of a lot without end.",
            where="lot",
            todo="Leave the lot out, or use the hypergeometric model.",
        )
    return None


def _chance(
    n: int, accept: int, p: NDArray[np.float64], model: Model, lot: int | None
) -> NDArray[np.float64]:
    if model == "poisson":
        return np.asarray(pdtr(accept, n * p))
    if lot is None:
        return np.asarray(bdtr(min(accept, n), n, p))
    return np.asarray(hypergeom.cdf(accept, lot, faulty_in_lot(p, lot), n))


def share_passed_with(chance: ArrayLike, n: int, accept: int, *, model: Model) -> NDArray[np.float64]:
    """Return the share of faulty trees that passes a plan with a given chance: the OC curve read the other way.

    Parameters
    ----------
    chance : array_like of float, any shape, 0 to 1
        Chance of passing.
    n, accept : int
        The plan, ``accept < n``.
    model : {"binomial", "poisson"}
        A lot of known size has no share for each chance, only whole trees.

    Returns
    -------
    ndarray of float64, same shape
        Shares; with the Poisson model faults per tree, without an upper bound.

    Raises
    ------
    InputError
        If a value is out of range or the model is another one.

    Examples
    --------
    >>> share_passed_with([0.95, 0.05], 68, 2, model="binomial").round(4).tolist()
    [0.0121, 0.0897]
    """
    chances = within(chance, "chance", 0.0, 1.0)
    whole(n, "n", 1)
    whole(accept, "accept", 0, n - 1)
    if model == "binomial":
        return np.asarray(betaincinv(accept + 1, n - accept, 1.0 - chances))
    if model == "poisson":
        return np.asarray(gammaincinv(accept + 1, 1.0 - chances)) / n
    raise InputError(f"There is no such share in the {model} model.", where="model")


def double_pass_chance(first: Stage, second: Stage, p: ArrayLike) -> NDArray[np.float64]:
    """Return the chance of passing where a second sample is checked if the first does not decide.

    Parameters
    ----------
    first, second : Stage
        The second one's numbers are of the faulty trees of both samples.
    p : array_like of float, any shape, 0 to 1
        Share of faulty trees in a lot without end (binomial).

    Returns
    -------
    ndarray of float64, same shape

    Raises
    ------
    InputError
        If a share is out of range.

    Examples
    --------
    >>> double_pass_chance(Stage(8, 0, 2), Stage(8, 1, 2), 0.1).round(3).tolist()
    0.595
    """
    shares = within(p, "p", 0.0, 1.0)
    undecided = np.arange(first.accept + 1, first.reject).reshape(-1, *[1] * shares.ndim)
    again = binom.pmf(undecided, first.n, shares) * binom.cdf(second.accept - undecided, second.n, shares)
    return np.asarray(binom.cdf(first.accept, first.n, shares) + again.sum(axis=0))


def average_passed_on(n: int, accept: int, p: ArrayLike, *, lot: int) -> NDArray[np.float64]:
    """Return the share of faulty trees left on average where lots sent back are put right whole (AOQ).

    Parameters
    ----------
    n, accept : int
        The plan.
    p : array_like of float, any shape, 0 to 1
        Share of faulty trees before (binomial).
    lot : int
        Trees in each lot, ``>= n``; faulty trees found are put right.

    Returns
    -------
    ndarray of float64, same shape

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> average_passed_on(89, 2, 0.01, lot=10_000).round(4).tolist()
    0.0093
    """
    whole(lot, "lot", n)
    passed = pass_chance(n, accept, p, model="binomial") * np.asarray(p, np.float64)
    return np.asarray(passed * ((lot - n) / lot))


def worst_passed_on(n: int, accept: int, *, lot: int) -> tuple[float, float]:
    """Return the most that `average_passed_on` can be (AOQL).

    Parameters
    ----------
    n, accept : int
        The plan, ``accept < n``.
    lot : int
        Trees in each lot, ``>= n``.

    Returns
    -------
    tuple of float
        The share left, and the share before at which it comes to that.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> [round(share, 4) for share in worst_passed_on(89, 2, lot=10_000)]
    [0.0152, 0.0253]
    """
    whole(accept, "accept", 0, n - 1)
    found = minimize_scalar(
        lambda p: -float(average_passed_on(n, accept, p, lot=lot)),
        bounds=(0.0, 1.0),
        method="bounded",
        options={"xatol": 1e-9},
    )
    return -float(found.fun), float(found.x)


def average_checked(n: int, accept: int, p: ArrayLike, *, lot: int) -> NDArray[np.float64]:
    """Return how many trees of a lot are checked on average where lots sent back are checked whole (ATI).

    Parameters
    ----------
    n, accept : int
        The plan.
    p : array_like of float, any shape, 0 to 1
        Share of faulty trees (binomial).
    lot : int
        Trees in each lot, ``>= n``.

    Returns
    -------
    ndarray of float64, same shape, trees

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> average_checked(89, 2, 0.01, lot=10_000).round().tolist()
    687.0
    """
    whole(lot, "lot", n)
    return np.asarray(n + (1.0 - pass_chance(n, accept, p, model="binomial")) * (lot - n))
