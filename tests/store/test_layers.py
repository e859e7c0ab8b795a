"""Layers for other programs say what the map and the overview say, on both engines."""

from collections import Counter
from datetime import timedelta
from typing import Any

import pytest
import shapely
from pyproj import Geod

import beside_farm
from layered_farm import layered_farm
from orchardmap.errors import UnknownError
from orchardmap.geodata.globe import as_multi
from orchardmap.model.layer import Features
from orchardmap.store.session import Store
from orchardmap.usecases import blocks, glance, hazard_lines
from orchardmap.usecases.layers import LAYERS, batches, reading
from small_farm import NOW, TODAY, SmallFarm

KINDS = {"text": str, "whole": int, "number": float, "yes_no": bool, "day": type(TODAY)}


@pytest.fixture(scope="module")
def farm(shared_store: Store) -> SmallFarm:
    return layered_farm(shared_store)


def told(store: Store, farm: SmallFarm, name: str, **asked: Any) -> list[dict[str, Any]]:
    """Return all features of a layer as dictionaries with their id and geometry."""
    given = {"day": None, "people_of": None} | asked
    with reading(store, farm.farm.id, now=NOW, **given) as read:
        return [one for batch in batches(read, name) for one in rows_of(batch)]


def rows_of(found: Features) -> list[dict[str, Any]]:
    return [
        {"id": found.ids[i], "geometry": found.geometries[i], **found.values(i)} for i in range(len(found))
    ]


@pytest.mark.parametrize("day", [None, TODAY - timedelta(days=2)])
def test_progress_and_rows_equal_the_overview(shared_store, farm, day):
    overview = glance.overview(shared_store, farm.farm.id, day=day, now=NOW)
    progress = {one["id"]: one for one in told(shared_store, farm, "progress", day=day)}
    rows = told(shared_store, farm, "rows", day=day)
    assert len(progress) == 2
    assert sum(one["pruned_trees"] for one in rows) == overview["figures"]["pruned"] > 0
    assert sum(one["trees"] for one in rows) == overview["figures"]["trees"]
    for block in overview["blocks"]:
        mine = progress[block["id"]]
        assert mine["day"] == (day or TODAY)
        pairs = {
            "trees": "trees", "pruned_trees": "pruned", "held_trees": "overlap", "rows": "rows", "rows_done": "rows_done",
            "checked_trees": "checked", "faulty_trees": "faulty", "trees_again": "again", "verdict": "verdict", "weak_areas": "weak",
        }  # fmt: skip
        assert {key: mine[key] for key in pairs} == {key: block[name] for key, name in pairs.items()}
        own = [one for one in rows if one["block"] == block["code"]]
        assert sum(one["pruned_trees"] for one in own) == block["pruned"]
        assert sum(one["held_trees"] for one in own) == block["overlap"]


def test_positions_are_the_trees_that_rows_and_map_count(shared_store, farm):
    positions = told(shared_store, farm, "positions")
    rows = told(shared_store, farm, "rows")
    assert len(positions) == sum(one["positions"] for one in rows) == len({one["id"] for one in positions})
    pruned = Counter((one["block"], one["row"]) for one in positions if one["pruned"])
    held = Counter((one["block"], one["row"]) for one in positions if one["held"])
    for row in rows:
        key = row["block"], row["row"]
        assert (pruned[key], held[key]) == (row["pruned_trees"], row["held_trees"])
    odd = [(one["position"], one["holds"]) for one in positions if one["holds"] != "tree"]
    assert odd == [(3, "blank"), (4, "blank"), (60, "pollinizer")]
    (crossing,) = [row for row in rows if row["held_trees"]]
    assert (crossing["block"], crossing["row"], crossing["crews"]) == ("K2", 2, "Crew A, Crew B")


def test_checks_marks_and_weak_areas_are_those_of_the_map(shared_store, farm):
    states = {
        block.id: blocks.block_state(shared_store, block.id, day=None, now=NOW) for block in farm.blocks
    }
    checks = {one["id"]: one for one in told(shared_store, farm, "checks")}
    on_map = {line[0]: line for state in states.values() for line in state["checks"]}
    assert set(checks) == set(on_map)
    for check_id, line in on_map.items():
        one = checks[check_id]
        assert [one["row"], one["position"], one["verdict"]] == line[1:4]
        assert [one["day"].isoformat(), one["auditor"], one["note"], one["drawn"]] == line[4:8]
    areas = told(shared_store, farm, "weak_areas")
    shown = [area for state in states.values() for area in state["weak"]]
    assert [one["id"] for one in areas] == sorted(area["id"] for area in shown) != []
    assert areas[0]["geometry"].equals(shapely.MultiPolygon([shapely.Polygon(shown[0]["ring"])]))
    marks = told(shared_store, farm, "marks")
    kept = [mark for block in farm.blocks for mark in blocks.block_marks(shared_store, block.id, now=NOW)]
    assert {one["id"] for one in marks} == {
        one["id"] for one in kept if not one["withdrawn"] and one["set_aside"] is None
    }
    assert len(marks) == len(kept) - 1
    assert {(one["first_position"], one["trees"]) for one in marks if one["row"] == 2 and one["block"] == "K2"} == {
        (1, 48), (41, 49)
    }  # fmt: skip


def test_fields_are_the_same_for_every_feature_and_of_their_kind(shared_store, farm):
    with reading(shared_store, farm.farm.id, day=None, now=NOW, people_of=None) as read:
        for name, layer in LAYERS.items():
            for found in batches(read, name):
                assert tuple(found.columns) == layer.field_names
                assert {one.geom_type for one in found.geometries if one is not None} == {layer.geometry}
                for field in layer.fields:
                    known = {type(value) for value in found.columns[field.name]} - {type(None)}
                    assert known <= {KINDS[field.kind]}, (name, field.name)


def test_names_of_people_are_told_by_role_alone(shared_store, farm):
    """A manager reads both, an auditor those who check, an adviser none; the fields stay."""
    for people_of, recorders, auditors in (
        (None, {None, "Nora"}, {"Auditor"}),
        (("auditor",), {None}, {"Auditor"}),
        ((), {None}, {None}),
    ):
        marks = told(shared_store, farm, "marks", people_of=people_of)
        checks = told(shared_store, farm, "checks", people_of=people_of)
        assert {one["recorder"] for one in marks} == recorders
        assert {one["auditor"] for one in checks} == auditors


def test_what_lies_beside_the_blocks_is_measured_on_the_ellipsoid(shared_store, farm):
    """Each feature is in the one layer of its form; PROJ's own geodesic measures what was drawn; distances to keep are those of the screen."""
    measure = Geod(ellps="WGS84")
    drawn = {(said.kind, said.name or None): said.shape for said in beside_farm.SAID}
    seen = set()
    for name in ("farm_points", "farm_lines", "farm_areas"):
        for one in told(shared_store, farm, name):
            shape = drawn[one["kind"], one["name"]]
            seen.add((one["kind"], one["name"]))
            assert one["geometry"].equals_exact(as_multi(shape), 1e-9)
            if name == "farm_lines":
                assert one["length_m"] == pytest.approx(measure.geometry_length(shape), abs=0.0051)
            if name == "farm_areas":
                area_ha = abs(measure.geometry_area_perimeter(shapely.orient_polygons(shape))[0]) / 1e4
                assert one["area_ha"] == pytest.approx(area_ha, abs=5.1e-5)
    assert seen == set(drawn)
    (line,) = told(shared_store, farm, "power_lines")
    (shown,) = hazard_lines.lines_json(shared_store, farm.farm.id)
    assert (line["id"], line["voltage_kv"], line["clearance_m"]) == (shown["id"], 66.0, shown["clearance_m"])
    assert line["length_m"] == pytest.approx(measure.geometry_length(beside_farm.LINE.line), abs=0.0051)


def test_no_such_layer_is_said(shared_store, farm):
    with reading(shared_store, farm.farm.id, day=None, now=NOW, people_of=None) as read:
        with pytest.raises(UnknownError):
            next(batches(read, "trees"))
