"""Where a file lies: asked when it is not said, doubted when it cannot be, never assumed."""

from collections.abc import Collection
from typing import Any

import numpy as np
import pyproj
import pytest
import shapely

from bad_files import BLOCKS, frame, geojson_bytes, geopackage_bytes, good_files, square, written, zipped
from orchardmap.errors import ImportFileError, InputError
from orchardmap.geodata.crs import crs_name
from orchardmap.geodata.preview import Answers, Preview, answers_from_fields
from orchardmap.geodata.read import read_file

SWAP = "swap_axes"


def _shapefile(table: Any, *, without: Collection[str] = ()) -> bytes:
    files = written(table, driver="ESRI Shapefile", name="blocks.shp", encoding="UTF-8")
    return zipped({path: data for path, data in files.items() if path.rsplit(".", 1)[-1] not in without})


def _keys(preview: Preview) -> list[tuple[str, bool]]:
    return [(question.key, question.needed) for question in preview.questions]


def test_no_prj_is_a_question_even_when_the_numbers_look_like_degrees():
    data = _shapefile(frame(), without={"prj"})
    preview = read_file(data, filename="a.zip")
    assert _keys(preview) == [("crs", True)]
    assert all(feature.geometry is None for feature in preview.features)
    assert preview.summary == "3 features found; 1 question to answer first."
    answered = read_file(data, filename="a.zip", answers=Answers(crs="OGC:CRS84"))
    assert answered.is_ready
    assert answered.summary == "3 blocks can be taken."


def test_metres_that_say_they_are_degrees_are_doubted_and_answered():
    grid = frame().to_crs("EPSG:25832").set_crs("EPSG:4326", allow_override=True)
    data = geopackage_bytes({"blocks": grid})
    preview = read_file(data, filename="a.gpkg")
    assert _keys(preview) == [("crs", True)]
    assert "may be metres" in preview.questions[0].text
    offered = [choice.value for choice in preview.questions[0].choices]
    assert "EPSG:25832" in offered
    right = read_file(data, filename="a.gpkg", answers=Answers(crs="EPSG:25832"))
    assert right.features[0].geometry is not None
    # there and back through the same grid: within a tenth of a millimetre
    assert right.features[0].geometry.hausdorff_distance(BLOCKS["Hollow"]) < 1e-9
    # an answer that repeats the mistake is doubted again, not believed
    assert _keys(read_file(data, filename="a.gpkg", answers=Answers(crs="4326"))) == [("crs", True)]


def test_metres_in_geojson_are_doubted():
    preview = read_file(geojson_bytes({"A": square(680_000, 5_100_000, side=100)}), filename="a")
    assert _keys(preview) == [("crs", True)]


def test_latitudes_beyond_the_pole_are_a_needed_question():
    data = geojson_bytes({"A": square(38.0, -120.3)})  # California with the numbers exchanged
    preview = read_file(data, filename="a")
    assert _keys(preview) == [(SWAP, True)]
    assert preview.features[0].geometry is None
    swapped = read_file(data, filename="a", answers=Answers(swap_axes=True))
    assert swapped.is_ready
    assert swapped.features[0].geometry is not None
    assert swapped.features[0].geometry.bounds == pytest.approx((-120.3, 38.0, -120.299, 38.001))
    # who says they are right is then asked what they are
    assert _keys(read_file(data, filename="a", answers=Answers(swap_axes=False))) == [("crs", True)]


def test_an_unlikely_place_is_an_offer_to_swap():
    data = geojson_bytes({"A": square(46.0, 11.0)})  # Alto Adige with the numbers exchanged: the Gulf of Aden
    preview = read_file(data, filename="a")
    assert _keys(preview) == [(SWAP, False)]
    assert preview.features[0].geometry is not None
    swapped = read_file(data, filename="a", answers=Answers(swap_axes=True))
    assert _keys(swapped) == []
    assert swapped.features[0].geometry is not None
    assert swapped.features[0].geometry.bounds[:2] == pytest.approx((11.0, 46.0))
    assert _keys(read_file(data, filename="a", answers=Answers(swap_axes=False))) == []


def test_a_likely_place_is_not_doubted():
    for west, south in [(11.0, 46.0), (-120.3, 38.0), (176.9, -39.6), (19.0, -33.9), (140.5, 40.6)]:
        assert _keys(read_file(geojson_bytes({"A": square(west, south)}), filename="a")) == []


def test_northing_before_easting_is_offered_to_be_swapped():
    grid = shapely.transform(BLOCKS["Hollow"], lambda xy: xy)
    table = frame({"A": grid}).to_crs("EPSG:28992")
    there = frame({"A": shapely.box(155_000, 463_000, 155_100, 463_100)}, crs="EPSG:28992")
    assert table.crs == there.crs
    turned = there.set_geometry(shapely.transform(there.geometry.array, lambda xy: xy[:, ::-1]))
    data = geopackage_bytes({"blocks": turned})
    preview = read_file(data, filename="a")
    assert _keys(preview) == [(SWAP, True)]
    swapped = read_file(data, filename="a", answers=Answers(swap_axes=True))
    # the origin of the Dutch grid, 155000 463000, is the tower of Amersfoort, 5.387 E 52.155 N (EPSG data set)
    assert swapped.features[0].geometry is not None
    assert swapped.features[0].geometry.bounds[:2] == pytest.approx((5.387, 52.155), abs=2e-3)


def test_a_datum_is_transformed_and_its_accuracy_said():
    there = frame({"A": shapely.box(155_000, 463_000, 155_100, 463_100)}, crs="EPSG:28992")
    preview = read_file(geopackage_bytes({"blocks": there}), filename="a")
    assert any("good to about 1 m" in note for note in preview.notes)
    lon, lat = np.array(preview.features[0].geometry.bounds[:2])  # type: ignore[union-attr]
    # published: Amersfoort on the Bessel ellipsoid 52 09 22.178 N 5 23 15.500 E (EPSG:28992, natural origin). On WGS 84
    # it lies about 100 m away, so a reader that leaves the datum shift out is caught here
    assert 50 < np.hypot((lat - 52.15616056) * 111_000, (lon - 5.38763889) * 68_000) < 200


def test_a_missing_grid_is_said():
    there = frame({"A": shapely.box(430_000, 310_000, 430_100, 310_100)}, crs="EPSG:27700")
    preview = read_file(geopackage_bytes({"blocks": there}), filename="a")
    assert preview.features[0].problem is None
    assert any("is not installed" in note for note in preview.notes)


def test_a_place_outside_the_area_of_its_system_is_noted():
    there = frame(crs="EPSG:4326").to_crs("EPSG:27700")
    preview = read_file(geopackage_bytes({"blocks": there}), filename="a")
    assert any("outside the area" in note for note in preview.notes)


@pytest.mark.parametrize(
    "answer",
    [
        "+proj=longlat +nadgrids=/etc/passwd",
        "EPSG:999999",
        "/etc/passwd",
        "http://example.org/crs",
        "EPSG:5773",
        "GEOGCS[]",
    ],
)
def test_only_numbers_of_systems_are_taken_for_an_answer(answer):
    with pytest.raises(ImportFileError, match="EPSG number"):
        read_file(good_files()["GeoJSON"], filename="a", answers=Answers(crs=answer))


@pytest.mark.parametrize(
    "grids", ["+nadgrids=/etc/passwd", "+nadgrids=@null,/etc/passwd", "+geoidgrids=/etc/passwd"]
)
def test_a_grid_file_named_in_a_prj_is_not_opened(grids):
    prj = (
        'GEOGCS["x",DATUM["y",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],'
        f'UNIT["degree",0.0174532925199433],EXTENSION["PROJ4","+proj=longlat {grids}"]]'
    )
    files = written(frame(), driver="ESRI Shapefile", name="blocks.shp", encoding="UTF-8")
    preview = read_file(zipped({**files, "blocks.prj": prj.encode()}), filename="a")
    assert _keys(preview) == [("crs", True)]


def test_the_null_grid_of_the_web_mercator_is_no_grid_file():
    text = pyproj.CRS.from_epsg(3857).to_wkt("WKT1_GDAL")
    assert "+nadgrids=@null" in text
    assert crs_name(text) == "EPSG:3857 WGS 84 / Pseudo-Mercator"


def test_several_layers_are_listed_and_asked_for():
    other = frame({"Orchard": shapely.box(11.2, 46.2, 11.201, 46.201)})
    data = geopackage_bytes({"fields": frame(), "orchards": other})
    preview = read_file(data, filename="a.gpkg")
    assert preview.layers == ("fields", "orchards")
    assert _keys(preview) == [("layer", True)]
    assert preview.features == ()
    chosen = read_file(data, filename="a.gpkg", answers=Answers(layer="orchards"))
    assert [feature.name for feature in chosen.features] == ["Orchard"]
    with pytest.raises(ImportFileError, match="no layer 'elsewhere'"):
        read_file(data, filename="a.gpkg", answers=Answers(layer="elsewhere"))


def test_several_shapefiles_in_one_archive_are_layers():
    first = written(frame(), driver="ESRI Shapefile", name="north.shp", encoding="UTF-8")
    second = written(
        frame({"S": BLOCKS["Hollow"]}), driver="ESRI Shapefile", name="south.shp", encoding="UTF-8"
    )
    data = zipped({**{f"x/{path}": content for path, content in first.items()}, **second})
    preview = read_file(data, filename="a.zip")
    assert preview.layers == ("north", "south")
    chosen = read_file(data, filename="a.zip", answers=Answers(layer="south"))
    assert [feature.name for feature in chosen.features] == ["S"]


def test_answers_from_form_fields():
    answers = answers_from_fields({
        "crs": " EPSG:3006 ",
        "swap_axes": "yes",
        "split_parts": "0",
        "layer": "",
        "file": "x",
    })
    assert answers == Answers(crs="EPSG:3006", swap_axes=True, split_parts=False)
    with pytest.raises(InputError, match="yes or no"):
        answers_from_fields({"swap_axes": "perhaps"})
