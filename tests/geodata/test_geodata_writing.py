"""What is written is what the standards say, and loads again as the same blocks."""

import csv
import io
import json

import pytest
import shapely
from shapely.geometry import MultiLineString, Polygon, shape

from bad_files import BLOCKS
from orchardmap.geodata.preview import Answers
from orchardmap.geodata.read import read_file
from orchardmap.geodata.write import blocks_csv, blocks_geojson, geopackage, rows_geojson, spreadsheet_text
from orchardmap.model.orchard import Block, Planting, Row

PLANTING = Planting(bearing_deg=12.5, row_spacing_m=4.0, tree_spacing_m=1.5)
VARIETIES = {"v": "Ashmead's Kernel"}
ACROSS = shapely.box(179.999, -16.801, 180.001, -16.8)


def _block(name: str, outline: Polygon | None) -> Block:
    return Block(name, "f", name[:2], name, "v", outline, PLANTING, 1.5)


ORCHARD = [_block(name, outline) for name, outline in BLOCKS.items()]
ROW = Row(
    "Hollow",
    3,
    MultiLineString([[(11.0, 46.0), (11.0, 46.0009)]]),
    100.07,
    0.5,
    (66,),
    blanks=frozenset({4, 9}),
)


@pytest.mark.parametrize(
    "write", [blocks_geojson, blocks_csv, lambda blocks, **names: geopackage(blocks, [], **names)]
)
def test_blocks_load_again_as_they_were(write):
    preview = read_file(write(ORCHARD, variety_names=VARIETIES), filename="a")
    assert preview.is_ready
    assert [feature.name for feature in preview.features] == list(BLOCKS)
    for feature in preview.features:
        assert feature.geometry is not None
        assert feature.geometry.equals_exact(
            BLOCKS[feature.name].normalize(), 1e-9
        ) or feature.geometry.equals(BLOCKS[feature.name])
        assert feature.properties["variety"] == "Ashmead's Kernel"


def test_geojson_keeps_to_rfc_7946():
    told = json.loads(
        blocks_geojson([*ORCHARD, _block("Across", ACROSS), _block("None", None)], variety_names=VARIETIES)
    )
    assert "crs" not in told
    for feature in told["features"][:4]:
        geometry = shape(feature["geometry"])
        for part in shapely.get_parts(geometry):
            assert part.exterior.is_ccw
            assert not any(hole.is_ccw for hole in part.interiors)
        assert geometry.bounds[0] >= -180
        assert geometry.bounds[2] <= 180
    across = shape(told["features"][3]["geometry"])
    assert across.geom_type == "MultiPolygon"
    assert across.area == pytest.approx(ACROSS.area, rel=1e-6)
    assert told["features"][4]["geometry"] is None


def test_rows_carry_block_number_and_trees():
    told = json.loads(rows_geojson([ROW], block_codes={"Hollow": "Ho"}))
    assert told["features"][0]["properties"] == {
        "block": "Ho",
        "row": 3,
        "positions": 66,
        "trees": 64,
        "length_m": 100.07,
    }
    preview = read_file(json.dumps(told).encode(), filename="a")
    assert [(feature.kind, feature.name) for feature in preview.features] == [("row", "Row 3")]


def test_geopackage_has_both_layers():
    data = geopackage(ORCHARD, [ROW], variety_names=VARIETIES)
    assert read_file(data, filename="a").layers == ("blocks", "rows")
    rows = read_file(data, filename="a", answers=Answers(layer="rows"))
    assert rows.features[0].properties["block"] == "Ho"


@pytest.mark.parametrize("evil", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1"])
def test_no_cell_is_a_formula(evil):
    # lead characters: OWASP, CSV Injection
    assert spreadsheet_text(evil) == f"'{evil}"
    data = blocks_csv([_block(evil, BLOCKS["Hollow"])], variety_names={"v": evil})
    (line,) = csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline=""))
    assert line["name"] == line["variety"] == f"'{evil}"
