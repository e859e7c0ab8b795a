"""Pay sheets on paper: a sheet for each person, or for each crew. A4, upright and across, black on white; each page says that local labour law decides."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from html import escape

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, translated
from orchardmap.locale.numbers import whole_text
from orchardmap.paper.pdf import FONT, pdf_of
from orchardmap.pay.lines import LineKey, total
from orchardmap.pay.sheet import SheetContent, SheetHead, crew_earned, crews_of, kinds_of, people_of
from orchardmap.pay.words import (
    HEADINGS,
    LAW,
    date_words,
    day_words,
    head_words,
    hours_words,
    kind_words,
    money_words,
    reckoning_words,
    work_words,
)

__all__ = ["crew_sheets_document", "crew_sheets_pdf", "person_sheets_document", "person_sheets_pdf"]

_STYLE = """
@page {{ size: {size}; margin: 14mm 14mm 24mm;
  @bottom-left {{ content: {law}; width: {foot_mm}mm; font: 700 9pt/1.25 "{font}"; vertical-align: top; padding-top: 3mm; border-top: .3mm solid #000; }}
  @bottom-right {{ width: 42mm; content: counter(page) " / " counter(pages) "\\A" string(whose); white-space: pre-wrap; text-align: right; font: 9pt/1.25 "{font}"; vertical-align: top; padding-top: 3mm; border-top: .3mm solid #000; }} }}
html, body {{ margin: 0; color: #000; background: #fff; font: 10pt/1.3 "{font}"; overflow-wrap: anywhere; }}
section {{ break-before: page; }}
section:first-of-type {{ break-before: auto; }}
h1 {{ font-size: 18pt; line-height: 1.15; margin: 0; string-set: whose content(); }}
h2 {{ font-size: 12pt; margin: 6mm 0 1.5mm; break-after: avoid; }}
p {{ margin: 1mm 0 4mm; }}
.head span {{ display: inline-block; }}
table {{ width: 100%; border-collapse: collapse; table-layout: fixed; }}
th, td {{ padding: 1.2mm 2mm 1.2mm 0; text-align: left; vertical-align: top; border-bottom: .15mm solid #000; }}
th {{ border-bottom: .5mm solid #000; font-size: 8.5pt; overflow-wrap: break-word; }}
.days td:first-child {{ overflow-wrap: normal; }}
tr {{ break-inside: avoid; }}
.number {{ text-align: right; padding-right: 0; padding-left: 2mm; white-space: nowrap; }}
th.number {{ white-space: normal; }}
.sum {{ margin-top: 6mm; break-before: avoid; }}
.sum td {{ font-weight: 700; font-size: 12pt; border-bottom: 1mm double #000; border-top: .5mm solid #000; }}
.received {{ margin-top: 14mm; width: 110mm; border-top: .3mm solid #000; padding-top: 1mm; font-size: 9pt; break-inside: avoid; }}
"""

_PAPER = {"pay_sheet": ("A4", 140), "crew_sheet": ("A4 landscape", 227)}
"""Size of the paper, and how much of its foot the law has; a crew's people have a column for each kind of pay."""

_LETTER_MM = 2.3
"""A figure of 10 pt; few letters are wider."""
_GAP_MM = 3.0

Row = Sequence[str]


def person_sheets_pdf(content: SheetContent, head: SheetHead, *, language: str = "en") -> bytes:
    """Return a pay sheet for each person, each on pages of its own, as one PDF with its fonts inside.

    Parameters
    ----------
    content : SheetContent
        Of all the people; `SheetContent.of_person` cuts it to one.
    head : SheetHead
    language : str
        One of `orchardmap.locale.catalogue.languages`.

    Raises
    ------
    InputError
        If no sheet is made in that language, or there is nobody to make one for.
    PaperError
        If this machine lacks what paper is made with.
    """
    return pdf_of(person_sheets_document(content, head, language=language))


def crew_sheets_pdf(content: SheetContent, head: SheetHead, *, language: str = "en") -> bytes:
    """Return a pay sheet for each crew; see `person_sheets_pdf`."""
    return pdf_of(crew_sheets_document(content, head, language=language))


def person_sheets_document(content: SheetContent, head: SheetHead, *, language: str = "en") -> str:
    """Return the sheets of people as an HTML document; see `person_sheets_pdf`."""
    return _document(
        head, "pay_sheet", ((content.name(one), _person(content.of_person(one), head, language)) for one in people_of(content)), language
    )  # fmt: skip


def crew_sheets_document(content: SheetContent, head: SheetHead, *, language: str = "en") -> str:
    """Return the sheets of crews as an HTML document; see `person_sheets_pdf`."""
    return _document(
        head, "crew_sheet", ((content.name(one), _crew(content.of_crew(one), head, language)) for one in crews_of(content)), language
    )  # fmt: skip


def _document(head: SheetHead, kind: str, sheets: Iterable[tuple[str, str]], language: str) -> str:
    if language not in languages():
        raise InputError(
            "No pay sheet is made in this language",
            where=language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    title, facts = _heading(kind, language), head_words(head, language)
    spans = " · ".join(f"<span>{escape(one)}</span>" for one in (title, *facts))
    made = [
        f'<section><h1>{escape(name)}</h1><p class="head">{spans}</p>{body}</section>'
        for name, body in sheets
    ]
    if not made:
        raise InputError("There is nobody to make a pay sheet for.", todo="Choose days with work or hours.")
    size, foot_mm = _PAPER[kind]
    style = _STYLE.format(font=FONT, size=size, foot_mm=foot_mm, law=f'"{translated(LAW, language)}"')
    meta = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{style}</style>'
    return f'<!doctype html><html lang="{language}"><head>{meta}</head><body>{"".join(made)}</body></html>'


def _person(content: SheetContent, head: SheetHead, language: str) -> str:
    """Return one person's hours, lines, corrections and sum."""
    lines = sorted(content.lines, key=lambda one: (one.period == "week", one.day))
    rows: list[Row] = [
        (
            day_words(one, language),
            work_words(one, content, language),
            reckoning_words(one, content.floor_tests, head.currency, language),
            money_words(one.amount, head.currency, language),
        )
        for one in lines
    ]
    headings = [*_headings(("day", "for", "reckoned"), language), _amount_heading(head, language)]
    # nobody receives what was paid too much
    received = f'<div class="received">{_heading("received", language)}</div>' if content.amount >= 0 else ""
    return "".join([
        _table(headings, rows, 1),
        _corrections(content, head, language),
        _hours(content, language),
        _sum(content, head, language),
        received,
    ])


def _crew(content: SheetContent, head: SheetHead, language: str) -> str:
    """Return a crew's people with their sums, and what the crew earned that they share."""
    kinds = kinds_of(content)
    people: list[Row] = []
    for person_id in people_of(content):
        own = content.of_person(person_id)
        people.append((
            content.name(person_id),
            hours_words(sum((Fraction(one.hours) for one in own.hours), Fraction(0)), language),
            *(money_words(total(own.lines, kind), head.currency, language) for kind in kinds),
            money_words(own.amount, head.currency, language),
        ))
    amounts = [kind_words(kind, language) for kind in kinds]
    headings = [*_headings(("person", "hours"), language), *amounts, _amount_heading(head, language)]
    return "".join([
        _table(headings, people, len(kinds) + 2, "people"),
        _earned(content, head, language),
        _corrections(content, head, language),
        _sum(content, head, language),
    ])


def _earned(content: SheetContent, head: SheetHead, language: str) -> str:
    """Return what a crew earned together."""
    rows: list[Row] = [
        (
            date_words(one.day, language),
            work_words(one, content, language),
            whole_text(one.trees, language),
            money_words(one.rate, head.currency, language),
            money_words(one.amount, head.currency, language),
        )
        for one in crew_earned(content.lines)
    ]
    headings = [*_headings(("day", "for", "trees", "rate"), language), _amount_heading(head, language)]
    return _under("earned", _table(headings, rows, 3), rows, language)


def _corrections(content: SheetContent, head: SheetHead, language: str) -> str:
    rows: list[Row] = [
        (
            day_words(key, language),
            content.name(key.person_id),
            work_words(key, content, language),
            *_was_and_is(key, amount, content, head, language),
            money_words(amount, head.currency, language),
        )
        for key, amount in sorted(content.corrections.items(), key=lambda one: (one[0].day, str(one[0])))
    ]
    headings = [
        *_headings(("day", "person", "for", "before", "now"), language),
        _amount_heading(head, language),
    ]
    return _under("corrections", _table(headings, rows, 3), rows, language)


def _was_and_is(
    key: LineKey, amount: Decimal, content: SheetContent, head: SheetHead, language: str
) -> tuple[str, str]:
    """Return what was paid for something, and what it comes to now; nothing where that is not known."""
    before = content.paid_before.get(key)
    if before is None:
        return "", ""
    return money_words(before, head.currency, language), money_words(before + amount, head.currency, language)


def _hours(content: SheetContent, language: str) -> str:
    """Return somebody's hours as they were recorded, by day and crew."""
    rows: list[Row] = [
        (
            date_words(one.day, language),
            content.name(one.crew_id),
            hours_words(Fraction(one.hours), language),
            hours_words(Fraction(one.rest_minutes), language),
        )
        for one in sorted(content.hours, key=lambda one: (one.day, one.crew_id, one.hours))
    ]
    return _under(
        "hours", _table(_headings(("day", "crew", "hours", "rest"), language), rows, 2), rows, language
    )


def _sum(content: SheetContent, head: SheetHead, language: str) -> str:
    said = f"{head.currency.code} {money_words(content.amount, head.currency, language)}".strip()
    name = "sum" if content.amount >= 0 else "overpaid"
    return (
        f'<table class="sum"><tr><td>{_heading(name, language)}</td>'
        f'<td class="number">{escape(said)}</td></tr></table>'
    )


def _under(heading: str, table: str, rows: Sequence[Row], language: str) -> str:
    return f"<h2>{_heading(heading, language)}</h2>{table}" if rows else ""


def _table(headings: Sequence[str], rows: Sequence[Row], numbers: int, style: str = "days") -> str:
    """Return a table whose last columns, so many, are numbers, and whose first one holds days by the usual style; empty without rows."""
    if not rows:
        return ""
    plain, number = len(headings) - numbers, ' class="number"'

    def cells(tag: str, row: Row) -> str:
        made = (
            f"<{tag}{number if at >= plain else ''}>{escape(cell)}</{tag}>" for at, cell in enumerate(row)
        )
        return f"<tr>{''.join(made)}</tr>"

    body = "".join(cells("td", row) for row in rows)
    columns = _columns(headings, rows, numbers, is_first_kept=style == "days")
    return (
        f'<table class="{style}">{columns}<thead>{cells("th", headings)}</thead><tbody>{body}</tbody></table>'
    )


def _columns(headings: Sequence[str], rows: Sequence[Row], numbers: int, *, is_first_kept: bool) -> str:
    """Return the columns of a table, wide enough for what no line breaks in: figures, days, words of headings; the rest is shared.

    Without it WeasyPrint tries each cell letter by letter for how narrow it may become, which took three quarters of the time.
    """
    plain, made = len(headings) - numbers, []
    for at, heading in enumerate(headings):
        if at >= plain or (at == 0 and is_first_kept):
            cells = [row[at] for row in rows]
            unbroken = [*heading.split(" "), *(cells if at >= plain else " ".join(cells).split(" "))]
            width_mm = _LETTER_MM * max(map(len, unbroken)) + _GAP_MM
            made.append(f'<col style="width: {width_mm:.1f}mm">')
        else:
            made.append("<col>")
    return f"<colgroup>{''.join(made)}</colgroup>"


def _heading(name: str, language: str) -> str:
    return translated(HEADINGS[name], language)


def _headings(names: Iterable[str], language: str) -> list[str]:
    return [_heading(name, language) for name in names]


def _amount_heading(head: SheetHead, language: str) -> str:
    amount = _heading("amount", language)
    return f"{amount}, {head.currency.code}" if head.currency.code else amount
