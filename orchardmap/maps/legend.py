"""The legend: one source for the live map, the saved file, the service, pictures and tests.

What there is to draw stands in `orchardmap.maps.signs`; here it becomes data for scripts
(`as_json`), a picture (`legend_svg`) and a panel for a page (`legend_html`). No text from people
enters any of them.
"""

import math
from typing import Any

from orchardmap.maps import signs
from orchardmap.maps.signs import Glyph, LineForm

__all__ = ["as_json", "glyph_svg", "legend_html", "legend_svg", "line_svg", "ring_svg"]

_WEIGHT = 5.0


def as_json() -> dict[str, Any]:
    """Return the legend as plain data, ready for `json.dumps`.

    Returns
    -------
    dict
        ``palette``, ``lines`` (by key), ``kinds`` (state number to line key), ``buds``, ``piths``,
        ``places`` (each by key), ``views`` and ``words``. Widths are shares of the weight, paths
        SVG path data in a box from -12 to 12.

    Examples
    --------
    >>> as_json()["kinds"]["1"]
    'pruned'
    """
    return {
        "palette": dict(signs.PALETTE),
        "weight_px": _WEIGHT,
        "lines": {form.key: _line_json(form) for form in signs.LINES},
        "kinds": {str(number): key for number, key in signs.KIND_KEYS.items()},
        "buds": {glyph.key: _glyph_json(glyph) for glyph in signs.BUDS},
        "piths": {glyph.key: _glyph_json(glyph) for glyph in signs.PITHS},
        "places": {glyph.key: _glyph_json(glyph) for glyph in signs.PLACES},
        "views": {key: {"words": words, "ring": ring} for key, (words, ring) in signs.VIEWS.items()},
        "words": {**signs.WORDS, "seen_walking": signs.SEEN_WALKING},
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


def _glyph_json(glyph: Glyph) -> dict[str, str]:
    return {
        "words": glyph.words,
        "colour": glyph.colour,
        "outline": glyph.outline,
        "filled": glyph.filled,
        "strokes": glyph.strokes,
    }


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _stroke(path: str, colour: str, width: float, cap: str = "round") -> str:
    return (
        f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{_number(width)}" '
        f'stroke-linecap="{cap}" stroke-linejoin="round"/>'
    )


def line_svg(key: str, *, start: float, end: float, y: float) -> str:
    """Return the SVG elements of one stretch of row.

    Parameters
    ----------
    key : str
        A key of `orchardmap.maps.signs.LINES`.
    start, end, y : float, pixels
        Where the stretch stands.

    Returns
    -------
    str
        SVG elements, without the ``svg`` element round them.
    """
    form = next(line for line in signs.LINES if line.key == key)
    width = form.width * _WEIGHT
    whole = f"M{_number(start)},{_number(y)} H{_number(end)}"
    if form.form == "twig":
        return _stroke(_twig_path(form, start, end, y), form.colour, width)
    if form.form == "cased":
        ends = "".join(
            f"M{_number(x)},{_number(y - form.shoot)} v{_number(2 * form.shoot)} " for x in (start, end)
        )
        rails = _stroke(whole, form.colour, width, "butt")
        core = _stroke(whole, signs.PAPER, width * 0.38, "butt")
        return rails + core + _stroke(ends, form.colour, 1.7, "butt")
    if form.form == "ticked":
        ticks = "".join(
            f"M{_number(x - 2.5)},{_number(y + form.shoot)} l5,{_number(-2 * form.shoot)} "
            for x in _steps(start + 7, end - 4, form.period)
        )
        return _stroke(whole, form.colour, width, "butt") + _stroke(ticks, form.colour, 1.7)
    if form.form == "dotted":
        dots = "".join(f"M{_number(x)},{_number(y)} h0.01 " for x in _steps(start + 5, end - 4, form.period))
        caps = "".join(
            f"M{_number(x)},{_number(y - form.shoot)} v{_number(2 * form.shoot)} " for x in (start, end)
        )
        return _stroke(dots, form.colour, width * 1.3) + _stroke(caps, form.colour, 1.7, "butt")
    return _stroke(whole, form.colour, width, "butt")


def _steps(start: float, end: float, step: float) -> list[float]:
    return [start + i * step for i in range(max(0, math.floor((end - start) / step) + 1))]


def _twig_path(form: LineForm, start: float, end: float, y: float) -> str:
    path = ""
    for i, x in enumerate(_steps(start, end - 3, form.period)):
        stem_end = min(x + form.stem, end)
        path += f"M{_number(x)},{_number(y)} H{_number(stem_end)} "
        shoot_at = x + form.stem * 0.45
        if shoot_at + form.shoot < end:
            rise = form.shoot if i % 2 else -form.shoot
            path += f"M{_number(shoot_at)},{_number(y)} l{_number(form.shoot * 0.9)},{_number(rise)} "
    return path


def glyph_svg(glyph: Glyph, *, x: float, y: float, scale: float = 1.0) -> str:
    """Return the SVG group of a bud, a pith, a place or the north arrow.

    Parameters
    ----------
    glyph : Glyph
        What to draw.
    x, y : float, pixels
        Where its middle stands.
    scale : float, unitless
        1 gives the 24-pixel box.

    Returns
    -------
    str
        One SVG ``g`` element.
    """
    parts = [f'<path d="{glyph.outline}" fill="{signs.SHEET}" stroke="{glyph.colour}" stroke-width="1.8"/>']
    if glyph.filled:
        parts.append(f'<path d="{glyph.filled}" fill="{glyph.colour}"/>')
    if glyph.strokes:
        parts.append(_stroke(glyph.strokes, glyph.colour, 2.2))
    return f'<g transform="translate({_number(x)} {_number(y)}) scale({_number(scale)})">{"".join(parts)}</g>'


def ring_svg(share: float, pith: str, *, x: float, y: float, radius: float) -> str:
    """Return the SVG elements of one block seen from far.

    Parameters
    ----------
    share : float, share of trees, 0 to 1
        How far the ring is closed, clockwise from north.
    pith : str
        A key of `orchardmap.maps.signs.PITHS`.
    x, y, radius : float, pixels
        Middle, and radius of the ring's middle line.

    Returns
    -------
    str
        SVG elements, without the ``svg`` element round them.
    """
    circumference = 2 * math.pi * radius
    dashes = max(6, round(circumference / 7))
    dash = circumference / dashes
    parts = [
        f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" fill="{signs.SHEET}" '
        f'stroke="{signs.TO_PRUNE}" stroke-width="1.8" stroke-dasharray="{_number(dash * 0.6)} {_number(dash * 0.4)}"/>'
    ]
    if share > 0:
        done = circumference * min(share, 1.0)
        parts.append(
            f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" fill="none" stroke="{signs.PRUNED}" '
            f'stroke-width="{_number(radius * 0.34)}" stroke-dasharray="{_number(done)} {_number(circumference)}" '
            f'transform="rotate(-90 {_number(x)} {_number(y)})"/>'
        )
    glyph = next(item for item in signs.PITHS if item.key == pith)
    parts.append(glyph_svg(glyph, x=x, y=y, scale=radius / 17))
    return "".join(parts)


def _rows() -> list[tuple[str, str]]:
    """Return each line entry: the words and its drawing in a box of 84 x 24."""
    entries = [(form.words, line_svg(form.key, start=3, end=81, y=12)) for form in signs.LINES]
    stopped = line_svg("pruned", start=3, end=45, y=12) + line_svg("to_prune", start=49, end=81, y=12)
    return [*entries[:2], (signs.WORDS["stopped"], stopped), *entries[2:]]


def _glyphs(glyphs: tuple[Glyph, ...]) -> list[tuple[str, str]]:
    return [(glyph.words, glyph_svg(glyph, x=16, y=12, scale=0.85)) for glyph in glyphs]


def _rings() -> list[tuple[str, str]]:
    return [
        (glyph.words, ring_svg(share, glyph.key, x=18, y=18, radius=13))
        for glyph, share in zip(signs.PITHS, (1.0, 0.4, 0.7), strict=True)
    ]


def _sections() -> list[tuple[str, tuple[int, int], list[tuple[str, str]]]]:
    words = signs.WORDS
    return [
        (words["rows"], (84, 24), _rows()),
        (words["blocks"], (36, 36), _rings()),
        (words["checks"], (32, 24), _glyphs(signs.BUDS)),
        (words["places"], (32, 24), _glyphs(signs.PLACES)),
    ]


def legend_html() -> str:
    """Return the legend as headings and lists, to stand in a page's legend panel.

    Returns
    -------
    str
        HTML with pictures in SVG presentation attributes, so that no inline style is needed.
    """
    parts = []
    for heading, (width, height), entries in _sections():
        items = "".join(
            f'<li><svg width="{width}" height="{height}" viewBox="0 0 {width} {height}" aria-hidden="true" '
            f'focusable="false">{drawing}</svg><span>{words}</span></li>'
            for words, drawing in entries
        )
        parts.append(f"<h3>{heading}</h3><ul>{items}</ul>")
    parts.insert(2, f'<p id="ring-words">{signs.VIEWS["progress"][1]}</p><p>{signs.WORDS["size"]}</p>')
    parts.insert(4, f"<p>{signs.SEEN_WALKING}</p>")
    return "".join(parts)


def legend_svg() -> str:
    """Return the legend as one picture, for sheets and documents.

    Returns
    -------
    str
        A complete SVG document; text in the reader's sans serif.
    """
    y, body = 56.0, []
    for heading, (width, height), entries in _sections():
        body.append(f'<text x="20" y="{_number(y)}" font-weight="bold">{heading}</text>')
        y += 12
        for words, drawing in entries:
            body.append(f'<g transform="translate(20 {_number(y)})">{drawing}</g>')
            body.append(f'<text x="{32 + width}" y="{_number(y + height / 2 + 5)}">{words}</text>')
            y += height + 4
        y += 26
    notes = (signs.VIEWS["progress"][1], signs.WORDS["size"], signs.SEEN_WALKING)
    for note in notes:
        body.append(f'<text x="20" y="{_number(y)}" font-size="12">{note}</text>')
        y += 18
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="420" height="{_number(y)}" viewBox="0 0 420 {_number(y)}" '
        f'role="img" aria-label="{signs.WORDS["title"]}" font-family="sans-serif" font-size="14" fill="{signs.INK}">'
        f'<rect width="100%" height="100%" fill="{signs.PAPER}"/>'
        f'<text x="20" y="30" font-size="18" font-weight="bold">{signs.WORDS["title"]}</text>{"".join(body)}</svg>'
    )
