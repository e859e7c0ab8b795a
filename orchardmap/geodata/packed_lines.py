"""Tables of lines packed into one zip archive with a manifest: written and read line by line, and every byte accounted for.

The same lines give the same archive, to the byte: no clock and no name of a machine is in it.
"""

import hashlib
import json
import zipfile
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, Any

from orchardmap.errors import ImportFileError
from orchardmap.geodata.archive import DAMAGE, Limits, check_directory

__all__ = ["Opened", "Table", "opened", "packed", "summed"]

Line = dict[str, Any]
_MANIFEST = "manifest.json"
_LIMITS = Limits(members=200, total_bytes=20_000_000_000, ratio=500)
_LONGEST_MANIFEST = 1_000_000
_LONGEST_LINE = 64_000_000
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""The first moment that the format knows."""


@dataclass(frozen=True, slots=True)
class Table:
    """What the manifest says of a table."""

    name: str
    lines: int
    bytes: int
    sha256: str
    """Of all its bytes, unpacked, hex."""


def _path(name: str) -> str:
    return f"tables/{name}.jsonl"


def _member(path: str) -> zipfile.ZipInfo:
    member = zipfile.ZipInfo(path, _LONG_AGO)
    member.compress_type = zipfile.ZIP_DEFLATED
    member.external_attr = 0o600 << 16
    return member


def packed(path: Path, about: Mapping[str, Any], tables: Iterable[tuple[str, Iterable[Line]]]) -> list[Table]:
    """Write tables of lines as an archive.

    Parameters
    ----------
    path : Path
        Written anew.
    about : mapping
        What else the manifest says.
    tables : iterable of (str, iterable of dict)
        Name, and lines that JSON can carry; taken one after the other.

    Returns
    -------
    list of Table
        As the manifest tells them.
    """
    with zipfile.ZipFile(path, "w") as archive:
        told = [_pack(archive, name, lines) for name, lines in tables]
        manifest = dict(about) | {"tables": [asdict(one) for one in told]}
        archive.writestr(_member(_MANIFEST), json.dumps(manifest, ensure_ascii=False, indent=1))
    return told


def _pack(archive: zipfile.ZipFile, name: str, lines: Iterable[Line]) -> Table:
    with archive.open(_member(_path(name)), "w", force_zip64=True) as out:
        return _summed(name, lines, out.write)


def summed(name: str, lines: Iterable[Line]) -> Table:
    """Return what the manifest of an archive of these lines would say, without making one."""
    return _summed(name, lines, len)


def _summed(name: str, lines: Iterable[Line], write: Callable[[bytes], object]) -> Table:
    told, count, size = hashlib.sha256(), 0, 0
    for line in lines:
        text = json.dumps(line, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
        content = f"{text}\n".encode()
        write(content)
        told.update(content)
        count, size = count + 1, size + len(content)
    return Table(name, count, size, told.hexdigest())


@dataclass(frozen=True, slots=True)
class Opened:
    """An archive that is open for reading."""

    archive: zipfile.ZipFile
    about: Mapping[str, Any]
    tables: Sequence[Table]

    def lines(self, table: Table) -> Generator[Line]:
        """Yield the lines of a table; that they are all there, and those that were packed, is known after the last one.

        Raises
        ------
        ImportFileError
            When the table was changed, cut short or is not readable.
        """
        summed, count, size = hashlib.sha256(), 0, 0
        with _plainly_damaged(), self.archive.open(_path(table.name)) as stream:
            for content in _lines(stream, table):
                summed.update(content)
                count, size = count + 1, size + len(content)
                if size > table.bytes:
                    _refuse("it is longer than the manifest says", table.name)
                yield _parsed(content, f"{table.name}, line {count}")
        if (count, size, summed.hexdigest()) != (table.lines, table.bytes, table.sha256):
            _refuse("it is not what was packed", table.name)


def _lines(stream: IO[bytes], table: Table) -> Iterator[bytes]:
    while content := stream.readline(_LONGEST_LINE):
        if not content.endswith(b"\n"):
            _refuse("it is cut short, or a line of it is too long", table.name)
        yield content


def _parsed(content: bytes, where: str) -> Line:
    try:
        line = json.loads(content)
    except (ValueError, RecursionError) as error:
        raise ImportFileError("it is not JSON", where=where, todo=_TODO) from error
    if not isinstance(line, dict):
        _refuse("it is not a line of a table", where)
    return dict(line)


_TODO = "Nothing was taken. Export the farm again."


def _refuse(what: str, where: str) -> None:
    raise ImportFileError(what, where=where, todo=_TODO)


@contextmanager
def _plainly_damaged() -> Iterator[None]:
    try:
        yield
    except ImportFileError as error:
        raise ImportFileError(error.what, where=error.where, todo=_TODO) from error
    except DAMAGE as fault:
        raise ImportFileError("the archive is damaged", where="zip archive", todo=_TODO) from fault


@contextmanager
def opened(path: Path) -> Iterator[Opened]:
    """Open an archive that `packed` wrote, perhaps elsewhere: nothing of it is believed before it was counted.

    Parameters
    ----------
    path : Path
        The archive.

    Yields
    ------
    Opened

    Raises
    ------
    ImportFileError
        When it is no such archive, unpacks to too much, or its manifest does not name exactly what is in it.
    """
    with _plainly_damaged():
        archive = zipfile.ZipFile(path)
    with archive:
        with _plainly_damaged():
            check_directory(archive.infolist(), _LIMITS)
            about = _manifest(archive)
        tables = _tables(about)
        names = sorted(entry.filename for entry in archive.infolist())
        if names != sorted([_MANIFEST, *(_path(table.name) for table in tables)]):
            _refuse("the manifest does not name what is in it", _MANIFEST)
        yield Opened(archive, about, tables)


def _manifest(archive: zipfile.ZipFile) -> Mapping[str, Any]:
    if _MANIFEST not in archive.namelist():
        _refuse("it has no manifest, so it is no farm", _MANIFEST)
    with archive.open(_MANIFEST) as stream:
        content = stream.read(_LONGEST_MANIFEST + 1)
    if len(content) > _LONGEST_MANIFEST:
        _refuse("it is too long", _MANIFEST)
    return _parsed(content, _MANIFEST)


def _tables(about: Mapping[str, Any]) -> list[Table]:
    try:
        told = [Table(**one) for one in about["tables"]]
        if all(
            (type(one.name), type(one.lines), type(one.bytes), type(one.sha256)) == (str, int, int, str)
            for one in told
        ):
            return told
    except (KeyError, TypeError):
        pass
    raise ImportFileError("it does not say what is in it", where=_MANIFEST, todo=_TODO)
