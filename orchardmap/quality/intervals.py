"""How far the share of faulty trees among those checked can be trusted, and how many trees to check."""

from bisect import bisect_left
from math import sqrt

from scipy.special import betaincinv, chdtri, ndtri
from scipy.stats import hypergeom

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import LARGEST, within
from orchardmap.quality.bounds import confidence_level, share, whole

__all__ = [
    "CONFIDENCE",
    "clopper_pearson_interval",
    "jeffreys_interval",
    "lot_faulty_interval",
    "trees_for_half_width",
    "wilson_interval",
]

CONFIDENCE = 0.95
"""Common practice."""


def wilson_interval(faulty: float, checked: float, *, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Return the score interval of a share, of a lot without end.

    Parameters
    ----------
    faulty, checked : float, ``0 <= faulty <= checked``
        Trees; not whole ones where a design effect made fewer of them. None checked is a valid answer too: 0 to 1.
    confidence : float, 0.5 to 0.999

    Returns
    -------
    tuple of float
        Lower and upper end, 0 to 1.

    Raises
    ------
    InputError
        If a value is out of range.

    Notes
    -----
    E. B. Wilson 1927; method 3 of R. G. Newcombe 1998, Statistics in Medicine 17:857-872.

    Examples
    --------
    >>> [round(end, 4) for end in wilson_interval(15, 148)]
    [0.0624, 0.1605]
    """
    n = float(within(checked, "checked", 0.0, LARGEST))
    x = float(within(faulty, "faulty", 0.0, n))
    if n == 0.0:
        return 0.0, 1.0
    z = float(ndtri(0.5 + confidence_level(confidence) / 2))
    middle, half = x + z * z / 2, z * sqrt(x * (n - x) / n + z * z / 4)
    return (
        0.0 if x == 0.0 else (middle - half) / (n + z * z),
        1.0 if x == n else (middle + half) / (n + z * z),
    )


def clopper_pearson_interval(
    faulty: int, checked: int, *, confidence: float = CONFIDENCE
) -> tuple[float, float]:
    """Return the exact interval of a share, of a lot without end: never too narrow, mostly too wide.

    Parameters
    ----------
    faulty, checked : int, trees, ``0 <= faulty <= checked``
    confidence : float, 0.5 to 0.999

    Returns
    -------
    tuple of float
        Lower and upper end, 0 to 1.

    Raises
    ------
    InputError
        If a value is out of range.

    Notes
    -----
    Clopper and Pearson 1934; method 5 of Newcombe 1998.

    Examples
    --------
    >>> [round(end, 4) for end in clopper_pearson_interval(15, 148)]
    [0.0578, 0.1617]
    """
    n = whole(checked, "checked")
    x = whole(faulty, "faulty", 0, n)
    tail = (1.0 - confidence_level(confidence)) / 2
    return (
        0.0 if x == 0 else float(betaincinv(x, n - x + 1, tail)),
        1.0 if x == n else float(betaincinv(x + 1, n - x, 1.0 - tail)),
    )


def jeffreys_interval(faulty: int, checked: int, *, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Return the interval that holds the share with a given chance, if any share was as likely beforehand.

    Parameters
    ----------
    faulty, checked : int, trees, ``0 <= faulty <= checked``
    confidence : float, 0.5 to 0.999

    Returns
    -------
    tuple of float
        Lower and upper end; 0 where no tree is faulty and 1 where all are.

    Raises
    ------
    InputError
        If a value is out of range.

    Notes
    -----
    Equal tails of a beta distribution with (faulty + 1/2, rest + 1/2), the prior of Jeffreys; ends as in Brown, Cai and
    DasGupta 2001, Statistical Science 16:101-133.

    Examples
    --------
    >>> [round(end, 4) for end in jeffreys_interval(15, 148)]
    [0.0604, 0.1576]
    """
    n = whole(checked, "checked")
    x = whole(faulty, "faulty", 0, n)
    tail = (1.0 - confidence_level(confidence)) / 2
    return (
        0.0 if x == 0 else float(betaincinv(x + 0.5, n - x + 0.5, tail)),
        1.0 if x == n else float(betaincinv(x + 0.5, n - x + 0.5, 1.0 - tail)),
    )


def lot_faulty_interval(
    faulty: int, checked: int, lot: int, *, confidence: float = CONFIDENCE
) -> tuple[int, int]:
    """Return how many trees of a lot can be faulty, checked ones included: exact, for a lot of known size.

    Parameters
    ----------
    faulty, checked : int, trees, ``0 <= faulty <= checked <= lot``
        Drawn at random without replacement.
    lot : int, trees
    confidence : float, 0.5 to 0.999

    Returns
    -------
    tuple of int
        Fewest and most trees. One number where every tree was checked.

    Raises
    ------
    InputError
        If a value is out of range, or more trees were checked than the lot has.

    Notes
    -----
    All numbers of faulty trees for which neither as many found nor as few has a chance of half the error or less
    (J. P. Buonaccorsi 1987, The American Statistician 41:215-218). It never holds the truth less often than promised.

    Examples
    --------
    >>> lot_faulty_interval(1, 20, 200)
    (1, 47)
    """
    size = whole(lot, "lot", 1)
    n = whole(checked, "checked")
    x = whole(faulty, "faulty", 0, n)
    if n > size:
        raise InputError(
            f"It is {n}; the lot has {size} trees.",
            where="checked",
            todo="Count each tree once, or correct the lot's trees.",
        )
    tail = (1.0 - confidence_level(confidence)) / 2
    can_be = range(x, size - n + x + 1)
    # the chance of so many found rises with the faulty trees of the lot, the chance of so few falls
    low = bisect_left(can_be, True, key=lambda d: bool(hypergeom.sf(x - 1, size, d, n) > tail))
    beyond = bisect_left(can_be, True, key=lambda d: bool(hypergeom.cdf(x, size, d, n) <= tail))
    return can_be[low], can_be[beyond - 1]


def trees_for_half_width(
    lot: int, half_width: float, *, expected: float = 0.5, confidence: float = CONFIDENCE
) -> float:
    """Return how many trees to check so that the share is known to within a half-width.

    Parameters
    ----------
    lot : int
        Trees in the lot.
    half_width : float, 0.001 to 1
        In shares: 0.05 for 5 % either way.
    expected : float, 0 to 1
        Share of faulty trees; a half asks for the most trees.
    confidence : float, 0.5 to 0.999

    Returns
    -------
    float
        Trees, at most ``lot``; not rounded. Round it up.

    Raises
    ------
    InputError
        If a value is out of range.

    Notes
    -----
    With finite correction: R. V. Krejcie and D. W. Morgan 1970, Educational and Psychological Measurement 30:607-610.

    Examples
    --------
    >>> round(trees_for_half_width(500, 0.05), 1)
    217.5
    """
    size = whole(lot, "lot", 1)
    width = float(within(half_width, "half_width", 0.001, 1.0))
    p = share(expected, "expected")
    spread = float(chdtri(1, 1.0 - confidence_level(confidence))) * p * (1.0 - p)
    return size * spread / (width**2 * (size - 1) + spread) if spread else 0.0
