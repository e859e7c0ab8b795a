"""How severely the next lot of a crew is inspected, from its lots before: switching rules with memory.

Between normal and tightened inspection as in MIL-STD-105E, 4.7. To reduced inspection by the switching score of
ISO 2859-1:1999, 9.3.3, for it needs no table of limits; back from it as in MIL-STD-105E, whose reduced plans have a gap.
Discontinued as in ISO 2859-1:1999: five lots not accepted under tightened inspection. The rules of both standards are
recalled, not read; a farm that must answer for them compares them with the text.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal

from orchardmap.quality.bounds import share
from orchardmap.quality.plan import Severity, accept_one_aql_tighter, sampling_plan

__all__ = [
    "STRICTNESS",
    "Inspection",
    "LotResult",
    "Switching",
    "lot_result",
    "scheme_pass_chance",
    "switched",
    "switchings",
]

Inspection = Literal["normal", "tightened", "reduced", "discontinued"]
STRICTNESS: Mapping[Severity, int] = {"reduced": 0, "normal": 1, "tightened": 2}
"""Of two severities the one with the higher number is the stricter."""

_WINDOW = 5
_NOT_ACCEPTED_IN_WINDOW = 2
_ACCEPTED_IN_A_ROW = 5
_NOT_ACCEPTED_WHEN_TIGHTENED = 5
_SCORE_FOR_REDUCED = 30


@dataclass(frozen=True, slots=True)
class LotResult:
    """What became of a lot at its first inspection; lots brought again after a return do not count."""

    accepted: bool
    points: int = 0
    """What it adds to the switching score; 0 sets the score back to 0."""
    in_gap: bool = False
    """Accepted under a reduced plan, with faulty trees between its accept and its reject number."""


@dataclass(frozen=True, slots=True)
class Switching:
    """What is remembered of a crew's lots."""

    inspection: Inspection = "normal"
    """Of the next lot. "discontinued": no lot is taken until the cause is put right; then begin with "tightened"."""
    score: int = 0
    """Counted under normal inspection only."""
    recent: tuple[bool, ...] = ()
    """Accepted or not, since the last switch, oldest first; no more of them than the rules ask for."""
    not_accepted: int = 0
    """Lots since the last switch."""

    @property
    def is_strict(self) -> bool:
        """The next lot is checked more severely than normally."""
        return self.inspection in {"tightened", "discontinued"}


def lot_result(lot: int, *, level: str, aql: float, severity: Severity = "normal", faulty: int) -> LotResult:
    """Return what a lot that was checked in full means for the ones to come.

    Parameters
    ----------
    lot : int, trees
    level, aql, severity
        Of its plan; see `orchardmap.quality.plan.sampling_plan`.
    faulty : int
        Faulty trees found.

    Returns
    -------
    LotResult
        Three points if it would have been accepted with the next smaller AQL too, where the accept number is 2 or more;
        two if it was accepted, where the accept number is 0 or 1.

    Raises
    ------
    InputError
        If the lot, level, AQL or severity is not in the tables.

    Examples
    --------
    >>> lot_result(400, level="II", aql=4.0, faulty=3)
    LotResult(accepted=True, points=3, in_gap=False)
    """
    plan = sampling_plan(lot, level=level, aql=aql, severity=severity)
    accepted = faulty < plan.reject
    if plan.accept < 2:
        points = 2 if accepted else 0
    else:
        points = 3 if faulty <= accept_one_aql_tighter(plan, aql=aql, severity=severity) else 0
    return LotResult(accepted, points, in_gap=accepted and faulty > plan.accept)


def switched(before: Switching, lot: LotResult, *, reduced_agreed: bool = False) -> Switching:
    """Return what is remembered once one more lot is known.

    Parameters
    ----------
    before : Switching
    lot : LotResult
        Inspected as ``before`` says.
    reduced_agreed : bool
        Somebody responsible agrees that a crew with a good score is checked less.

    Returns
    -------
    Switching

    Examples
    --------
    >>> no = LotResult(accepted=False)
    >>> switched(switched(Switching(), no), no).inspection
    'tightened'
    """
    if before.inspection == "discontinued":
        return before
    score = before.score + lot.points if lot.points and before.inspection == "normal" else 0
    recent = (*before.recent, lot.accepted)[-_WINDOW:]
    now = replace(before, score=score, recent=recent, not_accepted=before.not_accepted + (not lot.accepted))
    if before.inspection == "tightened":
        return _from_tightened(now)
    if before.inspection == "reduced":
        return now if lot.accepted and not lot.in_gap else Switching("normal")
    if not lot.accepted and recent.count(False) >= _NOT_ACCEPTED_IN_WINDOW:
        return Switching("tightened")
    return Switching("reduced") if reduced_agreed and score >= _SCORE_FOR_REDUCED else now


def _from_tightened(now: Switching) -> Switching:
    if now.not_accepted >= _NOT_ACCEPTED_WHEN_TIGHTENED:
        return Switching("discontinued")
    if len(now.recent) == _ACCEPTED_IN_A_ROW and all(now.recent):
        return Switching("normal")
    return now


def switchings(
    lots: Iterable[LotResult], *, start: Inspection = "normal", reduced_agreed: bool = False
) -> Sequence[Switching]:
    """Return what is remembered before the first lot and after each one.

    Parameters
    ----------
    lots : iterable of LotResult
        One crew's lots at their first inspection, oldest first.
    start : str
        Inspection of the first lot: "tightened" after a discontinued series.
    reduced_agreed : bool
        As in `switched`.

    Returns
    -------
    sequence of Switching
        One more than there are lots: the inspection of each, and of the next.

    Examples
    --------
    >>> yes, no = LotResult(accepted=True), LotResult(accepted=False)
    >>> [one.inspection for one in switchings([no, yes, no])]
    ['normal', 'normal', 'normal', 'tightened']
    """
    return list(
        accumulate(
            lots,
            lambda before, lot: switched(before, lot, reduced_agreed=reduced_agreed),
            initial=Switching(start),
        )
    )


def scheme_pass_chance(normal: float, tightened: float) -> float:
    """Return the chance that a lot passes in the long run, under normal and tightened inspection by turns.

    Parameters
    ----------
    normal, tightened : float, 0 to 1
        Chance of passing each of the two plans, see `orchardmap.quality.passing.pass_chance`.

    Returns
    -------
    float
        As if nothing were ever discontinued or reduced.

    Raises
    ------
    InputError
        If a chance is out of range.

    Notes
    -----
    K. S. Stephens and K. E. Larson 1967, An evaluation of the MIL-STD-105D system of sampling plans.

    Examples
    --------
    >>> round(scheme_pass_chance(0.746103, 0.443229), 4)
    0.4691
    """
    pn, pt = share(normal, "normal"), share(tightened, "tightened")
    if pn == 1.0 or pt == 0.0:  # never left once entered
        return pn if pn == 1.0 else pt
    on_normal = (2.0 - pn**4) / ((1.0 - pn) * (1.0 - pn**4))
    on_tightened = (1.0 - pt**5) / ((1.0 - pt) * pt**5) if pt < 1.0 else 5.0
    return (on_normal * pn + on_tightened * pt) / (on_normal + on_tightened)
