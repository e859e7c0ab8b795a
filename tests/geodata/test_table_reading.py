"""CSV: separators, decimal commas, encodings, well-known text; what is not sure is asked."""

from typing import Any

import pytest

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import Answers, Preview
from orchardmap.geodata.read import read_file

WKT = "POLYGON((11 46,11.001 46,11.001 46.001,11 46.001,11 46))"


def _points(text: str, **answers: Any) -> tuple[Preview, list[Any]]:
    preview = read_file(text.encode(), filename="a.csv", answers=Answers(**answers))
    return preview, [feature.geometry and feature.geometry.coords[0] for feature in preview.features]


@pytest.mark.parametrize(
    "text",
    [
        "name,lat,lon\nA,46.5,11.25\n",
        "name;lat;lon\nA;46.5;11.25\n",
        "name\tLatitude\tLongitude\r\nA\t46.5\t11.25\r\n",
        "name|LAT|LNG\nA|46.5|11.25",
        "name;lat;lon\nA;46,5;11,25\n",
        'name,lat,lon\nA,"46,5","11,25"\n',
        "sep=;\nname;lat;lon\nA;46,5;11,25\n",
        "name;lat;lon\n\nA; 46.5 ;+11.25\n;;\n",
        "name,lat,lon\nA,4.65e1,1125e-2\n",
        "name,lat,lon\nA,\u221246.5,11.25\n",
    ],
)
def test_separators_and_decimal_commas(text):
    preview, lonlat = _points(text)
    assert lonlat == [(11.25, -46.5 if "\u2212" in text else 46.5)]
    assert preview.features[0].kind == "tree"
    assert preview.is_ready


def test_columns_called_latitude_and_longitude_are_taken_as_wgs84_and_said():
    preview, _ = _points("lat,lon\n46.5,11.25\n")
    assert preview.crs == "WGS 84"
    assert "WGS 84" in preview.notes[0]


def test_eastings_and_northings_without_a_system_are_asked_for():
    preview, lonlat = _points("name;x;y\nA;500000;5100000\n")
    assert [question.key for question in preview.questions] == ["crs"]
    assert preview.questions[0].needed
    assert lonlat == [None]
    preview, lonlat = _points("name;x;y\nA;500000;5100000\n", crs="EPSG:25832")
    assert preview.is_ready
    assert lonlat[0][0] == pytest.approx(9.0, abs=1e-9)


def test_a_comma_that_may_be_either_is_asked_for():
    text = "name;x;y\nA;500,125;5,100,250\nB;500,250;5,100,500\n"
    assert [q.key for q in _points("name;x;y\nA;500,125;510,250\n", crs="3857")[0].questions] == [
        "decimal_comma"
    ]
    _, (metres,) = _points("name;x;y\nA;500,125;510,250\n", crs="3857", decimal_comma=True)
    _, (thousands,) = _points("name;x;y\nA;500,125;510,250\n", crs="3857", decimal_comma=False)
    # EPSG:3857 is proportional to longitude: a thousandfold easting is a thousandfold longitude
    assert thousands[0] == pytest.approx(metres[0] * 1_000)
    # two commas in one number can only part thousands
    preview, lonlat = _points(text, crs="25832")
    assert preview.is_ready
    assert lonlat[0][0] == pytest.approx(9.0, abs=0.01)


def test_well_known_text_asks_for_its_system_unless_it_names_it():
    asked = read_file(f'block,wkt\nA,"{WKT}"\n'.encode(), filename="a.csv")
    assert [(question.key, question.needed) for question in asked.questions] == [("crs", True)]
    assert asked.questions[0].choices[0].value == "OGC:CRS84"
    named = read_file(f'block,wkt\nA,"SRID=4326;{WKT}"\n'.encode(), filename="a.csv")
    assert named.is_ready
    assert named.features[0].name == "A"
    assert named.features[0].kind == "block"


def test_well_known_text_is_found_under_any_column_name():
    preview = read_file(
        f'block;outline of it\nA;"{WKT}"\n'.encode(), filename="a.csv", answers=Answers(crs="4326")
    )
    assert preview.features[0].area_ha == pytest.approx(0.8609, rel=1e-3)


def test_one_bad_line_does_not_spoil_the_others():
    text = "name,lat,lon\nA,46.5,11.25\nB,north,11.25\nC,46.5\nD,,11\nE,46.6,11.3\nF,1e309,3\n"
    preview, _ = _points(text)
    told = [feature.problem for feature in preview.features]
    assert told == [
        None,
        "Feature 2 'north' is not a coordinate",
        "Feature 3 has 2 fields where the first line names 3",
        "Feature 4 a coordinate is empty",
        None,
        "Feature 6 vertex 1 has a coordinate that is not a number",
    ]


def test_brackets_without_end_do_not_reach_geos():
    # handed to GEOS this text ends the process: its reader recurses once for each bracket
    deep = "GEOMETRYCOLLECTION(" * 100_000
    preview = read_file(
        f"name,wkt\nA,{WKT.replace(',', ' ')}\nB,{deep}\n".encode(), filename="a", answers=Answers(crs="4326")
    )
    assert "nested more than 8 deep" in str(preview.features[1].problem)


def test_a_table_without_places_says_which_columns_it_saw():
    with pytest.raises(ImportFileError, match="Columns seen: row, col, yield"):
        read_file(b"row,col,yield\n1,1,387\n", filename="a.csv")


def test_letters_of_old_tables():
    preview = read_file("name;lat;lon\nLöwe;46,5;11,2\n".encode("cp1252"), filename="a.csv")
    assert preview.features[0].name == "Löwe"


def test_lines_of_different_systems_are_asked_for():
    preview = read_file(f'n,wkt\nA,"SRID=4326;{WKT}"\nB,"SRID=25832;{WKT}"\n'.encode(), filename="a")
    assert [question.key for question in preview.questions] == ["crs"]
    assert "different coordinate systems" in preview.notes[0]
