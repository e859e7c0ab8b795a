"""What a pruner reads of a point: its sentence with its limits filled in, so that an edited limit is said in every language."""

import re

from orchardmap.locale.numbers import number_text, range_text, share_text
from orchardmap.model.brief import Point

__all__ = ["PLACEHOLDERS", "placeholders", "point_text"]

PLACEHOLDERS = ("low", "high", "range")
"""What a sentence may hold in braces: either limit, or both as one phrase."""

_BRACED = re.compile(r"\{([^{}]*)\}")


def placeholders(sentence: str) -> tuple[str, ...]:
    """Return what stands in braces in a sentence, in order, known or not.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> placeholders("Leave {range} limbs.")
    ('range',)
    """
    return tuple(_BRACED.findall(sentence))


def point_text(point: Point, language: str) -> str:
    """Return the sentence of a point with its limits, as that language writes numbers.

    Parameters
    ----------
    point : Point
    language : str
        ISO 639-1 code. Where the point lacks it, the language it was written in speaks.

    Returns
    -------
    str
        A limit that is not there leaves nothing in its place; braces that hold nothing known stay.
        Empty for a point without any sentence.

    Examples
    --------
    >>> sentences = {"en": "Leave {range} limbs.", "es": "Deje {range} ramas."}
    >>> point = Point("limbs", sentences, "limb-count", "count", 18, 22, "limbs", "major", True, "")
    >>> point_text(point, "es"), point_text(point, "pl")
    ('Deje 18 a 22 ramas.', 'Leave 18 to 22 limbs.')
    """
    spoken = language if language in point.sentences else next(iter(point.sentences), language)
    write = share_text if point.kind == "ratio" else number_text
    low, high = (None if limit is None else write(limit, spoken) for limit in (point.low, point.high))
    filled = {"low": low or "", "high": high or "", "range": range_text(low, high, spoken)}
    return _BRACED.sub(lambda found: filled.get(found[1], found[0]), point.sentences.get(spoken, ""))
