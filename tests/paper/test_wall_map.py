"""The wall map as a printer gets it: lines and words read by PDFium, places held against PROJ, lengths against geodesics."""

import itertools
import re
from contextlib import closing
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pyproj
import pytest
import shapely
from PIL import ImageColor
from shapely import Polygon

from orchardmap.errors import InputError, UnknownError
from orchardmap.maps import signs
from orchardmap.paper.map_lines import stretches_svg
from orchardmap.paper.map_panel import SIGN_WORDS
from orchardmap.paper.map_scale import PAPERS_MM, fitting_scale, scale_bar, smallest_scale
from orchardmap.paper.pdf import pdf_of
from orchardmap.paper.wall_map import WallMapWish, wall_map_document
from orchardmap.store import orchard
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import glance
from orchardmap.usecases.map_content import map_content
from orchardmap.usecases.wall_map import wall_map_pdf
from pdf_pages import opened, pictures
from pdf_strokes import Stroke, is_tagged, strokes, words
from printed_farm import MIDDLE, NOW, VARIETY, lonlat, printed_farm

GEOD = pyproj.Geod(ellps="WGS84")
PRINTABLE_MM = 5.0


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    with closing(open_store(sqlite_url(tmp_path_factory.mktemp("wall") / "farm.sqlite"))) as store:
        yield store, printed_farm(store)


def printed(farm, *, day=None, **wish) -> bytes:
    store, made = farm
    return wall_map_pdf(store, made.farm.id, WallMapWish(**wish), day=day, now=NOW)


@pytest.fixture(scope="module")
def a3(farm) -> bytes:
    return printed(farm)


def rgb(colour: str) -> tuple[int, ...]:
    return tuple(int(colour[i : i + 2], 16) for i in (1, 3, 5))


ROW_COLOURS = {rgb(form.colour) for form in signs.LINES}
CLOSED_EDGE_MM = 0.16
"""Outlines of blocks share the grey of closed rows; they are thinner."""


def frame_of(found: list[Stroke]) -> Polygon:
    """The frame round the map: the largest box that is drawn."""
    boxes = [shapely.box(*shapely.MultiPoint(one.lines[0]).bounds) for one in found if one.is_stroked]
    return max(boxes, key=lambda one: one.area)


def row_pieces(pdf: bytes, page: int = 0) -> list[np.ndarray]:
    """The stretches of rows on a page, in mm: what has a row's colour on the map and runs on for more than a side shoot."""
    found = strokes(pdf, page)
    frame = frame_of(found)
    drawn = [one for one in found if one.is_stroked and one.colour in ROW_COLOURS]
    drawn = [one for one in drawn if one.colour != rgb(signs.CLOSED) or one.width > CLOSED_EDGE_MM]
    pieces = [np.array(line) for one in drawn for line in one.lines if span_mm(line) > 3.5]
    return [line for line in pieces if frame.buffer(0.3).contains(shapely.Point(line[0]))]


def span_mm(line) -> float:
    return float(np.hypot(*(np.array(line[-1]) - np.array(line[0]))))


def stated_scale(pdf: bytes, page: int = 0) -> int:
    (said,) = re.findall(r"Scale 1:(\d+)", text_of(pdf, page))
    return int(said)


def text_of(pdf: bytes, page: int = 0) -> str:
    with opened(pdf) as document:
        return re.sub(r"\s+", " ", document[page].get_textpage().get_text_range().replace("\ufffe", "-"))


def ends_of_rows(farm) -> np.ndarray:
    """First and far end of every row, in degrees, shape (n, 2, 2)."""
    store, made = farm
    with store.read() as conn:
        rows = orchard.rows_of_blocks(conn, [block.id for block in made.blocks.values()])
    return np.array([
        (row.line.geoms[0].coords[0][:2], row.line.geoms[-1].coords[-1][:2])
        for of_block in rows.values()
        for row in of_block
    ])


def test_every_row_stands_where_proj_puts_it_at_its_true_length(farm, a3):
    """Both ends of each row of the farm are ends of drawn stretches, within the tenth of a millimetre that no eye sees."""
    scale = stated_scale(a3)
    truth_deg = ends_of_rows(farm)
    ground = pyproj.Proj(proj="tmerc", lon_0=MIDDLE[0], lat_0=MIDDLE[1], ellps="WGS84")
    east, north = ground(truth_deg[..., 0].ravel(), truth_deg[..., 1].ravel())
    wanted = np.stack([np.array(east), -np.array(north)], -1) * 1000 / scale
    drawn = np.array([point for line in row_pieces(a3) for point in (line[0], line[-1])])
    # where the sheet begins is the sheet's own affair: the north-westernmost ends are laid on each other
    wanted += drawn.min(axis=0) - wanted.min(axis=0)
    ends = shapely.MultiPoint(drawn)
    apart = [ends.distance(shapely.Point(one)) for one in wanted]
    assert len(truth_deg) > 100
    assert max(apart) < 0.1


def test_the_bar_is_as_long_on_paper_as_it_says(a3):
    scale = stated_scale(a3)
    (metres,) = map(int, re.findall(r"0 \d+ (\d+) m", text_of(a3)))
    ink = rgb(signs.INK)
    parts = [one for one in strokes(a3) if one.is_filled and one.colour == ink and 2.9 < height_mm(one) < 3.1]
    parts += [one for one in strokes(a3) if one.is_stroked and one.is_filled and 2.9 < height_mm(one) < 3.1]
    left = min(x for one in parts for line in one.lines for x, _ in line)
    right = max(x for one in parts for line in one.lines for x, _ in line)
    assert right - left == pytest.approx(metres * 1000 / scale, abs=0.02)
    # and a row of the farm is as long as its geodesic at that scale
    (west, south), (east, north) = lonlat(-145, 40), lonlat(-145, 90)
    assert GEOD.inv(west, south, east, north)[2] == pytest.approx(50, abs=0.001)


def height_mm(one: Stroke) -> float:
    ys = [y for line in one.lines for _, y in line]
    return max(ys) - min(ys)


def test_lengths_of_rows_are_their_geodesics(farm, a3):
    store, made = farm
    scale = stated_scale(a3)
    with store.read() as conn:
        rows = orchard.rows(conn, made.blocks["N2"].id)
    told = sorted(GEOD.geometry_length(row.line) * 1000 / scale for row in rows)
    turned = sorted(
        span_mm(line)
        for line in row_pieces(a3)
        if abs(line[0][0] - line[-1][0]) > 2 < abs(line[0][1] - line[-1][1])
    )
    assert turned == pytest.approx(told, abs=0.05)


@pytest.mark.parametrize("size", PAPERS_MM)
def test_nothing_stands_outside_the_margins(farm, size):
    pdf = printed(farm, paper=size)
    with opened(pdf) as document:
        width, height = (one * 25.4 / 72 for one in document[0].get_size())
    assert sorted((width, height)) == pytest.approx(sorted(PAPERS_MM[size]), abs=0.05)
    sheet = shapely.box(PRINTABLE_MM, PRINTABLE_MM, width - PRINTABLE_MM, height - PRINTABLE_MM)
    for word in words(pdf):
        assert sheet.contains(word.corners), word
    for one in strokes(pdf):
        for x, y in itertools.chain.from_iterable(one.lines):
            assert sheet.buffer(0.05).contains(shapely.Point(x, y))
    bare = text_of(pdf).replace(" ", "")
    for code in ("N1", "N2", "S1", "S2", "Millline11kV"):
        assert code in bare


@pytest.mark.parametrize(("size", "scale"), [("a3", None), ("a4", None), ("a4", 5000)])
def test_no_word_stands_on_another(farm, size, scale):
    """Letter by letter, with their true corners however they are turned."""
    letters = [word.corners.buffer(-0.05) for word in words(printed(farm, paper=size, scale=scale))]
    tree = shapely.STRtree(letters)
    one, other = tree.query(letters, predicate="intersects")
    assert [(letters[i], letters[j]) for i, j in zip(one, other, strict=True) if i < j] == []


def test_words_can_be_read_and_chosen_and_their_fonts_are_inside(a3):
    said = text_of(a3)
    for part in (
        "Low Meadow & Sons",
        "as of 21 January 2026",
        "739 of 6,205 trees pruned (11",
        "sheet 1 of 1",
        VARIETY,
    ):
        assert part in said
    assert "Closed block: nobody goes in" in said
    assert "Power line over or near rows" in said
    found = words(a3)
    assert all(word.font_is_embedded for word in found)
    assert min(word.size for word in found) >= 5.9, "6 pt is the least that is read at arm's length"
    assert is_tagged(a3)
    with opened(a3) as document:
        assert document.get_metadata_value("Title") == "Low Meadow & Sons: Wall map"


def test_what_lies_beside_the_blocks_is_drawn_named_and_explained(a3):
    """A track, a gate and a shed of 20 m by 20 m, in ink, at the map's scale; the legend names no sign that is not there."""
    said = text_of(a3)
    assert {"MillLane", "Topgate", "Millline11kV"} <= set(
        re.findall("MillLane|Topgate|Millline11kV", said.replace(" ", ""))
    )
    assert "On the farm track gate shed power line" in said
    assert "something else" not in said
    side = 20 * 1000 / stated_scale(a3)
    ink = [one for one in strokes(a3) if one.is_filled and one.colour == rgb(signs.INK)]
    sizes = [shapely.MultiPoint(one.lines[0]).bounds for one in ink]
    assert any(
        (east - west, south - north) == pytest.approx((side, side), abs=0.05)
        for west, north, east, south in sizes
    )


def test_rows_are_numbered_so_that_each_is_found(farm):
    """On a block's own sheet every row has its number, at one end at least."""
    pdf = printed(farm, paper="a3", blocks=("n1",))
    numbers = re.findall(r"\d+", text_of(pdf))
    assert {str(row) for row in range(1, 23)} <= set(numbers)
    assert "N2" not in text_of(pdf)


def test_forms_are_told_apart_without_any_colour():
    """Each form drawn on paper, turned to black and white: no two look alike, at the weight of a wall map too."""
    row = shapely.LineString([(4, 4), (36, 4)])
    for weight in (0.9, 0.35):
        seen = {}
        for form in signs.LINES:
            drawn = stretches_svg(form.key, [row], weight)
            page = f'<html lang="en"><style>@page{{size:40mm 8mm;margin:0}}body{{margin:0}}</style><svg width="40mm" height="8mm" viewBox="0 0 40 8">{drawn}</svg></html>'
            grey = pictures(pdf_of(page), scale=600 / 72)[0].convert("L")
            seen[form.key] = np.asarray(grey.point(lambda level: 255 if level > 190 else 0)) == 0
        for (a, one), (b, other) in itertools.combinations(seen.items(), 2):
            unlike = (one ^ other).sum() / (one | other).sum()
            assert unlike > 0.15, (weight, a, b, unlike)


def test_a_grey_copy_keeps_what_is_pruned_apart_from_what_is_not(a3):
    """In grey the heavy lines are the darkest: a copy keeps the difference."""
    pruned_grey, left_grey = (ImageColor.getcolor(colour, "L") for colour in (signs.PRUNED, signs.TO_PRUNE))
    assert isinstance(pruned_grey, int)
    assert isinstance(left_grey, int)
    assert pruned_grey + 40 < left_grey
    drawn = [one for one in strokes(a3) if one.is_stroked]
    pruned, left = (
        max(one.width for one in drawn if one.colour == rgb(colour))
        for colour in (signs.PRUNED, signs.TO_PRUNE)
    )
    assert pruned > 2 * left


def test_what_was_pruned_by_a_day_is_drawn_as_of_that_day(farm, a3):
    before = printed(farm, day=NOW.date() - timedelta(20))
    pruned = rgb(signs.PRUNED)
    assert any(one.colour == pruned and span_mm(line) > 20 for one in strokes(a3) for line in one.lines)
    assert not any(
        one.colour == pruned and span_mm(line) > 20 for one in strokes(before) for line in one.lines
    )
    assert "as of 1 January 2026" in text_of(before)
    with pytest.raises(InputError, match="has not come yet"):
        printed(farm, day=NOW.date() + timedelta(1))


def test_a_large_scale_takes_several_sheets_and_the_first_shows_how_they_lie(farm):
    """Every row is on some sheet; each sheet says which it is of how many, and which lie beside it."""
    pdf = printed(farm, paper="a4", scale=750)
    with opened(pdf) as document:
        pages = len(document)
    assert pages > 3
    assert "Blocks from far" in text_of(pdf, 0)
    # the frames on the first are named as the sheets themselves are
    boxes = [
        shapely.Polygon(line)
        for one in strokes(pdf)
        if one.has_dashes
        for line in one.lines
        if len(line) == 5
    ]
    digits = [one for one in words(pdf) if one.said.isdigit()]
    corners = [shapely.Point(box.bounds[:2]) for box in boxes]
    named = [min(digits, key=lambda one: one.corners.distance(at)).said for at in corners]
    assert sorted(map(int, named)) == list(range(2, pages + 1))
    for page in range(pages):
        assert f"sheet {page + 1} of {pages}" in text_of(pdf, page)
        assert stated_scale(pdf, page) == (750 if page else stated_scale(pdf, 0))
    assert re.search(r"(north|east|south|west): sheet \d", text_of(pdf, 1))
    lengths = sum(span_mm(line) for page in range(1, pages) for line in row_pieces(pdf, page))
    store, made = farm
    with store.read() as conn:
        rows = orchard.rows_of_blocks(conn, [block.id for block in made.blocks.values()])
    truth = sum(GEOD.geometry_length(row.line) for found in rows.values() for row in found) * 1000 / 750
    assert lengths > truth * 0.999, "sheets lap over, so some of it is drawn twice and none is left out"
    with pytest.raises(InputError, match="sheets, 24 at a time"):
        printed(farm, paper="a4", scale=200)


def test_a_scale_that_takes_thousands_of_sheets_is_refused_before_any_is_counted(farm, monkeypatch):
    monkeypatch.setattr("orchardmap.paper.map_sheets._MOST_SHEETS", 100)
    with pytest.raises(InputError, match="thousands of sheets"):
        printed(farm, paper="a4", scale=100)


def test_a_farm_whose_rows_would_run_into_each_other_is_drawn_from_far(farm):
    pdf = printed(farm, paper="a4", scale=20_000)
    said = text_of(pdf)
    assert stated_scale(pdf) == 20_000
    assert "Blocks from far" in said
    assert "N147" in said.replace(" ", ""), "a code with its share"


def test_no_small_ring_lies_under_a_larger_one(farm):
    """From far a large ring may reach over its neighbour; what is drawn later lies over what is drawn before."""
    store, made = farm
    told = glance.overview(store, made.farm.id, day=None, now=NOW)
    content = map_content(store, made.farm.id, told, now=NOW)
    for blocks in (content.blocks, content.blocks[::-1]):
        drawn = wall_map_document(replace(content, blocks=blocks), WallMapWish(paper="a4", scale=20_000))
        # those of the legend have two decimals
        rings = [float(one) for one in re.findall(r"scale\((\d\.\d{4})\)", drawn)]
        assert len(rings) == len(blocks) > 1
        assert len(set(rings)) > 1
        assert rings == sorted(rings, reverse=True)


def test_in_spanish_no_english_is_left(farm):
    said = text_of(printed(farm, language="es"))
    for part in (
        "Escala 1:",
        "al 21 de enero de 2026",
        "hoja 1 de 1",
        "Signos",
        "falta podar",
        "cerrado, nadie puede entrar",
    ):
        assert part in said
    assert not re.search(r"\b(pruned|closed|sheet|Scale|Legend)\b", said)
    with pytest.raises(InputError, match="No map is made in this language"):
        printed(farm, language="xx")


def test_the_words_are_those_of_the_one_legend():
    used = [one.words for one in signs.LINES]
    used += [one.words for one in signs.PATCHES]
    used += [one.words for one in (*signs.PITHS, signs.NORTH)]
    used += [one.words for one in signs.RINGS["progress"]]
    used += [one.words for one in signs.FEATURES]
    used += [signs.WORDS[key] for key in ("title", "rows", "stopped", "patches", "blocks", "size")]
    assert set(used) | {signs.VIEWS["progress"][1], signs.FEATURES_TITLE} == set(SIGN_WORDS)
    assert all("es" in words for words in SIGN_WORDS.values())


@pytest.mark.parametrize(
    ("wish", "error", "says"),
    [({"paper": "a5"}, InputError, "a2, a3, a4"), ({"blocks": ("Z9",)}, UnknownError, "no such block")],
)
def test_what_cannot_be_printed_is_said(farm, wish, error, says):
    with pytest.raises(error, match=says):
        printed(farm, **wish)


@pytest.mark.parametrize("metres", [12.0, 95.0, 950.0, 4_321.0, 17_000.0])
def test_scales_are_round_and_the_largest_that_fit(metres):
    frame = (300.0, 200.0)
    scale = fitting_scale((metres, metres / 2), frame)
    assert metres * 1000 / scale <= frame[0]
    assert str(scale).rstrip("0") in {"1", "125", "15", "2", "25", "3", "4", "5", "6", "75", "8"}
    assert smallest_scale(metres, metres * 1000 / scale) == scale
    bar = scale_bar(scale, 50.0)
    assert 15.0 < bar.length_mm <= 50.0
    assert bar.length_mm == pytest.approx(bar.parts * bar.part_m * 1000 / scale)
