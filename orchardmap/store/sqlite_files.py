"""What a SQLite file needs from its surroundings."""

import os
import sqlite3
import stat
from contextlib import suppress
from pathlib import Path

from orchardmap.errors import StoreError

__all__ = ["SAFE_SQLITE", "copy_verified", "keep_private", "network_file_system", "refuse_network_folder"]

SAFE_SQLITE = (3, 51, 3)
"""First version without the WAL-reset corruption; below it we rely on one connection doing all checkpoints."""

_NETWORK = (
    "nfs",
    "cifs",
    "smb",
    "9p",
    "afs",
    "fuse.sshfs",
    "fuse.s3fs",
    "fuse.rclone",
    "davfs",
    "ceph",
    "glusterfs",
)


def network_file_system(path: Path, mounts: str) -> str | None:
    """Return the type of the network file system that a path lies on, or None.

    Parameters
    ----------
    path : Path
        Absolute.
    mounts : str
        A mount table as ``/proc/mounts`` writes it.

    Returns
    -------
    str or None
    """
    best, kind = "", ""
    for line in mounts.splitlines():
        _, point, name, *_ = line.split(" ")
        point = point.replace("\\040", " ")
        inside = path == Path(point) or Path(point) in path.parents
        if inside and len(point) >= len(best):
            best, kind = point, name
    return kind if kind.startswith(_NETWORK) else None


def refuse_network_folder(path: Path) -> None:
    """Raise if SQLite's write-ahead log could not work where the file lies.

    Parameters
    ----------
    path : Path
        The database file, which need not exist yet.

    Raises
    ------
    StoreError
        If the folder is on a network file system.
    """
    table = Path("/proc/mounts")
    if not table.exists():
        return
    kind = network_file_system(path.resolve(), table.read_text("utf-8", errors="replace"))
    if kind:
        raise StoreError(
            f"the database would lie on a network file system ({kind}), where SQLite can lose or damage it",
            where=str(path.parent),
            todo="Choose a folder on a local disk, or use PostgreSQL.",
        )


def keep_private(path: Path) -> None:
    """Let nobody but the owner read a SQLite file: it holds hashes of PINs, which are guessed in hours.

    Parameters
    ----------
    path : Path
        The file; made empty where there is none. What SQLite lays beside it later gets its mode.
    """
    # never in the way: another user's file, or a file system without modes, serves as it did
    with suppress(OSError):
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    for end in ("", "-wal", "-shm", "-journal"):
        file = path.with_name(path.name + end)
        with suppress(OSError):
            mode = stat.S_IMODE(file.stat().st_mode)
            if mode & 0o077:
                file.chmod(mode & 0o700)


def copy_verified(path: Path, copy: Path) -> None:
    """Copy a SQLite database whole and check the copy.

    Parameters
    ----------
    path : Path
        The database; a write-ahead log beside it is included.
    copy : Path
        Must not exist.

    Raises
    ------
    StoreError
        If the copy does not pass SQLite's own integrity check.
    """
    # under its own name only when it is whole: the next start takes a copy that is there for one that serves
    part = copy.with_name(copy.name + ".part")
    part.unlink(missing_ok=True)
    try:
        keep_private(part)
        source = sqlite3.connect(path)
        try:
            source.execute("VACUUM INTO ?", (str(part),))
        finally:
            source.close()
        made = sqlite3.connect(part)
        try:
            verdict = made.execute("PRAGMA integrity_check").fetchone()[0]
        finally:
            made.close()
        if verdict != "ok":
            raise StoreError(
                "a safety copy of the database did not pass its integrity check", where=copy.name
            )
        part.rename(copy)
    finally:
        part.unlink(missing_ok=True)
