"""Single rows whose share of faulty trees is well above their block's. Pure."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from scipy.special import betainc

from orchardmap.errors import InputError
from orchardmap.quality.weak_areas import CheckedTree

__all__ = ["PRIOR_CHECKS", "RISE", "SURE", "WeakRow", "weak_rows"]

RISE = 1.5
"""A row is weak whose share of faulty trees is this many times the block's."""
SURE = 0.90
PRIOR_CHECKS = 10.0
"""Weight of the block's share before anything is known of a row, in checks."""


@dataclass(frozen=True, slots=True)
class WeakRow:
    """A row that is more likely than not well above its block."""

    row: int
    checked: int
    faulty: int
    sureness: float
    """Probability that the row's share is over `RISE` times the block's, given its checks. Nothing is corrected for the number
    of rows: bench/weak_areas.py says how often a block without any weak row shows one."""


def weak_rows(checks: Iterable[CheckedTree], *, sure: float = SURE) -> list[WeakRow]:
    """Return the rows that look weak by themselves, the surest first.

    Parameters
    ----------
    checks : iterable of CheckedTree
        Of one block, in any order; re-checks are left out, for they were drawn where it looked weak.
    sure : float, between 0 and 1
        Rows are told above this sureness.

    Returns
    -------
    list of WeakRow
        By a Beta-binomial model: the prior has the block's share and weighs `PRIOR_CHECKS`.

    Raises
    ------
    InputError
        If ``sure`` is not between 0 and 1.

    Examples
    --------
    >>> checks = [CheckedTree(row, at, row == 2 and at < 5) for row in range(1, 9) for at in range(1, 7)]
    >>> [(one.row, one.faulty, round(one.sureness, 3)) for one in weak_rows(checks)]
    [(2, 4, 0.961)]
    """
    if not 0.0 < sure < 1.0:
        raise InputError("It must lie between 0 and 1.", where="sure")
    first_pass = [one for one in checks if not one.is_recheck]
    checked = Counter(one.row for one in first_pass)
    faulty = Counter(one.row for one in first_pass if one.is_faulty)
    if not faulty:
        return []
    share = faulty.total() / checked.total()
    if RISE * share >= 1.0:
        return []
    prior_faulty, prior_sound = PRIOR_CHECKS * share, PRIOR_CHECKS * (1.0 - share)
    told = []
    for row, n in checked.items():
        below = betainc(prior_faulty + faulty[row], prior_sound + n - faulty[row], RISE * share)
        told.append(WeakRow(row, n, faulty[row], 1.0 - float(below)))
    return sorted((one for one in told if one.sureness > sure), key=lambda one: (-one.sureness, one.row))
