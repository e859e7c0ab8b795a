"""Lines that a PDF draws, and the true corners of its words, as PDFium tells them. Millimetres from the left and from the top."""

import math
from collections.abc import Iterator
from ctypes import byref, c_float, c_int, c_uint
from dataclasses import dataclass

import pypdfium2
import pypdfium2.raw as raw
from shapely.geometry import Polygon

from pdf_pages import MM, opened

_MOVE = raw.FPDF_SEGMENT_MOVETO


@dataclass(frozen=True)
class Stroke:
    """One path: its unbroken lines, and what it is drawn with."""

    lines: tuple[tuple[tuple[float, float], ...], ...]
    colour: tuple[int, int, int]
    width: float
    is_stroked: bool
    is_filled: bool
    has_dashes: bool


@dataclass(frozen=True)
class Word:
    """A piece of text with its corners, turned as it stands."""

    said: str
    corners: Polygon
    size: float
    font_is_embedded: bool


def strokes(pdf: bytes, page: int = 0) -> list[Stroke]:
    """Return the paths of a page."""
    with opened(pdf) as document:
        shown = document[page]
        height = shown.get_height()
        return [
            _stroke(one, height) for one in shown.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH], max_depth=10)
        ]


def _in_page(one: pypdfium2.PdfObject) -> pypdfium2.PdfMatrix:
    """Return what takes the coordinates of an object's surroundings to the page: a drawing is an object of its own there."""
    found = pypdfium2.PdfMatrix()
    container = one.container
    while container is not None:
        found = found.multiply(container.get_matrix())
        container = container.container
    return found


def _stroke(one: pypdfium2.PdfObject, height: float) -> Stroke:
    matrix = one.get_matrix().multiply(_in_page(one))
    lines: list[list[tuple[float, float]]] = []
    for i in range(raw.FPDFPath_CountSegments(one.raw)):
        segment = raw.FPDFPath_GetPathSegment(one.raw, i)
        x, y = c_float(), c_float()
        raw.FPDFPathSegment_GetPoint(segment, byref(x), byref(y))
        left, up = matrix.on_point(x.value, y.value)
        if raw.FPDFPathSegment_GetType(segment) == _MOVE:
            lines.append([])
        lines[-1].append((left / MM, (height - up) / MM))
    mode, stroked, width = c_int(), c_int(), c_float()
    raw.FPDFPath_GetDrawMode(one.raw, byref(mode), byref(stroked))
    raw.FPDFPageObj_GetStrokeWidth(one.raw, byref(width))
    red, green, blue, alpha = (c_uint() for _ in range(4))
    ask = raw.FPDFPageObj_GetStrokeColor if stroked.value else raw.FPDFPageObj_GetFillColor
    ask(one.raw, byref(red), byref(green), byref(blue), byref(alpha))
    return Stroke(
        tuple(tuple(line) for line in lines),
        (red.value, green.value, blue.value),
        width.value * math.hypot(matrix.a, matrix.b) / MM,
        bool(stroked.value),
        mode.value != 0,
        raw.FPDFPageObj_GetDashCount(one.raw) > 0,
    )


def words(pdf: bytes, page: int = 0) -> list[Word]:
    """Return the words of a page that are not blank."""
    with opened(pdf) as document:
        return list(_words(document[page]))


def _words(page: pypdfium2.PdfPage) -> Iterator[Word]:
    height, text = page.get_height(), page.get_textpage()
    for one in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], max_depth=10):
        length = raw.FPDFTextObj_GetText(one.raw, text.raw, None, 0)
        held = (raw.FPDF_WCHAR * (length // 2 + 1))()
        raw.FPDFTextObj_GetText(one.raw, text.raw, held, length)
        said = bytes(held)[: max(length - 2, 0)].decode("utf-16-le").strip("\x00 ")
        quad, size = raw.FS_QUADPOINTSF(), c_float()
        if not said or not raw.FPDFPageObj_GetRotatedBounds(one.raw, byref(quad)):
            continue
        raw.FPDFTextObj_GetFontSize(one.raw, byref(size))
        onto = _in_page(one)
        points = [onto.on_point(getattr(quad, f"x{i}"), getattr(quad, f"y{i}")) for i in (1, 2, 3, 4)]
        corners = [(x / MM, (height - y) / MM) for x, y in points]
        font = raw.FPDFTextObj_GetFont(one.raw)
        matrix = one.get_matrix().multiply(onto)
        size_pt = size.value * math.hypot(matrix.c, matrix.d)
        yield Word(said, Polygon(corners), size_pt, bool(raw.FPDFFont_GetIsEmbedded(font)))
    text.close()


def is_tagged(pdf: bytes) -> bool:
    """Tell whether the document says that its structure is told."""
    with opened(pdf) as document:
        return bool(raw.FPDFCatalog_IsTagged(document.raw))
