"""QR codes (ISO/IEC 18004) as drawings: upper-case text takes the alphanumeric mode, which keeps them small."""

from functools import lru_cache
from html import escape

import segno

from orchardmap.errors import InputError

__all__ = ["code_svg"]

_QUIET_MODULES = 4
"""The standard's margin: without it readers may miss the code."""
_SMALLEST_MODULE_MM = 0.4
"""Finer squares are lost by cheap printers and by cameras at arm's length (common practice)."""
_TOO_LONG = "is too long for a code of this size"
_SHORTER = "Give the block a shorter code, or the label a larger size."


@lru_cache(maxsize=512)  # a row has a label at either end
def code_svg(text: str, *, width_mm: float, label: str = "") -> str:
    """Return a QR code as an SVG drawing to stand inside HTML.

    Parameters
    ----------
    text : str
        What it says. Level Q: a quarter of it may be scratched or splashed.
    width_mm : float
        Of the code with its quiet margin.
    label : str
        Read out in place of the picture; the text itself when left out.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If that is more than a code of that width holds.

    Examples
    --------
    >>> code_svg("HTTP://A/R/H6/1", width_mm=30)[:60]
    '<svg width="30mm" height="30mm" role="img" aria-label="HTTP:'
    """
    try:
        code = segno.make_qr(text, error="q", boost_error=False)
    except segno.DataOverflowError as error:
        raise InputError(_TOO_LONG, where=text[:80], todo=_SHORTER) from error
    if width_mm / code.symbol_size(border=_QUIET_MODULES)[0] < _SMALLEST_MODULE_MM:
        raise InputError(_TOO_LONG, where=text[:80], todo=_SHORTER)
    drawn = code.svg_inline(border=_QUIET_MODULES, light="#fff", omitsize=True, svgclass=None, lineclass=None)
    # the size as attributes: a page's security policy would refuse a style
    said = escape(label or text)
    size = f'width="{width_mm:g}mm" height="{width_mm:g}mm" role="img" aria-label="{said}" shape-rendering="crispEdges" '
    return drawn.replace("<svg ", f"<svg {size}", 1)
