"""Is a brief fit to be published? Everything wrong with it, each with the place where an adviser mends it."""

import math
import re
from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import astuple, dataclass

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import number_text
from orchardmap.model.brief import BriefContent, Point, PointKind, PointUnit
from orchardmap.pruning.cautions import CAUTIONS
from orchardmap.pruning.sentences import PLACEHOLDERS, placeholders

__all__ = ["Problem", "content_problems", "problem_text"]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that keeps a brief from being published."""

    point_number: int | None
    """Counted from 1; None where it is the whole brief's."""
    part: str
    """Field of the point or of the brief that is to be mended, as the model names it."""
    sentences: Mapping[str, str]
    """Language to what is wrong and what to do."""
    value: str | float = ""
    """What stands in for ``{value}``."""


@dataclass(frozen=True, slots=True)
class _Needs:
    low: bool | None
    high: bool | None
    units: tuple[PointUnit, ...]
    least: float = 0.0
    most: float = math.inf
    is_whole: bool = False


# True: must be there; False: must not; None: one of the two is enough
_NEEDS: dict[PointKind, _Needs] = {
    "yes_no": _Needs(False, False, ("",)),
    "count": _Needs(None, None, ("", "limbs", "buds", "cuts"), is_whole=True),
    "ratio": _Needs(False, True, ("",)),
    "at_least": _Needs(True, False, ("cm",)),
    "at_most": _Needs(False, True, ("cm",)),
    "angle": _Needs(None, None, ("deg",), most=180.0),
}
_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_LANGUAGE = re.compile(r"[a-z]{2,3}")

_NO_POINT = message("The brief has no point. Add one, or start from a bearing habit.")
_NO_KEY = message("The name {value} is not lower-case letters, digits and hyphens. Change it.")
_SAME_KEY = message("Another point has the name {value} too. Change one of them.")
_NO_SENTENCE = message("There is no sentence in the language {value}. Write it, or take that language out of every point.")  # fmt: skip
_NO_NOTE = message("The note for the crew is not written in the language {value}. Write it, or clear it in every language.")  # fmt: skip
_NO_LANGUAGE = message("No sentence is written. Write what the pruner is to do.")
_ODD_LANGUAGE = message("{value} is no language code. Use two letters, such as en or es.")
_ODD_BRACES = message(
    "Nothing is known by the name {value}. In braces only low, high and range are filled in."
)
_NO_SUCH_LIMIT = message("The sentence speaks of a limit that is not set ({value}). Set it, or leave it out of the sentence.")  # fmt: skip
_NO_PICTURE = message("There is no drawing {value}. Pick one of the list.")
_LIMIT_MISSING = message("A limit is missing. Enter it.")
_LIMIT_UNUSED = message("This kind of point does not use that limit. Clear it, or choose another kind.")
_LIMIT_ODD = message("A limit cannot be {value} here. Enter a number that a tree can have.")
_LIMIT_NOT_WHOLE = message("A count is a whole number, not {value}. Enter a whole number.")
_LIMITS_CROSSED = message("The lower limit is above the upper one. Change one of them.")
_ODD_UNIT = message("This kind of point is not measured in {value}. Choose another unit.")
_NO_UNIT = message("A unit is missing. Choose it.")
_NO_SOURCE = message("No source is named. Name it, or write common practice.")
_NO_CAUTION = message("There is no caution {value}. Take it out.")
_SAME_CAUTION = message("The caution {value} stands there twice. Take one out.")
_ODD_TARGET = message("A bud target must be a number above zero, not {value}. Change it, or clear it.")


def content_problems(content: BriefContent, *, pictures: Collection[str]) -> tuple[Problem, ...]:
    """Return everything that keeps a brief from being published.

    Parameters
    ----------
    content : BriefContent
    pictures : collection of str
        Names of the drawings there are.

    Returns
    -------
    tuple of Problem
        Point by point, then those of the whole brief; empty if it may be published.

    Examples
    --------
    >>> from orchardmap.pruning.habits import ready_made
    >>> content = ready_made("spur_uncut")
    >>> content_problems(content, pictures={point.picture for point in content.points})
    ()
    """
    spoken = tuple(dict.fromkeys(language for point in content.points for language in point.sentences))
    keys = Counter(point.key for point in content.points)
    found: list[Problem] = []
    for number, point in enumerate(content.points, 1):
        faults = (
            *_key_faults(point, keys),
            *_sentence_faults(point, spoken),
            *_limit_faults(point),
            *_rest_faults(point, pictures),
        )
        found += [Problem(number, *fault) for fault in faults]
    found += [Problem(None, *fault) for fault in _brief_faults(content, spoken)]
    return tuple(found)


def problem_text(problem: Problem, language: str) -> str:
    """Return what is wrong and what to do, in a language.

    Returns
    -------
    str
        English where there is no catalogue for the language.
    """
    value = problem.value
    told = f"“{value}”" if isinstance(value, str) else number_text(value, language)
    return translated(problem.sentences, language).replace("{value}", told)


_Faults = Iterator[tuple[str, Mapping[str, str], str | float]]
"""Part, sentences and value of each."""


def _key_faults(point: Point, keys: Counter[str]) -> _Faults:
    if _KEY.fullmatch(point.key) is None:
        yield "key", _NO_KEY, point.key
    if keys[point.key] > 1:
        yield "key", _SAME_KEY, point.key


def _sentence_faults(point: Point, spoken: tuple[str, ...]) -> _Faults:
    if not point.sentences:
        yield "sentences", _NO_LANGUAGE, ""
    for language in spoken:
        if not point.sentences.get(language, "").strip():
            yield "sentences", _NO_SENTENCE, language
    limits = {"low": point.low, "high": point.high, "range": point.high if point.low is None else point.low}
    for language, sentence in point.sentences.items():
        if _LANGUAGE.fullmatch(language) is None:
            yield "sentences", _ODD_LANGUAGE, language
        for name in placeholders(sentence):
            if name not in PLACEHOLDERS:
                yield "sentences", _ODD_BRACES, name
            elif limits[name] is None:
                yield "sentences", _NO_SUCH_LIMIT, name


def _limit_faults(point: Point) -> _Faults:
    needs = _NEEDS[point.kind]
    for part, limit, is_needed in (("low", point.low, needs.low), ("high", point.high, needs.high)):
        if limit is None:
            if is_needed:
                yield part, _LIMIT_MISSING, ""
        elif is_needed is False:
            yield part, _LIMIT_UNUSED, ""
        elif not (math.isfinite(limit) and needs.least <= limit <= needs.most):
            yield part, _LIMIT_ODD, limit
        elif needs.is_whole and limit != int(limit):
            yield part, _LIMIT_NOT_WHOLE, limit
    if needs.low is None and point.low is None and point.high is None:
        yield "low", _LIMIT_MISSING, ""
    if point.low is not None and point.high is not None and point.low > point.high:
        yield "high", _LIMITS_CROSSED, ""
    if point.unit not in needs.units:
        yield "unit", _ODD_UNIT if point.unit else _NO_UNIT, point.unit


def _rest_faults(point: Point, pictures: Collection[str]) -> _Faults:
    if point.picture not in pictures:
        yield "picture", _NO_PICTURE, point.picture
    if not point.source.strip():
        yield "source", _NO_SOURCE, ""


def _brief_faults(content: BriefContent, spoken: tuple[str, ...]) -> _Faults:
    if not content.points:
        yield "points", _NO_POINT, ""
    for key, times in Counter(content.cautions).items():
        if key not in CAUTIONS:
            yield "cautions", _NO_CAUTION, key
        if times > 1:
            yield "cautions", _SAME_CAUTION, key
    if content.notes:
        for language in spoken:
            if not content.notes.get(language, "").strip():
                yield "notes", _NO_NOTE, language
    for number in astuple(content.bud_target):
        if number is not None and not (math.isfinite(number) and number > 0):
            yield "bud_target", _ODD_TARGET, number
