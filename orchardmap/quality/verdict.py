"""The verdict on a lot: accept, send back, or too few checks; and how far it goes for a block."""

from typing import Literal

from orchardmap.quality.plan import SamplingPlan

__all__ = [
    "BLOCK_VERDICTS",
    "LARGEST_UNJUDGED_SHARE",
    "BlockVerdict",
    "LotVerdict",
    "as_far_as_judged",
    "lot_verdict",
]

LotVerdict = Literal["accepted", "send_back", "too_few"]
BlockVerdict = LotVerdict | Literal["accepted_in_part"]
BLOCK_VERDICTS: tuple[BlockVerdict, ...] = ("accepted", "accepted_in_part", "send_back", "too_few")

LARGEST_UNJUDGED_SHARE = 0.1
"""Of a block's pruned trees, in no lot: up to there what was accepted is said of the block. A rule of this house."""


def lot_verdict(plan: SamplingPlan, *, checked: int, faulty: int) -> LotVerdict:
    """Return the verdict on a lot by its plan.

    Parameters
    ----------
    plan : SamplingPlan
        Sample size, accept and reject numbers.
    checked, faulty : int, trees
        Drawn trees checked so far, and those of them that are faulty.

    Returns
    -------
    {"accepted", "send_back", "too_few"}
        A lot is sent back as soon as its reject number is reached, however few trees were checked:
        more checks cannot bring the count of faulty trees down. It is accepted only on the full
        sample. In the gap of a reduced plan (accept < faulty < reject) the lot is accepted
        (MIL-STD-105E; the next one goes back to normal inspection).

    Examples
    --------
    >>> plan = SamplingPlan(400, "H", "H", 50, 5, 6)
    >>> [lot_verdict(plan, checked=c, faulty=f) for c, f in [(50, 5), (12, 6), (49, 0)]]
    ['accepted', 'send_back', 'too_few']
    """
    if faulty >= plan.reject:
        return "send_back"
    return "accepted" if checked >= plan.trees_to_check else "too_few"


def as_far_as_judged(verdict: LotVerdict, *, pruned: int, unjudged: int) -> BlockVerdict:
    """Return what the verdict on a block's lots says of the block.

    Parameters
    ----------
    verdict : {"accepted", "send_back", "too_few"}
        What its lots come to.
    pruned : int, trees
        Pruned in the block.
    unjudged : int, trees
        Those of them that are in no lot.

    Returns
    -------
    {"accepted", "accepted_in_part", "send_back", "too_few"}

    Examples
    --------
    >>> as_far_as_judged("accepted", pruned=2060, unjudged=2000)
    'accepted_in_part'
    """
    if verdict == "accepted" and unjudged > LARGEST_UNJUDGED_SHARE * pruned:
        return "accepted_in_part"
    return verdict
