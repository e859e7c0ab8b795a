"""A file is what its bytes say: names are never believed, and what is not on the list is refused in a sentence."""

import pytest

from bad_files import good_files, zipped
from orchardmap.errors import ImportFileError
from orchardmap.geodata.read import read_file
from orchardmap.geodata.sniff import ACCEPTED, sniffed


@pytest.mark.parametrize("name", sorted(good_files()))
def test_each_format_is_known_by_its_bytes(name):
    assert sniffed(good_files()[name]).format == name


@pytest.mark.parametrize("name", sorted(good_files()))
@pytest.mark.parametrize("lie", ["../../etc/passwd", "a.geojson", "https://example.org/a.shp", "", "x\0.kml"])
def test_the_file_name_changes_nothing(name, lie):
    assert sniffed(good_files()[name]).format == name
    if name in {"GeoJSON", "KML", "KMZ", "GPX"}:
        assert read_file(good_files()[name], filename=lie) == read_file(good_files()[name], filename="b")


@pytest.mark.parametrize(
    ("data", "seen"),
    [
        (b"", "empty"),
        (b"   \n ", "empty"),
        (b"%PDF-1.7 ...", "a PDF"),
        (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
        (b"<!DOCTYPE html><html></html>", "a web page"),
        (b"<html><body/></html>", "a web page"),
        (b"SQLite format 3\x00" + bytes(200), "without GeoPackage tables"),
        (b"AC1027" + bytes(50), "a DWG drawing"),
        (b"\x1f\x8b\x08" + bytes(50), "a gzip archive"),
        (b"\x00\x00\x27\x0a" + bytes(100), "one file of a Shapefile"),
        (b"PAR1" + bytes(50), "a Parquet file"),
        (bytes(range(256)), "unknown kind"),
        (b"just a sentence without any columns", "unknown kind"),
        (b"[1, 2, 3]", "a JSON list"),
    ],
)
def test_what_is_not_read_is_refused_and_called_by_its_name(data, seen):
    with pytest.raises(ImportFileError, match=seen):
        sniffed(data)


def test_a_refusal_says_what_is_accepted_and_names_the_file():
    with pytest.raises(ImportFileError) as fault:
        read_file(b"%PDF-1.7", filename="C:\\maps\\farm.geojson")
    assert fault.value.where == "farm.geojson"
    assert ACCEPTED in fault.value.todo


def test_one_file_alone_in_an_archive_is_read():
    preview = read_file(zipped({"deep/er/blocks.json": good_files()["GeoJSON"]}), filename="a.zip")
    assert preview.format == "GeoJSON"
    assert len(preview.features) == 3


def test_an_archive_of_several_other_files_is_refused():
    with pytest.raises(ImportFileError, match="several files"):
        sniffed(zipped({"a.geojson": good_files()["GeoJSON"], "b.csv": good_files()["CSV"]}))


def test_an_office_document_is_not_taken_for_an_archive_of_maps():
    with pytest.raises(ImportFileError, match="an office document"):
        sniffed(zipped({"[Content_Types].xml": b"<Types/>", "xl/workbook.xml": b"<workbook/>"}))


@pytest.mark.parametrize("mark", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_csv_in_other_encodings_is_known(mark):
    preview = read_file("name,lat,lon\nLöwe,46.5,11.2\n".encode(mark), filename="a.csv")
    assert [feature.name for feature in preview.features] == ["Löwe"]


def test_geojson_in_utf16_with_its_mark_is_read():
    data = good_files()["GeoJSON"].decode().encode("utf-16")
    assert len(read_file(data, filename="a").features) == 3
