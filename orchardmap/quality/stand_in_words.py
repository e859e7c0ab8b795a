"""Trees that cannot be judged, in words: what the plan does about them, which there were, and what that means. Pure."""

from collections import Counter
from collections.abc import Mapping

from orchardmap.locale.catalogue import message, translated
from orchardmap.model.lot import Lot
from orchardmap.quality.lot_findings import Check, Findings
from orchardmap.quality.stand_ins import LeftOut

__all__ = ["hangs_on_words", "left_out_counts", "left_out_texts", "left_out_word", "reserve_text"]

_ONE_STANDS_IN = message("If a tree cannot be judged, one further drawn tree stands in.")
_STANDS_IN = message("If a tree cannot be judged, the next of {reserve} further drawn trees stands in.")
_LEFT_OUT = message("Trees that could not be judged: {trees} ({reasons}).")
_CALLED = message("Further drawn trees that stand in: {called}.")
_BESIDES = message(
    "Trees that were judged after all, when a further one had stood in for them: {besides}. Both count."
)
_NOT_KNOWN = message("Only trees that could be judged count here. Trees that stand and could not be judged: {unknown}. Nobody knows whether they are as good.")  # fmt: skip
_WOULD = message(
    "Had the trees that were left out been faulty, the lot would have gone back: let somebody else look at them."
)
_UNPRUNED = message("Marked as pruned and found not to be: {unpruned}. Let the crew prune them, or take their marks back.")  # fmt: skip
_SHORT = message("No drawn tree is left to stand in, and the verdict needs {missing} more. See whether one of those left out can be judged after all; if not, cancel the lot and draw it again.")  # fmt: skip
_ENTER = message("Trees that are not there are drawn again as long as the plan has them: enter them as blanks of their rows first.")  # fmt: skip

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
    is_stuck = asked.is_short and lot.stands and not found.is_decided
    told = [
        (_LEFT_OUT, bool(counts)),
        (_CALLED, bool(asked.called)),
        (_BESIDES, asked.besides > 0),
        (_NOT_KNOWN, unknown > 0 and found.is_decided),
        (_WOULD, hangs_on_words(found)),
        (_UNPRUNED, "not_pruned" in counts),
        (_SHORT, is_stuck),
        (_ENTER, is_stuck and "gone" in counts),
    ]
    values = {
        "trees": len(asked.left_out),
        "reasons": reasons,
        "called": len(asked.called),
        "besides": asked.besides,
        "unknown": unknown,
        "unpruned": counts.get("not_pruned", 0),
        "missing": asked.needed - len(asked.trees),
    }
    return [translated(words, language).format_map(values) for words, is_said in told if is_said]


def hangs_on_words(found: Findings[Check]) -> bool:
    """Tell whether a lot was accepted and would not have been, had the trees that auditors left out been faulty."""
    # the worst case: whoever leaves out bad trees on purpose makes a lot with 1 faulty tree in 5 pass 70 times in 100, and not
    # 20 (20 of 400 trees, two may be faulty, three further ones); blanks are a manager's word
    asked = found.asked
    said = sum(why != "blank" for why in asked.left_out.values())
    called = set(asked.called)
    own = sum(one.verdict == "faulty" and (one.row, one.position) not in called for one in found.judged)
    return found.verdict == "accepted" and said > 0 and own + said >= asked.reject
