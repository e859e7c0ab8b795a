"""The wall map: a farm, or some of its blocks, on one sheet at a true round scale, or on several with one that shows how they lie."""

from dataclasses import dataclass
from html import escape

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import percent_text, whole_text
from orchardmap.maps import signs
from orchardmap.paper.map_content import MapContent
from orchardmap.paper.map_drawing import drawn_blocks, map_drawing
from orchardmap.paper.map_frame import MapFrame, frames_over
from orchardmap.paper.map_panel import legend_panel, north_svg, notes_panel, scale_svg
from orchardmap.paper.map_scale import fitting_scale, read_paper, smallest_scale
from orchardmap.paper.pdf import FONT

__all__ = ["WallMapWish", "wall_map_document", "wall_map_frames"]

_MARGIN_MM = 9.0
"""Most printers leave up to 5 mm of an edge white (common practice)."""
_HEAD_MM = 12.0
_PANEL_MM = {"a2": 78.0, "a3": 66.0, "a4": 52.0}
_GAP_MM = 4.0
_AIR = 1.04
"""Ground about the blocks, so that numbers at row ends have room."""
_READABLE_MM = 0.6
"""From row to row: closer ones cannot be followed by eye on a wall."""
_GOOD_MM = 1.2
_LAP_MM = 15.0
_NOTES = {"a2": 12, "a3": 7, "a4": 3}

_KIND = message("Wall map")
_AS_OF = message("as of {day}")
_FIGURES = message("{pruned} of {trees} trees pruned ({share})")
_SHEET = message("sheet {number} of {sheets}")


@dataclass(frozen=True, slots=True)
class WallMapWish:
    """How a wall map is printed."""

    paper: str = "a3"
    language: str = "en"
    blocks: tuple[str, ...] = ()
    """Codes or ids; all when left out."""
    scale: int | None = None
    """Denominator; the largest round one at which all fits one sheet, where rows can be read so, when left out."""


@dataclass(frozen=True, slots=True)
class _Sheet:
    paper_mm: tuple[float, float]
    paper: str

    @property
    def frame_mm(self) -> tuple[float, float]:
        width, height = self.paper_mm
        return width - 2 * _MARGIN_MM - _PANEL_MM[self.paper] - _GAP_MM, height - 2 * _MARGIN_MM - _HEAD_MM


def wall_map_frames(content: MapContent, wish: WallMapWish) -> tuple[tuple[float, float], list[MapFrame]]:
    """Return the size of the paper, upright or across as shows more, and the frames of ground on its sheets.

    Raises
    ------
    InputError
        If no map is made in that size.
    """
    paper, upright = wish.paper.lower(), read_paper(wish.paper)
    west, south, east, north = content.bounds_m
    ground = ((east - west) * _AIR, (north - south) * _AIR)
    sheets = [_Sheet(size, paper) for size in (upright, (upright[1], upright[0]))]
    sheet = min(sheets, key=lambda one: fitting_scale(ground, one.frame_mm))
    pitch_m = min(block.pitch_m for block in content.blocks)
    scale = wish.scale or fitting_scale(ground, sheet.frame_mm)
    if wish.scale is None and scale > smallest_scale(pitch_m, _READABLE_MM):
        scale = smallest_scale(pitch_m, _GOOD_MM)
        # rows of sheets across the farm: those of ready size that need fewer
    middle = (west + east) / 2, (south + north) / 2
    bounds = (
        middle[0] - ground[0] / 2,
        middle[1] - ground[1] / 2,
        middle[0] + ground[0] / 2,
        middle[1] + ground[1] / 2,
    )
    choices = [list(frames_over(bounds, one.frame_mm, scale, _LAP_MM)) for one in (sheet, *sheets)]
    frames = min(choices, key=len)
    width, height = next(
        one for one, found in zip((sheet, *sheets), choices, strict=True) if found is frames
    ).paper_mm
    return (width, height), [frame for frame in frames if drawn_blocks(content, frame)]


def wall_map_document(content: MapContent, wish: WallMapWish) -> str:
    """Return a wall map as an HTML document for `orchardmap.paper.pdf.pdf_of`.

    Raises
    ------
    InputError
        If no map is made in that size or language.
    """
    if wish.language not in languages():
        raise InputError(
            "No map is made in this language",
            where=wish.language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    paper_mm, frames = wall_map_frames(content, wish)
    title = f"{content.farm}: {translated(_KIND, wish.language)}"
    sheets = [_sheet(content, wish, frame, (i, len(frames))) for i, frame in enumerate(frames, 1)]
    meta = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{_style(wish, paper_mm)}</style>'
    return f'<!doctype html><html lang="{wish.language}"><head>{meta}</head><body>{"".join(sheets)}</body></html>'


def _sheet(content: MapContent, wish: WallMapWish, frame: MapFrame, number: tuple[int, int]) -> str:
    language, paper = wish.language, wish.paper.lower()
    width, height = frame.size_mm
    trees, pruned = sum(one.trees for one in content.blocks), sum(one.pruned for one in content.blocks)
    share = percent_text(round(100 * pruned / trees) if trees else 0, language)
    facts = [
        translated(_KIND, language),
        content.season,
        translated(_AS_OF, language).format(day=date_text(content.day, language)),
        translated(_FIGURES, language).format(
            pruned=whole_text(pruned, language), trees=whole_text(trees, language), share=share
        ),
        translated(_SHEET, language).format(number=number[0], sheets=number[1]),
    ]
    said = " · ".join(f"<span>{escape(one)}</span>" for one in facts if one)
    panel = "".join([
        f'<div class="ground">{north_svg(language)}<div>{scale_svg(frame.scale, paper, _PANEL_MM[paper] - 12, language)}</div></div>',
        legend_panel(content, language),
        notes_panel(content.notes, _NOTES[paper], language),
    ])
    drawing = (
        f'<svg class="map" role="img" aria-label="{escape(content.farm)}" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" font-family="{FONT}">{map_drawing(content, frame, language)}'
        f'<rect x="0.15" y="0.15" width="{width - 0.3:g}" height="{height - 0.3:g}" fill="none" stroke="{signs.INK}" '
        f'stroke-width="0.3"/></svg>'
    )
    return f'<section><h1>{escape(content.farm)}</h1><p class="facts">{said}</p>{drawing}<aside>{panel}</aside></section>'


def _style(wish: WallMapWish, paper_mm: tuple[float, float]) -> str:
    (width, height), panel = paper_mm, _PANEL_MM[wish.paper.lower()]
    inner_w, inner_h = width - 2 * _MARGIN_MM, height - 2 * _MARGIN_MM
    return f"""
@page {{ size: {width:g}mm {height:g}mm; margin: {_MARGIN_MM:g}mm; }}
html, body {{ margin: 0; color: {signs.INK}; background: #fff; font: 8.5pt/1.3 "{FONT}"; }}
section {{ position: relative; width: {inner_w:g}mm; height: {inner_h:g}mm; overflow: hidden; break-after: page; }}
section:last-child {{ break-after: auto; }}
h1, .facts, .map, aside {{ position: absolute; margin: 0; }}
h1 {{ left: 0; top: 0; height: 9mm; width: 38%; font-size: 20pt; line-height: 9mm; overflow: hidden; white-space: nowrap; }}
.facts {{ right: 0; top: 0; width: 61%; height: 10mm; text-align: right; font-size: 10pt; line-height: 5mm; overflow: hidden; }}
.facts span {{ white-space: nowrap; }}
.map {{ left: 0; top: {_HEAD_MM:g}mm; }}
aside {{ right: 0; top: {_HEAD_MM:g}mm; width: {panel:g}mm; height: {inner_h - _HEAD_MM:g}mm; overflow: hidden; }}
aside h2 {{ font-size: 11pt; margin: 3mm 0 0; }}
aside h3 {{ font-size: 8.5pt; margin: 2mm 0 .5mm; }}
aside p {{ margin: 0 0 1mm; overflow-wrap: anywhere; }}
aside ul {{ list-style: none; margin: 0; padding: 0; }}
aside li {{ display: flex; align-items: center; gap: 2mm; }}
aside li svg {{ flex: none; }}
.ground {{ display: flex; gap: 2mm; }}
.north, .bar {{ flex: none; }}
.scale {{ line-height: 1.2; }}
"""
