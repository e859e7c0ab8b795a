"""Trees that cannot be judged, in words: what the plan does about them, which there were, and what that means. Pure."""

from collections import Counter
from collections.abc import Mapping

from orchardmap.locale.catalogue import message, translated
from orchardmap.model.lot import Lot
from orchardmap.quality.lot_findings import Check, Findings
from orchardmap.quality.stand_ins import LeftOut

__all__ = ["left_out_counts", "left_out_texts", "left_out_word", "reserve_text"]

_ONE_STANDS_IN = message("If a tree cannot be judged, one further drawn tree stands in.")
_STANDS_IN = message("If a tree cannot be judged, the next of {reserve} further drawn trees stands in.")
_LEFT_OUT = message("Trees that could not be judged: {trees} ({reasons}).")
_CALLED = message("Further drawn trees that stand in: {called}.")
_NOT_KNOWN = message("Only trees that could be judged count here. Trees that stand and could not be judged: {unknown}. Nobody knows whether they are as good.")  # fmt: skip
_UNPRUNED = message("Marked as pruned and found not to be: {unpruned}. Let the crew prune them, or take their marks back.")  # fmt: skip
_SHORT = message("No drawn tree is left to stand in, and the verdict needs {missing} more. See whether one of those left out can be judged after all; if not, cancel the lot and draw it again.")  # fmt: skip

_WORDS: Mapping[LeftOut, Mapping[str, str]] = {
    "gone": message("not there or dead"),
    "blank": message("no tree by now"),
    "not_pruned": message("not pruned"),
    "unreachable": message("out of reach"),
    "other": message("another reason"),
}


def reserve_text(reserve: int, language: str) -> str:
    """Return what becomes of trees that cannot be judged, by the plan of a lot.

    Parameters
    ----------
    reserve : int
        Further trees that are drawn; 0 where the lot has none, and in lots drawn before there were such.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str
        Empty where there are none; else it begins with a space, to stand behind `orchardmap.quality.lot_plan.plan_text`.
    """
    if not reserve:
        return ""
    words = _ONE_STANDS_IN if reserve == 1 else _STANDS_IN
    return " " + translated(words, language).format(reserve=reserve)


def left_out_word(reason: LeftOut, language: str) -> str:
    """Return why a tree is not judged, in a word or two."""
    return translated(_WORDS[reason], language)


def left_out_counts(found: Findings[Check]) -> list[tuple[LeftOut, int]]:
    """Return how many trees of a lot are not judged, by reason and most first."""
    return Counter(sorted(found.asked.left_out.values())).most_common()


def left_out_texts(lot: Lot, found: Findings[Check], language: str) -> list[str]:
    """Return what there is to say of a lot's trees that could not be judged, nothing where there are none.

    Parameters
    ----------
    lot : Lot
    found : Findings
        What was found on its trees.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    list of str
    """
    asked = found.asked
    counts = dict(left_out_counts(found))
    reasons = ", ".join(f"{left_out_word(why, language)}: {trees}" for why, trees in counts.items())
    unknown = counts.get("unreachable", 0) + counts.get("other", 0)
    told = [
        (_LEFT_OUT, bool(counts)),
        (_CALLED, bool(asked.called)),
        (_NOT_KNOWN, unknown > 0 and found.is_decided),
        (_UNPRUNED, "not_pruned" in counts),
        (_SHORT, asked.is_short and lot.stands and not found.is_decided),
    ]
    values = {
        "trees": len(asked.left_out),
        "reasons": reasons,
        "called": len(asked.called),
        "unknown": unknown,
        "unpruned": counts.get("not_pruned", 0),
        "missing": asked.needed - len(asked.trees),
    }
    return [translated(words, language).format_map(values) for words, is_said in told if is_said]
