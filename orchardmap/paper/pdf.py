"""HTML to PDF by WeasyPrint, which is imported late: it needs Pango from the system, and only paper needs it."""

import logging
import threading
import warnings
from functools import cache, lru_cache
from typing import Any

from orchardmap.errors import PaperError
from orchardmap.paper.missing_letters import telling_of_letters
from orchardmap.paper.progress import telling_of_pages

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
        HTML that asks for nothing from outside; anything it asked for would be refused. Where it has letters that no font
        of this machine has, a page more says which.

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
    made, missing = _set(document)
    # set anew, with a page that says so: boxes where a name should be are found out in the rows else
    return _set(telling_of_letters(document, missing))[0] if missing else made


def _set(document: str) -> tuple[bytes, str]:
    """Return a document as PDF, and the letters in it that no font of this machine has."""
    weasyprint = _weasyprint()
    nothing = weasyprint.urls.URLFetcher(allowed_protocols=[])
    heard, log = _Unwritten(), logging.getLogger("weasyprint")
    log.addFilter(heard)
    try:
        with telling_of_pages():
            made: bytes = weasyprint.HTML(string=document, url_fetcher=nothing).write_pdf(
                pdf_variant="pdf/ua-1"
            )
    finally:
        log.removeFilter(heard)
    return made, "".join(sorted(heard.letters))


class _Unwritten(logging.Filter):
    """Hears from WeasyPrint which letters it drew a box for, and lets nothing but errors through."""

    def __init__(self) -> None:
        super().__init__()
        self.letters: set[str] = set()

    def filter(self, record: logging.LogRecord) -> bool:
        if ".notdef" in record.msg and isinstance(record.args, tuple):
            self.letters.add(str(record.args[0]))
        return record.levelno >= logging.ERROR


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
    logging.getLogger("weasyprint").setLevel(logging.WARNING)
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
