"""Sample size and accept / reject numbers for a lot, by attributes, single sampling.

Source: MIL-STD-105E (US Department of Defense, 10 May 1989, public), Table I for the code letters
and Tables II-A, II-B, II-C written as one diagonal rule; the reconstruction and its check against
480 published cells are described in the project's statistics note.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from orchardmap.errors import InputError
from orchardmap.model.lot import AQLS, LEVELS, SEVERITIES, Severity

__all__ = [
    "AQLS",
    "LETTERS",
    "LEVELS",
    "SEVERITIES",
    "SamplingPlan",
    "Severity",
    "code_letter",
    "larger_plans",
    "sampling_plan",
]

LETTERS = "ABCDEFGHJKLMNPQR"

_LOT_UP_TO = (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000)
_TABLE_I = {
    "S-1": "AAAABBBBCCCCDDD",
    "S-2": "AAABBBCCCDDDEEE",
    "S-3": "AABBCCDDEEFFGGH",
    "S-4": "AABCCDEEFGGHJJK",
    "I": "AABCCDEFGHJKLMN",
    "II": "ABCDEFGHJKLMNPQ",
    "III": "BCDEFGHJKLMNPQR",
}
_SIZES = (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000)
_SIZES_REDUCED = (2, 2, 2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800)

# the cells along a diagonal (letter + AQL index) are alike; an arrow moves along the AQL column
_DIAGONAL: dict[str, dict[int, tuple[int, int] | str]] = {
    "normal": {
        14: (0, 1), 15: "up", 16: "down", 17: (1, 2), 18: (2, 3), 19: (3, 4), 20: (5, 6), 21: (7, 8),
        22: (10, 11), 23: (14, 15), 24: (21, 22),
    },
    "tightened": {
        14: "down", 15: (0, 1), 16: "down", 17: "down", 18: (1, 2), 19: (2, 3), 20: (3, 4), 21: (5, 6),
        22: (8, 9), 23: (12, 13), 24: (18, 19),
    },
    "reduced": {
        14: (0, 1), 15: "up", 16: "down", 17: (0, 2), 18: (1, 3), 19: (1, 4), 20: (2, 5), 21: (3, 6),
        22: (5, 8), 23: (7, 10), 24: (10, 13),
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SamplingPlan:
    """Check ``n`` trees: accept with up to ``accept`` faulty, send back from ``reject`` on."""

    lot: int
    code_letter: str
    """The letter that the lot's size and the level give."""
    plan_letter: str
    """The letter whose plan is used once the arrows are followed."""
    n: int
    accept: int
    reject: int

    @property
    def trees_to_check(self) -> int:
        """Trees to check: ``n``, or every tree where the lot is no larger."""
        return min(self.n, self.lot)


def code_letter(lot: int, level: str) -> str:
    """Return the sample-size code letter of a lot.

    Parameters
    ----------
    lot : int, trees
        Trees in the lot, ``>= 2``.
    level : str
        Inspection level, one of `LEVELS`.

    Returns
    -------
    str
        One letter of `LETTERS`.

    Raises
    ------
    InputError
        If the lot has fewer than 2 trees or the level is not in the table.

    Examples
    --------
    >>> code_letter(1500, "II")
    'K'
    """
    if level not in _TABLE_I:
        raise InputError(
            f"no inspection level {level!r}", where="level", todo=f"Use one of {', '.join(LEVELS)}."
        )
    if lot < 2:
        raise InputError(f"a lot of {lot} is too small to sample", where="lot", todo="Give 2 trees or more.")
    return _TABLE_I[level][sum(lot > limit for limit in _LOT_UP_TO)]


def sampling_plan(lot: int, *, level: str, aql: float, severity: Severity = "normal") -> SamplingPlan:
    """Return the single sampling plan for a lot, arrows followed.

    Parameters
    ----------
    lot : int, trees
        Trees in the lot, ``>= 2``.
    level : str
        Inspection level, one of `LEVELS`.
    aql : float, percent
        Acceptance quality limit, one of `AQLS`: faulty trees per hundred.
    severity : {"normal", "tightened", "reduced"}
        Severity of inspection.

    Returns
    -------
    SamplingPlan
        Where ``n`` reaches the lot every tree is checked. Under reduced inspection ``reject`` may
        leave a gap above ``accept``.

    Raises
    ------
    InputError
        If the lot, level, AQL or severity is not in the tables.

    Examples
    --------
    >>> plan = sampling_plan(2000, level="I", aql=4.0)
    >>> plan.code_letter, plan.n, plan.accept, plan.reject
    ('H', 50, 5, 6)
    """
    letter = code_letter(lot, level)
    if aql not in AQLS:
        raise InputError(
            f"no acceptance quality limit {aql}", where="aql", todo=f"Use one of {', '.join(map(str, AQLS))}."
        )
    if severity not in _DIAGONAL:
        raise InputError(
            f"no severity {severity!r}", where="severity", todo="Use normal, tightened or reduced."
        )
    return _of_letter(lot, letter, AQLS.index(aql), severity)


def _of_letter(lot: int, letter: str, column: int, severity: Severity) -> SamplingPlan:
    at, (accept, reject) = _followed(LETTERS.index(letter), column, severity)
    size = (_SIZES_REDUCED if severity == "reduced" else _SIZES)[at]
    return SamplingPlan(lot, letter, LETTERS[at], size, accept, reject)


def larger_plans(plan: SamplingPlan, *, aql: float, severity: Severity) -> Iterator[SamplingPlan]:
    """Return the plans of the code letters after a plan's own, arrows followed, for the same lot.

    Parameters
    ----------
    plan : SamplingPlan
    aql, severity
        As it was made with.

    Returns
    -------
    iterator of SamplingPlan
        By letter; none asks for fewer trees than the one before, and where an arrow leads to one that was told it is told
        again.

    Examples
    --------
    >>> plan = sampling_plan(200, level="I", aql=4.0)
    >>> [(one.n, one.accept) for one in larger_plans(plan, aql=4.0, severity="normal")][:3]
    [(20, 2), (32, 3), (50, 5)]
    """
    for letter in LETTERS[LETTERS.index(plan.code_letter) + 1 :]:
        try:
            yield _of_letter(plan.lot, letter, AQLS.index(aql), severity)
        except InputError:  # at the smallest limits the last letters hold no plan
            return


def accept_one_aql_tighter(plan: SamplingPlan, *, aql: float, severity: Severity) -> int:
    """Return the accept number of the same sample under the next smaller AQL.

    Parameters
    ----------
    plan : SamplingPlan
        With an accept number of 2 or more: then the tables have one beside it.
    aql, severity
        As it was made with.

    Returns
    -------
    int

    Raises
    ------
    InputError
        If the accept number is smaller.

    Examples
    --------
    >>> accept_one_aql_tighter(sampling_plan(400, level="II", aql=4.0), aql=4.0, severity="normal")
    3
    """
    if plan.accept < 2:
        raise InputError(
            f"the plan accepts {plan.accept}", where="plan", todo="Give one that accepts 2 or more."
        )
    return _followed(LETTERS.index(plan.plan_letter), AQLS.index(aql) - 1, severity)[1][0]


def _followed(at: int, column: int, severity: str) -> tuple[int, tuple[int, int]]:
    """Follow the arrows of one AQL column until a plan stands there."""
    diagonal = _DIAGONAL[severity]
    while True:
        d = at + column
        cell = diagonal.get(d, "down" if d < 14 else "up")
        if _at_the_edge(at, column, severity, cell):
            cell = "down"
        if isinstance(cell, tuple):
            return at, cell
        at += 1 if cell == "down" else -1
        if at < 0 or at >= len(LETTERS):
            raise InputError(
                "the tables hold no plan there", where="aql", todo="Choose another AQL or level."
            )


def _at_the_edge(at: int, column: int, severity: str, cell: tuple[int, int] | str) -> bool:
    """Tell whether the printed tables point down where the diagonal does not: at AQL 10, letters A and B."""
    if cell == "up":  # nothing stands above
        return not any(isinstance(_DIAGONAL[severity].get(k + column), tuple) for k in range(at))
    return severity == "tightened" and at == 0 and column == len(AQLS) - 1
