"""Crew sheets as the shed door gets them: rows in walking order, boxes to tick, what is done, dangers, brief, a code."""

import re
from contextlib import closing
from datetime import timedelta

import pytest
from shapely.geometry import MultiLineString

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.orchard import Row
from orchardmap.paper.crew_sheet import CrewSheet, SheetRow, crew_sheets_document
from orchardmap.paper.pdf import pdf_of
from orchardmap.pruning.habits import ready_made
from orchardmap.pruning.sentences import point_text
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases.brief_publishing import publish
from orchardmap.usecases.briefing import BriefSubject, ReadyMade, make_brief
from orchardmap.usecases.crew_sheets import CrewSheetWish, _row, crew_sheets, crew_sheets_pdf
from pdf_pages import codes, letters, opened, pictures, texts
from pdf_strokes import is_tagged, strokes
from printed_farm import NOW, TODAY, printed_farm

ORIGIN = "https://orchard.lan:8420"


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    with closing(open_store(sqlite_url(tmp_path_factory.mktemp("shed") / "farm.sqlite"))) as store:
        yield store, printed_farm(store)


def told(farm, *blocks, day=None, **wish) -> list[CrewSheet]:
    store, made = farm
    return crew_sheets(store, made.farm.id, CrewSheetWish(blocks, **wish), day=day, now=NOW)


def printed(farm, *blocks, **wish) -> bytes:
    store, made = farm
    return crew_sheets_pdf(store, made.farm.id, CrewSheetWish(blocks, **wish), day=None, now=NOW)


@pytest.fixture(scope="module")
def n1_s1(farm) -> bytes:
    return printed(farm, "N1", "S1", origin=ORIGIN)


def pages(pdf: bytes) -> list[str]:
    with opened(pdf) as document:
        return [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in document]


def test_every_row_is_told_with_what_is_left_of_it(farm):
    """N1: ten rows done, row 11 up to tree 30, the rest untouched; row 10 claimed by two crews."""
    (sheet,) = told(farm, "n1")
    rows = {row.number: row for row in sheet.rows}
    assert list(rows) == list(range(1, 23))
    assert [row for row, one in rows.items() if not one.left] == list(range(1, 11))
    assert rows[11].left == ((31, 70),)
    assert {one.left for row, one in rows.items() if row > 11} == {((1, 70),)}
    assert (rows[10].claimed, rows[9].claimed) == (((1, 20),), ())
    assert rows[1].done_on == TODAY - timedelta(8)
    assert sheet.trees_left == 40 + 11 * 70
    (before,) = told(farm, "N1", day=TODAY - timedelta(5))
    assert [row.number for row in before.rows if not row.left] == [1, 4, 5, 8, 9], "as of that evening"


def test_one_walks_out_and_back_from_the_end_that_the_labels_name(farm):
    (sheet,) = told(farm, "N1")
    assert [row.begins_at for row in sheet.rows[:4]] == ["A", "B", "A", "B"]
    # rows of N1 run due north (bearing 0): their first ends lie in the south
    assert sheet.bearing_a_deg == pytest.approx(180, abs=0.1)


def test_the_sheet_stands_with_rows_boxes_and_where_to_begin(n1_s1):
    said = pages(n1_s1)
    whole = " ".join(said)
    assert "1–9" in said[0]
    assert "9 rows done, the last on 20 January 2026" in said[0]
    assert "two crews claim: 1–20" in whole
    assert "left: 31–70" in whole
    assert "Start: row 11, at end A (in the south)" in whole
    assert "10 of 22 rows done · 810 of 1,540 trees left" in whole
    assert "Power line over or near rows" in whole
    assert "No brief is published for this block yet." in whole
    assert "Ladder: check it before use" in whole, "what always stands on a brief"
    numbers = re.findall(r"(\d+) (A → B|B → A)", said[0] + said[1])
    assert [int(n) for n, _ in numbers] == list(range(10, 23))
    assert [way for _, way in numbers] == ["B → A", "A → B"] * 6 + ["B → A"]


def test_boxes_and_numbers_are_large_enough_for_gloves(n1_s1):
    """A box of more than 8 mm for each row that is left, its number in letters of 20 pt, a line's height of 11 mm."""
    squares = [
        one
        for page in range(len(pages(n1_s1)))
        for one in strokes(n1_s1, page)
        for xs, ys in [tuple(zip(*(point for line in one.lines for point in line), strict=True))]
        if 8 < max(xs) - min(xs) < 9 and abs((max(xs) - min(xs)) - (max(ys) - min(ys))) < 0.2
    ]
    assert len(squares) >= 12 + 33
    sizes = {round(letter.size_pt) for page in letters(n1_s1) for letter in page}
    assert 20 in sizes
    assert min(sizes) >= 7


def test_each_page_says_which_block_and_page_it_is_and_repeats_its_head(n1_s1):
    said = pages(n1_s1)
    for at, page in enumerate(said, 1):
        assert f"{at} / {len(said)}" in page
        assert re.search(r"Block [NS]1, 21 January 2026", page)
        assert "Up to tree" in page
        assert "Typed in by:" in page
    assert sum("Start:" in page for page in said) == 2
    assert is_tagged(n1_s1)
    assert all(one.embedded for page in texts(n1_s1) for one in page)
    for letter in (letter for page in letters(n1_s1) for letter in page):
        assert 5 < letter.left < letter.right < 205
        assert 5 < letter.top < letter.bottom < 292


def test_the_code_opens_the_first_row_that_is_left(farm, n1_s1):
    read = [said for page in pictures(n1_s1) for said in codes(page)]
    assert read == ["HTTPS://ORCHARD.LAN:8420/R/N1/11", "HTTPS://ORCHARD.LAN:8420/R/S1/1"]
    assert "on a tablet" not in " ".join(pages(printed(farm, "N1"))), "no address, no code"


def test_only_what_is_left_where_that_was_asked(farm):
    said = " ".join(pages(printed(farm, "N1", only_left=True)))
    assert "rows done, the last on" not in said
    assert re.findall(r"(\d+) (?:A → B|B → A)", said)[0] == "11"


def test_the_brief_that_holds_stands_there_in_short_what_weighs_most_first(farm):
    """Of the variety of N2, in the language of the crew; the block's own brief goes before it."""
    store, made = farm
    subject = BriefSubject(made.season.id, variety_id=made.blocks["N2"].variety_id)
    brief = make_brief(
        store, farm_id=made.farm.id, subject=subject, start=ReadyMade("spur_renewed"), by=None, now=NOW
    )
    publish(store, farm_id=made.farm.id, brief_id=brief.id, revision=1, by=None, now=NOW)
    (sheet,) = told(farm, "N2", language="es")
    content = ready_made("spur_renewed")
    weights = ["critical", "major", "minor"]
    ordered = sorted(content.points, key=lambda point: weights.index(point.point_class))
    assert sheet.points == tuple(point_text(point, "es") for point in ordered)
    assert len({point.point_class for point in ordered}) > 1
    assert sheet.brief_version == 1
    said = " ".join(pages(printed(farm, "N2")))
    assert "The brief in short (version 1; the card has the drawings)" in said
    assert point_text(ordered[0], "en") in said


def test_in_spanish_no_english_is_left(farm):
    said = " ".join(pages(printed(farm, "N1", language="es")))
    for part in ("Empiece: fila 11", "terminadas, la última el 20 de enero de 2026", "faltan: 31–70"):
        assert part in said
    assert not re.search(r"\b(Row|trees|left|done|Start)\b", said)


def test_a_blank_is_no_tree_that_is_left():
    line = MultiLineString([[(11, 45), (11, 45.001)]])
    row = Row("", 1, line, 111.1, 0.5, (10,), blanks=frozenset({5, 6}), pollinizers=frozenset({10}))
    assert _row(row, [[1, 1, 4, 1, 0], [1, 7, 9, 1, 0]], None, begins_at="A").left == ()
    assert _row(row, [[1, 1, 3, 1, 0]], None, begins_at="A").left == ((4, 10),)


@pytest.mark.parametrize(
    ("blocks", "wish", "error", "says"),
    [
        ((), {}, InputError, "no block was named"),
        (("Z9",), {}, UnknownError, "no such block"),
        (("N1",), {"language": "xx"}, InputError, "No crew sheet is made in this language"),
        (("N1",), {"origin": "orchard.lan"}, InputError, "no address of a service"),
    ],
)
def test_what_cannot_be_printed_is_said(farm, blocks, wish, error, says):
    with pytest.raises(error, match=says):
        printed(farm, *blocks, **wish)


def test_too_many_at_once_is_said(farm, monkeypatch):
    monkeypatch.setattr("orchardmap.usecases.crew_sheets.MOST_ROWS", 50)
    with pytest.raises(InputError, match="55 rows, 50 at a time"):
        printed(farm, "N1", "S1")


def test_words_from_people_stay_words():
    row = SheetRow(1, 10, 10, "A", ((1, 10),))
    sheet = CrewSheet(
        "<b>Farm</b>", "", TODAY, "<i>K</i>", "A & B", (row,), 10, 10, 0.0, dangers=("<script>",)
    )
    made = pdf_of(crew_sheets_document([sheet]))
    said = pages(made)[0]
    assert "<b>Farm</b>" in said
    assert "<script>" in said
