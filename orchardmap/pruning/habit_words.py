"""Bearing habits in words, for whoever chooses one and for whoever prunes by it."""

from orchardmap.locale.catalogue import message, translated
from orchardmap.model.brief import BearingHabit

__all__ = ["habit_text"]

_WORDS: dict[BearingHabit, dict[str, str]] = {
    "tip_renewed": message("Tip bearer, renewed every year"),
    "tip_alternating": message("Tip bearer that tends to bear every other year"),
    "spur_renewed": message("Spur bearer, fruiting units renewed"),
    "spur_long_lived": message("Spur bearer, long-lived spurs"),
    "spur_uncut": message("Spur bearer, not cut back"),
}
_HEAVY_SETTER = message("{habit}; sets heavily")


def habit_text(habit: BearingHabit, language: str, *, is_heavy_setter: bool = False) -> str:
    """Return a bearing habit as a heading says it.

    Parameters
    ----------
    habit : BearingHabit
    language : str
        ISO 639-1 code; English where it has no catalogue.
    is_heavy_setter : bool
        Whether the variety sets so heavily that its spurs are thinned besides.

    Returns
    -------
    str
        Without a full stop.

    Examples
    --------
    >>> habit_text("spur_uncut", "en", is_heavy_setter=True)
    'Spur bearer, not cut back; sets heavily'
    """
    words = translated(_WORDS[habit], language)
    return translated(_HEAVY_SETTER, language).format(habit=words) if is_heavy_setter else words
