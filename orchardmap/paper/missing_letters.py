"""A page that says which letters of a document no font of this machine has: what is drawn for them is a box."""

import re
import unicodedata

from orchardmap.locale.catalogue import message, translated

__all__ = ["telling_of_letters"]

_HEADING = message("Letters are missing")
_SAID = message(
    "No font of this machine has these letters; on the pages before a box stands in the place of each. Install a font that has them (on Debian "
    "and Ubuntu: apt-get install fonts-noto) and print again. They are:"
)
_LANGUAGE = re.compile(r'<html lang="([a-z]+)"')
_MOST = 60


def telling_of_letters(document: str, letters: str) -> str:
    """Return a document with one page more, in its language, that names letters by their Unicode names and numbers.

    Parameters
    ----------
    document : str
        HTML with a body.
    letters : str
        Those that are missing.

    Returns
    -------
    str

    Examples
    --------
    >>> told = telling_of_letters('<html lang="en"><body><p>ᚠ</p></body></html>', "ᚠ")
    >>> told[told.index("<li>"):]
    '<li>U+16A0 Runic Letter Fehu Feoh Fe F</li></ul></div></body></html>'
    """
    found = _LANGUAGE.search(document)
    language = found[1] if found else "en"
    names = (f"U+{ord(one):04X} {unicodedata.name(one, '').title()}".strip() for one in letters[:_MOST])
    listed = "".join(f"<li>{one}</li>" for one in names)
    page = (
        f'<div style="break-before:page;font-size:11pt;line-height:1.4;padding:10mm"><h2>{translated(_HEADING, language)}</h2>'
        f"<p>{translated(_SAID, language)}</p><ul>{listed}</ul></div>"
    )
    return document.replace("</body>", f"{page}</body>")
