"""What can hurt is on the paper: power lines on every sheet and under no word, closed blocks by name, every caution; and when it was printed."""

import itertools
import re
from contextlib import closing
from datetime import timedelta

import pytest
import shapely

from orchardmap.maps import signs
from orchardmap.paper.wall_map import WallMapWish
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import closing as block_closing
from orchardmap.usecases.crew_sheets import CrewSheetWish, crew_sheets_pdf
from orchardmap.usecases.wall_map import wall_map_pdf
from orchardmap.usecases.weekly_report import weekly_report_pdf
from pdf_pages import letters, opened
from pdf_strokes import strokes, words
from printed_farm import NOW, printed_farm

INK = tuple(int(signs.INK[i : i + 2], 16) for i in (1, 3, 5))
SHED_DOOR = "Court Pendu Plat & Söhne, Obstbau am Überlinger Hang, Inhaber Wilhelmine Großmütterlein-Ødegård"


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    with closing(open_store(sqlite_url(tmp_path_factory.mktemp("danger") / "farm.sqlite"))) as store:
        yield store, printed_farm(store)


@pytest.fixture(scope="module")
def sprayed(tmp_path_factory):
    """A farm with a name that no head has room for, each of its blocks closed nine times over."""
    with closing(open_store(sqlite_url(tmp_path_factory.mktemp("sprayed") / "farm.sqlite"))) as store:
        made = printed_farm(store, SHED_DOOR)
        for block, at in itertools.product(made.blocks.values(), range(9)):
            span = NOW + timedelta(days=3 * at, hours=1), NOW + timedelta(days=3 * at + 2)
            block_closing.close_block(store, block_id=block.id, span=span, reason="wash", now=NOW)
        yield store, made


def printed(farm, **wish) -> bytes:
    store, made = farm
    return wall_map_pdf(store, made.farm.id, WallMapWish(**wish), day=None, now=NOW)


def pages(pdf: bytes) -> list[str]:
    with opened(pdf) as document:
        return [
            re.sub(r"\s+", " ", page.get_textpage().get_text_range().replace("\ufffe", "-"))
            for page in document
        ]


def power_line(pdf: bytes, page: int = 0, *, metres: float = 140.0) -> shapely.LineString:
    """The heavy line of ink that is about as long as it should be: rows have colours of their own, frames are closed or thin."""
    wanted = 1000 * metres / int(re.findall(r"Scale 1:(\d+)", pages(pdf)[page])[0])
    found = [
        shapely.LineString(line)
        for one in strokes(pdf, page)
        if one.is_stroked and one.colour == INK and not one.has_dashes and one.width > 0.35
        for line in one.lines
        if 2 <= len(line) <= 3
    ]
    return min(found, key=lambda line: abs(line.length - wanted), default=shapely.LineString())


@pytest.mark.parametrize(
    ("wish", "page"),
    [({}, 0), ({"paper": "a4", "scale": 20_000}, 0), ({"paper": "a4", "scale": 750}, 0)],
    ids=["rows", "far", "how sheets lie"],
)
def test_a_power_line_is_drawn_at_every_scale_under_no_word_and_explained(farm, wish, page):
    """140 m of it, at the sheet's scale, heavier than any other line on the ground; no letter and no board stands on it."""
    pdf = printed(farm, **wish)
    scale = int(re.findall(r"Scale 1:(\d+)", pages(pdf)[page])[0])
    line = power_line(pdf, page)
    whole = 140_000 / scale
    assert 0.9 * whole < line.length < 1.01 * whole, "the edge of the sheet may cut its ends"
    assert not [one.said for one in words(pdf, page) if one.corners.intersects(line.buffer(0.2))]
    boards = [
        shapely.Polygon(path)
        for one in strokes(pdf, page)
        if one.is_filled and one.colour == (255, 255, 255)
        for path in one.lines
        if len(path) >= 4
    ]
    drawn_last = [board for board in boards if board.area < 2_000 and board.buffer(-0.05).intersects(line)]
    assert not drawn_last
    said = pages(pdf)[page]
    assert "power line" in said
    assert "Millline11kV" in said.replace(" ", "")


def test_the_weekly_map_has_the_power_line_too(farm):
    store, made = farm
    pdf = weekly_report_pdf(store, made.farm.id, day=None, with_cost=False, now=NOW)
    scale = int(re.findall(r"Scale 1:(\d+)", pages(pdf)[0])[0])
    assert power_line(pdf).length == pytest.approx(140_000 / scale, rel=0.05)
    assert "power line" in pages(pdf)[0]


def test_a_closed_block_says_so_by_its_name_and_until_when(farm):
    """S2 is closed until 21:00 of the day after; the others are open and say nothing of it."""
    for language, closed in (
        ("en", ("closed", "until 22 January, 21:00")),
        ("es", ("cerrado", "hasta el 22 de enero, 21:00")),
    ):
        shown = words(printed(farm, blocks=("s2",), language=language))
        board = next(one.corners.centroid.buffer(25) for one in shown if one.said in ("S2", "S"))
        near = "".join(one.said for one in shown if board.contains(one.corners))
        for part in closed:
            assert part.replace(" ", "") in near.replace(" ", "")
        open_one = pages(printed(farm, blocks=("n1",), language=language))[0]
        assert closed[0] not in open_one


def test_a_crew_sheet_of_a_closed_block_says_it_before_where_to_start(farm):
    store, made = farm
    said = pages(crew_sheets_pdf(store, made.farm.id, CrewSheetWish(("S2", "N1")), day=None, now=NOW))
    closed = "CLOSED until 22 January 2026, 21:00: nobody goes in"
    assert said[0].index(closed) < said[0].index("Start: row")
    assert not any(closed in page for page in said if "Block N1" in page)


@pytest.mark.parametrize("paper", ["a4", "a3", "a2"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_no_caution_is_left_out_or_cut_off(sprayed, paper, language):
    """Thirty-eight closures and a power line: what the panel has no room for stands on a last sheet, whole."""
    pdf = printed(sprayed, paper=paper, language=language)
    said = pages(pdf)
    begins = {"en": "Closed block: nobody goes in", "es": "Cuartel cerrado: nadie entra"}[language]
    more = {"en": "more on the last sheet", "es": "más en la última hoja"}[language]
    assert more in said[0]
    assert begins in said[0], "the first of them stand beside the map"
    assert said[0].index("S2: ") < said[0].index(begins), (
        "the block that is closed now before those that will be"
    )
    last = " ".join(said[1:])
    assert last.count(begins) == 37, "nine of each of four blocks, and the one of S2"
    with opened(pdf) as document:
        sizes = [tuple(one * 25.4 / 72 for one in page.get_size()) for page in document]
    for (width, height), page in zip(sizes, letters(pdf), strict=True):
        for letter in page:
            assert 8.5 < letter.left < letter.right < width - 8.5, letter
            assert 8.0 < letter.top < letter.bottom < height - 8.5, letter


@pytest.mark.parametrize("paper", ["a4", "a3", "a2"])
def test_a_long_name_of_a_farm_can_be_read_and_is_whole(sprayed, paper):
    pdf = printed(sprayed, paper=paper)
    head = [one for one in letters(pdf)[0] if one.bottom < 21 and one.left < 120 * (paper != "a4") + 90]
    assert SHED_DOOR.replace(" ", "") in "".join(one.said for one in head)
    assert min(one.size_pt for one in head[: len(SHED_DOOR.replace(" ", ""))]) > 6.5


@pytest.mark.parametrize("scale", [500, 750, 1000, 1250])
def test_every_frame_on_the_first_sheet_has_its_number(farm, scale):
    """Frames that reach beyond the paper too: their numbers are bold, of 2.6 mm, each once."""
    pdf = printed(farm, paper="a4", scale=scale)
    with opened(pdf) as document:
        panel = document[0].get_width() * 25.4 / 72 - 9 - 52
    digits = "".join(
        one.said
        for one in words(pdf)
        if one.size == pytest.approx(2.6 * 72 / 25.4, abs=0.05) and one.corners.bounds[2] < panel
    )
    sheets = int(re.findall(r"sheet 1 of (\d+)", pages(pdf)[0])[0])
    assert sheets > 2
    assert sorted(digits) == sorted("".join(map(str, range(2, sheets + 1))))


def test_every_paper_says_when_it_was_made(farm):
    """By the farm's clock, on every page that may hang alone."""
    store, made = farm
    wanted = "Made with orchardmap on 21 January 2026 at 15:00"
    sheets = crew_sheets_pdf(store, made.farm.id, CrewSheetWish(("N1",)), day=None, now=NOW)
    week = weekly_report_pdf(store, made.farm.id, day=None, with_cost=False, now=NOW)
    for pdf in (printed(farm), printed(farm, paper="a4", scale=750), sheets, week):
        assert all(wanted in page for page in pages(pdf))


def test_the_legend_says_where_a_crew_stopped_only_where_one_did(farm):
    """In N1 row 11 is pruned up to tree 30; in N2 nothing is."""
    assert "crew stopped here" in pages(printed(farm, blocks=("n1",)))[0]
    assert "crew stopped here" not in pages(printed(farm, blocks=("n2",)))[0]


@pytest.mark.parametrize("paper", ["a4", "a3"])
@pytest.mark.parametrize("scale", [3000, 6000, 12_500, 15_000, 20_000, 60_000])
def test_the_numbers_of_the_scale_bar_stand_apart(farm, paper, scale):
    """Letter by letter: the bar is short where a round length of ground is."""
    pdf = printed(farm, paper=paper, scale=scale, blocks=("n1",))
    found = [
        one.corners.buffer(-0.05)
        for one in words(pdf)
        if one.size == pytest.approx(2.6 * 72 / 25.4, abs=0.05) and one.corners.bounds[1] < 40
    ]
    tree = shapely.STRtree(found)
    one, other = tree.query(found, predicate="intersects")
    assert len(found) >= 4
    assert (one == other).all()
    gaps = sorted((box.bounds[0], box.bounds[2]) for box in found)
    said = text_between(gaps)
    assert said in (2, 3), "numbers with white between them"


def text_between(boxes: list[tuple[float, float]]) -> int:
    """How many runs of letters there are that a gap wider than a space parts."""
    return 1 + sum(after[0] - before[1] > 1.7 for before, after in itertools.pairwise(boxes))
