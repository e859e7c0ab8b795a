"""Archives from strangers: bombs, traversal, links, nesting and lies in the directory are refused, in little time."""

import io
import stat
import struct
import zipfile

import pytest

from bad_files import good_files, zipped
from orchardmap.errors import ImportFileError
from orchardmap.geodata.archive import MAX_MEMBERS, read_members
from orchardmap.geodata.read import read_file


def _with_entry(info: zipfile.ZipInfo, content: bytes = b"x") -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr(info, content)
    return out.getvalue()


def test_members_come_out_whole_and_without_leavings():
    data = zipped({"a/b.shp": b"1", "__MACOSX/a/._b.shp": b"2", "a/.DS_Store": b"3", "a/": b""})
    assert [(member.path, member.stem, member.ending) for member in read_members(data)] == [
        ("a/b.shp", "b", "shp")
    ]


def test_a_bomb_is_refused_by_its_ratio():
    with pytest.raises(ImportFileError, match="100 times"):
        read_members(zipped({"a.shp": bytes(30_000_000)}))


def test_a_bomb_that_lies_about_its_size_is_refused_while_reading():
    data = bytearray(zipped({"a.shp": bytes(30_000_000)}))
    directory = data.rindex(b"PK\x01\x02")
    # uncompressed size in the central directory: offset 24, four bytes
    data[directory + 24 : directory + 28] = struct.pack("<I", 1_000)
    with pytest.raises(ImportFileError, match=r"100 times|damaged"):
        read_members(bytes(data))


def test_more_than_fits_is_refused_by_the_directory():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("a.shp", b"x" * 1_000)
    data = bytearray(out.getvalue())
    directory = data.rindex(b"PK\x01\x02")
    data[directory + 24 : directory + 28] = struct.pack("<I", 300_000_000)
    with pytest.raises(ImportFileError, match="300 MB"):
        read_members(bytes(data))


def test_too_many_entries_are_refused_without_reading_them():
    with pytest.raises(ImportFileError, match=f"at most {MAX_MEMBERS}"):
        read_members(zipped({f"{number}.dbf": b"x" for number in range(MAX_MEMBERS + 1)}))


@pytest.mark.parametrize(
    "path", ["../a.shp", "a/../../b.shp", "/etc/a.shp", "C:/a.shp", "..\\a.shp", "\\\\host\\a.shp"]
)
def test_names_that_point_outside_are_refused(path):
    with pytest.raises(ImportFileError, match="outside the archive"):
        read_members(_with_entry(zipfile.ZipInfo(path)))


def test_a_symbolic_link_is_refused():
    info = zipfile.ZipInfo("a.shp")
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    with pytest.raises(ImportFileError, match="symbolic link"):
        read_members(_with_entry(info, b"/etc/passwd"))


def test_an_archive_in_an_archive_is_refused_whatever_it_is_called():
    with pytest.raises(ImportFileError, match="another archive"):
        read_members(zipped({"a.shp": zipped({"b.shp": b"x"})}))


def test_a_locked_archive_is_refused():
    data = bytearray(zipped({"a.shp": b"x" * 50}))
    data[data.rindex(b"PK\x01\x02") + 8] |= 1
    with pytest.raises(ImportFileError, match="password"):
        read_members(bytes(data))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_entries_of_one_name_are_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("a.shp", b"1")
        archive.writestr("a.shp", b"2")
    with pytest.raises(ImportFileError, match="same name"):
        read_members(out.getvalue())


def test_an_empty_and_a_broken_archive_are_refused():
    with pytest.raises(ImportFileError, match="empty"):
        read_members(zipped({}))
    with pytest.raises(ImportFileError, match="damaged"):
        read_members(good_files()["KMZ"][:-30])


def test_a_wrong_checksum_is_refused():
    data = bytearray(zipped({"doc.kml": good_files()["KML"]}))
    data[60] ^= 0xFF
    with pytest.raises(ImportFileError):
        read_file(bytes(data), filename="a.kmz")
