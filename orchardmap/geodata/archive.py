"""Zip archives from strangers: the directory is read first, and nothing is ever written under a name it gives."""

import io
import stat
import zipfile
import zlib
from dataclasses import dataclass

from orchardmap.errors import ImportFileError

MAX_MEMBERS = 50
MAX_TOTAL_BYTES = 200_000_000
MAX_RATIO = 100
_SMALL = 100_000
"""Below this a ratio says nothing: an empty attribute table compresses a thousandfold and harms nobody."""
_CHUNK = 1 << 16
_ENCRYPTED = 0x1
_NESTED = (b"PK\x03\x04", b"PK\x05\x06", b"\x1f\x8b", b"7z\xbc\xaf", b"Rar!")
DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    OSError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OverflowError,
)
"""What the zip library raises at an archive that is broken, or packed in a way that it does not know."""
_JUNK = ("__MACOSX/", ".DS_Store", "Thumbs.db", "desktop.ini")


@dataclass(frozen=True, slots=True)
class Limits:
    """What an archive may hold and unpack to."""

    members: int = MAX_MEMBERS
    total_bytes: int = MAX_TOTAL_BYTES
    ratio: int = MAX_RATIO
    """How many times its size an entry may unpack to."""


@dataclass(frozen=True, slots=True)
class Member:
    """One file out of an archive. ``path`` is for telling it apart and for showing, never for opening."""

    path: str
    data: bytes

    @property
    def stem(self) -> str:
        """The last part of the path without its ending."""
        return self.path.rsplit("/", 1)[-1].rsplit(".", 1)[0]

    @property
    def ending(self) -> str:
        """The ending in small letters, without the dot."""
        last = self.path.rsplit("/", 1)[-1]
        return last.rsplit(".", 1)[-1].lower() if "." in last else ""


def _refuse(what: str, todo: str = "Zip only the files of one layer, nothing else, and try again.") -> None:
    raise ImportFileError(what, where="zip archive", todo=todo)


def _is_junk(path: str) -> bool:
    return any(path.startswith(sign) or path.endswith(sign) for sign in _JUNK)


def check_directory(entries: list[zipfile.ZipInfo], limits: Limits) -> None:
    """Refuse an archive by what its directory says.

    Raises
    ------
    ImportFileError
        When it holds too much, is locked, or holds names or links it must not.
    """
    if len(entries) > limits.members:
        _refuse(f"It holds {len(entries)} entries; at most {limits.members} are read.")
    total = sum(entry.file_size for entry in entries)
    if total > limits.total_bytes:
        _refuse(f"It unpacks to {total / 1e6:.0f} MB; at most {limits.total_bytes / 1e6:.0f} MB are read.")
    seen = set()
    for entry in entries:
        path = entry.filename.replace("\\", "/")
        if path.startswith("/") or path[1:2] == ":" or ".." in path.split("/"):
            _refuse("A name in it points outside the archive.")
        if stat.S_ISLNK(entry.external_attr >> 16):
            _refuse("It holds a symbolic link.")
        if entry.flag_bits & _ENCRYPTED:
            _refuse("It is locked with a password.", "Zip it without a password.")
        if entry.file_size > _SMALL and entry.file_size > limits.ratio * max(entry.compress_size, 1):
            _refuse(f"An entry unpacks to more than {limits.ratio} times its size.")
        if path in seen:
            _refuse("It holds two entries with the same name.")
        seen.add(path)


def _read_member(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, *, room: int) -> bytes:
    """Return one member, counting what really comes out: the sizes in the directory may lie."""
    parts, size = [], 0
    with archive.open(entry) as stream:
        while chunk := stream.read(_CHUNK):
            size += len(chunk)
            if size > room:
                _refuse(f"It unpacks to more than {MAX_TOTAL_BYTES / 1e6:.0f} MB.")
            if size > _SMALL and size > MAX_RATIO * max(entry.compress_size, 1):
                _refuse(f"An entry unpacks to more than {MAX_RATIO} times its size.")
            parts.append(chunk)
    return b"".join(parts)


def read_members(data: bytes) -> tuple[Member, ...]:
    """Return the files in a zip archive, in memory.

    Parameters
    ----------
    data : bytes
        The archive.

    Returns
    -------
    tuple[Member, ...]
        Without folders and without the leavings of file managers, in the archive's order.

    Raises
    ------
    ImportFileError
        When it is damaged, locked, holds too much, or holds names, links or archives it must not.
    """
    members: list[Member] = []
    room = MAX_TOTAL_BYTES
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            check_directory(entries, Limits())
            for entry in entries:
                path = entry.filename.replace("\\", "/")
                if entry.is_dir() or _is_junk(path):
                    continue
                content = _read_member(archive, entry, room=room)
                room -= len(content)
                if content.startswith(_NESTED):
                    _refuse("It holds another archive.")
                members.append(Member(path, content))
    except DAMAGE as fault:
        raise ImportFileError(
            "The archive is damaged or packed in a way that is not read.",
            where="zip archive",
            todo="Zip the files again.",
        ) from fault
    if not members:
        _refuse("It is empty.")
    return tuple(members)
