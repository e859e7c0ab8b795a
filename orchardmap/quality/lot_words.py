"""The verdict on a lot in words: what was found, what it says of the whole lot, what is left to do. Pure."""

from collections.abc import Mapping
from datetime import date

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import percent_text, whole_text
from orchardmap.model.lot import Lot
from orchardmap.quality.lot_findings import Check, Estimate, Findings, estimate
from orchardmap.quality.stand_in_words import left_out_texts
from orchardmap.quality.switching import Inspection, Switching
from orchardmap.quality.verdict import LotVerdict

__all__ = ["cancelled_texts", "inspection_text", "lot_texts", "return_texts"]

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
_BY_ROWS = message("Trees of a row are alike: these {checked} checks tell as much as {worth} of scattered trees. Allowing for that, {low} to {high} are faulty.")  # fmt: skip
_GONE = message("Trees of this lot that no longer stand as pruned by its crew: {gone}. If they never were, cancel the lot and draw it again.")  # fmt: skip
_GONE_BLOCK = message("Trees of this lot that are no longer marked as pruned: {gone}. If they never were, cancel the lot and draw it again.")  # fmt: skip
_PUT_RIGHT = message(
    "Put right: all its trees were gone over again, and a new check accepted them. The figures below are of before."
)
_PART_SENT = message("Sent back so far: {told} of {trees} trees. The others wait: make a return of them too, or a manager cancels the lot if they may stay as they are.")  # fmt: skip
_SOFTENED = message("Trees found faulty at first and judged anew since as not faulty: {softened}. The last look at a tree counts.")  # fmt: skip
_AFTER = message("Checks left out: {left_out}. They were made after their trees were gone over again and say nothing of this lot. Of one day nobody knows the hour: what was entered first is taken as done first.")  # fmt: skip
_CANCELLED = message("Cancelled on {day}: {reason}")
_CANCELLED_BY = message("Cancelled on {day} by {who}: {reason}")
_CAME_TO: Mapping[LotVerdict, Sentence] = {
    "accepted": message("Trees checked by then: {checked} of {n}, faulty ones: {faulty}. It was accepted."),
    "send_back": message("Trees checked by then: {checked} of {n}, faulty ones: {faulty}. It was sent back."),
    "too_few": message("Trees checked by then: {checked} of {n}, faulty ones: {faulty}. It was not decided."),
}
_UNKNOWN = message("Checks made before it was cancelled and handed in only afterwards: {unknown}.")

_DISCONTINUED = message("Five lots were sent back under tightened inspection. Put the cause right with the crew first; the next lot is checked under tightened inspection.")  # fmt: skip

_INSPECTIONS: Mapping[Inspection, Sentence] = {
    "normal": message("Normal inspection."),
    "tightened": message(
        "Tightened inspection: too many of the last lots were sent back. Five accepted in a row end it."
    ),
    "reduced": message("Reduced inspection: the last lots were good, and the farm agreed to check less."),
    "discontinued": _DISCONTINUED,
}


def lot_texts(lot: Lot, found: Findings[Check], *, gone: int, left_out: int = 0, language: str) -> list[str]:
    """Return what there is to say of a lot that stands, the verdict first.

    Parameters
    ----------
    lot : Lot
    found : Findings
        What was found on its trees.
    gone : int
        Trees of the lot that stand no longer as pruned (by its crew): a mark was withdrawn, or credited to another crew.
    left_out : int
        Checks of its trees that were made after a return had them gone over again.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    list of str
    """
    told = _verdict(lot, found)
    if whole := estimate(lot, found):
        told += _of_all_trees(found, whole, language)
    if found.softened:
        told.append((_SOFTENED, {"softened": found.softened}))
    if left_out:
        told.append((_AFTER, {"left_out": left_out}))
    if gone and not found.is_decided:
        told.append((_GONE if lot.crew_id else _GONE_BLOCK, {"gone": gone}))
    said = [translated(words, language).format_map(_written(values, language)) for words, values in told]
    return said + left_out_texts(lot, found, language)


def _written(values: Mapping[str, object], language: str) -> dict[str, object]:
    """Return them with the counts as the language writes whole numbers."""
    return {
        name: whole_text(value, language) if isinstance(value, int) else value
        for name, value in values.items()
    }


def cancelled_texts(
    lot: Lot, found: Findings[Check], *, on: date, by: str, unknown: int = 0, language: str
) -> list[str]:
    """Return what there is to say of a lot that was taken back: when, by whom and why, and what it had come to.

    Parameters
    ----------
    lot : Lot
    found : Findings
        What was found on its trees by then.
    on : date
        In the farm's own time zone.
    by : str
        Name of the account; empty where none is known.
    unknown : int
        Checks made before it was cancelled and handed in afterwards.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    list of str
    """
    said = {"day": date_text(on, language), "who": by, "reason": lot.cancel_reason or "-"}
    came_to = {"checked": found.checked, "n": lot.n, "faulty": found.faulty}
    told: list[Filled] = [(_CANCELLED_BY if by else _CANCELLED, said), (_CAME_TO[found.verdict], came_to)]
    if unknown:
        told.append((_UNKNOWN, {"unknown": unknown}))
    return [translated(words, language).format_map(values) for words, values in told]


def _verdict(lot: Lot, found: Findings[Check]) -> list[Filled]:
    values: dict[str, object] = {
        "checked": found.checked,
        "faulty": found.faulty,
        "most": found.asked.reject - 1,
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
            name: percent_text(round(100 * end, 1), language)
            for name, end in (("low", rows.low), ("high", rows.high))
        }
        told.append((_BY_ROWS, {"checked": found.checked, "worth": round(worth), **shares}))
    return told


def return_texts(*, trees: int, not_sent_back: int, is_put_right: bool, language: str) -> list[str]:
    """Return what became of the trees of a lot that was sent back; nothing where they all wait, or all are under way.

    Parameters
    ----------
    trees : int
        Of the lot that stand as pruned.
    not_sent_back : int
        Of them, those that no return holds.
    is_put_right : bool
        All were gone over again and accepted.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    list of str

    Examples
    --------
    >>> return_texts(trees=1516, not_sent_back=1265, is_put_right=False, language="en")[0].partition(".")[0]
    'Sent back so far: 251 of 1,516 trees'
    """
    if is_put_right:
        return [translated(_PUT_RIGHT, language)]
    if not 0 < not_sent_back < trees:
        return []
    told = {"told": whole_text(trees - not_sent_back, language), "trees": whole_text(trees, language)}
    return [translated(_PART_SENT, language).format_map(told)]


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
