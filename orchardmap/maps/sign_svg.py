"""The signs of the legend as SVG elements: stretches of row, hatched patches, buds and piths, rings.

Nothing but `orchardmap.maps.signs` enters them; no text from people does.
"""

import math
from dataclasses import replace

from orchardmap.maps import signs
from orchardmap.maps.signs import Glyph, Hatching, LineForm, RingSign

__all__ = ["WEIGHT_PX", "glyph_svg", "line_svg", "patch_svg", "ring_svg"]

WEIGHT_PX = 5.0
"""The width of the heavy line in pictures of the legend."""

_FORMS = {form.key: form for form in (*signs.LINES, *signs.ARCS)}


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
    form = _FORMS[key]
    width = form.width * WEIGHT_PX
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


def patch_svg(hatching: Hatching, *, box: tuple[float, float, float, float]) -> str:
    """Return the SVG elements of a hatched patch.

    Parameters
    ----------
    hatching : Hatching
        One of `orchardmap.maps.signs.PATCHES`.
    box : tuple of float, pixels
        Left, top, right and bottom.

    Returns
    -------
    str
        SVG elements, without the ``svg`` element round them.
    """
    left, top, right, bottom = box
    # lines run on x + y = const, so what one covers of the box is known from its ends alone
    lines = [
        ((max(left, at - bottom), min(bottom, at - left)), (min(right, at - top), max(top, at - right)))
        for at in _steps(left + top + hatching.period * 0.7, right + bottom, hatching.period * math.sqrt(2))
    ]
    if hatching.is_crossed:
        lines += [((left + right - ax, ay), (left + right - bx, by)) for (ax, ay), (bx, by) in lines]
    path = "".join(
        f"M{_number(ax)},{_number(ay)} L{_number(bx)},{_number(by)} " for (ax, ay), (bx, by) in lines
    )
    edge = f"M{_number(left)},{_number(top)} H{_number(right)} V{_number(bottom)} H{_number(left)} Z"
    return _stroke(path, hatching.colour, hatching.width, "butt") + _stroke(edge, hatching.colour, 1.5)


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
    parts = []
    if glyph.outline:
        shape = f'fill="{signs.SHEET}" stroke="{glyph.colour}" stroke-width="1.8"'
        parts.append(f'<path d="{glyph.outline}" {shape}/>')
    if glyph.filled:
        parts.append(f'<path d="{glyph.filled}" fill="{glyph.colour}"/>')
    if glyph.strokes:
        parts.append(_stroke(glyph.strokes, glyph.colour, 2.2))
    return f'<g transform="translate({_number(x)} {_number(y)}) scale({_number(scale)})">{"".join(parts)}</g>'


def ring_svg(sign: RingSign, *, x: float, y: float, radius: float) -> str:
    """Return the SVG elements of one block seen from far.

    Parameters
    ----------
    sign : RingSign
        How far the ring is closed, with what line, and what stands in its middle.
    x, y, radius : float, pixels
        Middle, and radius of the ring's middle line.

    Returns
    -------
    str
        SVG elements, without the ``svg`` element round them.
    """
    parts = [f'<circle cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}" fill="{signs.SHEET}"/>']
    parts.append(_rest_svg(_FORMS[sign.rest], x, y, radius))
    if sign.share > 0:
        parts.append(_arc_svg(_FORMS[sign.arc], sign.share, (x, y), radius))
    if sign.pith:
        glyph = next(item for item in signs.PITHS if item.key == sign.pith)
        parts.append(glyph_svg(glyph, x=x, y=y, scale=radius / 17))
    if sign.has_overlap:
        bars = "".join(_radial(x, y, turn, radius - 4.5, radius + 4.5) for turn in (0.08, 0.2))
        parts += [_stroke(bars, signs.SHEET, 4.6, "butt"), _stroke(bars, signs.INK, 2, "butt")]
    if sign.has_again:
        ticks = "".join(
            f"M{_on_ring(x, y, turn - 0.02, radius - 5)} L{_on_ring(x, y, turn + 0.02, radius + 5)} "
            for turn in (0.7, 0.8)
        )
        parts += [_stroke(ticks, signs.SHEET, 4.6, "butt"), _stroke(ticks, signs.AGAIN, 2.2, "butt")]
    if sign.has_weak:
        parts.append(_weak_svg(x - radius, y - radius))
    if sign.is_closed:
        count = round(2 * math.pi * (radius + 4) / 5)
        dots = "".join(_radial(x, y, i / count, radius + 4, radius + 4.01) for i in range(count))
        parts.append(_stroke(dots, signs.CLOSED, 2.2))
    return "".join(parts)


def _weak_svg(x: float, y: float) -> str:
    """Return the small hatched square that stands beside a ring."""
    small = replace(signs.PATCHES[0], period=3.4)
    ground = f'<rect x="{_number(x - 5)}" y="{_number(y - 5)}" width="10" height="10" fill="{signs.SHEET}"/>'
    return ground + patch_svg(small, box=(x - 5, y - 5, x + 5, y + 5))


def _on_ring(x: float, y: float, turn: float, radius: float) -> str:
    angle = 2 * math.pi * (turn - 0.25)
    return f"{_number(x + radius * math.cos(angle))},{_number(y + radius * math.sin(angle))}"


def _radial(x: float, y: float, turn: float, inner: float, outer: float) -> str:
    return f"M{_on_ring(x, y, turn, inner)} L{_on_ring(x, y, turn, outer)} "


def _arc_path(x: float, y: float, radius: float, share: float) -> str:
    """Return an arc clockwise from north in two halves, so that a whole turn is one too."""
    arc = f"A{_number(radius)},{_number(radius)} 0 0 1"
    half, end = _on_ring(x, y, share / 2, radius), _on_ring(x, y, share, radius)
    return f"M{_on_ring(x, y, 0, radius)} {arc} {half} {arc} {end}"


def _rest_svg(form: LineForm, x: float, y: float, radius: float) -> str:
    around = 2 * math.pi * radius
    dash = around / max(6, round(around / 7))
    dashes = f' stroke-dasharray="{_number(dash * 0.6)} {_number(dash * 0.4)}"' if form.form == "twig" else ""
    width = form.width * WEIGHT_PX
    return (
        f'<path d="{_arc_path(x, y, radius, 1)}" fill="none" stroke="{form.colour}" '
        f'stroke-width="{_number(width)}"{dashes}/>'
    )


def _arc_svg(form: LineForm, share: float, middle: tuple[float, float], radius: float) -> str:
    x, y = middle
    if form.form == "barred":
        count = max(1, round(share * 2 * math.pi * radius / form.period))
        bars = (_radial(x, y, (i + 0.5) / count * share, radius - 3.6, radius + 3.6) for i in range(count))
        return _stroke("".join(bars), form.colour, 2, "butt")
    path = _arc_path(x, y, radius, share)
    if form.form == "twig":
        dashed = f'fill="none" stroke="{form.colour}" stroke-width="3.4" stroke-dasharray="4 2"'
        return _stroke(path, signs.SHEET, 4, "butt") + f'<path d="{path}" {dashed}/>'
    return _stroke(path, form.colour, radius * 0.34, "butt")
