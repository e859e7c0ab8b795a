"""Setting a farm up, on both engines: all or nothing, and PostGIS as the second opinion on every length and area."""

from dataclasses import asdict, replace

import pytest
import shapely
from pyproj import Geod
from shapely.geometry import MultiLineString, Polygon, box
from sqlalchemy import text, update

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.geodata.preview import Answers
from orchardmap.model.orchard import Planting
from orchardmap.store import orchard
from orchardmap.store.tables import blocks as blocks_table
from orchardmap.store.tables import metadata
from orchardmap.usecases import blocks, importing, layer_ground, planting
from orchardmap.usecases.block_plans import BlockWish
from orchardmap.usecases.layers import LAYERS, reading
from orchardmap.usecases.planting import BlockPlan
from small_farm import NOW, OUTLINE, PLANTING, POSITIONS, ROWS, small_farm


def contents(store):
    with store.read() as conn:
        return {
            table.name: sorted(map(repr, conn.execute(table.select()))) for table in metadata.sorted_tables
        }


def test_rows_and_blocks_come_back_as_they_went_in(store):
    farm = small_farm(store)
    with store.read() as conn:
        block = orchard.block(conn, farm.blocks[0].id)
        rows = orchard.rows(conn, block.id)
    assert block == farm.blocks[0]
    assert block.planting == PLANTING
    assert [row.number for row in rows] == list(range(1, ROWS + 1))
    assert {row.positions for row in rows} == {POSITIONS}
    assert shapely.get_srid(block.outline) == 0


def test_drawn_first_row_survives_the_store(store):
    farm = small_farm(store)
    drawn = replace(PLANTING, first_row=((11.2994, 46.4992), (11.2994, 46.5008)))
    (made,) = planting.plant_blocks(
        store, farm_id=farm.farm.id, plans=[BlockPlan("K3", "", None, OUTLINE, drawn)]
    )
    with store.read() as conn:
        assert orchard.block(conn, made.id).planting == drawn


@pytest.mark.parametrize(
    ("bad", "error"),
    [
        (BlockPlan("K1", "", None, OUTLINE, PLANTING), ConflictError),  # is there already
        (BlockPlan("K9", "", None, OUTLINE, PLANTING), ConflictError),  # twice in one call
        (BlockPlan("K8", "", None, box(11.3, 46.5, 11.30001, 46.50001), PLANTING), InputError),  # no row fits
        (BlockPlan(" ", "", None, OUTLINE, PLANTING), InputError),
        (BlockPlan("K8", "", None, None, PLANTING), InputError),
    ],
)
def test_one_bad_block_leaves_all_out(store, bad, error):
    farm = small_farm(store)
    before = contents(store)
    plans = [BlockPlan("K9", "", None, OUTLINE, PLANTING), bad]
    with pytest.raises(error):
        planting.plant_blocks(store, farm_id=farm.farm.id, plans=plans)
    assert contents(store) == before


def test_two_things_of_one_name_are_refused(store):
    farm = small_farm(store)
    before = contents(store)
    with pytest.raises(ConflictError, match="crew"):
        planting.add_crew(store, farm_id=farm.farm.id, name="Crew A")
    with pytest.raises(ConflictError):
        planting.create_farm(store, name="Small Farm", time_zone="UTC", now=NOW)
    with pytest.raises(InputError, match="time zone"):
        planting.create_farm(store, name="Else", time_zone="Mars/Olympus", now=NOW)
    assert contents(store) == before


def test_counting_a_row_that_is_not_there_or_beyond_its_end_changes_nothing(store):
    farm = small_farm(store)
    before = contents(store)
    with pytest.raises(UnknownError):
        planting.count_row(store, block_id=farm.blocks[0].id, row=99, counted_positions=5)
    with pytest.raises(InputError, match="106"):
        planting.count_row(store, block_id=farm.blocks[0].id, row=1, blanks=(106,))
    assert contents(store) == before


def test_shape_version_changes_with_the_shape_and_only_with_it(store):
    farm = small_farm(store)
    block_id = farm.blocks[0].id
    first = blocks.block_shape(store, block_id)["version"]
    planting.count_row(store, block_id=block_id, row=1, blanks=(5,))
    second = blocks.block_shape(store, block_id)["version"]
    planting.count_row(store, block_id=block_id, row=1)
    assert first != second
    assert blocks.block_shape(store, block_id)["version"] == first


def test_rows_in_a_box_are_those_that_cross_it(store):
    farm = small_farm(store)
    with store.read() as conn:
        rows = [row for block in farm.blocks for row in orchard.rows(conn, block.id)]
        for west, south, east, north in [
            (11.2990, 46.4990, 11.2996, 46.4999),
            (11.29999, 46.4999, 11.30001, 46.5001),
            (11.31, 46.5, 11.32, 46.6),
            (-180, -90, 180, 90),
        ]:
            area = box(west, south, east, north)
            expected = sorted((row.block_id, row.number) for row in rows if row.line.intersects(area))
            assert orchard.rows_in_box(conn, farm.farm.id, (west, south, east, north)) == expected
    assert len(rows) == 2 * ROWS


@pytest.mark.postgis
@pytest.mark.parametrize("store_url", ["postgis"], indirect=True)
def test_postgis_measures_the_same_lengths_and_areas(store):
    """PostGIS's geography (its own port of Karney's algorithms) against our stored figures."""
    farm = small_farm(store)
    slanted = Polygon([
        (-120.3256, 38.0167),
        (-120.3235, 38.0175),
        (-120.3241, 38.0189),
        (-120.3262, 38.0181),
    ])
    with_hole = Polygon(
        OUTLINE.exterior, [[(11.2998, 46.4998), (11.2998, 46.5001), (11.3001, 46.5001), (11.3001, 46.4998)]]
    )
    plans = [
        BlockPlan("T1", "", None, slanted, Planting(33.0, 3.7, 1.3, headland_m=4)),
        BlockPlan("T2", "", None, with_hole, PLANTING),
    ]
    planting.plant_blocks(store, farm_id=farm.farm.id, plans=plans)
    with store.read() as conn:
        lengths = conn.execute(text("SELECT length_m, ST_Length(line::geography) FROM rows")).all()
        areas = conn.execute(text("SELECT area_ha * 10000, ST_Area(outline::geography) FROM blocks")).all()
        near = conn.execute(
            text(
                "SELECT count(*) FROM rows a JOIN rows b USING (block_id) WHERE a.number = b.number AND ST_DWithin(a.line::geography, b.line::geography, 0.001)"
            )
        ).scalar_one()
    assert len(lengths) > 100
    # a row's own length may differ from the sum over its ends by what storing degrees rounds: far below 0.1 mm
    assert max(abs(ours - theirs) for ours, theirs in lengths) < 1e-4
    assert max(abs(ours - theirs) / theirs for ours, theirs in areas) < 1e-9
    assert near == len(lengths)


def test_import_is_previewed_planned_and_taken_or_nothing(store):
    farm = small_farm(store)
    ring = [list(p) for p in OUTLINE.exterior.coords]
    bow_tie = [[11.31, 46.5], [11.312, 46.501], [11.312, 46.5], [11.31, 46.501], [11.31, 46.5]]
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": "Polygon", "coordinates": [coordinates]},
        }
        for name, coordinates in (("North", ring), ("Broken", bow_tie))
    ]
    data = repr({"type": "FeatureCollection", "features": features}).replace("'", '"').encode()
    told = importing.preview(
        store, farm_id=farm.farm.id, data=data, filename="x.geojson", answers=Answers(), now=NOW
    )
    assert told["features"][1]["problem"]
    before = contents(store)
    good = BlockWish("N", "North", PLANTING, index=0)
    (planned,) = importing.plan(store, token=told["token"], wishes=[good])
    assert (planned["rows"], planned["trees"], planned["problem"]) == (ROWS, ROWS * POSITIONS, None)
    with pytest.raises(InputError, match="cannot be taken"):
        importing.take(
            store, token=told["token"], wishes=[good, BlockWish("B", "Broken", PLANTING, index=1)], now=NOW
        )
    with pytest.raises(ConflictError):
        importing.take(store, token=told["token"], wishes=[replace(good, code="K1")], now=NOW)
    assert contents(store) == before
    report = importing.take(store, token=told["token"], wishes=[good], now=NOW)
    assert [(b["code"], b["rows"], b["trees"]) for b in report["blocks"]] == [("N", ROWS, ROWS * POSITIONS)]
    assert [left["name"] for left in report["left_out"]] == ["Broken"]
    with pytest.raises(UnknownError, match="token"):
        importing.take(store, token=told["token"], wishes=[replace(good, code="N2")], now=NOW)


def test_block_across_the_antimeridian_is_found_from_both_sides_and_cut_in_geojson(store):
    farm = small_farm(store)
    across = Polygon([(179.999, -16.801), (180.001, -16.801), (180.001, -16.8), (179.999, -16.8)])
    (made,) = planting.plant_blocks(
        store,
        farm_id=farm.farm.id,
        plans=[BlockPlan("A", "", None, across, Planting(90.0, 4.0, 2.0, 0.0, 2.0))],
    )
    for box_deg in ((179.9, -17, 179.9995, -16), (-179.9999, -17, -179.9, -16), (179.9, -17, 180.1, -16)):
        assert {b for b, _ in blocks.rows_in_box(store, farm.farm.id, box_deg)} == {made.id}
    told = blocks.block_rows(store, made.id, day=None, now=NOW)
    longitudes = [lon for f in told["features"] for part in f["geometry"]["coordinates"] for lon, _ in part]
    assert max(longitudes) <= 180
    assert min(longitudes) >= -180
    assert (
        shapely.from_geojson(
            repr(told["features"][0]["geometry"]).replace("'", '"').replace("(", "[").replace(")", "]")
        ).length
        < 1
    )


def far_end_deg(line):
    """Return the azimuth from a row's first end to its far end on the WGS 84 ellipsoid, by PROJ."""
    (west, south), (east, north) = line.geoms[0].coords[0], line.geoms[-1].coords[-1]
    return Geod(ellps="WGS84").inv(west, south, east, north)[0] % 360.0


def turn_deg(one, other):
    return abs((one - other + 180.0) % 360.0 - 180.0)


FROM_NORTH = ((11.2994, 46.5008), (11.2994, 46.4992))
ASKEW = tuple(
    MultiLineString([[(11.2994 + k * 5e-5, 46.5008), (11.2998 + k * 5e-5, 46.4992)]]) for k in range(5)
)


@pytest.mark.parametrize(
    "plan",
    [
        BlockPlan("T", "", None, OUTLINE, replace(PLANTING, bearing_deg=301.5)),
        BlockPlan("T", "", None, OUTLINE, replace(PLANTING, bearing_deg=39.6, first_row=FROM_NORTH)),
        BlockPlan("T", "", None, OUTLINE, replace(PLANTING, bearing_deg=129.6, first_row=FROM_NORTH)),
        BlockPlan("T", "", None, OUTLINE, PLANTING, surveyed=ASKEW),
    ],
)
def test_bearing_of_a_block_is_that_of_its_rows_from_first_to_far_end(store, plan):
    """Whatever was typed: two points on row 1, or surveyed rows, replace it. PROJ says how the rows run."""
    farm = small_farm(store)
    (made,) = planting.plant_blocks(store, farm_id=farm.farm.id, plans=[plan])

    def told():
        with reading(store, farm.farm.id, day=None, people_of=None, now=NOW) as read:
            (found,) = layer_ground.block_features(read, [made])[made.id]
        return found.values[[field.name for field in LAYERS["blocks"].fields].index("bearing_deg")]

    with store.read() as conn:
        kept, (row, *_) = orchard.block(conn, made.id), orchard.rows(conn, made.id)
    true_deg = far_end_deg(row.line)
    assert kept.planting is not None
    assert turn_deg(kept.planting.bearing_deg, true_deg) < 0.02
    assert turn_deg(told(), true_deg) < 0.02
    with store.write() as conn:  # as stores of before this hold it
        conn.execute(update(blocks_table).values(planting={**asdict(kept.planting), "bearing_deg": 39.6}))
    assert turn_deg(told(), true_deg) < 0.02
