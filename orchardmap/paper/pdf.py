"""HTML to PDF by WeasyPrint, which is imported late: it needs Pango from the system, and only paper needs it."""

import logging
from typing import Any

from orchardmap.errors import PaperError

__all__ = ["FONT", "pdf_of"]

FONT = "DejaVu Sans"
_ADVICE = "On Debian and Ubuntu, as root: apt-get install libpangoft2-1.0-0 fonts-dejavu-core"


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
    try:
        import weasyprint
        from weasyprint.urls import URLFetcher
    except OSError as error:  # the library is there, the system's is not
        raise PaperError(
            "paper needs the library Pango, which is not on this machine", todo=_ADVICE
        ) from error
    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    nothing = URLFetcher(allowed_protocols=[])
    drawn = weasyprint.HTML(string=document, url_fetcher=nothing).render()
    made: bytes = drawn.write_pdf(pdf_variant="pdf/ua-1")
    _refuse_without_font(drawn)
    return made


def _refuse_without_font(drawn: Any) -> None:  # noqa: ANN401 - WeasyPrint's document carries no types
    families = {_family(font) for font in drawn.fonts.values()}
    if FONT not in families:
        raise PaperError(f"paper needs the font {FONT}, which is not on this machine", todo=_ADVICE)


def _family(font: Any) -> str:  # noqa: ANN401 - nor does its font
    said = font.family
    return said.decode() if isinstance(said, bytes) else str(said)
