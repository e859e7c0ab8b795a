"""Is a file a JPEG picture and nothing else? A photo of a tree must not tell where, when or by whom it was taken.

Segments and markers are those of ITU-T T.81 (09/92), Annex B; the JFIF header is that of ITU-T T.871 (05/2011).
"""

from orchardmap.errors import InputError

__all__ = ["picture_size"]

_JFIF = 0xE0
_START, _END, _SCAN = 0xD8, 0xD9, 0xDA
_FRAMES = {0xC0, 0xC1, 0xC2}
"""Baseline, extended sequential and progressive DCT with Huffman coding: what browsers write and show."""
_NEEDED = {_JFIF, 0xC4, 0xDB, 0xDD, _SCAN} | _FRAMES
"""Header, Huffman tables, quantization tables, restart interval, scans, frame."""
_JFIF_BYTES = 16
"""Without a thumbnail, which could show more than the picture does."""
_TODO = "Send the picture itself, drawn anew, without what cameras write beside it (EXIF, XMP, comments)."


def picture_size(content: bytes) -> tuple[int, int]:
    """Return width and height of a JPEG that holds a picture and nothing beside it.

    Parameters
    ----------
    content : bytes
        A whole file.

    Returns
    -------
    tuple of int
        Width and height in pixels, both >= 1.

    Raises
    ------
    InputError
        If it is no JPEG, is cut off, goes on after its end, or carries a segment that no decoder needs: EXIF, XMP, colour
        profiles, comments, thumbnails.
    """
    if content[:2] != bytes((0xFF, _START)):
        raise InputError("that is no JPEG", where="photo", todo="Send a JPEG picture.")
    size, at = None, 2
    while True:
        marker, body, at = _segment(content, at)
        if marker == _END:
            break
        if marker not in _NEEDED or (marker == _JFIF and len(body) + 2 != _JFIF_BYTES):
            raise InputError(
                f"the picture carries a segment 0xFF{marker:02X} beside itself", where="photo", todo=_TODO
            )
        if marker in _FRAMES:
            size = int.from_bytes(body[3:5]), int.from_bytes(body[1:3])
        if marker == _SCAN:
            at = _scan_end(content, at)
    if at != len(content):
        raise InputError("something follows the end of the picture", where="photo", todo=_TODO)
    if size is None or min(size) < 1:
        raise InputError("the JPEG holds no picture", where="photo", todo="Take the photo again.")
    return size


def _segment(content: bytes, at: int) -> tuple[int, bytes, int]:
    """Return the marker at a place, what its segment holds, and the place after it."""
    while content[at : at + 2] == b"\xff\xff":
        at += 1  # fill bytes (B.1.1.2)
    if len(content) < at + 2 or content[at] != 0xFF:
        raise _cut_off()
    marker = content[at + 1]
    if marker == _END:
        return marker, b"", at + 2
    length = int.from_bytes(content[at + 2 : at + 4])
    if length < 2 or len(content) < at + 2 + length:
        raise _cut_off()
    return marker, content[at + 4 : at + 2 + length], at + 2 + length


def _scan_end(content: bytes, at: int) -> int:
    """Return the place of the first marker after entropy-coded data: neither a stuffed byte nor a restart."""
    while True:
        at = content.find(0xFF, at)
        if at < 0 or at + 1 >= len(content):
            raise _cut_off()
        follower = content[at + 1]
        if follower != 0 and not 0xD0 <= follower <= 0xD7:
            return at
        at += 2


def _cut_off() -> InputError:
    return InputError("the JPEG is cut off or damaged", where="photo", todo="Take the photo again.")
