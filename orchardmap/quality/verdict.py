"""The verdict on a lot: accept, send back, or too few checks."""

from typing import Literal

from orchardmap.quality.plan import SamplingPlan

__all__ = ["LotVerdict", "lot_verdict"]

LotVerdict = Literal["accepted", "send_back", "too_few"]


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
