"""What stands on the pages of a PDF: drawn by PDFium, codes read by ZXing. Both know nothing of how it was made."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from ctypes import byref, c_float, create_string_buffer
from dataclasses import dataclass

import pypdfium2
import pypdfium2.raw as raw
import zxingcpp
from PIL.Image import Image

MM = 72 / 25.4
_HYPHEN_AT_LINE_END = "\x02"
"""What PDFium tells in place of one."""


@dataclass(frozen=True)
class Text:
    """A piece of text as one object of the page, in mm from the left and from the top."""

    said: str
    left: float
    top: float
    right: float
    bottom: float
    font: str
    embedded: bool


@contextmanager
def opened(pdf: bytes) -> Iterator[pypdfium2.PdfDocument]:
    """Open a PDF for the length of a ``with`` block."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        yield document


@dataclass(frozen=True)
class Letter:
    """A letter where it is drawn, whatever it stands in, in mm from the left and from the top."""

    said: str
    left: float
    top: float
    right: float
    bottom: float
    size_pt: float


def letters(pdf: bytes) -> list[list[Letter]]:
    """Return the letters of each page in the order of reading, spaces left out."""
    with opened(pdf) as document:
        return [list(_letters_of(page)) for page in document]


def _letters_of(page: pypdfium2.PdfPage) -> Iterator[Letter]:
    height, words = page.get_height(), page.get_textpage()
    for i in range(words.count_chars()):
        said = chr(raw.FPDFText_GetUnicode(words.raw, i)).replace(_HYPHEN_AT_LINE_END, "-")
        if not said.isspace() and said.isprintable():
            left, bottom, right, top = words.get_charbox(i)
            matrix = raw.FS_MATRIX()
            raw.FPDFText_GetMatrix(words.raw, i, byref(matrix))
            size_pt = raw.FPDFText_GetFontSize(words.raw, i) * abs(matrix.d)
            yield Letter(said, left / MM, (height - top) / MM, right / MM, (height - bottom) / MM, size_pt)
    words.close()


def pictures(pdf: bytes, *, scale: float = 2.0) -> list[Image]:
    """Draw every page, 72 dots an inch times the scale."""
    with opened(pdf) as document:
        return [page.render(scale=scale).to_pil() for page in document]


def codes(picture: Image) -> list[str]:
    """Read every QR code of a picture."""
    return [
        found.text
        for found in zxingcpp.read_barcodes(picture, formats=zxingcpp.barcode_formats_from_str("QRCode"))
    ]


def texts(pdf: bytes) -> list[list[Text]]:
    """Return the text objects of each page."""
    with opened(pdf) as document:
        return [list(_texts_of(page)) for page in document]


def _texts_of(page: pypdfium2.PdfPage) -> Iterator[Text]:
    height = page.get_height()
    words = page.get_textpage()
    for one in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=10):
        left, bottom, right, top = one.get_bounds()
        said = words.get_text_bounded(left, bottom, right, top)
        font = raw.FPDFTextObj_GetFont(one.raw)
        name = create_string_buffer(200)
        raw.FPDFFont_GetBaseFontName(font, name, 200)
        size = c_float()
        raw.FPDFTextObj_GetFontSize(one.raw, byref(size))
        yield Text(
            said, left / MM, (height - top) / MM, right / MM, (height - bottom) / MM,
            name.value.decode(), bool(raw.FPDFFont_GetIsEmbedded(font)),
        )  # fmt: skip
    words.close()
