"""What a file is, by its bytes. Its name and its ending are never believed."""

import re
from dataclasses import dataclass

from orchardmap.errors import ImportFileError
from orchardmap.geodata.archive import Member, read_members
from orchardmap.geodata.preview import Format
from orchardmap.geodata.text import encoding_of

ACCEPTED = (
    "GeoJSON, GeoPackage, zipped Shapefile, KML, KMZ, GPX, CSV (with latitude and longitude, or WKT), "
    "DXF (text), FlatGeobuf and zipped file geodatabase"
)
_HEAD = 4_096
_SQLITE = b"SQLite format 3\x00"
_GEOPACKAGE_IDS = (b"GPKG", b"GP10", b"GP11", b"GP12")
_OTHERS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"II*\x00", "a TIFF picture"),
    (b"MM\x00*", "a TIFF picture"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
    (b"AC10", "a DWG drawing"),
    (b"AutoCAD Binary DXF", "a binary DXF drawing"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"7z\xbc\xaf", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"PAR1", "a Parquet file"),
    (b"ARROW1", "an Arrow file"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
)


@dataclass(frozen=True, slots=True)
class Sniffed:
    """A recognised file: its format, and the bytes its reader needs."""

    format: Format
    data: bytes
    """The file itself; for an archive with one file of use, that file."""
    members: tuple[Member, ...] = ()
    """For Shapefile and file geodatabase: what the archive holds."""


def _refused(seen: str) -> ImportFileError:
    return ImportFileError(f"This is {seen}, which is not read.", todo=f"Files that are read: {ACCEPTED}.")


def _xml_format(text: str) -> Format:
    """Return KML or GPX by the name of the root element, which is looked for without parsing."""
    body = re.sub(r"<\?.*?\?>|<!--.*?-->|<!DOCTYPE[^>\[]*(\[.*?\])?\s*>", "", text, flags=re.DOTALL).lstrip()
    root = re.match(r"<(?:[\w.-]+:)?([\w.-]+)", body)
    name = root.group(1) if root else ""
    if name == "kml":
        return "KML"
    if name == "gpx":
        return "GPX"
    if name.lower() == "html" or text.lower().startswith("<!doctype html"):
        raise _refused("a web page")
    raise _refused(f"XML of the kind {name[:40]!r}" if name else "XML without a root element")


def _json_format(text: str) -> Format:
    # only a first look: the reader says what is wrong with JSON that is not GeoJSON
    if text.startswith("["):
        raise _refused("a JSON list")
    return "GeoJSON"


def _text_format(data: bytes) -> Format:
    head = data[:_HEAD]
    name = encoding_of(head)
    text = head.decode("utf-8" if name == "cp1252" else name, errors="ignore").lstrip("\ufeff \t\r\n\x1e")
    if not text:
        raise ImportFileError("The file is empty.", todo=f"Files that are read: {ACCEPTED}.")
    if text.startswith("<"):
        return _xml_format(text)
    if text.startswith(("{", "[")):
        return _json_format(text)
    if re.match(r"(?:999[ \t]*\r?\n.*\n[ \t]*)*0[ \t]*\r?\n[ \t]*SECTION\b", text):
        return "DXF"
    if any(ord(sign) < 32 and sign not in "\t\r\n\x0c" for sign in text):
        raise _refused("a file of unknown kind")
    first = text.splitlines()[0]
    if not any(sign in first for sign in ",;\t|") and not re.match(
        r'"?(wkt|geom|the_geom)', first, re.IGNORECASE
    ):
        raise _refused("text of unknown kind")
    return "CSV"


def _plain(data: bytes) -> Format:
    if data.startswith(_SQLITE):
        if data[68:72] in _GEOPACKAGE_IDS or b"gpkg_contents" in data[:200_000]:
            return "GeoPackage"
        raise _refused("an SQLite database without GeoPackage tables")
    if data[:3] == b"fgb" and data[4:7] == b"fgb":
        return "FlatGeobuf"
    for magic, seen in _OTHERS:
        if data.startswith(magic):
            raise _refused(seen)
    if data[:4] == b"\x00\x00\x27\x0a":
        raise ImportFileError(
            "This is one file of a Shapefile, without its companions.",
            todo="Zip the .shp, .shx, .dbf and .prj files together and load the zip.",
        )
    return _text_format(data)


def _archive(data: bytes) -> Sniffed:
    members = read_members(data)
    endings = {member.ending for member in members}
    if "shp" in endings:
        return Sniffed("Shapefile", b"", members)
    if "gdbtable" in endings:
        return Sniffed("file geodatabase", b"", members)
    if "[Content_Types].xml" in {member.path for member in members}:
        raise _refused("an office document")
    drawings = [member for member in members if member.ending == "kml"]
    if drawings:
        main = min(drawings, key=lambda member: (member.path.count("/"), member.path != "doc.kml"))
        if _plain(main.data) != "KML":
            raise _refused("an archive whose .kml is not KML")
        return Sniffed("KMZ", main.data)
    if len(members) == 1:
        return Sniffed(_plain(members[0].data), members[0].data)
    raise _refused("an archive of several files without a Shapefile, KML or file geodatabase in it")


def sniffed(data: bytes) -> Sniffed:
    """Return what a file is.

    Parameters
    ----------
    data : bytes
        The file as handed in.

    Returns
    -------
    Sniffed

    Raises
    ------
    ImportFileError
        When it is empty or not one of the formats that are read; the message says what was seen instead.

    Examples
    --------
    >>> sniffed(b'{"type": "FeatureCollection", "features": []}').format
    'GeoJSON'
    """
    if not data:
        raise ImportFileError("The file is empty.", todo=f"Files that are read: {ACCEPTED}.")
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08")):
        return _archive(data)
    return Sniffed(_plain(data), data)
