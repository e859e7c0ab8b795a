"""Row-end labels as a printer gets them: drawn by PDFium, their codes read by ZXing, and compared with the rows."""

import re
import subprocess
import sys
from collections import Counter
from contextlib import closing
from itertools import pairwise

import pytest
import zxingcpp
from PIL import ImageDraw

import orchardmap.paper.pdf
from orchardmap.errors import InputError, PaperError, UnknownError
from orchardmap.model.row_code import row_address
from orchardmap.paper.labels import Label, labels_document
from orchardmap.paper.pdf import pdf_of
from orchardmap.paper.sheet import read_size
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases.labels import LabelWish, labels_pdf, row_places
from pdf_pages import codes, opened, pictures, texts
from small_farm import ROWS, small_farm

ORIGIN = "https://orchard.lan:8420"
WIDTH, HEIGHT, EIGHT = 99.1, 67.7, 8


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    with closing(open_store(sqlite_url(tmp_path_factory.mktemp("paper") / "farm.sqlite"))) as store:
        yield store, small_farm(store)


@pytest.fixture(scope="module")
def block_k1(farm) -> bytes:
    store, made = farm
    return labels_pdf(store, made.farm.id, LabelWish(("k1",), ORIGIN))


def odd_label(code: str, row: int = 12, variety: str = "Irish Peach") -> Label:
    return Label(code, row, "B", 105, variety, row_address(ORIGIN, code, row))


def test_each_row_has_a_code_at_either_end_in_the_order_they_are_walked(block_k1):
    pages = pictures(block_k1)
    assert len(pages) == -(-2 * ROWS // EIGHT)
    read = Counter(said for page in pages for said in codes(page))
    assert read == {f"HTTPS://ORCHARD.LAN:8420/R/K1/{row}": 2 for row in range(1, ROWS + 1)}
    with opened(block_k1) as document:
        words = " ".join(page.get_textpage().get_text_range() for page in document)
    assert [int(n) for n in re.findall(r"K1, row\s+(\d+)\s", words)] == [*range(1, ROWS + 1)] * 2
    ends = re.findall(r"(first end, position 1|far end, position 105)\s", words)
    assert ends == ["first end, position 1"] * ROWS + ["far end, position 105"] * ROWS
    assert words.count("Irish Peach") == 2 * ROWS


def test_what_the_code_says_stands_below_it_for_whoever_has_no_camera(block_k1):
    with opened(block_k1) as document:
        words = "".join(page.get_textpage().get_text_range() for page in document)
    bare = re.sub(r"\s", "", words)
    for row in (1, 9, ROWS):
        assert f"HTTPS://ORCHARD.LAN:8420/R/K1/{row}" in bare


def test_page_is_a4_black_on_white_and_its_fonts_are_inside(block_k1):
    with opened(block_k1) as document:
        for page in document:
            # ISO 216: 210 x 297 mm
            assert page.get_size() == pytest.approx((210 * 72 / 25.4, 297 * 72 / 25.4), abs=0.05)
        assert document.get_metadata_value("Title") == "Row-end labels, Small Farm: K1"
    for page in pictures(block_k1, scale=1.0)[:2]:
        red, green, blue = page.convert("RGB").split()
        assert red.tobytes() == green.tobytes() == blue.tobytes()
    fonts = {(one.font, one.embedded) for page in texts(block_k1) for one in page}
    assert {name.partition("+")[2] or name for name, _ in fonts} == {"DejaVu-Sans", "DejaVu-Sans-Bold"}
    assert all(embedded for _, embedded in fonts)


LONG = "A variety with a name so long that nobody says it twice in one row of trees"


@pytest.mark.parametrize("size", ["99.1x67.7", "60x40", "200x148"])
def test_everything_stands_on_its_own_label_whatever_the_size(size):
    """Each text within the label that it belongs to, long and broad ones too; every code is read."""
    sheet = read_size(size)
    labels = [
        odd_label("H6", 1),
        odd_label("WMW@%", 100_000, "W" * 40),
        odd_label("Nordfeld am Bach", 188, LONG),
        odd_label("ÄÖß/2<b>", 37, "<b>Čeština</b> & žluťoučký kůň"),
    ]
    made = pdf_of(labels_document("Labels", labels, sheet))
    assert sorted(said for page in pictures(made) for said in codes(page)) == sorted(
        one.address for one in labels
    )
    seen = 0
    for number, page in enumerate(texts(made)):
        shown = labels[number * sheet.labels :][: sheet.labels]
        boxes = [sheet.place_mm(i) for i in range(len(shown))]
        said = [""] * len(shown)
        for text in page:
            home = [
                i
                for i, (left, top) in enumerate(boxes)
                if left + 3.5 <= text.left and text.right <= left + sheet.width_mm - 3.5
                and top + 3.0 <= text.top and text.bottom <= top + sheet.height_mm - 3.0
            ]  # fmt: skip
            assert len(home) == 1, text
            said[home[0]] += text.said
        for label, words in zip(shown, said, strict=True):
            bare = re.sub(r"\s", "", words)
            for part in (label.code, str(label.row), label.variety, "far end, position 105", label.address):
                assert re.sub(r"\s", "", part) in bare
            seen += 1
    assert seen == len(labels)


@pytest.mark.parametrize("size", ["99.1x67.7", "63.5x46", "60x40", "210x148.5", "105x74.25"])
def test_labels_fit_the_sheet_and_cuts_run_between_them(size):
    sheet = read_size(size)
    across, down = sheet.cuts_mm()
    places = [sheet.place_mm(i) for i in range(sheet.labels)]
    assert len(set(places)) == sheet.labels == sheet.columns * sheet.lines
    for left, top in places:
        assert -0.01 <= left <= left + sheet.width_mm <= 210.01
        assert -0.01 <= top <= top + sheet.height_mm <= 297.01
        for lines, first, length in ((across, left, sheet.width_mm), (down, top, sheet.height_mm)):
            assert {round(first, 2), round(first + length, 2)} <= {round(x, 2) for x in lines}
            assert not [x for x in lines if first + 0.01 < x < first + length - 0.01]
    assert all(a < b for lines in (across, down) for a, b in pairwise(lines))


def test_eight_a_sheet_by_itself():
    assert read_size("99.1x67.7").labels == EIGHT


def test_a_splashed_code_is_still_read(block_k1):
    """A blot over a tenth of its middle: level Q of ISO/IEC 18004 makes that good, level L would not (tried)."""
    page = pictures(block_k1, scale=3.0)[0]
    spot = next(one for one in zxingcpp.read_barcodes(page) if one.text.endswith("/K1/1")).position
    side = spot.bottom_right.x - spot.top_left.x
    reach = (0.10 * side * side) ** 0.5 / 2
    x, y = (spot.top_left.x + spot.bottom_right.x) / 2, (spot.top_left.y + spot.bottom_right.y) / 2
    around = page.crop((int(x - side), int(y - side * 0.7), int(x + side), int(y + side * 0.7)))
    assert codes(around) == ["HTTPS://ORCHARD.LAN:8420/R/K1/1"]
    ImageDraw.Draw(page).rectangle((x - reach, y - reach, x + reach, y + reach), fill="black")
    around = page.crop((int(x - side), int(y - side * 0.7), int(x + side), int(y + side * 0.7)))
    assert codes(around) == ["HTTPS://ORCHARD.LAN:8420/R/K1/1"]


def test_a_label_leads_back_to_its_row(farm, block_k1):
    store, made = farm
    for said in codes(pictures(block_k1)[0]):
        _, _, _, _, code, row = said.split("/")
        (place,) = row_places(store, [made.farm.id], code=code, row=int(row))
        assert (place.block_id, place.row, place.is_there) == (made.blocks[0].id, int(row), True)
    (beyond,) = row_places(store, [made.farm.id], code="k1", row=ROWS + 1)
    assert (beyond.code, beyond.is_there) == ("K1", False)
    assert row_places(store, [made.farm.id], code="Z9", row=1) == []
    assert row_places(store, [], code="K1", row=1) == [], "a farm that the asker may not see has no rows"


@pytest.mark.parametrize(
    ("changes", "error", "says"),
    [
        ({"blocks": ("Z9",)}, UnknownError, "no such block"),
        ({"blocks": ()}, InputError, "no block was named"),
        ({"rows": "20-30"}, UnknownError, "no row 26. Its rows are 1 to 25"),
        ({"rows": "one"}, InputError, "no list of rows"),
        ({"origin": "orchard.lan"}, InputError, "no address of a service"),
        ({"ends": "middle"}, InputError, "both, first or far"),
        ({"size": "30x20"}, InputError, "width x height"),
        ({"size": "60x200"}, InputError, "width x height"),
        ({"size": "300x200"}, InputError, "width x height"),
    ],
)
def test_what_cannot_be_printed_is_said(farm, changes, error, says):
    store, made = farm
    wish = {"blocks": ("K1",), "origin": ORIGIN} | changes
    with pytest.raises(error, match=re.escape(says)):
        labels_pdf(store, made.farm.id, LabelWish(**wish))


def test_too_many_at_once_is_said(farm, monkeypatch):
    store, made = farm
    monkeypatch.setattr("orchardmap.usecases.labels.MOST_LABELS", 49)
    with pytest.raises(InputError, match="50 labels, 49 at a time"):
        labels_pdf(store, made.farm.id, LabelWish(("K1",), ORIGIN))


def test_a_code_too_fine_for_its_label_is_refused_and_not_printed():
    with pytest.raises(InputError, match="too long for a code of this size"):
        labels_document("x", [odd_label("日" * 60)], read_size("60x40"))


def test_without_pango_it_says_what_to_install(monkeypatch):
    """WeasyPrint raises OSError on import where Pango is missing; that is all that is put in its place here."""

    class Missing:
        def find_spec(self, name: str, *_: object) -> None:
            if name == "weasyprint":
                raise OSError("cannot load library 'libpango-1.0-0'")

    orchardmap.paper.pdf._weasyprint.cache_clear()
    for name in [name for name in sys.modules if name.partition(".")[0] == "weasyprint"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setattr(sys, "meta_path", [Missing(), *sys.meta_path])
    with pytest.raises(PaperError, match="apt-get install libpangoft2"):
        pdf_of("<p>x")
    orchardmap.paper.pdf._weasyprint.cache_clear()


def test_without_a_font_it_says_what_to_install_and_the_process_lives(tmp_path):
    """With no font at all Pango 1.50 ends the process (signal 11): a service must not come so far."""
    (tmp_path / "none.conf").write_text("<fontconfig><dir>/nowhere</dir></fontconfig>", "utf-8")
    done = subprocess.run(
        [sys.executable, "-c", "from orchardmap.paper.pdf import pdf_of; pdf_of('<p>x')"],
        env={"PYTHONPATH": ":".join(sys.path), "FONTCONFIG_FILE": str(tmp_path / "none.conf")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert "needs the font DejaVu Sans" in done.stderr
