"""What lies on a farm beside its blocks, on both engines: kept as it was drawn, told as a change, and never another farm's."""

import json

import pytest
from shapely.geometry import LineString, Point, Polygon, mapping

from orchardmap.errors import InputError, UnknownError
from orchardmap.geodata.preview import Answers
from orchardmap.store import audit, log
from orchardmap.usecases import farm_features, importing
from orchardmap.usecases.farm_features import FeatureWish, NewFeature
from orchardmap.usecases.planting import new_id
from small_farm import NOW, small_farm

POND = Polygon([(11.3, 46.5), (11.301, 46.5), (11.301, 46.501)], [[(11.3006, 46.5002), (11.3008, 46.5002), (11.3008, 46.5004)]])  # fmt: skip
LANE = LineString([(11.299, 46.499), (11.2995, 46.4993), (11.301, 46.501)])
SAID = (
    NewFeature("track", " Cart   road ", LANE),
    NewFeature("water", "", POND),
    NewFeature("gate", "Puerta Ñandú", Point(11.3, 46.4991234567)),
)


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def made(store):
    return small_farm(store, new_id())


def add(store, made, said):
    return farm_features.add_feature(store, farm_id=made.farm.id, said=said, now=NOW)


def told(store, made):
    return farm_features.features_json(store, made.farm.id)["features"]


def test_features_are_kept_as_drawn_in_order_and_told_as_changes(store, made):
    with store.read() as conn:
        before = log.cursor(conn, made.farm.id)
    ids = [add(store, made, said).id for said in SAID]
    kept = told(store, made)
    assert [one["id"] for one in kept] == ids
    assert [(one["kind"], one["name"]) for one in kept] == [
        ("track", "Cart road"), ("water", ""), ("gate", "Puerta Ñandú"),
    ]  # fmt: skip
    for one, said in zip(kept, SAID, strict=True):
        drawn = json.loads(json.dumps(mapping(said.shape)))
        assert one["geometry"]["type"] == drawn["type"]
    assert kept[2]["geometry"]["coordinates"] == [11.3, 46.499123457], "rounded to a tenth of a millimetre"
    assert len(kept[1]["geometry"]["coordinates"]) == 2, "an island stays one"
    with store.read() as conn:
        changes = log.changes_after(conn, made.farm.id, before, limit=10)
        noted = [one.what for one in audit.entries(conn) if one.subject in ids]
    assert [(one.kind, one.subject_id, one.block_id) for one in changes] == [
        ("farm_feature", key, None) for key in ids
    ]
    assert noted == ["farm_feature_added"] * 3


def test_features_are_said_anew_and_taken_away(store, made):
    one = add(store, made, SAID[1])
    farm_features.change_feature(
        store, farm_id=made.farm.id, feature_id=one.id, changes={"kind": "other", "name": "Hollow"}, now=NOW
    )
    (kept,) = told(store, made)
    assert (kept["kind"], kept["name"], kept["geometry"]["type"]) == ("other", "Hollow", "Polygon")
    with pytest.raises(InputError, match="gate cannot be a Polygon"):
        farm_features.change_feature(
            store, farm_id=made.farm.id, feature_id=one.id, changes={"kind": "gate"}, now=NOW
        )
    other = small_farm(store, new_id())
    for attempt in (
        lambda: farm_features.remove_feature(store, farm_id=other.farm.id, feature_id=one.id, now=NOW),
        lambda: farm_features.change_feature(
            store, farm_id=other.farm.id, feature_id=one.id, changes={"name": "x"}, now=NOW
        ),
    ):
        with pytest.raises(UnknownError):
            attempt()
    assert told(store, other) == []
    farm_features.remove_feature(store, farm_id=made.farm.id, feature_id=one.id, now=NOW)
    assert told(store, made) == []


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (NewFeature("gate", "", LANE), "gate cannot be a LineString"),
        (NewFeature("track", "", Point(11.3, 46.5)), "track cannot be a Point"),
        (NewFeature("shed", "", Point(46.5, 11.3)), "km from the farm"),
        (NewFeature("shed", "x" * 121, Point(11.3, 46.5)), "longer than 120"),
        (NewFeature("shed", "", Point(11.3, 96.5)), "not on the globe"),
    ],
)
def test_what_is_none_is_refused_in_words(store, made, said, why):
    with pytest.raises(InputError, match=why):
        add(store, made, said)
    assert told(store, made) == []


def test_features_come_out_of_a_previewed_file_all_or_none(store, made, monkeypatch):
    """Lines, points and outlines of one file, as what the manager says; its blocks can still be taken."""
    shapes = [("Lane", LANE), ("Pond", POND), ("Gate", Point(11.3, 46.4993))]
    file = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": {"name": name}, "geometry": mapping(shape)}
            for name, shape in shapes
        ],
    }
    sent = importing.preview(
        store, farm_id=made.farm.id, data=json.dumps(file).encode(), filename="x.geojson", answers=Answers(), now=NOW
    )  # fmt: skip
    index = {one["name"]: one["index"] for one in sent["features"]}

    def take(*wishes):
        return farm_features.take_features(store, token=sent["token"], wishes=wishes, now=NOW)

    with pytest.raises(InputError, match="gate cannot be a"):
        take(FeatureWish(index["Lane"], "track"), FeatureWish(index["Pond"], "gate"))
    with pytest.raises(InputError, match="not in the file"):
        take(FeatureWish(99, "track"))
    assert told(store, made) == []
    take(
        FeatureWish(index["Lane"], "track"),
        FeatureWish(index["Pond"], "water", "Mill pond"),
        FeatureWish(index["Gate"], "gate", ""),
    )
    assert [(one["kind"], one["name"]) for one in told(store, made)] == [
        ("track", "Lane"), ("water", "Mill pond"), ("gate", ""),
    ]  # fmt: skip
    monkeypatch.setattr(farm_features, "MOST_FEATURES", 4)
    with pytest.raises(InputError, match="at most 4"):
        take(FeatureWish(index["Lane"], "track"), FeatureWish(index["Gate"], "gate"))
    assert len(told(store, made)) == 3
