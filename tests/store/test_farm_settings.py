"""Settings, varieties and slopes on both engines: what is said anew is kept, told to tablets and in the audit log."""

import json

import pytest

from orchardmap.errors import InputError, UnknownError
from orchardmap.pruning.farm_settings import FarmSettings
from orchardmap.store import audit, farm, log, orchard
from orchardmap.store.farm_setting_tables import farm_settings as table
from orchardmap.usecases import farm_setting, ground_editing, planting
from orchardmap.usecases.planting import new_id
from small_farm import NOW, small_farm


def noted(store, what):
    with store.read() as conn:
        return [dict(entry.detail) for entry in audit.entries(conn) if entry.what == what]


def told_blocks(store, made, kind):
    with store.read() as conn:
        found = log.changes_after(conn, made.farm.id, 0, limit=1000)
    return [change.block_id for change in found if change.kind == kind]


def test_settings_are_kept_and_every_block_is_to_be_fetched_again(store):
    made, other = small_farm(store), small_farm(store, "Other Farm")
    assert farm_setting.read_settings(store, made.farm.id) == FarmSettings()
    said = {"line_reach_m": 4.5, "frost_high_risk_days": 3}
    saved = farm_setting.save_settings(store, farm_id=made.farm.id, changes=said, now=NOW)
    assert saved == FarmSettings(line_reach_m=4.5, frost_high_risk_days=3)
    assert farm_setting.read_settings(store, made.farm.id) == saved
    assert farm_setting.read_settings(store, other.farm.id) == FarmSettings()
    assert sorted(told_blocks(store, made, "settings")) == sorted(block.id for block in made.blocks)
    assert noted(store, "settings_saved") == [{"line_reach_m": "4.5", "frost_high_risk_days": "3"}]


def test_the_same_settings_again_change_nothing(store):
    made = small_farm(store)
    for _ in range(2):
        farm_setting.save_settings(store, farm_id=made.farm.id, changes={"line_reach_m": 4}, now=NOW)
    assert len(told_blocks(store, made, "settings")) == len(made.blocks)
    assert len(noted(store, "settings_saved")) == 1


def test_a_setting_of_a_newer_program_is_kept_through_this_ones_saving(store):
    made = small_farm(store)
    with store.write() as conn:
        conn.execute(
            table.insert().values(farm_id=made.farm.id, said=json.dumps({"moon": [1], "line_reach_m": 2}))
        )
    saved = farm_setting.save_settings(store, farm_id=made.farm.id, changes={"wet_day_mm": 1}, now=NOW)
    assert saved == FarmSettings(line_reach_m=2, wet_day_mm=1)
    with store.read() as conn:
        kept = json.loads(conn.execute(table.select()).one().said)
    assert kept == {"moon": [1], "line_reach_m": 2, "wet_day_mm": 1}


def test_a_setting_out_of_bounds_leaves_all_as_it_was(store):
    made = small_farm(store)
    with pytest.raises(InputError):
        farm_setting.save_settings(
            store, farm_id=made.farm.id, changes={"line_reach_m": 4, "slope_caution_percent": 0}, now=NOW
        )
    assert farm_setting.read_settings(store, made.farm.id) == FarmSettings()
    with pytest.raises(UnknownError):
        farm_setting.save_settings(store, farm_id=new_id(), changes={}, now=NOW)


def test_variety_is_said_anew_and_its_blocks_are_fetched_again(store):
    made = small_farm(store)
    variety_id = made.blocks[0].variety_id or ""
    said = {"habit": "spur", "is_canker_prone": True}

    def edit():
        return ground_editing.edit_variety(
            store, farm_id=made.farm.id, variety_id=variety_id, changes=said, now=NOW
        )

    edited = edit()
    assert edit() == edited
    with store.read() as conn:
        assert farm.varieties(conn, made.farm.id) == [edited]
    assert (edited.habit, edited.is_biennial, edited.is_canker_prone) == ("spur", False, True)
    assert {b.id for b in made.blocks} <= set(told_blocks(store, made, "variety"))
    assert noted(store, "variety_edited") == [{"parts": "habit, is_canker_prone"}]
    stranger = small_farm(store, "Other Farm").blocks[0].variety_id or ""
    with pytest.raises(UnknownError):
        ground_editing.edit_variety(store, farm_id=made.farm.id, variety_id=stranger, changes=said, now=NOW)


def test_block_is_given_a_slope_and_another_variety_of_its_farm_alone(store):
    made = small_farm(store)
    block_id = made.blocks[1].id
    new = planting.add_variety(store, farm_id=made.farm.id, name="Ashmead", habit="spur", is_biennial=True)
    ground_editing.edit_block(
        store, block_id=block_id, changes={"slope_percent": 22.5, "variety_id": new.id}, now=NOW
    )
    with store.read() as conn:
        kept = {block.id: block for block in orchard.blocks(conn, made.farm.id)}
    assert (kept[block_id].slope_percent, kept[block_id].variety_id) == (22.5, new.id)
    assert kept[made.blocks[0].id] == made.blocks[0]
    assert noted(store, "block_edited") == [{"parts": "slope_percent, variety_id"}]
    assert told_blocks(store, made, "block")[-1] == block_id
    stranger = small_farm(store, "Other Farm").blocks[0].variety_id
    with pytest.raises(UnknownError):
        ground_editing.edit_block(store, block_id=block_id, changes={"variety_id": stranger}, now=NOW)
    ground_editing.edit_block(store, block_id=block_id, changes={"slope_percent": None}, now=NOW)
    with store.read() as conn:
        assert orchard.block(conn, block_id).slope_percent is None
