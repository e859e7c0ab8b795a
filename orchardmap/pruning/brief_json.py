"""A brief's content as JSON and back, exactly; what is stored and sent names its format."""

import json
from collections.abc import Collection, Mapping
from dataclasses import asdict, fields
from typing import Any, get_args

from orchardmap.errors import InputError, NewerClientError
from orchardmap.model.brief import (
    BearingHabit,
    BriefContent,
    BudTarget,
    Point,
    PointClass,
    PointKind,
    PointUnit,
)

__all__ = ["FORMAT", "content_from_json", "content_from_text", "content_to_json", "content_to_text"]

FORMAT = 1
"""Raised whenever the meaning of a key changes or a key comes or goes; older ones stay readable."""

_LARGEST = 1e15  # up to here a float tells every whole number apart; JSON may hold any integer
_WORDS: dict[str, tuple[str, ...]] = {
    "kind": get_args(PointKind),
    "unit": get_args(PointUnit),
    "point_class": get_args(PointClass),
    "habit": get_args(BearingHabit),
}


def content_to_json(content: BriefContent) -> dict[str, Any]:
    """Return a content as what `json.dumps` takes.

    Parameters
    ----------
    content : BriefContent

    Returns
    -------
    dict
        Keys are the names of the model, with ``format`` before them. The order of languages is kept: the first
        is the one a sentence was written in.

    Examples
    --------
    >>> list(content_to_json(BriefContent("spur_uncut", False, (), ())))
    ['format', 'habit', 'is_heavy_setter', 'points', 'cautions', 'bud_target', 'notes']
    """
    told = asdict(content)
    return {"format": FORMAT} | told | {"points": list(told["points"]), "cautions": list(told["cautions"])}


def content_from_json(document: object) -> BriefContent:
    """Return the content that a JSON document tells: `content_to_json` backwards.

    Parameters
    ----------
    document : object
        Parsed JSON.

    Returns
    -------
    BriefContent
        Well formed; whether it may be published is `orchardmap.pruning.brief.content_problems`'s to say.

    Raises
    ------
    NewerClientError
        If its format is newer than `FORMAT`.
    InputError
        If a key is unknown or missing, or holds what it cannot; ``where`` names the key and the point.
    """
    form = document.get("format") if isinstance(document, Mapping) else None
    if isinstance(form, int) and not isinstance(form, bool) and form > FORMAT:
        raise NewerClientError(
            f"The brief is of format {form}; this program knows {FORMAT}.", where="format", todo="Update it."
        )
    if form != FORMAT or isinstance(form, bool):
        raise InputError(f"It is {form!r}; it must be {FORMAT}.", where="format")
    told = _keyed(document, {"format", *(part.name for part in fields(BriefContent))}, "brief")
    return BriefContent(
        habit=_word(told["habit"], "habit", "habit"),
        is_heavy_setter=_flag(told["is_heavy_setter"], "is_heavy_setter"),
        points=tuple(
            _point(point, f"point {n}") for n, point in enumerate(_listed(told["points"], "points"), 1)
        ),
        cautions=tuple(_text(key, "cautions") for key in _listed(told["cautions"], "cautions")),
        bud_target=_bud_target(told["bud_target"]),
        notes=_texts(told["notes"], "notes"),
    )


def content_to_text(content: BriefContent) -> str:
    """Return a content as it is kept.

    Returns
    -------
    str
        JSON in ASCII, so that any text is given back to the letter by any database.

    Examples
    --------
    >>> content_to_text(BriefContent("spur_uncut", False, (), ()))[:33]
    '{"format":1,"habit":"spur_uncut",'
    """
    return json.dumps(content_to_json(content), separators=(",", ":"), allow_nan=False)


def content_from_text(text: str) -> BriefContent:
    """Return the content that is kept as text: `content_to_text` backwards."""
    return content_from_json(json.loads(text))


def _point(document: object, place: str) -> Point:
    told = _keyed(document, {part.name for part in fields(Point)}, place)
    return Point(
        key=_text(told["key"], f"{place}, key"),
        sentences=_texts(told["sentences"], f"{place}, sentences"),
        picture=_text(told["picture"], f"{place}, picture"),
        kind=_word(told["kind"], "kind", f"{place}, kind"),
        low=_number(told["low"], f"{place}, low"),
        high=_number(told["high"], f"{place}, high"),
        unit=_word(told["unit"], "unit", f"{place}, unit"),
        point_class=_word(told["point_class"], "point_class", f"{place}, point_class"),
        is_checked=_flag(told["is_checked"], f"{place}, is_checked"),
        source=_text(told["source"], f"{place}, source"),
    )


def _bud_target(document: object) -> BudTarget:
    told = _keyed(document, {part.name for part in fields(BudTarget)}, "bud_target")
    numbers = {key: _number(value, f"bud_target, {key}") for key, value in told.items()}
    limbs = numbers.pop("limbs_per_tree")
    if limbs is not None and limbs != int(limbs):
        raise InputError(f"It is {limbs}; it must be a whole number.", where="bud_target, limbs_per_tree")
    return BudTarget(**numbers, limbs_per_tree=None if limbs is None else int(limbs))


def _keyed(document: object, keys: Collection[str], where: str) -> Mapping[str, Any]:
    if not isinstance(document, Mapping):
        raise InputError(f"It must be an object with {', '.join(sorted(keys))}.", where=where)
    for key in document:
        if key not in keys:
            raise InputError(f"{key!r} is not a key of it.", where=where, todo="Known: " + _known(keys))
    for key in sorted(keys):
        if key not in document:
            raise InputError(f"{key!r} is missing.", where=where)
    return document


def _known(words: Collection[str]) -> str:
    return f"{', '.join(sorted(words))}."


def _listed(value: object, where: str) -> list[object]:
    if not isinstance(value, list):
        raise InputError("It must be a list.", where=where)
    return value


def _text(value: object, where: str) -> str:
    if not isinstance(value, str):
        raise InputError(f"It is {value!r}; it must be text.", where=where)
    return value


def _texts(value: object, where: str) -> dict[str, str]:
    if not isinstance(value, Mapping):
        raise InputError("It must be an object of language and text.", where=where)
    return {_text(language, where): _text(text, f"{where}, {language}") for language, text in value.items()}


def _flag(value: object, where: str) -> bool:
    if not isinstance(value, bool):
        raise InputError(f"It is {value!r}; it must be true or false.", where=where)
    return value


def _number(value: object, where: str) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not -_LARGEST <= value <= _LARGEST:
        raise InputError(f"It is {value!r}; it must be a number or null.", where=where)
    return value


def _word(value: object, words: str, where: str) -> Any:  # noqa: ANN401 - one of the words of a Literal
    if value not in _WORDS[words]:
        raise InputError(f"It is {value!r}.", where=where, todo="Use one of: " + _known(_WORDS[words]))
    return value
