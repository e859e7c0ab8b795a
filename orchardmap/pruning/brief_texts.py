"""What a brief says to its crew in every language it is written in: sentences, cautions and pictures with their limits filled in."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from orchardmap.locale.numbers import decimal_sign
from orchardmap.model.brief import BriefContent, Point
from orchardmap.pruning.cautions import CAUTIONS, caution_texts
from orchardmap.pruning.clearance import LineClearance
from orchardmap.pruning.pictures import PICTURES, picture_svg
from orchardmap.pruning.sentences import point_text

__all__ = ["BriefText", "brief_texts", "picture_digest", "point_pictures"]


@dataclass(frozen=True, slots=True)
class BriefText:
    """What a brief says in one language."""

    points: tuple[str, ...]
    """In the order of the content's points."""
    pictures: tuple[str, ...]
    """Digest of each point's picture; empty where there is no drawing of that name."""
    cautions: tuple[str, ...]
    """One more than the content names: the last one defers to law, label and licensed practice."""


def picture_digest(svg: str) -> str:
    """Return what names a drawing for good: the first 16 hexadecimal digits of its SHA-256."""
    return hashlib.sha256(svg.encode()).hexdigest()[:16]


@lru_cache(1024)  # some 4 MB: briefs share most of their drawings, and each takes a millisecond
def _picture(name: str, low: float | None, high: float | None, sign: str) -> str:
    return picture_svg(name, low=low, high=high, decimal_sign=sign) if name in PICTURES else ""


def _drawn(point: Point, language: str) -> str:
    return _picture(point.picture, point.low, point.high, decimal_sign(language))


def _languages(content: BriefContent) -> tuple[str, ...]:
    return tuple(dict.fromkeys(language for point in content.points for language in point.sentences))


def brief_texts(
    content: BriefContent, *, clearance_m: float = LineClearance().base_m
) -> dict[str, BriefText]:
    """Return what a brief says, by language.

    Parameters
    ----------
    content : BriefContent
        A draft may name a drawing or caution that there is none of: it is passed over.
    clearance_m : float, metres
        Least distance from the farm's power lines.

    Returns
    -------
    dict of str to BriefText
        Every language that a point is written in, the first one first.

    Examples
    --------
    >>> from orchardmap.pruning.habits import ready_made
    >>> texts = brief_texts(ready_made("spur_uncut"))
    >>> list(texts), texts["en"].points[0]
    (['en', 'es'], 'Cut out dead, broken and diseased wood first.')
    """
    cautions = [key for key in content.cautions if key in CAUTIONS]
    return {
        language: BriefText(
            tuple(point_text(point, language) for point in content.points),
            tuple(
                svg and picture_digest(svg) for svg in (_drawn(point, language) for point in content.points)
            ),
            caution_texts(cautions, language, clearance_m=clearance_m),
        )
        for language in _languages(content)
    }


def point_pictures(contents: Iterable[BriefContent]) -> Mapping[str, str]:
    """Return the drawings that briefs need, each once.

    Parameters
    ----------
    contents : iterable of BriefContent

    Returns
    -------
    mapping of str to str
        Digest, as `brief_texts` names it, to SVG.
    """
    drawn = (
        _drawn(point, language)
        for content in contents
        for language in _languages(content)
        for point in content.points
    )
    return {picture_digest(svg): svg for svg in drawn if svg}
