"""Bytes to text, and text from strangers to text that is safe to keep."""

import codecs
import math
import unicodedata
from collections.abc import Mapping

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import Value

MAX_TEXT_BYTES = 30_000_000
_MAX_VALUE = 500
_MAX_KEY = 100
_MAX_PROPERTIES = 80
_SAFE_INTEGER = 2**53
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def encoding_of(data: bytes) -> str:
    """Return the name of the encoding of a text.

    Parameters
    ----------
    data : bytes
        The text.

    Returns
    -------
    str
        By its byte order mark, else by the places of zeros, else UTF-8 when every byte fits, else cp1252.

    Examples
    --------
    >>> encoding_of("Äpple".encode("utf-8")), encoding_of("Äpple".encode("cp1252"))
    ('utf-8', 'cp1252')
    >>> encoding_of("name;lat;lon".encode("utf-16-le"))
    'utf-16-le'
    """
    for mark, name in _MARKS:
        if data.startswith(mark):
            return name
    head = data[:200]
    if len(head) >= 8 and 0 in head:
        if head[1::2].count(0) > 0.8 * len(head[1::2]) and 0 not in head[0::2]:
            return "utf-16-le"
        if head[0::2].count(0) > 0.8 * len(head[0::2]) and 0 not in head[1::2]:
            return "utf-16-be"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def decoded(data: bytes) -> str:
    """Return a file's bytes as text.

    Parameters
    ----------
    data : bytes
        The whole file.

    Returns
    -------
    str

    Raises
    ------
    ImportFileError
        When it is larger than a text file may be, or breaks the encoding it announces.
    """
    if len(data) > MAX_TEXT_BYTES:
        raise ImportFileError(
            f"The file has {len(data) / 1e6:.0f} MB of text; at most {MAX_TEXT_BYTES / 1e6:.0f} MB are read.",
            todo="Save it as a GeoPackage, or in several files.",
        )
    name = encoding_of(data)
    try:
        return data.decode(name, errors="replace" if name == "cp1252" else "strict")
    except UnicodeDecodeError as fault:
        raise ImportFileError(
            f"The file announces {name.upper()} text but byte {fault.start} breaks it.",
            todo="Save it again as UTF-8.",
        ) from fault


def clean_text(text: str, *, limit: int = _MAX_VALUE) -> str:
    r"""Return one line of text that is safe to keep.

    Parameters
    ----------
    text : str
        Any text.
    limit : int
        Most characters to keep.

    Returns
    -------
    str
        Without control characters, lone surrogates and direction overrides.

    Examples
    --------
    >>> clean_text(" Kings\tAcre \ud800 ")
    'Kings Acre \ufffd'
    """
    if len(text) <= limit and text.isprintable() and "  " not in text:
        return text.strip()  # nearly always; the rest is slow, and a file has many texts
    kept = []
    for sign in text[: limit * 2]:
        kind = unicodedata.category(sign)
        if kind == "Cs":
            kept.append("\ufffd")
        elif kind == "Cc":
            kept.append(" ")
        elif kind != "Cf":
            kept.append(sign)
    line = " ".join("".join(kept).split())
    return line if len(line) <= limit else line[: limit - 1] + "…"


def clean_value(value: object) -> Value:
    """Return a property value as text, number, yes/no or nothing.

    Parameters
    ----------
    value : object
        Whatever the file held.

    Returns
    -------
    str, int, float, bool or None
        Lists and objects become text; numbers that are none become nothing.

    Examples
    --------
    >>> clean_value(float("nan")), clean_value([1, 2]), clean_value(10**30)
    (None, '[1, 2]', '1000000000000000000000000000000')
    """
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, int):
        if abs(value) < _SAFE_INTEGER:
            return value
        return str(value) if value.bit_length() < 1_000 else "a very large number"
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, str):
        return clean_text(value)
    if isinstance(value, dict | list):
        return clean_text(repr(value)) if len(value) <= 50 else f"{len(value)} values"
    return None


def clean_properties(properties: Mapping[str, object]) -> dict[str, Value]:
    """Return at most 80 properties with clean keys and values; empty keys and empty values are left out."""
    kept: dict[str, Value] = {}
    for key, value in properties.items():
        if len(kept) == _MAX_PROPERTIES:
            break
        name, clean = clean_text(str(key), limit=_MAX_KEY), clean_value(value)
        if name and clean is not None and clean != "":
            kept[name] = clean
    return kept
