"""Pay sheets as a printer gets them: drawn by PDFium, amounts that add up to the sum below them, the law on each page."""

import re
from dataclasses import replace
from decimal import Decimal
from functools import cache
from html.parser import HTMLParser

import numpy as np
import pytest

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, translated
from orchardmap.paper.pay_sheet import (
    crew_sheets_document,
    crew_sheets_pdf,
    person_sheets_document,
    person_sheets_pdf,
)
from orchardmap.pay.sheet import SheetContent
from orchardmap.pay.words import LAW
from paid_season import HEAD, NAMES, paid_week
from pdf_pages import MM, letters, opened, pictures, texts

A4 = (210.0, 297.0)
PDFS = {"person": person_sheets_pdf, "crew": crew_sheets_pdf}


@cache
def pdf(kind: str, language: str) -> bytes:
    return PDFS[kind](paid_week(), HEAD, language=language)


def said(pdf: bytes) -> list[str]:
    """What each page says, without spaces."""
    return ["".join(letter.said for letter in page) for page in letters(pdf)]


def bare(text: str) -> str:
    return re.sub(r"\s", "", text)


class Tables(HTMLParser):
    """The cells of a document's rows, by sheet."""

    def __init__(self, document: str) -> None:
        super().__init__()
        self.sheets: list[list[list[str]]] = []
        self.is_in_cell = False
        self.feed(document)

    def handle_starttag(self, tag, attrs):
        if tag == "section":
            self.sheets.append([])
        elif tag == "tr":
            self.sheets[-1].append([])
        elif tag in {"td", "th"}:
            self.sheets[-1][-1].append("")
            self.is_in_cell = True

    def handle_data(self, data):
        if self.is_in_cell:
            self.sheets[-1][-1][-1] += data

    def handle_endtag(self, tag):
        if tag in {"td", "th"}:
            self.is_in_cell = False


def amount(text: str) -> Decimal:
    """An English amount, with or without its currency."""
    return Decimal(text.removeprefix("GBP ").replace(",", "").replace("\N{MINUS SIGN}", "-"))


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("kind", PDFS)
def test_every_page_says_that_local_law_decides_and_whose_it_is(kind, language):
    pages = said(pdf(kind, language))
    names = [bare(NAMES[one]) for one in (("p1", "p2", "p3") if kind == "person" else ("c1", "c2"))]
    for page in pages:
        assert bare(translated(LAW, language)) in page
        assert any(name in page for name in names)


def awkward() -> SheetContent:
    """Names without a gap, and amounts as a currency without small coins has them."""
    content = paid_week()
    lines = [
        replace(one, amount=one.amount * 10**4, crew_amount=one.crew_amount * 10**4) for one in content.lines
    ]
    return replace(content, lines=lines, names={"p1": "A" * 90, "c1": "B" * 90, "v1": "C" * 90})


@pytest.mark.parametrize("content", [paid_week(), awkward()], ids=["usual", "awkward"])
@pytest.mark.parametrize("kind", PDFS)
def test_it_is_a4_with_nothing_beyond_its_edges_and_all_fonts_inside(kind, content):
    made = PDFS[kind](content, HEAD, language="es")
    width, height = A4 if kind == "person" else A4[::-1]
    with opened(made) as document:
        sizes = [page.get_size() for page in document]
    assert np.allclose(sizes, (width * MM, height * MM), atol=1)
    for page in letters(made):
        # what does not fit beside the law at the foot may only be a name
        assert all(one.left > 10 and one.right < width - 10 and one.top > 8 for one in page)
    assert all(text.embedded for page in texts(made) for text in page)


@pytest.mark.parametrize("made", [person_sheets_document, crew_sheets_document])
def test_the_width_of_every_column_of_figures_is_said_so_that_no_cell_is_measured_letter_by_letter(made):
    """Measuring took 12 of 20 s of CPU for the four weeks of 19 people (780 lines)."""
    document = made(awkward(), HEAD)
    tables = re.findall(r'<table class="(?:days|people)">(.*?)</thead>', document)
    assert tables
    for table in tables:
        assert table.startswith("<colgroup>")
        assert table.count("<col") - 1 == table.count("<th>") + table.count('<th class="number">')
        assert table.count("width") >= table.count('class="number"')
    assert "table-layout: fixed" in document


def test_it_is_black_on_white():
    for page in pictures(pdf("person", "en"), scale=1.0):
        drawn = np.asarray(page.convert("RGB")).astype(int)
        assert int(np.ptp(drawn, axis=2).max()) == 0


def test_a_persons_amounts_add_up_to_the_sum_below_them():
    """Read from the sheet as it stands: lines and corrections, to the cent."""
    content = paid_week()
    tables = Tables(person_sheets_document(content, HEAD))
    assert len(tables.sheets) == 3
    people = sorted(("p1", "p2", "p3"), key=lambda one: NAMES[one].casefold())
    for person, rows in zip(people, tables.sheets, strict=True):
        own = content.of_person(person)
        count = len(own.lines)
        paid = sum((amount(row[-1]) for row in rows[1 : count + 1]), Decimal(0))
        if own.corrections:
            paid += sum(amount(row[-1]) for row in rows[count + 2 : count + 2 + len(own.corrections)])
        assert paid == amount(rows[-1][-1]) == own.amount


def test_a_crews_people_add_up_to_the_sum_below_them():
    content = paid_week()
    for crew, rows in zip(("c1", "c2"), Tables(crew_sheets_document(content, HEAD)).sheets, strict=True):
        people = [row for row in rows[1:] if row[0] in NAMES.values()]
        assert sum(amount(row[-1]) for row in people) == amount(rows[-1][-1]) == content.of_crew(crew).amount


def test_a_line_can_be_checked_by_hand():
    """Share, floor and overtime with the figures they come from; 180 trees at 0.62 among three alike."""
    page = "".join(said(pdf("person", "en")))
    for sentence in (
        "180 trees × 0.62 = 111.60, of which 7.75 of 23.25 hours",
        "25 trees of a return, not paid by the tree",
        "1.5 hours at 9.50",
        "92.47 for 8.0833 hours, less",
        "Week from 12 January 2026",
    ):
        assert bare(sentence) in page


def test_a_correction_says_what_was_paid_and_what_it_comes_to_and_nobody_signs_for_less_than_nothing():
    content = paid_week()
    (rows,) = [
        [row for row in sheet if row[0] == "5\N{NO-BREAK SPACE}January\N{NO-BREAK SPACE}2026"]
        for sheet in Tables(person_sheets_document(content.of_person("p1"), HEAD)).sheets
    ]
    assert [row[-3:] for row in rows] == [
        ["10.00", "1,244.50", "1,234.50"],
        ["10.00", "5.66", "\N{MINUS SIGN}4.34"],
    ]
    back = {key: amount for key, amount in content.corrections.items() if amount < 0}
    made = person_sheets_document(SheetContent([], corrections=back), HEAD)
    assert "Paid too much before" in made
    assert "signature" not in made
    assert "signature" in person_sheets_document(content.of_person("p1"), HEAD)


def test_amounts_are_written_as_the_language_writes_them():
    assert "1,234.50" in "".join(said(pdf("person", "en")))
    assert "1.234,50" in "".join(said(pdf("person", "es")))
    assert bare("12 de enero de 2026") in "".join(said(pdf("person", "es")))


def test_names_are_text_whatever_is_in_them():
    """A name with marks of HTML stands on the sheet as it was typed."""
    assert bare("Ben <b>& Sons</b>") in "".join(said(pdf("person", "en")))


def test_a_sheet_that_is_not_locked_says_so():
    draft = person_sheets_document(paid_week(), replace(HEAD, number=None))
    assert "Draft, not locked" in draft
    assert "Draft" not in person_sheets_document(paid_week(), HEAD)


@pytest.mark.parametrize("made", [person_sheets_document, crew_sheets_document])
def test_nobody_and_unknown_languages_are_refused(made):
    with pytest.raises(InputError, match="nobody to make a pay sheet for"):
        made(SheetContent([]), HEAD)
    with pytest.raises(InputError, match=r"Take one of: en, es\."):
        made(paid_week(), HEAD, language="xx")
