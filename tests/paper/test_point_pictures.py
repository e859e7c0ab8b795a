"""Pictures of a brief's points as a printer gets them: 4 cm square, drawn by PDFium from the PDF."""

import pytest
from PIL import Image, ImageChops

from orchardmap.paper.pdf import pdf_of
from orchardmap.pruning.pictures import PICTURES, picture_svg
from pdf_pages import pictures


@pytest.fixture(scope="module")
def printed() -> bytes:
    """One page of 4 cm by 4 cm for each picture."""
    style = "@page{size:4cm;margin:0}body{margin:0}svg{width:4cm;height:4cm;display:block;break-after:page}"
    drawn = "".join(picture_svg(name) for name in PICTURES)
    return pdf_of(f'<html lang="en"><title>Points</title><style>{style}</style>{drawn}</html>')


def test_a_print_is_black_and_white_with_ink_and_paper_in_each_picture(printed):
    for name, page in zip(PICTURES, pictures(printed, scale=4), strict=True):
        ink = page.convert("L").histogram()
        red, green, blue = page.convert("RGB").split()
        assert red.tobytes() == green.tobytes() == blue.tobytes(), name
        black, white = sum(ink[:64]) / sum(ink), sum(ink[192:]) / sum(ink)
        assert 0.05 < black < 0.5, name
        assert black + white > 0.88, name


def test_pictures_differ_even_after_a_poor_copy(printed):
    """In 3 per cent of their ink and paper at 4 dots a millimetre, black or white and nothing between."""
    copies = [
        page.convert("L").resize((160, 160), Image.Resampling.BOX).point(lambda grey: 255 * (grey > 140))
        for page in pictures(printed, scale=4)
    ]
    for i, one in enumerate(copies):
        for j, other in enumerate(copies[:i]):
            differing = ImageChops.difference(one, other).histogram()[255] / 160**2
            assert differing > 0.03, (list(PICTURES)[j], list(PICTURES)[i], differing)
