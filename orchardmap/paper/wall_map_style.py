"""How a wall map's sheets are divided: a head, the map, and a panel beside it."""

from orchardmap.maps import signs
from orchardmap.paper.map_sheets import HEAD_MM, MARGIN_MM, panel_width_mm
from orchardmap.paper.pdf import FONT

__all__ = ["TEXT_PT", "wall_map_style"]

TEXT_PT = {"a2": 10.5, "a3": 8.5, "a4": 7.5}


def wall_map_style(paper: str, paper_mm: tuple[float, float]) -> str:
    """Return the style sheet for sheets of a size, as they lie."""
    (width, height), panel = paper_mm, panel_width_mm(paper)
    inner_w, inner_h = width - 2 * MARGIN_MM, height - 2 * MARGIN_MM
    return f"""
@page {{ size: {width:g}mm {height:g}mm; margin: {MARGIN_MM:g}mm; }}
html, body {{ margin: 0; color: {signs.INK}; background: #fff; font: {TEXT_PT[paper]:g}pt/1.3 "{FONT}"; }}
section {{ position: relative; width: {inner_w:g}mm; height: {inner_h:g}mm; overflow: hidden; break-after: page; }}
section:last-child {{ break-after: auto; }}
h1, .facts, .map, aside {{ position: absolute; margin: 0; }}
h1 {{ left: 0; top: 0; height: 9mm; width: 39%; overflow: hidden; overflow-wrap: anywhere; }}
h1.lines-1 {{ white-space: nowrap; }}
.facts {{ right: 0; top: 0; width: 61%; height: 10mm; text-align: right; font-size: 10pt; line-height: 5mm; overflow: hidden; }}
.facts span {{ white-space: nowrap; }}
.map {{ left: 0; top: {HEAD_MM:g}mm; }}
aside {{ right: 0; top: {HEAD_MM:g}mm; width: {panel:g}mm; height: {inner_h - HEAD_MM:g}mm; overflow: hidden; }}
aside h2 {{ font-size: 1.3em; margin: 3mm 0 0; }}
aside h3 {{ font-size: 1em; margin: 2mm 0 .5mm; }}
aside p {{ margin: 0 0 1mm; overflow-wrap: anywhere; }}
aside ul {{ list-style: none; margin: 0; padding: 0; }}
aside li {{ display: flex; align-items: center; gap: 2mm; }}
aside li svg {{ flex: none; }}
aside li span {{ flex: 1; min-width: 0; }}
.ground {{ display: flex; gap: 2mm; }}
.north, .bar {{ flex: none; }}
.scale {{ line-height: 1.2; }}
aside .made {{ position: absolute; left: 0; bottom: 0; margin: 0; }}
.notes {{ height: auto; overflow: visible; }}
.notes .all {{ padding-top: {HEAD_MM:g}mm; columns: 3; column-gap: 8mm; font-size: 11pt; }}
.notes h2 {{ font-size: 14pt; margin: 0 0 1mm; break-after: avoid; }}
.notes .all p {{ margin: 0 0 1.5mm; break-inside: avoid; }}
"""
