"""The sheets that a brief card is printed on, and its style. Lengths in millimetres."""

import base64
import hashlib
from dataclasses import dataclass
from typing import Literal, get_args

from orchardmap.paper.pdf import FONT
from orchardmap.paper.sheet import A4_MM

__all__ = ["CARD_POLICY", "CARD_SIZES", "CARD_STYLE_HASHES", "SHEETS", "CardSheet", "CardSize", "card_style"]

CardSize = Literal["a4", "a5"]
"""ISO 216, upright: A4 to hang up, A5 to carry."""
CARD_SIZES: tuple[CardSize, ...] = get_args(CardSize)


@dataclass(frozen=True, slots=True)
class CardSheet:
    """How much a sheet holds."""

    width_mm: float
    height_mm: float
    margin_mm: float
    columns: int
    """Points side by side."""
    picture_mm: float
    """Side of a point's drawing."""
    sentence_pt: float
    """Type of every sentence; all other type is in proportion to it."""


SHEETS: dict[CardSize, CardSheet] = {
    "a4": CardSheet(*A4_MM, 5, 2, 40, 14),
    "a5": CardSheet(148, 210, 5, 1, 33, 13),
}

_FOOT_MM = 11.0
_GAP_MM = 2.5
_PAD_MM = 2.0
_THIN_MM, _HEAVY_MM = 0.3, 1.2
"""Frames of a point, and of one that must not go wrong."""
_BUD_MM = 18.0


def card_style(sheet: CardSheet) -> str:
    """Return the style of a card on a sheet."""
    # sizes of type in em are shares of a sentence's
    return f"""
@page {{ size: {sheet.width_mm:g}mm {sheet.height_mm:g}mm; margin: {sheet.margin_mm:g}mm {sheet.margin_mm:g}mm {_FOOT_MM:g}mm;
  @bottom-right {{ content: counter(page) " / " counter(pages); font: 700 {sheet.sentence_pt:g}pt "{FONT}"; vertical-align: top; margin-right: {_GAP_MM}mm; }} }}
html, body {{ margin: 0; color: #000; background: #fff; font: {sheet.sentence_pt:g}pt/1.2 "{FONT}"; overflow-wrap: anywhere; }}
p, h1, h2, ul {{ margin: 0; padding: 0; }}
table {{ width: 100%; table-layout: fixed; border-collapse: separate; border-spacing: {_GAP_MM}mm; }}
th {{ border-bottom: 1mm solid #000; padding: 0 0 {_PAD_MM}mm; text-align: left; font-weight: 400; vertical-align: top; }}
td {{ padding: {_PAD_MM}mm; vertical-align: top; }}
tr {{ break-inside: avoid; }}
.notes {{ break-inside: auto; }}
.head p, .meta, .target li, .key li {{ font-size: .8em; }}
.key li {{ display: inline-block; width: 44mm; margin-top: 1.5mm; white-space: nowrap; }}
.sign {{ height: 8mm; vertical-align: -.3em; }}
h1 {{ font-size: 1.75em; line-height: 1.1; }}
h2 {{ font-size: 1.15em; margin-bottom: 1mm; }}
.head span {{ display: inline-block; }}
.point {{ border: {_THIN_MM}mm solid #000; }}
.critical {{ border-width: {_HEAVY_MM}mm; padding: {_PAD_MM + _THIN_MM - _HEAVY_MM:g}mm; }}
.picture {{ float: left; width: {sheet.picture_mm:g}mm; height: {sheet.picture_mm:g}mm; }}
.picture svg {{ width: 100%; height: 100%; display: block; }}
.words {{ margin-left: {sheet.picture_mm + _GAP_MM:g}mm; }}
.number, .meta {{ display: inline-block; vertical-align: top; }}
.number {{ font-size: 1.9em; line-height: 1; font-weight: 700; margin-right: 2mm; }}
.meta {{ line-height: 1.35; }}
.weight, .check {{ height: .8em; vertical-align: -.05em; }}
.sentence {{ padding-top: 1mm; }}
.target td {{ border: .6mm solid #000; }}
.bud {{ float: left; width: {_BUD_MM:g}mm; }}
.target div {{ margin-left: {_BUD_MM + 4:g}mm; }}
ul {{ list-style: none; }}
.target li {{ display: inline-block; width: 49%; }}
.target b {{ font-size: 2em; }}
.notes .text {{ white-space: pre-line; }}
.cautions ul {{ columns: {sheet.columns}; column-gap: {2 * _GAP_MM:g}mm; }}
.cautions li {{ margin-bottom: 1mm; break-inside: avoid; }}
.law {{ font-weight: 700; }}
@media screen {{ body {{ width: {sheet.width_mm - 2 * sheet.margin_mm:g}mm; padding: {sheet.margin_mm:g}mm; }} }}
"""


def _hashed(style: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()}'"


CARD_STYLE_HASHES = " ".join(_hashed(card_style(sheet)) for sheet in SHEETS.values())
"""The styles of cards as a Content-Security-Policy names them, for `style-src`."""
CARD_POLICY = f"default-src 'none'; style-src {CARD_STYLE_HASHES}; base-uri 'none'; form-action 'none'; frame-ancestors 'self'; sandbox"
"""Content-Security-Policy of a card on a screen: its one style, no script, nothing fetched."""
