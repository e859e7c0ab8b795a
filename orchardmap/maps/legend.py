"""The legend: one source for the live map, the saved file, the service, pictures and tests.

What there is to draw stands in `orchardmap.maps.signs`; here it becomes data for scripts
(`as_json`), a picture (`legend_svg`) and a panel for a page (`legend_html`). No text from people
enters any of them.
"""

from dataclasses import dataclass
from typing import Any

from orchardmap.maps import signs
from orchardmap.maps.feature_svg import feature_picture_svg
from orchardmap.maps.sign_svg import WEIGHT_PX, glyph_svg, line_svg, patch_svg, ring_svg
from orchardmap.maps.signs import Glyph, Hatching, LineForm
from orchardmap.maps.words import legend_text

__all__ = ["as_json", "features_json", "legend_html", "legend_svg"]


def as_json() -> dict[str, Any]:
    """Return the legend as plain data, ready for `json.dumps`.

    Returns
    -------
    dict
        ``palette`` and ``night`` (the same on a dark ground), ``lines`` and ``arcs`` (by key), ``kinds``
        (state number to line key), ``patches``, ``buds``, ``piths``, ``places`` (each by key), ``views`` and ``words``.
        Widths are shares of the weight, paths SVG path data in a box from -12 to 12.

    Examples
    --------
    >>> as_json()["kinds"]["1"]
    'pruned'
    """
    return {
        "palette": dict(signs.PALETTE),
        "night": dict(signs.NIGHT_PALETTE),
        "weight_px": WEIGHT_PX,
        "lines": {form.key: _line_json(form) for form in signs.LINES},
        "arcs": {form.key: _line_json(form) for form in signs.ARCS},
        "kinds": {str(number): key for number, key in signs.KIND_KEYS.items()},
        "patches": {hatching.key: _patch_json(hatching) for hatching in signs.PATCHES},
        "buds": {glyph.key: _glyph_json(glyph) for glyph in signs.BUDS},
        "piths": {glyph.key: _glyph_json(glyph) for glyph in signs.PITHS},
        "places": {glyph.key: _glyph_json(glyph) for glyph in signs.PLACES},
        "views": {key: {"words": words, "ring": ring} for key, (words, ring) in signs.VIEWS.items()},
        "words": {
            **signs.WORDS,
            "seen_walking": signs.SEEN_WALKING,
            "no_fault_of_point": signs.NO_FAULT_OF_POINT,
        },
    }


def features_json() -> dict[str, Any]:
    """Return the signs of what lies on a farm beside its blocks, by key, as plain data: ``words``, ``line``, ``area``, ``glyph``.

    They stand apart from `as_json`, which tablets carry: these are drawn by maps alone.

    Returns
    -------
    dict

    Examples
    --------
    >>> features_json()["track"]["line"]["form"]
    'rails'
    """
    return {
        sign.key: {
            "words": sign.words,
            "line": _line_json(sign.line) if sign.line else None,
            "area": sign.area,
            "glyph": _glyph_json(sign.glyph) if sign.glyph else None,
        }
        for sign in signs.FEATURES
    }


def _line_json(form: LineForm) -> dict[str, Any]:
    return {
        "words": form.words,
        "form": form.form,
        "colour": form.colour,
        "width": form.width,
        "period_px": form.period,
        "stem_px": form.stem,
        "shoot_px": form.shoot,
    }


def _patch_json(hatching: Hatching) -> dict[str, Any]:
    return {
        "words": hatching.words,
        "colour": hatching.colour,
        "period_px": hatching.period,
        "width_px": hatching.width,
        "is_crossed": hatching.is_crossed,
    }


def _glyph_json(glyph: Glyph) -> dict[str, str]:
    return {
        "words": glyph.words,
        "colour": glyph.colour,
        "outline": glyph.outline,
        "filled": glyph.filled,
        "strokes": glyph.strokes,
    }


def _rows() -> list[tuple[str, str]]:
    """Return each line entry: the words and its drawing in a box of 84 x 24."""
    entries = [(form.words, line_svg(form.key, start=3, end=81, y=12)) for form in signs.LINES]
    stopped = line_svg("pruned", start=3, end=45, y=12) + line_svg("to_prune", start=49, end=81, y=12)
    return [*entries[:2], (signs.WORDS["stopped"], stopped), *entries[2:]]


def _glyphs(glyphs: tuple[Glyph, ...]) -> list[tuple[str, str]]:
    return [(glyph.words, glyph_svg(glyph, x=16, y=12, scale=0.85)) for glyph in glyphs]


def _features() -> list[tuple[str, str]]:
    return [(sign.words, feature_picture_svg(sign)) for sign in signs.FEATURES]


def _patches() -> list[tuple[str, str]]:
    return [(one.words, patch_svg(one, box=(3, 3, 41, 23))) for one in signs.PATCHES]


@dataclass(frozen=True, slots=True)
class _Section:
    heading: str
    size: tuple[int, int]
    entries: list[tuple[str, str]]
    views: tuple[str, ...] = tuple(signs.VIEWS)
    """The layers of the map that this part of the legend belongs to."""
    key: str = ""
    """What a page finds it by, where it has something to do with it."""
    seen: str = ""
    """From where its signs are drawn: near, far, or empty for both."""


def _rings(view: str) -> list[tuple[str, str]]:
    return [(sign.words, ring_svg(sign, x=18, y=18, radius=12)) for sign in signs.RINGS[view]]


def _sections() -> list[_Section]:
    words = signs.WORDS
    from_far = [
        _Section(words["blocks"], (36, 36), _rings(view), (view,), seen="far") for view in signs.VIEWS
    ]
    return [
        _Section(words["rows"], (84, 24), _rows(), seen="near"),
        *from_far,
        _Section(words["checks"], (32, 24), _glyphs(signs.BUDS), ("progress", "quality"), seen="near"),
        _Section(words["patches"], (44, 26), _patches(), ("progress", "quality"), seen="near"),
        _Section(words["places"], (32, 24), _glyphs(signs.PLACES), seen="near"),
        _Section(signs.FEATURES_TITLE, (84, 24), _features(), key="features"),
    ]


def _notes(section: _Section) -> list[str]:
    return [signs.SEEN_WALKING] if section.heading == signs.WORDS["checks"] else []


def legend_html(language: str = "en") -> str:
    """Return the legend as headings and lists, to stand in a page's legend panel.

    Parameters
    ----------
    language : str
        Of its words, ISO 639-1.

    Returns
    -------
    str
        HTML with pictures in SVG presentation attributes, so that no inline style is needed. Each part
        names the layers of the map it belongs to in ``data-views``.
    """
    parts = []
    for section in _sections():
        width, height = section.size
        items = "".join(
            f'<li><svg width="{width}" height="{height}" viewBox="0 0 {width} {height}" aria-hidden="true" '
            f'focusable="false">{drawing}</svg><span>{legend_text(words, language)}</span></li>'
            for words, drawing in section.entries
        )
        notes = "".join(f"<p>{legend_text(note, language)}</p>" for note in _notes(section))
        views = " ".join(section.views)
        named = f' id="legend-{section.key}"' if section.key else ""
        named += f' data-seen="{section.seen}"' if section.seen else ""
        parts.append(
            f'<div{named} data-views="{views}"><h3>{legend_text(section.heading, language)}</h3><ul>{items}</ul>{notes}</div>'
        )
    about = [legend_text(words, language) for words in (signs.VIEWS["progress"][1], signs.WORDS["size"])]
    about_rings = f'<p id="ring-words">{about[0]}</p><p>{about[1]}</p>'
    parts.insert(1 + len(signs.VIEWS), f'<div data-seen="far">{about_rings}</div>')
    return "".join(parts)


def legend_svg() -> str:
    """Return the legend as one picture, for sheets and documents.

    Returns
    -------
    str
        A complete SVG document; text in the reader's sans serif.
    """
    y, body = 56.0, []
    for section in _sections():
        width, height = section.size
        heading = section.heading
        if len(section.views) == 1:
            heading += f", layer {signs.VIEWS[section.views[0]][0]}"
        body.append(f'<text x="20" y="{y:g}" font-weight="bold">{heading}</text>')
        y += 12
        for words, drawing in section.entries:
            body.append(f'<g transform="translate(20 {y:g})">{drawing}</g>')
            body.append(f'<text x="{32 + width}" y="{y + height / 2 + 5:g}">{words}</text>')
            y += height + 4
        y += 26
    notes = (*(text for _, text in signs.VIEWS.values()), signs.WORDS["size"], signs.SEEN_WALKING)
    for note in notes:
        body.append(f'<text x="20" y="{y:g}" font-size="12">{note}</text>')
        y += 18
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="720" height="{y:g}" viewBox="0 0 720 {y:g}" '
        f'role="img" aria-label="{signs.WORDS["title"]}" font-family="sans-serif" font-size="14" fill="{signs.INK}">'
        f'<rect width="100%" height="100%" fill="{signs.PAPER}"/>'
        f'<text x="20" y="30" font-size="18" font-weight="bold">{signs.WORDS["title"]}</text>{"".join(body)}</svg>'
    )
