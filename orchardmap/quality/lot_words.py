"""The verdict on a lot in words: what was found, what it says of the whole lot, what is left to do. Pure."""

from collections.abc import Mapping

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import number_text
from orchardmap.model.lot import Lot
from orchardmap.quality.lot_findings import Check, Estimate, Findings, estimate
from orchardmap.quality.stand_in_words import left_out_texts
from orchardmap.quality.switching import Inspection, Switching

__all__ = ["inspection_text", "lot_texts"]

Sentence = Mapping[str, str]
Filled = tuple[Sentence, Mapping[str, object]]

_ACCEPTED = (
    message("Accepted: 1 of {checked} trees drawn was faulty, {most} may be."),
    message("Accepted: {faulty} of {checked} trees drawn were faulty, {most} may be."),
)
_SENT_BACK = (
    message("Sent back: 1 of {checked} trees drawn was faulty, {most} may be."),
    message("Sent back: {faulty} of {checked} trees drawn were faulty, {most} may be."),
)
_NONE_YET = message("No tree is checked yet. Trees to check: {n}; faulty ones that may be: {most}.")
_SO_FAR = message("Trees still to check: {left} of {n}. Faulty so far: {faulty}; {most} may be.")
_IN_GAP = message("That is more than {accept}: the next lot is checked as normal again.")
_STOPPED = message("Drawn trees that were not checked: {left}. The lot goes back whatever they are, and how many of all its trees are faulty is not told from a part of the draw.")  # fmt: skip
_BETWEEN = message("Between {low} and {high} of the lot's {lot} trees are faulty (95 in 100).")
_AT_MOST = message("At most {high} of the lot's {lot} trees are faulty (95 in 100).")
_EXACTLY = message("Faulty trees of all {lot}: {low}. Every one was checked.")
_BY_ROWS = message("Trees of a row are alike: these {checked} checks tell as much as {worth} of scattered trees. Allowing for that, {low}% to {high}% are faulty.")  # fmt: skip
_GONE = message("Trees of this lot that no longer stand as pruned by its crew: {gone}. If they never were, cancel the lot and draw it again.")  # fmt: skip
_GONE_BLOCK = message("Trees of this lot that are no longer marked as pruned: {gone}. If they never were, cancel the lot and draw it again.")  # fmt: skip
_CANCELLED = message("Cancelled: {reason}")

_DISCONTINUED = message("Five lots were sent back under tightened inspection. Put the cause right with the crew first; the next lot is checked under tightened inspection.")  # fmt: skip

_INSPECTIONS: Mapping[Inspection, Sentence] = {
    "normal": message("Normal inspection."),
    "tightened": message(
        "Tightened inspection: too many of the last lots were sent back. Five accepted in a row end it."
    ),
    "reduced": message("Reduced inspection: the last lots were good, and the farm agreed to check less."),
    "discontinued": _DISCONTINUED,
}


def lot_texts(lot: Lot, found: Findings[Check], *, gone: int, language: str) -> list[str]:
    """Return what there is to say of a lot, the verdict first.

    Parameters
    ----------
    lot : Lot
    found : Findings
        What was found on its trees.
    gone : int
        Trees of the lot that stand no longer as pruned (by its crew): a mark was withdrawn, or credited to another crew.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    list of str
    """
    told: list[Filled] = []
    if not lot.stands:
        told.append((_CANCELLED, {"reason": lot.cancel_reason or "-"}))
    told += _verdict(lot, found)
    if whole := estimate(lot, found):
        told += _of_all_trees(found, whole, language)
    if gone and lot.stands and not found.is_decided:
        told.append((_GONE if lot.crew_id else _GONE_BLOCK, {"gone": gone}))
    said = [translated(words, language).format_map(values) for words, values in told]
    return said + left_out_texts(lot, found, language)


def _verdict(lot: Lot, found: Findings[Check]) -> list[Filled]:
    values: dict[str, object] = {
        "checked": found.checked,
        "faulty": found.faulty,
        "most": lot.reject - 1,
        "accept": lot.accept,
        "n": found.asked.needed,
        "left": found.asked.needed - found.checked,
    }
    if found.verdict == "too_few":
        return [(_SO_FAR if found.checked else _NONE_YET, values)]
    if found.verdict == "accepted":
        told: list[Filled] = [(_ACCEPTED[found.faulty != 1], values)]
        return [*told, (_IN_GAP, values)] if found.faulty > lot.accept else told
    told = [(_SENT_BACK[found.faulty != 1], values)]
    return told if found.is_complete else [*told, (_STOPPED, values)]


def _of_all_trees(found: Findings[Check], whole: Estimate, language: str) -> list[Filled]:
    low, high = whole.lot_faulty
    values: dict[str, object] = {"low": low, "high": high, "lot": whole.lot_trees}
    told: list[Filled] = [
        (_EXACTLY if found.checked == whole.lot_trees else _BETWEEN if low else _AT_MOST, values)
    ]
    rows, worth = whole.by_rows, whole.effective_checks
    if worth is not None and round(worth) < found.checked and rows.low is not None and rows.high is not None:
        shares = {
            name: number_text(round(100 * end, 1), language)
            for name, end in (("low", rows.low), ("high", rows.high))
        }
        told.append((_BY_ROWS, {"checked": found.checked, "worth": round(worth), **shares}))
    return told


def inspection_text(memory: Switching, language: str) -> str:
    """Return how the next lot of a crew is inspected, and why.

    Parameters
    ----------
    memory : Switching
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str

    Examples
    --------
    >>> inspection_text(Switching(), "en")
    'Normal inspection.'
    """
    return translated(_INSPECTIONS[memory.inspection], language)
