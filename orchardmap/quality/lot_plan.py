"""How many trees of a lot are checked and how many may be faulty, and what that means, in words. Pure."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import number_text, percent_text, whole_text
from orchardmap.model.lot import LotPlan, TablePlan, TwoPoints
from orchardmap.quality.passing import faulty_in_lot, pass_chance
from orchardmap.quality.plan import SamplingPlan, sampling_plan
from orchardmap.quality.risk_texts import risk_text
from orchardmap.quality.two_points import two_point_plan
from orchardmap.quality.weak_areas import RECHECK_TREES

__all__ = [
    "SizedLot",
    "oc_points",
    "other_plan_text",
    "plan_from_json",
    "plan_text",
    "plan_to_json",
    "risks",
    "sized",
]

_OC_POINTS = 61
_OC_TOPS = (0.3, 0.5, 0.75)
_HARDLY_EVER = 0.02
_RISK_SHARES = (0.05, 0.1, 0.2)

_CHECKED = message(
    "Trees to check: {n} of {lot}. Faulty ones that may be: {accept}; from {reject} on the lot goes back."
)
_EVERY = message("Every one of the {lot} trees is checked. Faulty ones that may be: {accept}; from {reject} on the lot goes back.")  # fmt: skip
_ONLY = message("The lot's only tree is checked; if it is faulty, the lot goes back.")
_GAP = message("Trees to check: {n} of {lot}. Faulty ones that may be: {accept}; from {reject} on the lot goes back, and in between the next lot is checked as normal again.")  # fmt: skip
_SEVERITIES = {
    "normal": message("Level {level}, {aql} faulty trees taken as good, normal inspection."),
    "tightened": message("Level {level}, {aql} faulty trees taken as good, tightened inspection."),
    "reduced": message("Level {level}, {aql} faulty trees taken as good, reduced inspection."),
}
_TWO_POINTS = message("A lot with {p1} faulty trees passes {pa1} times in 100 at the least, one with {p2} passes {pa2} times at the most.")  # fmt: skip
_RECHECK = message("Trees that were sent back are looked at closely: at least {least} of them, or all.")
_NOT_KEPT = message("A lot as small as this cannot tell {p1} from {p2}: so every tree is checked.")
_OTHER = message("This is not the farm's own plan. That one says: {plan}")


class SizedLot(NamedTuple):
    """What a plan asks of a lot of so many trees."""

    lot: int
    n: int
    """Trees to check; every one where the plan asks for as many or more."""
    accept: int
    reject: int
    code_letter: str | None
    """Of the tables."""

    @property
    def accept_at_most(self) -> int:
        """The most faulty trees with which it still passes: in the gap of a reduced plan it does."""
        return self.reject - 1

    @property
    def sampling(self) -> SamplingPlan:
        """The same, as verdicts take it."""
        letter = self.code_letter or ""
        return SamplingPlan(self.lot, letter, letter, self.n, self.accept, self.reject)


@lru_cache(maxsize=4096)
def sized(plan: LotPlan, lot: int) -> SizedLot:
    """Return how many trees of a lot a plan asks for.

    Parameters
    ----------
    plan : TablePlan or TwoPoints
    lot : int, ``>= 1``
        Trees in the lot.

    Returns
    -------
    SizedLot
        The tables begin at two trees: a single one is held to the plan of two. A lot of which every tree looked at is faulty goes
        back, whatever they say of one as small. Where a lot is so small that the shares of
        two promises are as many trees, every tree is checked and as many may be faulty as the first share is.

    Raises
    ------
    InputError
        If the lot is empty or the plan cannot be made; ``where`` names what is wrong.

    Examples
    --------
    >>> sized(TablePlan("I", 4.0), 400)[:4], sized(TablePlan("I", 4.0), 4)[:4]
    ((400, 20, 2, 3), (4, 3, 0, 1))
    """
    if lot < 1:
        raise InputError("The lot has no tree.", where="lot")
    if isinstance(plan, TablePlan):
        found = sampling_plan(max(lot, 2), level=plan.level, aql=plan.aql, severity=plan.severity)
        n = min(found.n, lot)
        reject = min(found.reject, n)
        return SizedLot(lot, n, min(found.accept, reject - 1), reject, found.code_letter)
    if _is_too_small(plan, lot):
        accept = int(faulty_in_lot(plan.p1, lot))
        return SizedLot(lot, lot, accept, accept + 1, None)
    n, accept = two_point_plan(plan.p1, plan.pa1, plan.p2, plan.pa2, model="hypergeometric", lot=lot)
    return SizedLot(lot, n, accept, accept + 1, None)


def _is_too_small(plan: TwoPoints, lot: int) -> bool:
    return plan.p1 < plan.p2 and int(faulty_in_lot(plan.p1, lot)) == int(faulty_in_lot(plan.p2, lot))


def plan_to_json(plan: LotPlan) -> dict[str, Any]:
    """Return a plan as it is kept and told."""
    kind = "attributes" if isinstance(plan, TablePlan) else "two_points"
    return {"kind": kind} | {name: getattr(plan, name) for name in plan.__dataclass_fields__}


def plan_from_json(told: Mapping[str, Any]) -> LotPlan:
    """Return the plan that `plan_to_json` told."""
    said = {name: value for name, value in told.items() if name != "kind"}
    return TablePlan(**said) if told["kind"] == "attributes" else TwoPoints(**said)


def plan_text(plan: LotPlan, of: SizedLot, language: str, *, is_recheck: bool = False) -> str:
    """Return what is checked and what may be faulty, by which plan, and why a recheck asks for so many.

    Parameters
    ----------
    plan : TablePlan or TwoPoints
    of : SizedLot
        What it asks of the lot.
    language : str
        ISO 639-1 code; English where it has no catalogue.
    is_recheck : bool
        The lot is drawn over a return. One that was drawn with fewer trees than rechecks have now says nothing of it.

    Returns
    -------
    str

    Examples
    --------
    >>> plan_text(TablePlan("I", 4.0), sized(TablePlan("I", 4.0), 400), "en").split(". ")[0]
    'Trees to check: 20 of 400'
    """
    words = (
        _ONLY
        if of.lot == 1
        else _EVERY
        if of.n == of.lot
        else _CHECKED
        if of.reject == of.accept + 1
        else _GAP
    )
    counts = {"n": of.n, "lot": of.lot, "accept": of.accept, "reject": of.reject}
    asked = translated(words, language).format_map({
        name: whole_text(count, language) for name, count in counts.items()
    })
    told = [asked, _plan_words(plan, of, language)]
    if is_recheck and of.n >= min(of.lot, RECHECK_TREES):
        told.append(translated(_RECHECK, language).format_map({"least": RECHECK_TREES}))
    return " ".join(told)


def _plan_words(plan: LotPlan, of: SizedLot, language: str) -> str:
    if isinstance(plan, TablePlan):
        told = {"level": plan.level, "aql": percent_text(plan.aql, language)}
        return translated(_SEVERITIES[plan.severity], language).format_map(told)
    times = {name: number_text(round(100 * getattr(plan, name), 2), language) for name in ("pa1", "pa2")}
    shares = {name: percent_text(round(100 * getattr(plan, name), 2), language) for name in ("p1", "p2")}
    words = _NOT_KEPT if _is_too_small(plan, of.lot) else _TWO_POINTS
    return translated(words, language).format_map(times | shares)


def other_plan_text(plan: LotPlan, own: LotPlan, of: SizedLot, language: str) -> str:
    """Return what the farm's own plan says where a lot goes by another one, whatever its severity; empty where it does not."""
    if isinstance(plan, TablePlan) and isinstance(own, TablePlan):
        own = replace(own, severity=plan.severity)
    if plan == own:
        return ""
    return translated(_OTHER, language).format_map({"plan": _plan_words(own, of, language)})


def risks(of: SizedLot, language: str) -> list[str]:
    """Return how often lots of this size with 5, 10 and 20 % faulty trees pass, as sentences; each number of trees once."""
    shares = {int(faulty_in_lot(share, of.lot)): share for share in reversed(_RISK_SHARES)}
    return [
        risk_text(of.n, of.accept_at_most, share, lot=of.lot, language=language)
        for faulty, share in sorted(shares.items())
        if faulty
    ]


def oc_points(of: SizedLot) -> list[tuple[float, float]]:
    """Return how often the lot passes for each share of faulty trees: the curve of the plan.

    Parameters
    ----------
    of : SizedLot

    Returns
    -------
    list of (float, float)
        Shares of whole trees, upwards from 0 and each once, to 0.3 or as far as lots still pass, and their chances.

    Examples
    --------
    >>> [(round(share, 2), round(chance, 2)) for share, chance in oc_points(sized(TablePlan("I", 4.0), 4))]
    [(0.0, 1.0), (0.25, 0.25), (0.5, 0.0)]
    """

    def chances(faulty: Any) -> Any:  # noqa: ANN401 - numbers of trees, to chances of the same shape
        return pass_chance(of.n, of.accept_at_most, faulty / of.lot, model="hypergeometric", lot=of.lot)

    tops = (int(np.ceil(top * of.lot)) for top in _OC_TOPS)
    top = next((most for most in tops if float(chances(np.array(most))) < _HARDLY_EVER), of.lot)
    faulty = np.unique(np.rint(np.linspace(0, top, _OC_POINTS)).astype(np.int64))
    return [(k / of.lot, float(chance)) for k, chance in zip(faulty.tolist(), chances(faulty), strict=True)]
