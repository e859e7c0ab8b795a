"""The brief card as a printer gets it: drawn by PDFium, each letter in its place, no point cut between pages."""

import re
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise

import numpy as np
import pytest

from orchardmap.errors import InputError, UnknownError
from orchardmap.locale.catalogue import languages
from orchardmap.model.brief import BearingHabit, BriefContent, BudTarget
from orchardmap.paper.brief_card import CardHead, brief_card_document, brief_card_pdf
from orchardmap.paper.brief_card_sheet import CARD_SIZES, CardSize
from orchardmap.paper.pdf import pdf_of
from orchardmap.pruning.cautions import CAUTIONS, caution_texts
from orchardmap.pruning.habits import HABITS, ready_made
from orchardmap.pruning.pictures import picture_svg
from orchardmap.pruning.sentences import point_text
from pdf_pages import Letter, letters, opened, pictures, texts

HEAD = CardHead("Egremont Russet", "Long Meadow", "2026/27", 3, date(2026, 11, 26))
TARGET = BudTarget(fruit_per_tree=140, buds_per_tree=266.5, buds_per_limb=13, limbs_per_tree=20.5)
NOTES = {"en": "Rows 1 to 12 were grafted anew.\nAsk before you saw.", "es": "Injertadas de nuevo.\nPregunte antes."}  # fmt: skip

# ISO 216 in mm; pictures of 4 cm and sentences of 14 points on A4 and of 3 cm at least on A5 are what was asked for
WIDTH, HEIGHT = {"a4": 210, "a5": 148}, {"a4": 297, "a5": 210}
LEAST_PICTURE, PICTURE = {"a4": 40.0, "a5": 30.0}, {"a4": 40.0, "a5": 33.0}
LEAST_TYPE_PT = {"a4": 14.0, "a5": 12.0}
EDGE_MM = 5.0


@cache
def card(habit: BearingHabit, language: str, size: CardSize) -> bytes:
    """With all that a card can hold: heavy setter, bud target, notes."""
    return brief_card_pdf(full_content(habit), HEAD, language=language, size=size)


@cache
def full_content(habit: BearingHabit) -> BriefContent:
    return replace(ready_made(habit, is_heavy_setter=True), bud_target=TARGET, notes=NOTES)


def bare(text: str) -> str:
    return re.sub(r"\s", "", text)


def said(page: list[Letter]) -> str:
    return "".join(letter.said for letter in page)


@dataclass(frozen=True)
class Place:
    """Where a sentence stands: its page, from 0, and its letters."""

    page: int
    letters: list[Letter]

    @property
    def left(self) -> float:
        return min(letter.left for letter in self.letters)

    @property
    def right(self) -> float:
        return max(letter.right for letter in self.letters)

    @property
    def top(self) -> float:
        return min(letter.top for letter in self.letters)

    @property
    def bottom(self) -> float:
        return max(letter.bottom for letter in self.letters)


def places(pdf: bytes, wanted: list[str]) -> list[Place]:
    """Where each text stands, whole on one page, each searched behind the one before."""
    pages = letters(pdf)
    found, page, start = [], 0, 0
    for text in wanted:
        while (at := said(pages[page]).find(bare(text), start)) < 0:
            page, start = page + 1, 0
            assert page < len(pages), f"not whole on any page: {text}"
        start = at + len(bare(text))
        found.append(Place(page, pages[page][at:start]))
    return found


def check_points(pdf: bytes, content: BriefContent, language: str, size: str) -> None:
    """Number, sentence and room for its picture stand together; nothing touches a neighbour, the foot or the edge."""
    pages = letters(pdf)
    spans: dict[tuple[int, bool], list[tuple[float, float]]] = {}
    for number, place in enumerate(places(pdf, [point_text(point, language) for point in content.points]), 1):
        assert min(letter.size_pt for letter in place.letters) > LEAST_TYPE_PT[size] - 0.01
        page = pages[place.page]
        above = re.search(rf"{number}\D{{1,40}}$", said(page[: page.index(place.letters[0])]))
        assert above, f"no number {number} before its sentence"
        before, *figures = page[above.start() - 1 : above.start() + len(str(number))]
        assert min(one.size_pt for one in figures) > 1.5 * LEAST_TYPE_PT[size] > before.size_pt
        top = figures[0].top
        assert 0 < place.top - top < 20
        is_right = place.left > WIDTH[size] / 2
        left = WIDTH[size] / 2 if is_right else EDGE_MM
        right = WIDTH[size] / 2 if size == "a4" and not is_right else WIDTH[size] - EDGE_MM
        assert left + LEAST_PICTURE[size] < place.left < place.right < right
        spans.setdefault((place.page, is_right), []).append((top, max(place.bottom, top + PICTURE[size] - 1)))
    for number, page in enumerate(pages, 1):
        foot = f"{number}/{len(pages)}"
        assert said(page).endswith(foot)
        ends = min(letter.top for letter in page[-len(foot) :])
        for column in (False, True):
            ordered = [*spans.get((number - 1, column), []), (ends, HEIGHT[size])]
            assert all(one[1] < other[0] for one, other in pairwise(ordered)), (
                "a point runs into what is below"
            )
        for letter in page:
            assert EDGE_MM < letter.left < letter.right < WIDTH[size] - EDGE_MM, letter
            assert EDGE_MM < letter.top < letter.bottom < HEIGHT[size] - EDGE_MM, letter
        assert max(letter.bottom for letter in page[: -len(foot)]) < ends, "something runs over the foot"


@pytest.mark.parametrize("size", CARD_SIZES)
@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("habit", HABITS)
def test_every_card_says_all_its_brief_says_with_no_point_cut(habit, language, size):
    """Every sentence in the order of work, then notes, cautions, and last that law, label and licensed practice decide."""
    content, made = full_content(habit), card(habit, language, size)
    check_points(made, content, language, size)
    cautions = caution_texts(content.cautions, language)
    last = places(made, [point_text(content.points[-1], language), NOTES[language], *cautions])
    assert min(letter.size_pt for place in last for letter in place.letters) >= LEAST_TYPE_PT[size] - 0.01
    with opened(made) as document:
        for page in document:
            assert page.get_size() == pytest.approx(
                (WIDTH[size] * 72 / 25.4, HEIGHT[size] * 72 / 25.4), abs=0.05
            )
    assert len(letters(made)) <= {"a4": 3, "a5": 6}[size]


@pytest.mark.parametrize("size", CARD_SIZES)
def test_long_sentences_take_more_room_and_are_not_cut(size):
    """Twice as long as the longest ready-made one, with a word as long as a line, and more points than two pages hold."""
    points = full_content("tip_alternating").points
    longest = max((point_text(point, "es") for one in HABITS for point in ready_made(one).points), key=len)
    sentences = [f"{number} Otorrinolaringólogo: {longest} {longest}" for number in range(1, 21)]
    content = BriefContent("spur_uncut", False, tuple(
        replace(points[i % len(points)], key=f"p{i}", sentences={"es": text}) for i, text in enumerate(sentences)
    ), tuple(CAUTIONS), notes={"es": " ".join([longest] * 12)})  # fmt: skip
    made = brief_card_pdf(content, CardHead("W" * 60, "Ñ" * 80), language="es", size=size)
    check_points(made, content, "es", size)
    places(made, [sentences[-1], caution_texts([*CAUTIONS], "es")[-1]])


@pytest.mark.parametrize("size", CARD_SIZES)
def test_each_point_has_its_own_drawing_beside_it_at_its_size(size):
    """Set side by side with the drawing printed alone; one of another point, or a tenth smaller, would not match."""
    content, made = full_content("tip_renewed"), card("tip_renewed", "en", size)
    across = PICTURE[size]
    style = f"@page{{size:{across}mm;margin:0}}body{{margin:0}}svg{{width:{across}mm;height:{across}mm;display:block;break-after:page}}"
    alone = "".join(picture_svg(point.picture, low=point.low, high=point.high) for point in content.points)
    wanted = grey_levels(pdf_of(f'<html lang="en"><title>Points</title><style>{style}</style>{alone}</html>'))
    pages = grey_levels(made)
    for point, place, drawn in zip(
        content.points, places(made, [point_text(one, "en") for one in content.points]), wanted, strict=True
    ):
        side = drawn.shape[0]
        right = round((place.left - 2.5) * DOTS_A_MM)
        top = round(place.top * DOTS_A_MM)
        windows = [
            pages[place.page][y : y + side, x : x + side]
            for y in range(top - 16 * DOTS_A_MM, top - 6 * DOTS_A_MM)
            for x in range(right - side - DOTS_A_MM, right - side + DOTS_A_MM)
        ]
        assert min(np.abs(window - drawn).mean() for window in windows) < 18, point.key


DOTS_A_MM = 4


def grey_levels(pdf: bytes) -> list[np.ndarray]:
    """Each page at 4 dots a millimetre, 0 black and 255 white."""
    return [np.asarray(page.convert("L"), float) for page in pictures(pdf, scale=DOTS_A_MM * 25.4 / 72)]


def test_every_page_says_which_brief_of_whom_and_when():
    for language, head in (
        ("en", "Pruning brief · Long Meadow · Season 2026/27 · Version 3 · 26 November 2026"),
        ("es", "Pauta de poda · Long Meadow · Temporada 2026/27 · Versión 3 · 26 de noviembre de 2026"),
    ):
        pages = letters(card("spur_renewed", language, "a5"))
        assert len(pages) > 3
        assert all(said(page).startswith("EgremontRusset") and bare(head) in said(page) for page in pages)


def test_a_brief_that_nobody_published_says_so_instead_of_a_version():
    words = Words.of(brief_card_document(ready_made("tip_renewed"), CardHead()))
    assert "Ready-made; not yet fitted to these trees by an adviser" in words
    assert not [word for word in words if word.startswith(("Version", "Season"))]
    assert words[0] == "Pruning brief"


def test_names_and_sentences_are_shown_as_they_were_typed():
    """HTML is no markup in them, and braces that name no limit stay."""
    odd = "<b>{low}</b> & {season} \"'<script>x</script>"
    point = replace(ready_made("tip_renewed").points[0], sentences={"en": f"Cut {odd}."})
    content = BriefContent("tip_renewed", False, (point,), (), notes={"en": f"{odd} {{version}}"})
    made = brief_card_pdf(content, CardHead(f"T {odd}", f"F {odd}", f"S {odd}", 1))
    shown = replace(point, kind="yes_no")
    places(made, [f"T {odd}", f"F {odd}", f"Season S {odd}", point_text(shown, "en"), f"{odd} {{version}}"])
    assert "{season}" in point_text(shown, "en")
    with opened(made) as document:
        assert document.get_metadata_value("Title") == f"T {odd}"


class Words(HTMLParser):
    """The texts of a document, drawings and style left out."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.open: list[str] = []

    @classmethod
    def of(cls, document: str) -> list[str]:
        """Return the texts in order."""
        parser = cls()
        parser.feed(document)
        return parser.texts

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag in {"svg", "style", "title"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self.open and self.open[-1] == tag:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if not self.open and data.strip():
            self.texts.append(data.strip(" ·"))


@pytest.mark.parametrize("language", languages()[1:])
@pytest.mark.parametrize("habit", HABITS)
def test_no_word_of_the_card_stays_english_in_another_language(habit, language):
    """What both languages show is only what was typed, or has no letters."""
    typed = {HEAD.title, HEAD.farm}
    told = [
        Words.of(brief_card_document(full_content(habit), HEAD, language=one)) for one in ("en", language)
    ]
    assert len(told[0]) == len(told[1]) > 60
    assert {word for word in set(told[0]) & set(told[1]) if re.search(r"[a-z]", word)} == typed


def test_a_language_that_the_brief_lacks_is_filled_in_from_the_one_it_was_written_in():
    point = replace(ready_made("tip_renewed").points[0], sentences={"en": "Cut."})
    content = BriefContent("tip_renewed", False, (point,), (), notes={"en": "Ask."})
    words = Words.of(brief_card_document(content, CardHead("X"), language="es"))
    assert {"Cut.", "Ask.", "Notas", "crítico"} <= set(words)


def test_weight_and_check_are_told_by_form():
    """Three discs, so many of them full; a ticked box or a broken empty one; a heavy frame round what must not go wrong."""
    content = ready_made("spur_renewed")
    cells = brief_card_document(content, CardHead("X")).split('<td class="point ')[1:]
    full = {"critical": 3, "major": 2, "minor": 1}
    assert {point.point_class for point in content.points} == set(full)
    assert {point.is_checked for point in content.points} == {True, False}
    for point, cell in zip(content.points, cells, strict=True):
        weight, check = re.findall(r'<svg[^>]*class="(?:weight|check)".*?</svg>', cell)
        assert cell.startswith(point.point_class)
        assert (weight.count("<circle"), weight.count('fill="#000"')) == (3, full[point.point_class])
        assert [point.point_class, "checked" if point.is_checked else "taught"] == Words.of(cell)[2:4]
        assert ("<path" in check, "stroke-dasharray" in check) == (point.is_checked, not point.is_checked)


def test_a_key_names_the_signs_of_the_drawings():
    document = brief_card_document(ready_made("tip_renewed"), CardHead("X"), language="es")
    signs = re.findall(r"<li>(<svg.*?</svg>) (.*?)</li>", document)
    assert [words for _, words in signs] == ["se queda", "se quita", "corte aquí", "no corte", "yema de fruto", "yema de hoja", "aquí acabó un año"]  # fmt: skip
    assert len({drawn for drawn, _ in signs}) == 7


def test_the_bud_target_shows_what_was_worked_out_and_nothing_else():
    def told(target: BudTarget) -> list[str]:
        content = replace(ready_made("spur_renewed"), bud_target=target)
        return Words.of(brief_card_document(content, CardHead("X"), language="es"))

    everything = told(TARGET)
    start = everything.index("Lo que se deja en un árbol medio")
    assert everything[start + 1 : start + 9] == [
        "13", "yemas en cada rama", "266,5", "yemas en el árbol", "20,5", "ramas en el árbol", "140", "manzanas en el árbol",
    ]  # fmt: skip
    one = told(BudTarget(buds_per_limb=12))
    assert set(everything) - set(one) >= {"266,5", "manzanas en el árbol"}
    assert {"12", "yemas en cada rama"} <= set(one)
    assert "Lo que se deja en un árbol medio" not in told(BudTarget())


def test_print_is_black_on_white_and_its_fonts_are_inside():
    made = card("tip_renewed", "en", "a4")
    for page in pictures(made, scale=1.0):
        red, green, blue = page.convert("RGB").split()
        assert red.tobytes() == green.tobytes() == blue.tobytes()
    fonts = {(one.font, one.embedded) for page in texts(made) for one in page}
    assert fonts
    assert all(embedded for _, embedded in fonts)


def test_what_cannot_be_made_is_said():
    content = ready_made("tip_renewed")
    with pytest.raises(InputError, match="pl: No card is made in this language"):
        brief_card_pdf(content, CardHead("X"), language="pl")
    with pytest.raises(UnknownError, match="no such picture"):
        brief_card_pdf(replace(content, points=(replace(content.points[0], picture="no"),)), CardHead("X"))
    with pytest.raises(UnknownError, match="no caution 'no'"):
        brief_card_pdf(replace(content, cautions=("no",)), CardHead("X"))
