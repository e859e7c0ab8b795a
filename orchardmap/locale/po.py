"""Read a gettext catalogue as translators edit it, so that no compiled copy can fall behind.

The file format is GNU gettext's (manual, "The Format of PO Files"), as far as this program uses it: pairs of
``msgid`` and ``msgstr``. Tests compare it with GNU ``msgfmt``.
"""

import json
from dataclasses import dataclass

from orchardmap.errors import InputError

__all__ = ["po_entries"]


@dataclass(slots=True)
class _Statement:
    keyword: str
    text: str
    line: int
    is_fuzzy: bool


def po_entries(text: str) -> dict[str, str]:
    r"""Return what a catalogue translates.

    Parameters
    ----------
    text : str
        A whole PO file.

    Returns
    -------
    dict of str to str
        Message to translation, in the order of the file. The header is left out, and so are entries that are
        fuzzy or not translated, as GNU gettext does.

    Raises
    ------
    InputError
        If a line is none of the format's, a pair is not whole, a message comes twice, or contexts or plurals
        are used; ``where`` names the line.

    Examples
    --------
    >>> po_entries('msgid "row"\nmsgstr "fila"\n\n#, fuzzy\nmsgid "bud"\nmsgstr "llama"\n')
    {'row': 'fila'}
    """
    statements = _statements(text)
    entries: dict[str, str] = {}
    seen: set[str] = set()
    for at in range(0, len(statements), 2):
        pair = statements[at : at + 2]
        if [statement.keyword for statement in pair] != ["msgid", "msgstr"]:
            raise InputError("It is not one msgid with one msgstr.", where=f"line {pair[0].line}")
        asked, answer = pair
        if asked.text in seen:
            raise InputError(f"The message {asked.text!r} comes twice.", where=f"line {asked.line}")
        seen.add(asked.text)
        if asked.text and answer.text and not asked.is_fuzzy:
            entries[asked.text] = answer.text
    return entries


def _statements(text: str) -> list[_Statement]:
    statements: list[_Statement] = []
    is_fuzzy = False
    for number, line in enumerate(map(str.strip, text.splitlines()), 1):
        if line.startswith('"') and statements:
            statements[-1].text += _unquoted(line, number)
        elif line and not line.startswith("#"):
            keyword, _, quoted = line.partition(" ")
            statements.append(_Statement(keyword, _unquoted(quoted.strip(), number), number, is_fuzzy))
            is_fuzzy = False
        elif line.startswith("#,"):
            is_fuzzy = "fuzzy" in line  # the last line of flags decides, as in GNU gettext
    return statements


def _unquoted(line: str, number: int) -> str:
    # with the escapes that a sentence can hold, a quoted string of the format is one of JSON's too
    try:
        text = json.loads(line)
    except ValueError as error:
        raise InputError(f"{line} is not a quoted text.", where=f"line {number}") from error
    return str(text)
