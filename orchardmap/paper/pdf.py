"""HTML to PDF by WeasyPrint, which is imported late: it needs Pango from the system, and only paper needs it."""

import logging
import threading
import warnings
from functools import cache, lru_cache
from typing import Any

from orchardmap.errors import PaperError

__all__ = ["FONT", "pdf_of"]

FONT = "DejaVu Sans"
_ADVICE = "On Debian and Ubuntu, as root: apt-get install libpangoft2-1.0-0 fonts-dejavu-core"
_ONE_AT_A_TIME = threading.Lock()
"""Pango is not promised to stand several threads, and one document at a time is enough for a farm."""


def pdf_of(document: str) -> bytes:
    """Return a document as PDF (tagged, PDF/UA-1), with its fonts inside.

    Parameters
    ----------
    document : str
        HTML that asks for nothing from outside; anything it asked for would be refused.

    Raises
    ------
    PaperError
        If Pango or the font is missing on this machine.
    """
    with _ONE_AT_A_TIME:
        return _made(document)


@lru_cache(maxsize=4)
def _made(document: str) -> bytes:
    """Set a document once: a card that a whole crew asks for in the morning takes a second each time."""
    weasyprint = _weasyprint()
    nothing = weasyprint.urls.URLFetcher(allowed_protocols=[])
    made: bytes = weasyprint.HTML(string=document, url_fetcher=nothing).write_pdf(pdf_variant="pdf/ua-1")
    return made


@cache
def _weasyprint() -> Any:  # noqa: ANN401 - the library carries no types
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it warns of missing fonts, which we refuse below
            import weasyprint
    except OSError as error:  # the library is there, the system's is not
        raise PaperError(
            "paper needs the library Pango, which is not on this machine", todo=_ADVICE
        ) from error
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    if FONT not in _font_families():
        # asked before anything is drawn: with no font at all Pango ends the whole process (tried: 1.50)
        raise PaperError(f"paper needs the font {FONT}, which is not on this machine", todo=_ADVICE)
    return weasyprint


def _font_families() -> set[str]:
    """Return the font families that Pango will find, as Fontconfig lists them."""
    from weasyprint.text.ffi import ffi, fontconfig

    known = ffi.gc(fontconfig.FcInitLoadConfigAndFonts(), fontconfig.FcConfigDestroy)
    fonts, name = fontconfig.FcConfigGetFonts(known, fontconfig.FcSetSystem), ffi.new("FcChar8 **")
    return {
        ffi.string(ffi.cast("char *", name[0])).decode("utf-8", "replace")
        for i in range(fonts.nfont)
        if fontconfig.FcPatternGetString(fonts.fonts[i], b"family", 0, name) == fontconfig.FcResultMatch
    }
