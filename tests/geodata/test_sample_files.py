"""The real files in sample_geodata load, and give what their sources say is in them.

Sources of the figures: the `ha` column of each file (from its own agency's coordinates, other software), the
`faststalld` column of the Swedish agency, and the facts noted by the Lincoln data set's survey.
"""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import Preview
from orchardmap.geodata.read import read_file
from orchardmap.geometry.geodesy import line_length_m

SAMPLES = Path(__file__).parents[2] / "sample_geodata"


def _load(name: str) -> Preview:
    return read_file((SAMPLES / name).read_bytes(), filename=name)


def _shapes(name: str) -> list[Any]:
    return [feature.geometry for feature in _load(name).features]


@pytest.mark.parametrize(
    ("name", "summary"),
    [
        ("apple_blocks_california.geojson", "6 blocks can be taken."),
        ("olive_and_vine_blocks_california.geojson", "10 blocks can be taken."),
        ("apricot_blocks_catalonia.gpkg", "60 blocks can be taken."),
        ("vineyards_and_orchard_osm.geojson", "19 blocks can be taken."),
        ("vine_outline_lincoln.geojson", "1 block can be taken."),
        ("vine_rows_lincoln.geojson", "10 rows can be taken."),
        ("vine_plants_lincoln.csv", "Nothing can be taken; 120 single trees shown only."),
        ("vine_posts_lincoln.csv", "Nothing can be taken; 60 single trees shown only."),
        ("fields_sweden_shapefile.zip", "10 blocks can be taken."),
        ("fields_netherlands.gpkg", "100 blocks can be taken."),
    ],
)
def test_every_sample_loads_without_a_question(name, summary):
    preview = _load(name)
    assert preview.is_ready
    assert preview.summary == summary


@pytest.mark.parametrize(
    "name", ["apple_blocks_california.geojson", "olive_and_vine_blocks_california.geojson"]
)
def test_areas_are_those_of_the_file(name):
    # its `ha` was computed on UTM 10N, whose scale there makes areas up to 0.2 % smaller or larger; 3 decimals
    for feature in _load(name).features:
        assert feature.area_ha == pytest.approx(feature.properties["ha"], rel=2.5e-3, abs=6e-4)


def test_areas_of_the_catalan_orchards():
    for feature in _load("apricot_blocks_catalonia.gpkg").features:
        assert feature.area_ha == pytest.approx(feature.properties["ha"], rel=1e-3, abs=6e-4)


def test_the_swedish_fields_lie_in_skane_with_the_letters_right():
    preview = _load("fields_sweden_shapefile.zip")
    assert str(preview.crs).startswith("EPSG:3006")
    lon, lat = shapely.get_coordinates([feature.geometry for feature in preview.features]).T
    # Skane county: about 12.4 to 14.6 east, 55.3 to 56.5 north
    assert 12.4 < lon.min() < lon.max() < 14.6
    assert 55.3 < lat.min() < lat.max() < 56.5
    assert not any(
        "\ufffd" in str(value) for feature in preview.features for value in feature.properties.values()
    )


def test_the_dutch_fields_are_shifted_to_wgs84_and_the_accuracy_is_said():
    preview = _load("fields_netherlands.gpkg")
    assert str(preview.crs).startswith("EPSG:28992")
    assert any("good to about 1 m" in note for note in preview.notes)
    lon, lat = shapely.get_coordinates([feature.geometry for feature in preview.features]).T
    # the European Netherlands: 3.3 to 7.3 east, 50.7 to 53.6 north
    assert 3.3 < lon.min() < lon.max() < 7.3
    assert 50.7 < lat.min() < lat.max() < 53.6


def test_the_lincoln_rows_have_the_surveyed_lengths():
    # SOURCE of the data set: anchor to anchor 18.47 to 18.64 m
    lengths_m = [line_length_m(line) for line in _shapes("vine_rows_lincoln.geojson")]
    assert min(lengths_m) == pytest.approx(18.47, abs=0.006)
    assert max(lengths_m) == pytest.approx(18.64, abs=0.006)


def test_the_lincoln_plants_stand_in_their_rows():
    rows = {f"{number}": line for number, line in enumerate(_shapes("vine_rows_lincoln.geojson"), start=1)}
    plants = zip(_shapes("vine_plants_lincoln.csv"), _load("vine_plants_lincoln.csv").features, strict=True)
    off_deg = [plant.distance(rows[str(feature.properties["row"])]) for plant, feature in plants]
    # a quarter of a metre in latitude, a row spacing being 2.5 m: each plant is nearest to its own row
    assert np.max(off_deg) * 111_000 < 0.25


def test_heights_of_the_californian_blocks_are_left_aside():
    feature = _load("apple_blocks_california.geojson").features[0]
    assert feature.notes == ("Its heights are left aside.",)
    assert not any(outline.has_z for outline in _shapes("apple_blocks_california.geojson"))


def test_a_table_of_yields_has_no_place_and_is_refused():
    with pytest.raises(ImportFileError, match="Columns seen: row, col, yield"):
        _load("apple_yield_per_tree.csv")


def test_every_sample_is_credited():
    told = (SAMPLES / "README.md").read_text(encoding="utf-8")
    files = {path.name for path in SAMPLES.iterdir() if path.name != "README.md" and "demo" not in path.name}
    assert [name for name in sorted(files) if f"`{name}`" not in told] == []
