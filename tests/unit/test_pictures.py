"""Pictures of a brief's points as text: whole and safe documents, black on white, that say what goes and how many."""

import math
import re
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from orchardmap.errors import InputError, UnknownError
from orchardmap.pruning.pictures import PICTURES, picture_svg
from orchardmap.pruning.pictures.limits import Limits
from orchardmap.pruning.pictures.wood import Stem

SVG = "{http://www.w3.org/2000/svg}"
ASKED_FOR = [
    "dead-wood",
    "upright-out",
    "limb-over-half",
    "limb-over-two-thirds",
    "fork-out",
    "light-well",
    "limb-count",
    "one-leader",
    "no-stub",
    "renewal-stub",
    "limb-angle",
    "limb-gap",
    "tip-shoot-whole",
    "renewal-cuts",
    "shorten-borne",
    "no-cut-spurred-two-year",
    "unit-too-old",
    "shorten-to-fruit-bud",
    "unit-after-crops",
    "short-shoot-stays",
    "strong-upright-years",
    "crack-upright",
    "leaf-cover",
    "thick-limb-out",
    "thin-spurs",
    "bud-count",
    "secondary-simple",
]
SHOWN_LIMITS = [
    ("bud-count", 12, 14, ["12–14"]),
    ("crack-upright", 10, None, ["10+ cm"]),
    ("limb-angle", 35, 120.5, ["35°", "120.5°"]),
    ("limb-count", 24, 24, ["24"]),
    ("limb-gap", 22.5, None, ["22.5+ cm"]),
    ("limb-over-half", None, 0.5, ["1", "> 1/2"]),
    ("limb-over-two-thirds", None, 2 / 3, ["1", "> 2/3"]),
    ("renewal-cuts", 2, 3, ["2–3"]),
    ("renewal-stub", None, 5, ["0–5 cm"]),
    ("shorten-borne", 2, 3, ["2–3"]),
    ("thin-spurs", 60, 80, ["60–80"]),
    ("unit-after-crops", 2, 4, ["2–4"]),
]
WIDE_FACE = ImageFont.truetype("DejaVuSans-Bold", 100)
names = st.sampled_from(sorted(PICTURES))
limits = st.none() | st.floats(-1e9, 1e9)


def drawn(name: str, **said) -> Element:
    return fromstring(picture_svg(name, **said))


def words(picture: Element) -> list[str]:
    return [element.text or "" for element in picture.iter(f"{SVG}text")]


def value(element: Element, key: str) -> float:
    return float(element.attrib[key])


def with_stroke(picture: Element, width: str, colour: str) -> list[Element]:
    return [e for e in picture.iter() if e.get("stroke-width") == width and e.get("stroke") == colour]


def cuts(picture: Element) -> int:
    """Cut bars: the one black stroke of that width straight through its own middle."""
    return sum(
        bool(re.fullmatch(r"M0,([\d.]+) V-\1", e.get("d", ""))) for e in with_stroke(picture, "3.4", "#000")
    )


def test_every_picture_that_was_asked_for_is_there_in_order_under_the_name_of_what_draws_it():
    assert set(ASKED_FOR) <= set(PICTURES)
    assert list(PICTURES) == sorted(PICTURES)
    assert [draw.__name__.replace("_", "-") for draw in PICTURES.values()] == list(PICTURES)


def test_no_two_pictures_are_alike():
    assert len({picture_svg(name) for name in PICTURES}) == len(PICTURES)


@given(names, limits, limits)
def test_a_picture_is_small_whole_and_needs_nothing_from_outside_whatever_its_limits(name, low, high):
    text = picture_svg(name, low=low, high=high)
    assert len(text.encode()) < 6000
    picture = fromstring(text)
    assert (picture.tag, picture.get("viewBox")) == (f"{SVG}svg", "0 0 100 100")
    assert {e.tag.removeprefix(SVG) for e in picture.iter()} <= {"svg", "rect", "g", "path", "circle", "text"}
    attributes = {key for e in picture.iter() for key in e.attrib}
    assert not attributes & {"id", "class", "style"}
    assert not any("href" in key or key.startswith("on") for key in attributes)
    assert "url(" not in text
    assert not re.search(r"nan|inf|\de[+-]?\d", " ".join(e.get("d", "") for e in picture.iter()))


@given(names, limits, limits)
def test_a_picture_is_black_and_white_and_every_line_is_a_unit_thick_or_more(name, low, high):
    picture = drawn(name, low=low, high=high)
    colours = {e.get(key) for e in picture.iter() for key in ("fill", "stroke") if e.get(key)}
    assert colours <= {"#000", "#fff", "none"}
    assert not any(e.get("color") or e.get("opacity") for e in picture.iter())
    widths = [value(e, "stroke-width") for e in picture.iter() if e.get("stroke")]
    assert min(widths) >= 1
    # nor is one made thinner by its place
    placings = " ".join(e.get("transform", "") for e in picture.iter())
    assert all(float(factor) >= 1 for factor in re.findall(r"scale\((.*?)\)", placings))
    assert not re.search("matrix|skew", placings)


@pytest.mark.parametrize("name", PICTURES)
def test_what_goes_is_behind_a_cut_and_nothing_is_cut_where_nothing_goes(name):
    picture = drawn(name)
    goes = any(e.get("stroke-dasharray") for e in picture.iter())
    assert goes == bool(cuts(picture))
    assert goes or name in {
        "bud-count", "bud-kinds", "crack-upright", "limb-count",
        "no-cut-spurred-two-year", "short-shoot-stays", "tip-shoot-whole",
    }  # fmt: skip


@pytest.mark.parametrize(("name", "low", "high", "expected"), SHOWN_LIMITS)
def test_the_limits_of_the_point_stand_in_its_picture_and_only_when_it_has_some(name, low, high, expected):
    with_limits, without = words(drawn(name, low=low, high=high)), words(drawn(name))
    assert set(expected) <= set(with_limits)
    assert not set(expected) & set(without)


@pytest.mark.parametrize("name", sorted(set(PICTURES) - {name for name, *_ in SHOWN_LIMITS}))
def test_a_picture_without_room_for_limits_is_the_same_whatever_they_are(name):
    assert picture_svg(name, low=3, high=17) == picture_svg(name)


def test_figures_take_the_decimal_sign_of_the_language():
    assert "22,5+ cm" in words(drawn("limb-gap", low=22.5, decimal_sign=","))
    assert "120,5°" in words(drawn("limb-angle", low=40, high=120.5, decimal_sign=","))


@pytest.mark.parametrize(
    ("ratio", "said"), [(0.5, "1/2"), (0.66, "2/3"), (0.25, "1/4"), (0.55, "0.55"), (1.25, "1.25")]
)
def test_a_ratio_is_said_as_people_say_it_and_never_as_another(ratio, said):
    assert words(drawn("limb-over-half", high=ratio)) == ["1", f"> {said}"]


@given(names, st.floats(0, 999), st.floats(0, 999))
def test_every_figure_lies_within_the_picture_even_in_a_wide_face(name, low, high):
    for element in drawn(name, low=low, high=high).iter(f"{SVG}text"):
        x, y, size = (value(element, key) for key in ("x", "y", "font-size"))
        half = WIDE_FACE.getlength(element.text or "") * size / WIDE_FACE.size / 2
        assert 0 <= x - half < x + half <= 100
        assert 0 <= y - 0.76 * size < y + 0.24 * size <= 100, (
            "from the top of a bracket to the foot of a comma"
        )


@pytest.mark.parametrize(("name", "low", "high", "expected"), SHOWN_LIMITS)
def test_usual_limits_are_printed_in_seven_point_type_or_larger(name, low, high, expected):
    sizes = [value(e, "font-size") for e in drawn(name, low=low, high=high).iter(f"{SVG}text")]
    assert min(sizes) * 0.4 / 25.4 * 72 >= 7, "a unit is 0.4 mm"


@given(st.integers(2, 30))
def test_as_many_limbs_are_drawn_as_are_wanted(count):
    paths = [len(list(drawn("limb-count", low=n, high=n).iter(f"{SVG}path"))) for n in (2, count)]
    assert paths[1] - paths[0] == count - 2


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_as_many_cuts_and_buds_are_drawn_as_are_wanted(count):
    assert cuts(drawn("renewal-cuts", low=count, high=count)) == count + 1, "and one beside the number"
    more, fewer = (
        len(list(drawn("shorten-borne", low=n, high=n).iter(f"{SVG}path"))) for n in (count + 1, count)
    )
    assert more - fewer == 1


@given(st.integers(0, 400), st.integers(0, 400))
def test_a_count_drawn_lies_in_its_limits_as_far_as_a_picture_holds_it(one, other):
    low, high = sorted((one, other))
    count = Limits(low, high).count(12, most=16)
    assert 1 <= count <= 16
    assert low <= count <= high or high < 1 or low > 16 or (low + high) / 2 > 16


@given(names, st.text(min_size=1))
def test_a_label_is_the_title_whatever_stands_in_it_and_changes_nothing_else(name, label):
    plain, labelled = drawn(name), drawn(name, label=label)
    title = labelled[0]
    legal = re.sub("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]", "", label)
    assert title.tag == f"{SVG}title"
    assert (title.text or "") == legal.replace("\r\n", "\n").replace("\r", "\n")
    assert (labelled.get("role"), labelled.get("aria-hidden")) == ("img", None)
    assert (plain.get("role"), plain.get("aria-hidden")) == (None, "true")
    assert [e.attrib for e in labelled.iter()][2:] == [e.attrib for e in plain.iter()][1:]


def test_a_label_cannot_open_an_element_or_leave_an_attribute():
    text = picture_svg("no-stub", label='"><script>alert(1)</script>&amp;\x00\ud800')
    assert "<script" not in text
    assert fromstring(text)[0].text == '"><script>alert(1)</script>&amp;'


def test_an_unknown_name_is_refused_with_the_names_there_are():
    with pytest.raises(UnknownError, match=r"crown-lift.*dead-wood"):
        picture_svg("crown-lift")


@pytest.mark.parametrize("limit", [math.nan, math.inf, -math.inf])
def test_a_limit_that_is_no_number_is_refused(limit):
    with pytest.raises(InputError, match="limb-gap"):
        picture_svg("limb-gap", low=limit)


points = st.tuples(st.floats(0, 100), st.floats(0, 100))
stems = st.builds(Stem, points, points, st.tuples(st.floats(1, 20), st.floats(1, 20)), st.none() | points)
shares = st.floats(0, 1)


@given(stems, shares, shares, shares)
def test_a_piece_of_wood_lies_where_it_lay_in_the_whole(stem, one, other, share):
    start, end = sorted((one, other))
    piece = stem.part(start, end)
    in_whole = start + (end - start) * share
    assert piece.at(share) == pytest.approx(stem.at(in_whole), abs=1e-6)
    assert piece.width(share) == pytest.approx(stem.width(in_whole))


@given(stems, shares)
def test_the_bark_is_half_the_thickness_from_the_middle_on_either_side(stem, share):
    edges = [stem.edge(share, side) for side in (-1, 1)]
    assert math.dist(*edges) == pytest.approx(stem.width(share))
    assert all(math.dist(edge, stem.at(share)) == pytest.approx(stem.width(share) / 2) for edge in edges)
