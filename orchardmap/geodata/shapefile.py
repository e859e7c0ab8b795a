"""The files of a Shapefile or file geodatabase out of an archive, put under names of ours.

Source: ESRI Shapefile Technical Description, July 1998; the .cpg file is common practice.
"""

import codecs
import re
from collections.abc import Sequence

from orchardmap.errors import ImportFileError
from orchardmap.geodata.archive import Member
from orchardmap.geodata.gdal import Stored
from orchardmap.geodata.text import clean_text

_KEPT = ("shp", "shx", "dbf")
_GDB_NAME = re.compile(r"(?:a[0-9a-f]{8}\.[A-Za-z0-9_]{1,40}|gdb|timestamps)$")


def _announced_encoding(cpg: bytes) -> str | None:
    text = cpg.decode("ascii", errors="ignore").strip().lower()
    digits = re.search(r"(\d{3,5})$", text)
    for name in (text, f"cp{digits.group(1)}" if digits else text):
        try:
            return codecs.lookup(name).name
        except (LookupError, ValueError):
            continue
    return None


def attribute_encoding(dbf: bytes, cpg: bytes | None) -> tuple[str, str]:
    r"""Return the encoding of an attribute table, and a note when it had to be found out.

    Parameters
    ----------
    dbf : bytes
        The table.
    cpg : bytes | None
        The file that announces the encoding, when there is one.

    Returns
    -------
    encoding : str
        The announced one; without it UTF-8 when every byte fits, else cp1252.
    note : str
        Empty when it was announced, or when plain ASCII leaves no doubt.

    Examples
    --------
    >>> attribute_encoding(b"\x03" * 32 + "Äpple".encode("cp1252"), None)[0]
    'cp1252'
    """
    if cpg is not None and (announced := _announced_encoding(cpg)):
        return announced, ""
    start = int.from_bytes(dbf[8:10], "little") if len(dbf) > 32 else 0
    records = dbf[min(max(start, 32), len(dbf)) :] if start < len(dbf) else dbf[32:]
    if records.isascii():
        return "utf-8", ""
    try:
        records.decode("utf-8")
    except UnicodeDecodeError:
        return (
            "cp1252",
            "It does not say how its letters are coded (no .cpg): they are not UTF-8, so cp1252 is taken.",
        )
    return "utf-8", "It does not say how its letters are coded (no .cpg): they fit UTF-8, which is taken."


def shapefiles(members: Sequence[Member]) -> tuple[tuple[Stored, ...], tuple[str, ...]]:
    """Return the Shapefiles in an archive, and notes about them.

    Parameters
    ----------
    members : sequence of Member
        The archive.

    Returns
    -------
    stored : tuple of Stored
        One for each .shp, renamed.
    notes : tuple of str
        About missing companions and the coding of letters.
    """
    by_path = {member.path.lower(): member.data for member in members}
    stored, notes = [], []
    main = [member for member in members if member.ending == "shp"]
    for place, member in enumerate(main):
        base = member.path[:-3].lower()
        told = f" of {clean_text(member.stem, limit=60)}" if len(main) > 1 else ""
        files = {
            f"input{place}.{ending}": by_path[base + ending] for ending in _KEPT if base + ending in by_path
        }
        if base + "dbf" not in by_path:
            notes.append(f"The attribute table{told} (.dbf) is missing: there are outlines, but no names.")
        if base + "shx" not in by_path:
            notes.append(f"The index{told} (.shx) is missing; it was made again.")
        encoding, note = attribute_encoding(by_path.get(base + "dbf", b""), by_path.get(base + "cpg"))
        notes.extend([note] if note else [])
        prj = by_path.get(base + "prj", b"").decode("utf-8", errors="replace").strip() or None
        stored.append(Stored(files, f"input{place}.shp", member.stem, encoding, prj))
    return tuple(stored), tuple(notes)


def geodatabase(members: Sequence[Member]) -> tuple[Stored, ...]:
    """Return the file geodatabase in an archive, in a folder of our own.

    Parameters
    ----------
    members : sequence of Member
        The archive.

    Returns
    -------
    tuple of Stored
        Exactly one.

    Raises
    ------
    ImportFileError
        When the archive holds several geodatabases.
    """
    folders = {member.path.rpartition("/")[0] for member in members if member.ending == "gdbtable"}
    if len(folders) != 1:
        raise ImportFileError(
            f"The archive holds {len(folders)} file geodatabases.", todo="Zip one at a time."
        )
    folder = folders.pop()
    files = {}
    for member in members:
        parent, _, last = member.path.rpartition("/")
        # the names inside matter to the format, so they are kept, but only those that the format has
        if parent == folder and _GDB_NAME.match(last):
            files[f"input.gdb/{last}"] = member.data
    return (Stored(files, "input.gdb"),)
