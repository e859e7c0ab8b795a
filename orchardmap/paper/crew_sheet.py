"""Crew sheets: a block's rows in walking order, to hang in the shed, to tick with a gloved hand, and to type in the evening. A4, black on white."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from html import escape
from itertools import groupby

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import whole_text
from orchardmap.paper.codes import code_svg
from orchardmap.paper.crew_sheet_style import crew_sheet_style
from orchardmap.paper.made import made_words

__all__ = ["CrewSheet", "SheetRow", "crew_sheets_document"]

Span = tuple[int, int]
_FOLDED = 3
"""So many rows that are done beside each other become one line."""
_TICKED = '<span class="box-done">✓</span>'

_KIND = message("Crew sheet")
_BLOCK = message("Block {block}")
_AS_OF = message("as of {day}")
_FIGURES = message("{done} of {rows} rows done · {left} of {trees} trees left")
_START = message("Start: row {row}, at end {end} ({place})")
_ALL_DONE = message("Every row is done.")
_ENDS = message("End A: first tree, {a}. End B: last tree, {b}. The letters stand on the row-end labels.")
_CLOSED = message("CLOSED until {day}, {time}: nobody goes in")
_SCAN = message("Row {row} on a tablet")
_DANGERS = message("Dangers in this block")
_BRIEF = message("The brief in short")
_BRIEF_OF = message("version {version}; the card has the drawings")
_NO_BRIEF = message("No brief is published for this block yet.")
_WORK_SAFELY = message("Work safely")
_HOW = message(
    "Row finished: tick the box. Row begun: write the number of the last tree pruned, counted from end A. One line, one crew; date it."
)
_BACK = message("Back to the office in the evening: only what is typed in counts. Typed in by:")
_HEADINGS = {
    "row": message("Row"),
    "way": message("Walk"),
    "trees": message("Trees"),
    "done": message("Done"),
    "up_to": message("Up to tree"),
    "who": message("Who"),
    "date": message("Date"),
}
_DONE_ON = message("done on {day}")
_DONE_LAST = message("{number} rows done, the last on {day}")
_DONE = message("done")
_LEFT = message("left: {spans}")
_AGAIN = message("go over again: {spans}")
_CLAIMED = message("two crews claim: {spans}")
_TO = message("to no. {last}")
_PLACES = (
    message("in the north"),
    message("in the north-east"),
    message("in the east"),
    message("in the south-east"),
    message("in the south"),
    message("in the south-west"),
    message("in the west"),
    message("in the north-west"),
)
"""Where an end of the rows lies, clockwise from north."""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row, as of the sheet's day."""

    number: int
    trees: int
    positions: int
    begins_at: str
    """A or B: the end at which one who walks out and back enters it."""
    left: tuple[Span, ...] = ()
    """Positions with trees still to prune, first and last; empty for a row that is done."""
    done_on: date | None = None
    """Of its last mark."""
    again: tuple[Span, ...] = ()
    """To be gone over again."""
    claimed: tuple[Span, ...] = ()
    """By two crews; a manager settles it."""


@dataclass(frozen=True, slots=True)
class CrewSheet:
    """One block's sheet."""

    farm: str
    season: str
    day: date
    code: str
    variety: str
    rows: tuple[SheetRow, ...]
    trees: int
    trees_left: int
    bearing_a_deg: float
    """Where end A lies as seen from end B, clockwise from north."""
    dangers: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    """Of the brief, those that weigh most first."""
    brief_version: int | None = None
    cautions: tuple[str, ...] = ()
    address: str = ""
    """Of the first row that is left, for a camera; none where nobody said what the service's address is."""
    made_at: datetime | None = None
    """By the farm's clock."""
    closed_until: datetime | None = None
    """None where the block is open."""


def crew_sheets_document(
    sheets: Sequence[CrewSheet], *, language: str = "en", only_left: bool = False
) -> str:
    """Return the sheets, each block on pages of its own, as an HTML document for `orchardmap.paper.pdf.pdf_of`.

    Parameters
    ----------
    sheets : sequence of CrewSheet
        At least one.
    language : str
        One of `orchardmap.locale.catalogue.languages`.
    only_left : bool
        Leave the rows out in which there is nothing to do.

    Raises
    ------
    InputError
        If no sheet is made in that language.
    """
    if language not in languages():
        raise InputError(
            "No crew sheet is made in this language",
            where=language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    title = f"{translated(_KIND, language)}: {sheets[0].farm}, {', '.join(sheet.code for sheet in sheets)}"
    style = crew_sheet_style(
        foot=f"{translated(_BACK, language)} ____________", made=made_words(sheets[0].made_at, language)
    )
    meta = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{style}</style>'
    body = "".join(_sheet(sheet, language, only_left=only_left) for sheet in sheets)
    return f'<!doctype html><html lang="{language}"><head>{meta}</head><body>{body}</body></html>'


def _sheet(sheet: CrewSheet, language: str, *, only_left: bool) -> str:
    rows = [row for row in sheet.rows if row.left or row.again or not only_left]
    begun = f"{translated(_BLOCK, language).format(block=sheet.code)}, {date_text(sheet.day, language)}"
    return "".join([
        f'<section data-block="{escape(begun)}">',
        _head(sheet, language),
        _box("dangers", _DANGERS, sheet.dangers, language),
        _brief(sheet, language),
        f'<p class="how">{escape(translated(_HOW, language))}</p>',
        _table(rows, language),
        "</section>",
    ])


def _head(sheet: CrewSheet, language: str) -> str:
    done = sum(not row.left for row in sheet.rows)
    figures = translated(_FIGURES, language).format(
        done=done,
        rows=len(sheet.rows),
        left=whole_text(sheet.trees_left, language),
        trees=whole_text(sheet.trees, language),
    )
    facts = [
        sheet.farm,
        sheet.season,
        translated(_AS_OF, language).format(day=date_text(sheet.day, language)),
    ]
    first = next((row for row in sheet.rows if row.left), None)
    place_a, place_b = (_place(sheet.bearing_a_deg + turn, language) for turn in (0.0, 180.0))
    start = translated(_ALL_DONE, language)
    if first is not None:
        place = place_a if first.begins_at == "A" else place_b
        start = translated(_START, language).format(row=first.number, end=first.begins_at, place=place)
    closed = ""
    if sheet.closed_until is not None:
        day, time = date_text(sheet.closed_until.date(), language), f"{sheet.closed_until:%H:%M}"
        closed = f'<p class="closed">{escape(translated(_CLOSED, language).format(day=day, time=time))}</p>'
    code = ""
    if sheet.address and first is not None:
        scan = translated(_SCAN, language).format(row=first.number)
        code = f'<div class="code">{code_svg(sheet.address, width_mm=27, label=sheet.address)}<p>{escape(scan)}</p></div>'
    ends = translated(_ENDS, language).format(a=place_a, b=place_b)
    variety = f"<b>{escape(sheet.variety)}</b> · " if sheet.variety else ""
    return (
        f'<div class="head"><h1>{escape(sheet.code)}</h1><div class="facts">'
        f"<p>{variety}{escape(' · '.join(one for one in facts if one))}</p><p>{escape(figures)}</p>"
        f'{closed}<p class="start">{escape(start)}</p><p>{escape(ends)}</p></div>{code}</div>'
    )


def _place(bearing_deg: float, language: str) -> str:
    return translated(_PLACES[round(bearing_deg / 45) % 8], language)


def _brief(sheet: CrewSheet, language: str) -> str:
    if sheet.brief_version is None:
        return f'<p class="none">{escape(translated(_NO_BRIEF, language))}</p>' + _box(
            "safe", _WORK_SAFELY, sheet.cautions, language
        )
    version = translated(_BRIEF_OF, language).format(version=sheet.brief_version)
    return _box("brief", _BRIEF, sheet.points, language, f" ({version})") + _box(
        "safe", _WORK_SAFELY, sheet.cautions, language
    )


def _box(kind: str, heading: dict[str, str], sentences: Iterable[str], language: str, more: str = "") -> str:
    items = "".join(f"<li>{escape(one)}</li>" for one in sentences)
    said = escape(translated(heading, language) + more)
    return f'<div class="box {kind}"><h2>{said}</h2><ul>{items}</ul></div>' if items else ""


def _table(rows: Sequence[SheetRow], language: str) -> str:
    heads = "".join(
        f'<th class="{key}">{escape(translated(words, language))}</th>' for key, words in _HEADINGS.items()
    )
    columns = "".join(f'<col class="{key}">' for key in _HEADINGS)
    body = "".join(
        _folded(found, language)
        if is_over and len(found) >= _FOLDED
        else "".join(_row(row, language) for row in found)
        for is_over, found in ((is_over, list(found)) for is_over, found in groupby(rows, key=_is_over))
    )
    return (
        f"<table><colgroup>{columns}</colgroup><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
    )


def _is_over(row: SheetRow) -> bool:
    """Tell whether there is nothing more to do or to settle in a row."""
    return not (row.left or row.again or row.claimed)


def _folded(rows: Sequence[SheetRow], language: str) -> str:
    """Return one line for rows beside each other that are done: what is left then fits fewer pages."""
    days = [row.done_on for row in rows if row.done_on]
    said = translated(_DONE, language)
    if days:
        said = translated(_DONE_LAST, language).format(number=len(rows), day=date_text(max(days), language))
    return (
        f'<tr class="over"><th scope="row" class="row" colspan="2">{rows[0].number}–{rows[-1].number}</th>'
        f'<td class="trees">{whole_text(sum(row.trees for row in rows), language)}</td>'
        f'<td class="done">{_TICKED}</td><td class="up_to" colspan="3"><span class="note">{escape(said)}</span></td></tr>'
    )


def _row(row: SheetRow, language: str) -> str:
    way = "A → B" if row.begins_at == "A" else "B → A"
    beyond = (
        f"<small>{escape(translated(_TO, language).format(last=row.positions))}</small>"
        if row.trees != row.positions
        else ""
    )
    is_done = not row.left
    box = _TICKED if is_done else '<span class="box-open"></span>'
    notes = list(_notes(row, language))
    said = f'<span class="note">{escape("; ".join(notes))}</span>' if notes else ""
    return (
        f'<tr class="{"over" if is_done else "open"}"><th scope="row" class="row">{row.number}</th><td class="way">{way}</td>'
        f'<td class="trees">{row.trees}{beyond}</td><td class="done">{box}</td>'
        f'<td class="up_to">{said}</td><td class="who"></td><td class="date"></td></tr>'
    )


def _notes(row: SheetRow, language: str) -> Iterable[str]:
    if not row.left:
        yield (
            translated(_DONE_ON, language).format(day=date_text(row.done_on, language))
            if row.done_on
            else translated(_DONE, language)
        )
    elif row.left != ((1, row.positions),):
        yield translated(_LEFT, language).format(spans=_spans(row.left))
    for spans, words in ((row.again, _AGAIN), (row.claimed, _CLAIMED)):
        if spans:
            yield translated(words, language).format(spans=_spans(spans))


def _spans(spans: Sequence[Span]) -> str:
    return ", ".join(f"{first}" if first == last else f"{first}–{last}" for first, last in spans)
