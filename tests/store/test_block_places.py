"""Where blocks of a file lie, on both engines: what is far is told and waits for a word, what lies upon a block is told."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod
from shapely.geometry import LineString, Point, Polygon, box

from orchardmap.errors import InputError
from orchardmap.geodata.preview import Answers, Feature, Preview
from orchardmap.store import orchard
from orchardmap.usecases import importing, planting
from orchardmap.usecases.block_plans import BlockWish
from orchardmap.usecases.import_plans import plan_of
from orchardmap.usecases.nearness import refuse_far
from orchardmap.usecases.planting import new_id
from small_farm import NOW, OUTLINE, PLANTING, small_farm

APPLES = Path(__file__).resolve().parents[2] / "sample_geodata" / "apple_blocks_california.geojson"


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def made(store):
    return small_farm(store, new_id())


@pytest.fixture
def empty(store, made):
    """A farm without blocks."""
    return planting.create_farm(store, name=new_id(), time_zone="Europe/Rome", now=NOW)


def read(store, farm_id, *shapes, data=None):
    told = [{"type": "Feature", "properties": {}, "geometry": one.__geo_interface__} for one in shapes]
    made_of = json.dumps({"type": "FeatureCollection", "features": told}).encode() if data is None else data
    return importing.preview(
        store, farm_id=farm_id, data=made_of, filename="x.geojson", answers=Answers(), now=NOW
    )


def square(lon, lat):
    return box(lon, lat, lon + 0.002, lat + 0.002)


def test_blocks_of_another_continent_are_told_with_their_distance_and_taken_only_on_a_word(store, made):
    farm_id = made.farm.id
    told = read(store, farm_id, data=APPLES.read_bytes())
    own, far = told["places"]
    assert (own["indices"], own["farm"], far["indices"]) == ([], True, list(range(6)))
    # the same by PROJ's geodesic, to the two digits that are told
    first = told["features"][0]["geometry"]["coordinates"]
    while isinstance(first[0], list):
        first = first[0]
    away_m = Geod(ellps="WGS84").inv(11.3, 46.5, *first[:2])[2]
    assert far["away_km"] == pytest.approx(away_m / 1000, rel=0.06)
    wishes = [BlockWish(f"C{i}", f"C{i}", PLANTING, index=i) for i in range(6)]
    with store.read() as conn:
        before = len(orchard.blocks(conn, farm_id))
    with pytest.raises(
        InputError, match=rf"{far['away_km']:,} km from the farm's others: C0, C1, C2, C3, C4 and 1 more"
    ):
        importing.take(store, token=told["token"], wishes=wishes, now=NOW)
    with store.read() as conn:
        assert len(orchard.blocks(conn, farm_id)) == before
    report = importing.take(store, token=told["token"], wishes=wishes, as_placed=True, now=NOW)
    assert len(report["blocks"]) == 6
    # a farm at two places has both: what lies near either is near
    assert [place["indices"] for place in read(store, farm_id, data=APPLES.read_bytes())["places"]] == [
        list(range(6))
    ]
    with store.read() as conn:
        for lon, lat in ((11.3, 46.5), first[:2]):
            refuse_far(conn, farm_id, Point(lon, lat), what="line")
        with pytest.raises(InputError, match="km from the farm"):
            refuse_far(conn, farm_id, Point(-40, 40), what="line")


def test_far_blocks_of_one_file_are_told_on_a_farm_that_has_none(store, empty):
    farm_id = empty.id
    told = read(store, farm_id, square(11.3, 46.5), square(11.32, 46.5), square(-120.4, 38.0))
    assert [(p["indices"], p["farm"]) for p in told["places"]] == [([0, 1], False), ([2], False)]
    wishes = [BlockWish(f"B{i}", "", PLANTING, index=i) for i in range(3)]
    with pytest.raises(InputError, match=r"This block lies 9,[0-9]00 km from the others of the file: B2"):
        importing.take(store, token=told["token"], wishes=wishes, now=NOW)
    # those of one place by themselves need no word
    assert len(importing.take(store, token=told["token"], wishes=wishes[:2], now=NOW)["blocks"]) == 2


def test_stepping_stones_join_and_the_date_line_parts_nothing(store, empty):
    chain = [square(11.3 + step, 46.5) for step in np.arange(0.0, 6.0, 1.0)]  # 77 km from one to the next
    assert [p["indices"] for p in read(store, empty.id, *chain)["places"]] == [list(range(6))]
    assert len(read(store, empty.id, *chain[::3])["places"]) == 2
    (one,) = read(store, empty.id, square(179.99, -40.0), square(-179.99, -40.0))["places"]
    assert one["indices"] == [0, 1]


def test_what_lies_upon_a_block_of_the_farm_is_told_and_a_neighbour_is_not(store, made):
    west, south, east, north = OUTLINE.bounds
    half, third = (
        box(west, south, (west + east) / 2 + 1e-6, north),
        box(west - (east - west), south, west + (east - west) / 3, north),
    )
    told = read(store, made.farm.id, OUTLINE, half, third, square(11.32, 46.5))
    upon = [feature["upon"] for feature in told["features"]]
    assert upon[0] in {block.code for block in made.blocks}
    assert upon[1] == upon[0]
    assert upon[2:] == [None, None]


def test_surveyed_rows_are_placed_as_outlines_are(store, made):
    rows = [LineString([(-0.5 + n * 5e-5, 53.2), (-0.5 + n * 5e-5, 53.201)]) for n in range(3)]
    told = read(store, made.farm.id, *rows)
    assert told["places"][1]["indices"] == [0, 1, 2]
    wish = BlockWish("R", "", PLANTING, rows=(0, 1, 2))
    with pytest.raises(InputError, match="This block lies 1,100 km from the farm's others: R"):
        importing.take(store, token=told["token"], wishes=[wish], now=NOW)


def test_names_that_the_reader_made_up_are_known_for_it(store, empty):
    features = [
        {"type": "Feature", "properties": said, "geometry": square(11.3 + n / 100, 46.5).__geo_interface__}
        for n, said in enumerate(({"name": "Kiln"}, {"name": "Block 2"}, {"name": None}))
    ]
    data = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    told = read(store, empty.id, data=data)["features"]
    assert [(f["name"], f["named"]) for f in told] == [("Kiln", True), ("Block 2", True), ("Block 3", False)]


def test_plan_tells_what_to_look_at_and_what_is_only_worth_knowing(store, empty):
    west, south = 11.3, 46.5
    # 100 m by 95 m with a skewed side: edges and rectangle do not agree on one way
    odd = Polygon([
        (west, south),
        (west + 0.0013, south + 0.0002),
        (west + 0.0012, south + 0.0011),
        (west + 0.0002, south + 0.0008),
    ])
    kept = Preview("GeoJSON", "EPSG:4326", (), (), (Feature(0, "block", "odd", odd, 1.0),), "")

    def told(**changes):
        (one,) = plan_of(
            kept,
            [BlockWish("O", "O", replace(PLANTING, headland_m=0.0, end_offset_m=0.0, **changes), index=0)],
        )
        return one

    offered = told()["bearings"]
    sure = "The outline does not say"
    by_edge = told(bearing_deg=offered[0]["bearing_deg"])
    assert any(sure in one for one in by_edge["warnings"])
    turned = told(bearing_deg=(offered[0]["bearing_deg"] + 180) % 360)
    assert any(sure in one for one in turned["warnings"])
    # a way that somebody typed or clicked does not come from the outline
    typed_deg = next(
        d for d in range(180) if all(abs((d - o["bearing_deg"] + 90) % 180 - 90) > 1 for o in offered)
    )
    assert not any(sure in one for one in told(bearing_deg=float(typed_deg))["warnings"])
    clicked = told(
        bearing_deg=offered[0]["bearing_deg"],
        first_row=((west + 0.0001, south + 0.0001), (west + 0.0012, south + 0.0003)),
    )
    assert not any(sure in one for one in clicked["warnings"])
    assert by_edge["to_outline"]
    (roomy,) = plan_of(kept, [BlockWish("O", "O", replace(PLANTING, headland_m=5.0), index=0)])
    assert not roomy["to_outline"]
    assert roomy["trees"] < told()["trees"]


@given(beyond_m=st.floats(0.0, 40.0), turn_deg=st.floats(0.0, 360.0), headland_m=st.sampled_from([0.0, 5.0]))
@settings(max_examples=25)
def test_ground_beyond_a_clicked_row_1_is_told_where_a_row_could_stand_on_it(beyond_m, turn_deg, headland_m):
    """A block of 100 m by 80 m, its row 1 that far from the side; distances by PROJ's geodesic."""
    geod = Geod(ellps="WGS84")

    def at(across, along):
        lon, lat, _ = geod.fwd(11.3, 46.5, turn_deg + 90.0, across)
        return geod.fwd(lon, lat, turn_deg, along)[:2]

    outline = Polygon([at(0, 0), at(100, 0), at(100, 80), at(0, 80)])
    kept = Preview("GeoJSON", "EPSG:4326", (), (), (Feature(0, "block", "odd", outline, 0.8),), "")
    planted = replace(
        PLANTING,
        bearing_deg=turn_deg % 360.0,
        row_spacing_m=4.0,
        headland_m=headland_m,
        first_row=(at(beyond_m, 1.0), at(beyond_m, 79.0)),
    )
    (told,) = plan_of(kept, [BlockWish("O", "O", planted, index=0)])
    assert told["problem"] is None
    said = [one for one in told["warnings"] if "beyond row 1" in one]
    room_m = 6.0 + headland_m
    if beyond_m > room_m + 0.1:
        (one,) = said
        assert abs(int(one.split()[2]) - beyond_m) < 0.6
        assert not any("cover only" in one for one in told["warnings"]), "said once"
    elif beyond_m < room_m - 0.1:
        assert not said
    (typed,) = plan_of(kept, [BlockWish("O", "O", replace(planted, first_row=None), index=0)])
    assert not any("beyond row 1" in one for one in typed["warnings"])


def test_file_that_waits_for_an_answer_lies_nowhere_yet(store, made, empty):
    data = b'name;wkt\nNorth;"POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200000))"\n'
    for farm_id, own in ((made.farm.id, True), (empty.id, False)):
        told = importing.preview(
            store, farm_id=farm_id, data=data, filename="x.csv", answers=Answers(), now=NOW
        )
        assert told["questions"]
        assert told["places"] == [{"indices": [], "farm": own, "away_km": 0}]
