"""Row-end labels: which row, which end, and a code that a camera reads. Black on white; lengths in millimetres."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

from orchardmap.paper.codes import code_svg
from orchardmap.paper.pdf import FONT
from orchardmap.paper.sheet import A4_MM, Sheet
from orchardmap.paper.text_size import text_width_em

__all__ = ["End", "Label", "labels_document"]

End = Literal["A", "B"]
"""A is the first end, where position 1 stands; B the far end."""

_PAD_MM = 4.0
_RULE_MM = 0.5
_LINE = 1.12
_SHORTEST_CUT_MM = 1.5
_PRINTABLE_MM = 4.0
"""Most printers leave about this much of an edge white (common practice)."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label."""

    code: str
    """Of the block."""
    row: int
    end: End
    positions: int
    variety: str
    address: str
    """What the code says, and what is printed below it."""


_STYLE = f"""
@page {{ size: {A4_MM[0]:g}mm {A4_MM[1]:g}mm; margin: 0; }}
html, body {{ margin: 0; padding: 0; color: #000; background: #fff; font-family: "{FONT}"; line-height: {_LINE}; }}
.sheet {{ position: relative; width: {A4_MM[0]:g}mm; height: {A4_MM[1]:g}mm; overflow: hidden; break-after: page; }}
.sheet:last-child {{ break-after: auto; }}
.label, .cut, .label > * {{ position: absolute; margin: 0; overflow: hidden; }}
.label p {{ overflow-wrap: anywhere; }}
.block, .row, .letter {{ font-weight: 700; }}
.row {{ line-height: .8; white-space: nowrap; }}
.letter {{ box-sizing: border-box; border: {_RULE_MM}mm solid #000; text-align: center; }}
.address {{ text-align: center; }}
.cut {{ background: #000; }}
"""


def labels_document(title: str, labels: Sequence[Label], sheet: Sheet) -> str:
    """Return the labels as an HTML document for `orchardmap.paper.pdf.pdf_of`.

    Parameters
    ----------
    title : str
        Of the document, plain text.
    labels : sequence of Label
        In the order in which they are to stand on the sheets.
    sheet : Sheet
        How they stand.

    Returns
    -------
    str
    """
    full = sheet.labels
    sheets = [
        "".join([
            '<div class="sheet">',
            *_cuts(sheet),
            *(_label(one, sheet, sheet.place_mm(i)) for i, one in enumerate(labels[start : start + full])),
            "</div>",
        ])
        for start in range(0, len(labels), full)
    ]
    head = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{_STYLE}</style>'
    return f'<!doctype html><html lang="en"><head>{head}</head><body>{"".join(sheets)}</body></html>'


def _label(label: Label, sheet: Sheet, place_mm: tuple[float, float]) -> str:
    inner_w, inner_h = sheet.width_mm - 2 * _PAD_MM, sheet.height_mm - 2 * _PAD_MM
    foot_h = inner_h * 0.17
    code_w = min(inner_h - foot_h - 1.0, inner_w * 0.47)
    text_w = inner_w - code_w - 2.0
    code_left, foot_top = sheet.width_mm - _PAD_MM - code_w, sheet.height_mm - _PAD_MM - foot_h
    end = "first end, position 1" if label.end == "A" else f"far end, position {label.positions}"
    # top, height, largest letter: shares of the height, so that every size of label looks the same
    lines = (
        ("block", f"Block {label.code}, row", 0.0, 0.20, 0.095),
        ("row", f"{label.row}", 0.21, 0.44, 0.55),
        ("variety", label.variety, 0.67, 0.14, 0.068),
    )
    return "".join([
        f'<div class="label" style="{_box(*place_mm, sheet.width_mm, sheet.height_mm)}">',
        *(
            _text(kind, text, (_PAD_MM, _PAD_MM + top * inner_h, text_w, height * inner_h), largest * inner_h)
            for kind, text, top, height, largest in lines
        ),
        f'<p class="letter" style="{_box(_PAD_MM, foot_top, foot_h, foot_h)};font-size:{foot_h * 0.7:.2f}mm;'
        f'line-height:{foot_h - 2 * _RULE_MM:.2f}mm">{label.end}</p>',
        _text(
            "end",
            end,
            (_PAD_MM + foot_h * 1.2, foot_top + foot_h * 0.28, text_w - foot_h * 1.2, foot_h * 0.72),
            foot_h * 0.36,
        ),
        f'<div style="{_box(code_left, _PAD_MM, code_w, code_w)}">'
        f"{code_svg(label.address, width_mm=round(code_w, 2), label=f'Code: {label.address}')}</div>",
        _text("address", label.address, (code_left, foot_top, code_w, foot_h), foot_h * 0.28),
        "</div>",
    ])


def _text(kind: str, text: str, box_mm: tuple[float, float, float, float], largest_mm: float) -> str:
    size = _fitting_mm(text, box_mm[2], 0.0 if kind == "row" else box_mm[3], largest_mm)
    return f'<p class="{kind}" style="{_box(*box_mm)};font-size:{size:.2f}mm">{escape(text)}</p>'


def _fitting_mm(text: str, width_mm: float, height_mm: float, largest_mm: float) -> float:
    """Return the largest letter with which a text fits its box, on several lines where there is height for them."""
    widest = text_width_em(text) or 1.0
    size = largest_mm
    while size > 0.5:
        lines = int(height_mm / (_LINE * size))
        # a line breaks between words, so a part of each may stay empty
        if widest * size <= width_mm or (lines > 1 and widest * size <= 0.75 * lines * width_mm):
            return size
        size *= 0.94
    return size


def _box(left: float, top: float, width: float, height: float) -> str:
    return f"left:{left:.2f}mm;top:{top:.2f}mm;width:{width:.2f}mm;height:{height:.2f}mm"


def _cuts(sheet: Sheet) -> list[str]:
    """Return the marks to cut by: in the sheet's edges and between columns, never on a label."""
    across, down = sheet.cuts_mm()
    thin = 0.2
    found = []
    for x in across:
        for first, last in ((_PRINTABLE_MM, down[0] - 0.5), (down[-1] + 0.5, A4_MM[1] - _PRINTABLE_MM)):
            if last - first >= _SHORTEST_CUT_MM:
                found.append(_box(x - thin / 2, first, thin, last - first))
    gaps = [
        (1.0, across[0] - 0.5),
        *zip(across[1:-1:2], across[2:-1:2], strict=True),
        (across[-1] + 0.5, A4_MM[0] - 1.0),
    ]
    for y in down:
        for first, last in gaps:
            if last - first >= _SHORTEST_CUT_MM:
                found.append(_box(first, y - thin / 2, last - first, thin))
    return [f'<div class="cut" style="{place}"></div>' for place in found]
