"""The sentences beside a map: dangers, closures, weak areas. What the panel has no room for stands on a last sheet; none is left out. Millimetres."""

import math
import re
from collections.abc import Mapping
from html import escape, unescape

from orchardmap.locale.catalogue import message, translated
from orchardmap.paper.text_size import plain_width_em, text_width_em

__all__ = ["is_whole", "notes_panel", "notes_sheet", "panel_height_mm"]

Notes = Mapping[str, tuple[str, ...]]

_MORE = message("and {number} more on the last sheet")
_PT_MM = 25.4 / 72
_LEADING = 1.3
_ABOVE_MM = {"h2": 3.0, "h3": 2.5, "p": 1.0, "li": 0.0}
"""Room about a line of each kind, as the style sheet gives it."""
_LARGER = {"h2": 1.3}
_BOLD = ("h2", "h3")
_BLOCK = re.compile(r"<(h2|h3|p|li)\b[^>]*>(.*?)</\1>", re.DOTALL)
_DRAWING = re.compile(r'<svg[^>]* width="([0-9.]+)mm" height="([0-9.]+)mm".*?</svg>', re.DOTALL)
_TAG = re.compile(r"<[^>]+>")
_BESIDE_MM = 2.0


def panel_height_mm(html: str, width_mm: float, text_pt: float) -> float:
    """Return no less than what headings, sentences and lists take on a panel.

    Parameters
    ----------
    html : str
        Made of h2, h3, p and li.
    width_mm : float
    text_pt : float

    Examples
    --------
    >>> round(panel_height_mm("<p>Closed block.</p>", 60.0, 10.0), 1)
    5.6
    """
    return sum(_height_mm(kind, inner, width_mm, text_pt) for kind, inner in _BLOCK.findall(html))


def _height_mm(kind: str, inner: str, width_mm: float, text_pt: float) -> float:
    size = text_pt * _PT_MM * _LARGER.get(kind, 1.0)
    drawing = _DRAWING.search(inner)
    beside, high = (float(drawing[1]) + _BESIDE_MM, float(drawing[2])) if drawing else (0.0, 0.0)
    text = unescape(_TAG.sub("", _DRAWING.sub("", inner)))
    width_em = text_width_em(text) if kind in _BOLD else plain_width_em(text)
    # widths are told larger than they are by more than the word that goes to the next line (3 to 7 % were over, on all sizes in both languages)
    lines = math.ceil(width_em * size / (width_mm - beside))
    return max(high, lines * size * _LEADING) + _ABOVE_MM[kind]


def notes_panel(notes: Notes, room_mm: float, width_mm: float, text_pt: float, language: str) -> str:
    """Return sentences under their headings, as many as there is room for, and how many more there are."""
    parts = []
    for heading, sentences in notes.items():
        if not sentences:
            continue
        head = f"<h3>{escape(heading)}</h3>"
        said = [f"<p>{escape(one)}</p>" for one in sentences]
        more = _more(len(said), language)
        taken = panel_height_mm(head, width_mm, text_pt)
        shown = 0
        for one in said:
            taken += panel_height_mm(one, width_mm, text_pt)
            left = len(said) - shown - 1
            if taken + (panel_height_mm(more, width_mm, text_pt) if left else 0.0) > room_mm:
                break
            shown += 1
        made = head + "".join(said[:shown])
        made += _more(len(said) - shown, language) if shown < len(said) else ""
        room_mm -= panel_height_mm(made, width_mm, text_pt)
        parts.append(made)
    return "".join(parts)


def is_whole(panel: str, notes: Notes) -> bool:
    """Tell whether a panel has every sentence."""
    return all(f"<p>{escape(one)}</p>" in panel for sentences in notes.values() for one in sentences)


def notes_sheet(notes: Notes) -> str:
    """Return all sentences under their headings, in columns."""
    parts = (
        f"<h2>{escape(heading)}</h2>{''.join(f'<p>{escape(one)}</p>' for one in sentences)}"
        for heading, sentences in notes.items()
        if sentences
    )
    return f'<div class="all">{"".join(parts)}</div>'


def _more(number: int, language: str) -> str:
    return f"<p><b>{escape(translated(_MORE, language).format(number=number))}</b></p>"
