"""Do auditors agree? The same trees scored by two or more of them: coefficients of agreement, each with its interval.

No one of them will do alone: where few trees are faulty, nearly every tree is scored alike and kappa is near 0 all the
same (Feinstein and Cicchetti 1990, Journal of Clinical Epidemiology 43:543-549). Classes stand from good to faulty.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import within
from orchardmap.quality.bounds import confidence_level
from orchardmap.quality.intervals import CONFIDENCE, wilson_interval

__all__ = ["Agreement", "Coefficient", "agreement_of_several", "agreement_of_two", "counts_of_scores"]


@dataclass(frozen=True, slots=True)
class Coefficient:
    """One coefficient; 1 is full agreement."""

    value: float
    standard_error: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Agreement:
    """How far auditors agree; None where the trees cannot tell."""

    trees: int
    """Scored by two auditors at least."""
    percent: Coefficient
    """Share of pairs of scores that are alike, 0 to 1."""
    kappa: Coefficient | None
    """Cohen's, of two auditors."""
    pi: Coefficient | None
    """Scott's pi; of several auditors, Fleiss's kappa."""
    ac1: Coefficient | None
    """Gwet's."""
    brennan_prediger: Coefficient | None
    alpha: Coefficient | None
    """Krippendorff's, for classes without an order."""
    positive: Coefficient | None
    """Agreement about the faulty trees alone: of the scores "faulty", the share that another auditor shares."""


Weights = NDArray[np.complex128]
Statistic = Callable[[Weights], complex]


def agreement_of_two(table: ArrayLike, *, confidence: float = CONFIDENCE) -> Agreement:
    """Return how far two auditors agree.

    Parameters
    ----------
    table : array_like of int, shape (classes, classes)
        Trees by the first auditor's class (row) and the second one's (column); the last class is "faulty".
    confidence : float, 0.5 to 0.999

    Returns
    -------
    Agreement

    Raises
    ------
    InputError
        If it is no such table, or a number is out of range.

    Notes
    -----
    J. Cohen 1960; W. A. Scott 1955; K. L. Gwet 2008, British Journal of Mathematical and Statistical Psychology 61:29-48;
    R. L. Brennan and D. J. Prediger 1981; K. Krippendorff 2004. Standard errors are those of the delta method. The
    interval of the share alike, and of the share of faulty ones, is Wilson's; the others' are normal, or Wilson's share
    with chance held fixed where all trees were scored alike.

    Examples
    --------
    >>> told = agreement_of_two([[118, 5], [2, 0]])
    >>> [round(one.value, 3) for one in (told.percent, told.kappa, told.ac1, told.positive)]
    [0.944, -0.023, 0.941, 0.0]
    """
    trees = within(table, "table", 0.0)
    if trees.ndim != 2 or trees.shape[0] != trees.shape[1] or len(trees) < 2:
        raise InputError("It must have a row and a column for each of two classes at least.", where="table")
    classes = len(trees)
    one = np.eye(classes)
    first, second = one.repeat(classes, axis=0), np.tile(one, (classes, 1))

    def kappa_by_chance(weights: Weights) -> complex:
        return complex((weights @ first) @ (weights @ second) / weights.sum() ** 2)

    return _agreement(first + second, trees.ravel(), confidence, kappa_by_chance)


def agreement_of_several(counts: ArrayLike, *, confidence: float = CONFIDENCE) -> Agreement:
    """Return how far several auditors agree, who need not all have scored every tree.

    Parameters
    ----------
    counts : array_like of int, shape (trees, classes)
        How many auditors put each tree into each class; see `counts_of_scores`. The last class is "faulty".
    confidence : float, 0.5 to 0.999

    Returns
    -------
    Agreement
        Without kappa, which is of two.

    Raises
    ------
    InputError
        If there are fewer than two classes, no tree was scored twice, or a number is out of range.

    Notes
    -----
    As for `agreement_of_two`. J. L. Fleiss 1971; gaps as K. L. Gwet treats them (a tree that was scored once tells how
    common a class is), and in alpha as K. Krippendorff does (it tells nothing).

    Examples
    --------
    >>> told = agreement_of_several([[3, 0], [0, 3], [3, 0], [2, 1], [2, 0]])
    >>> round(told.percent.value, 3), round(told.pi.value, 3), round(told.alpha.value, 3)
    (0.867, 0.659, 0.675)
    """
    scores = within(counts, "counts", 0.0)
    if scores.ndim != 2 or scores.shape[1] < 2:
        raise InputError(
            "It must be a number for each tree and each of two classes at least.", where="counts"
        )
    patterns, trees = np.unique(scores[scores.sum(axis=1) > 0], axis=0, return_counts=True)
    return _agreement(patterns, trees.astype(np.float64), confidence, None)


def counts_of_scores(
    scores: Sequence[Sequence[Hashable | None]], classes: Sequence[Hashable]
) -> NDArray[np.int64]:
    """Return how many auditors put each tree into each class.

    Parameters
    ----------
    scores : sequence of sequence
        A line for each tree: the class that each auditor gave it, None where that one did not score it.
    classes : sequence
        All classes, "faulty" last.

    Returns
    -------
    ndarray of int, shape (trees, classes)

    Raises
    ------
    InputError
        If a score is none of the classes; ``where`` names the tree, from 1.

    Examples
    --------
    >>> counts_of_scores([["good", "faulty"], ["good", None]], ["good", "faulty"]).tolist()
    [[1, 1], [1, 0]]
    """
    for number, line in enumerate(scores, 1):
        for score in line:
            if score is not None and score not in classes:
                raise InputError(f"There is no class {score!r}.", where=f"tree {number}")
    return np.array([[list(line).count(one) for one in classes] for line in scores], np.int64)


def _agreement(
    patterns: NDArray[np.float64],
    trees: NDArray[np.float64],
    confidence: float,
    kappa_by_chance: Statistic | None,
) -> Agreement:
    """Return the coefficients of trees whose scores follow patterns, so many trees each."""
    # each is a function of how much the patterns weigh, which is all that its standard error needs
    z = float(ndtri(0.5 + confidence_level(confidence) / 2))
    scored, classes = patterns.sum(axis=1), patterns.shape[1]
    twice = scored >= 2
    pairs = float(trees[twice].sum())
    if pairs == 0:
        raise InputError(
            "No tree was scored by two auditors.", where="trees", todo="Let two score the same trees."
        )
    mates = np.where(twice, scored - 1, 1)
    alike = (patterns * (patterns - 1)).sum(axis=1) / (scored * mates)

    def observed(weights: Weights) -> complex:
        return complex(weights[twice] @ alike[twice] / weights[twice].sum())

    def shares(weights: Weights) -> Weights:
        return np.asarray(weights @ (patterns / scored[:, np.newaxis]) / weights.sum())

    def alpha_observed(weights: Weights) -> complex:
        heavy = weights[twice] * scored[twice]
        return complex(heavy @ alike[twice] / heavy.sum())

    def alpha_by_chance(weights: Weights) -> complex:
        each = weights[twice] @ patterns[twice]
        return complex((each @ each - each.sum()) / (each.sum() * (each.sum() - 1)))

    def shared_fault(weights: Weights) -> complex:
        """Return the share of faulty trees that are so for both: for two auditors, both over either."""
        faulty = patterns[twice, -1]
        both = weights[twice] @ (faulty * (faulty - 1) / mates[twice])
        return complex(both / (2 * (weights[twice] @ faulty) - both))

    def corrected(by_chance: Statistic) -> Coefficient | None:
        return _corrected(observed, by_chance, trees, pairs, z, confidence)

    return Agreement(
        trees=int(pairs),
        percent=_share(observed, trees, pairs, confidence),
        kappa=corrected(kappa_by_chance) if kappa_by_chance else None,
        pi=corrected(lambda weights: complex(shares(weights) @ shares(weights))),
        ac1=corrected(lambda weights: complex((1 - shares(weights) @ shares(weights)) / (classes - 1))),
        brennan_prediger=corrected(lambda _: complex(1 / classes)),
        alpha=_corrected(alpha_observed, alpha_by_chance, np.where(twice, trees, 0.0), pairs, z, confidence),
        positive=_positive(
            shared_fault, trees, float(trees[twice & (patterns[:, -1] > 0)].sum()), confidence
        ),
    )


def _share(
    statistic: Statistic, trees: NDArray[np.float64], checked: float, confidence: float
) -> Coefficient:
    """Return a share with Wilson's interval, on the trees that its standard error makes of those checked."""
    value, error = _with_error(statistic, trees)
    worth = value * (1 - value) / error**2 if error else checked
    low, high = wilson_interval(value * worth, worth, confidence=confidence)
    return Coefficient(value, error, low, high)


def _positive(
    shared: Statistic, trees: NDArray[np.float64], faulty: float, confidence: float
) -> Coefficient | None:
    if not faulty:
        return None
    of_either = _share(shared, trees, faulty, confidence)
    value, low, high = (2 * one / (1 + one) for one in (of_either.value, of_either.low, of_either.high))
    return Coefficient(value, 2 * of_either.standard_error / (1 + of_either.value) ** 2, low, high)


def _corrected(
    observed: Statistic,
    by_chance: Statistic,
    trees: NDArray[np.float64],
    pairs: float,
    z: float,
    confidence: float,
) -> Coefficient | None:
    """Return an agreement beyond chance: (observed - by chance) / (1 - by chance)."""
    chance = by_chance(trees.astype(np.complex128)).real
    if chance > 1 - _NOTHING:
        return None

    def beyond(weights: Weights) -> complex:
        return (observed(weights) - by_chance(weights)) / (1 - by_chance(weights))

    value, error = _with_error(beyond, trees)
    if error:
        return Coefficient(value, error, max(-1.0, value - z * error), min(1.0, value + z * error))
    share = _share(observed, trees, pairs, confidence)
    low, high = ((end - chance) / (1 - chance) for end in (share.low, share.high))
    return Coefficient(value, error, max(-1.0, low), high)


_NOTHING = 1e-12
"""Rounding alone."""
_STEP = 1e-30


def _with_error(statistic: Statistic, trees: NDArray[np.float64]) -> tuple[float, float]:
    """Return a statistic and its standard error by the delta method, trees being drawn one by one."""
    # how a weight moves the statistic is read off a step into the imaginary, which loses no digits
    # (W. Squire and G. Trapp 1998, SIAM Review 40:110-112)
    value = statistic(trees.astype(np.complex128)).real
    steps = trees + 1j * _STEP * np.eye(len(trees))
    slopes = np.array([statistic(step).imag for step in steps]) / _STEP
    centred = slopes - trees @ slopes / trees.sum()
    error = sqrt(float(trees @ centred**2))
    return value, error if error > _NOTHING else 0.0
