"""The wall map: a farm, or some of its blocks, on one sheet at a true round scale, or on several behind one that shows how they lie."""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import part_text, whole_text
from orchardmap.maps import signs
from orchardmap.paper.made import made_words
from orchardmap.paper.map_content import MapContent
from orchardmap.paper.map_drawing import map_drawing
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_from_far import far_drawing
from orchardmap.paper.map_lines import on_white
from orchardmap.paper.map_notes import is_whole, notes_panel, notes_sheet, panel_height_mm
from orchardmap.paper.map_panel import legend_from_far, legend_panel, north_svg, scale_svg
from orchardmap.paper.map_sheets import MapSheets, laid_out, panel_width_mm, stands_apart
from orchardmap.paper.pdf import FONT
from orchardmap.paper.progress import expect_pages, tell
from orchardmap.paper.text_size import text_width_em
from orchardmap.paper.wall_map_style import TEXT_PT, wall_map_style

__all__ = ["WallMapWish", "wall_map_document"]

_SCALE_MM, _MADE_MM = 19.0, 10.0
"""Of the panel's height: north and scale above, when it was made below."""
_TITLE_MM = 7.0
_TITLE_LEAST_MM = 4.0
_TITLE_LEADING = 1.1
_HEAD_MM = 9.0
_TITLE_SHARE = 0.52
"""Of the map's width: the facts have the rest of the head."""

_KIND = message("Wall map")
_AS_OF = message("as of {day}")
_FIGURES = message("{pruned} of {trees} trees pruned ({share})")
_SHEET = message("sheet {number} of {sheets}")
_BESIDE = {
    "north": message("north: sheet {number}"),
    "east": message("east: sheet {number}"),
    "south": message("south: sheet {number}"),
    "west": message("west: sheet {number}"),
}
_ROWS_ON = message("Rows are on the numbered sheets, at 1:{scale}.")
_ROWS_WOULD_BE = message(
    "Rows are drawn from 1:{scale} on, which takes {sheets} sheets of this size: ask for single blocks, or have all of them made by the "
    "command orchardmap paper wall-map --scale {scale}."
)


@dataclass(frozen=True, slots=True)
class WallMapWish:
    """How a wall map is printed."""

    paper: str = "a3"
    """a2, a3 or a4."""
    language: str = "en"
    blocks: tuple[str, ...] = ()
    """Codes or ids; all when left out."""
    scale: int | None = None
    """Denominator, 2500 for 1:2500; the largest round one at which all fits one sheet when left out."""
    most_sheets: int | None = 24
    """None makes as many as it takes."""


def wall_map_document(content: MapContent, wish: WallMapWish) -> str:
    """Return a wall map as an HTML document for `orchardmap.paper.pdf.pdf_of`.

    Raises
    ------
    InputError
        If no map is made in that size or language, or at that scale it takes more sheets than may be made.
    """
    if wish.language not in languages():
        raise InputError(
            "No map is made in this language",
            where=wish.language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    sheets = laid_out(content, wish.paper.lower(), wish.scale)
    title = f"{content.farm}: {translated(_KIND, wish.language)}"
    style = wall_map_style(wish.paper.lower(), sheets.paper_mm)
    meta = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{style}</style>'
    pages = list(_pages(content, wish, sheets))
    if not all(is_whole(page, content.notes) for page in pages):
        pages.append(_notes_page(content, wish, sheets))
    body = on_white("".join(pages))
    return f'<!doctype html><html lang="{wish.language}"><head>{meta}</head><body>{body}</body></html>'


def _pages(content: MapContent, wish: WallMapWish, sheets: MapSheets) -> Iterator[str]:
    """Return the sheets: one of all, before it the farm from far where the rows take several."""
    parts, language = sheets.parts, wish.language
    if len(parts) == 1:
        yield _page(content, wish, parts[0], (1, 1))
        return
    scale = parts[0].scale
    if wish.most_sheets is not None and len(parts) > wish.most_sheets:
        if wish.scale is not None:
            raise InputError(
                f"that is {len(parts)} sheets, {wish.most_sheets} at a time are made",
                where=f"1:{wish.scale}",
                todo="Ask for fewer blocks, larger paper or a smaller scale.",
            )
        note = translated(_ROWS_WOULD_BE, language).format(scale=scale, sheets=len(parts))
        yield _far_page(content, wish, sheets, note, with_parts=False)
        return
    note = translated(_ROWS_ON, language).format(scale=scale)
    yield _far_page(content, wish, sheets, note, with_parts=True)
    expect_pages(len(parts) + 1)
    for at, frame in enumerate(parts):
        tell("Drawing sheets", at, len(parts))
        beside = [
            translated(_BESIDE[way], language).format(number=other + 2)
            for way, other in sheets.beside(at).items()
        ]
        yield _page(content, wish, frame, (at + 2, len(parts) + 1), ", ".join(beside))


def _page(
    content: MapContent, wish: WallMapWish, frame: MapFrame, number: tuple[int, int], beside: str = ""
) -> str:
    """Return a sheet with its rows, or with its blocks from far where those would not stand apart."""
    if not stands_apart(content, frame.scale):
        drawing, legend = far_drawing(content, frame, wish.language), legend_from_far(content, wish.language)
    else:
        drawing, legend = map_drawing(content, frame, wish.language), legend_panel(content, wish.language)
    return _sheet(content, wish, frame, number, (drawing, f"{_paragraph(beside)}{legend}"))


def _far_page(
    content: MapContent, wish: WallMapWish, sheets: MapSheets, note: str, *, with_parts: bool
) -> str:
    parts = sheets.parts if with_parts else ()
    drawing = far_drawing(content, sheets.whole, wish.language, sheets=parts)
    panel = f"{_paragraph(note)}{legend_from_far(content, wish.language)}"
    return _sheet(content, wish, sheets.whole, (1, len(parts) + 1), (drawing, panel))


def _paragraph(text: str) -> str:
    return f"<p>{escape(text)}</p>" if text else ""


def _sheet(
    content: MapContent, wish: WallMapWish, frame: MapFrame, number: tuple[int, int], made: tuple[str, str]
) -> str:
    """Return a sheet of what is drawn and what stands beside it."""
    language, paper = wish.language, wish.paper.lower()
    width, height = frame.size_mm
    said = " · ".join(f"<span>{escape(one)}</span>" for one in _facts(content, language, number))
    drawing, beside = made
    scale = scale_svg(frame.scale, paper, panel_width_mm(paper) - 12, language)
    panel_mm, text_pt = panel_width_mm(paper), TEXT_PT[paper]
    room = height - _SCALE_MM - _MADE_MM - panel_height_mm(beside, panel_mm, text_pt)
    panel = "".join([
        f'<div class="ground">{north_svg(language)}<div>{scale}</div></div>',
        beside,
        notes_panel(content.notes, room, panel_mm, text_pt, language),
        f'<p class="made">{escape(made_words(content.made_at, language))}</p>',
    ])
    return (
        f'<section>{_title(content.farm, width)}<p class="facts">{said}</p>'
        f'<svg class="map" role="img" aria-label="{escape(content.farm)}" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" font-family="{FONT}">{drawing}<rect x="0.15" y="0.15" '
        f'width="{width - 0.3:g}" height="{height - 0.3:g}" fill="none" stroke="{signs.INK}" stroke-width="0.3"/></svg>'
        f"<aside>{panel}</aside></section>"
    )


def _notes_page(content: MapContent, wish: WallMapWish, sheets: MapSheets) -> str:
    """Return the last sheet: every sentence, where a panel had no room for all."""
    facts = " · ".join(escape(one) for one in _facts(content, wish.language, None))
    made = escape(made_words(content.made_at, wish.language))
    title = _title(content.farm, sheets.whole.size_mm[0])
    return f'<section class="notes">{title}<p class="facts">{facts}</p>{notes_sheet(content.notes)}<p class="made">{made}</p></section>'


def _title(title: str, width_mm: float) -> str:
    """Return a title that fits the head beside the facts, on up to three lines where one would be too small to read."""
    for lines in (1, 2, 3):
        # where a line breaks is not known before: a word may go to the next
        fits = _TITLE_SHARE * width_mm * (lines - 0.35 * (lines > 1)) / text_width_em(title)
        size = min(_TITLE_MM, _HEAD_MM / lines / _TITLE_LEADING, fits)
        if fits >= _HEAD_MM / lines / _TITLE_LEADING or size >= _TITLE_LEAST_MM:
            break
    style = f"font-size:{size:.2f}mm;line-height:{_TITLE_LEADING if lines > 1 else _HEAD_MM / size:.3f}"
    return f'<h1 class="lines-{lines}" style="{style}">{escape(title)}</h1>'


def _facts(content: MapContent, language: str, number: tuple[int, int] | None) -> list[str]:
    trees, pruned = sum(one.trees for one in content.blocks), sum(one.pruned for one in content.blocks)
    share = part_text(pruned, trees, language)
    figures = {"pruned": whole_text(pruned, language), "trees": whole_text(trees, language), "share": share}
    facts = [
        translated(_KIND, language),
        content.season,
        translated(_AS_OF, language).format(day=date_text(content.day, language)),
        translated(_FIGURES, language).format(**figures),
        translated(_SHEET, language).format(number=number[0], sheets=number[1]) if number else "",
    ]
    return [one for one in facts if one]
