"""How far two auditors agree on the trees that both looked at, in words. Pure."""

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import percent_text, whole_text
from orchardmap.quality.agreement import Agreement

__all__ = ["FEW_TREES", "agreement_texts"]

FEW_TREES = 30
"""Common practice: fewer trees seen by both leave the intervals too wide to act on."""
_LOW_POSITIVE = 0.5
"""Below it a warning is due, however many trees were judged alike."""

_NONE = message("No tree was looked at by two auditors yet. Ask for a second look at some trees of a lot.")
_ALIKE = message("{alike} of {trees} trees were judged alike ({percent}).")
_FAULTY = message("When one of the two called a tree faulty, the other did so too: {percent} of the time.")
_TALK = message("Auditors differ on what is faulty. Let them look at some trees together, point by point.")
_NO_FAULTY = message(
    "Neither called a tree faulty, so nothing is known of how far they agree on faulty trees."
)
_FEW = message("{trees} trees are few: look at the intervals before anything is concluded.")
_UNNAMED = message("Trees with a second look that are left out, for it is not known who looked: {trees}. Choose a person before a tree is checked.")  # fmt: skip


def agreement_texts(told: Agreement | None, *, unnamed: int = 0, language: str) -> list[str]:
    """Return what the agreement of auditors says, and what to do.

    Parameters
    ----------
    told : Agreement or None
        None where no tree was looked at twice.
    unnamed : int
        Trees with a second look that are in no pair, for it is not known who made one of the two.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    list of str
        Sentences.

    Examples
    --------
    >>> from orchardmap.quality.agreement import agreement_of_two
    >>> for sentence in agreement_texts(agreement_of_two([[118, 5], [2, 0]]), language="en"):
    ...     print(sentence)
    118 of 125 trees were judged alike (94 %).
    When one of the two called a tree faulty, the other did so too: 0 % of the time.
    Auditors differ on what is faulty. Let them look at some trees together, point by point.
    """
    left_out = [translated(_UNNAMED, language).format(trees=unnamed)] if unnamed else []
    if told is None:
        return left_out or [translated(_NONE, language)]
    return _sentences(told, language) + left_out


def _sentences(told: Agreement, language: str) -> list[str]:
    alike = translated(_ALIKE, language).format(
        alike=whole_text(round(told.percent.value * told.trees), language),
        trees=whole_text(told.trees, language),
        percent=_percent(told.percent.value, language),
    )
    sentences = [alike]
    if told.positive is None:
        sentences.append(translated(_NO_FAULTY, language))
    else:
        share = _percent(told.positive.value, language)
        sentences.append(translated(_FAULTY, language).format(percent=share))
        if told.positive.value < _LOW_POSITIVE:
            sentences.append(translated(_TALK, language))
    if told.trees < FEW_TREES:
        sentences.append(translated(_FEW, language).format(trees=told.trees))
    return sentences


def _percent(share: float, language: str) -> str:
    return percent_text(round(100 * share), language)
