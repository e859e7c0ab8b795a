"""A JPEG passes only when it is a picture and nothing beside it: whatever a camera or a program adds is refused."""

import base64
import io
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from jpegs import camera_jpeg, picture, plain_jpeg, where_taken, written
from orchardmap.errors import InputError
from orchardmap.quality.bare_jpeg import picture_size

PLAIN = plain_jpeg(70, 41)
_FILE = Path(__file__).parents[1] / "vectors" / "photos" / "camera.json"
VECTOR = base64.b64decode(json.loads(_FILE.read_text("utf-8"))["jpeg"])
WAYS: tuple[dict[str, object], ...] = (
    {},
    {"progressive": True},
    {"restart_marker_blocks": 1},
    {"quality": 95, "subsampling": 0},
    {"optimize": True},
)


@pytest.mark.parametrize("way", WAYS, ids=str)
@pytest.mark.parametrize("size", [(1, 1), (70, 41), (1280, 960)])
def test_what_encoders_write_passes_and_tells_its_size(way, size):
    """Pillow (libjpeg-turbo) reads the same size."""
    jpeg = written(picture(*size), **way)
    with Image.open(io.BytesIO(jpeg)) as read:
        assert picture_size(jpeg) == read.size == size


def test_grey_pictures_pass():
    assert picture_size(written(picture(30, 20).convert("L"))) == (30, 20)


def with_segment(marker: int, body: bytes, at: int = 20) -> bytes:
    """The plain picture with one more segment behind its JFIF header."""
    return PLAIN[:at] + bytes((0xFF, marker)) + (len(body) + 2).to_bytes(2) + body + PLAIN[at:]


@pytest.mark.parametrize("jpeg", [camera_jpeg(), VECTOR], ids=["made here", "as web/tests strips it"])
def test_the_place_a_photo_was_taken_at_is_refused(jpeg):
    assert len(where_taken(jpeg)) == 4
    with pytest.raises(InputError, match="carries a segment"):
        picture_size(jpeg)


@pytest.mark.parametrize("marker", [*range(0xE1, 0xF0), 0xFE])
def test_every_application_segment_and_comment_is_refused(marker):
    with pytest.raises(InputError, match=f"0xFF{marker:02X}"):
        picture_size(with_segment(marker, b"http://ns.adobe.com/xap/1.0/\0<x/>"))


def test_a_thumbnail_in_the_header_is_refused():
    with pytest.raises(InputError, match="0xFFE0"):
        picture_size(with_segment(0xE0, b"JFIF\0\1\1\0\0\1\0\1\1\1\xff\xff\xff", at=2))


@pytest.mark.parametrize("rest", [b"\0", b"\xff\xd8", camera_jpeg()])
def test_nothing_may_follow_the_picture(rest):
    """Cameras put further pictures, with their own EXIF, behind the first one."""
    with pytest.raises(InputError, match="follows the end"):
        picture_size(PLAIN + rest)


@given(st.integers(0, len(PLAIN) - 1))
def test_a_picture_that_is_cut_off_is_refused_in_words(length):
    with pytest.raises(InputError):
        picture_size(PLAIN[:length])


@given(st.binary(max_size=300))
def test_no_bytes_bring_it_down(content):
    for file in (content, b"\xff\xd8" + content, PLAIN[:20] + content):
        with pytest.raises(InputError):
            picture_size(file)
