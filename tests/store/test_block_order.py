"""Blocks are told, and worked where nobody planned them, in the order of their codes, on both engines: B2 before B10."""

import pytest

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.work import CrewDay
from orchardmap.store import orchard, row_codes
from orchardmap.usecases import planting, working_time
from orchardmap.usecases.blocks import blocks_geojson
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.glance import overview
from orchardmap.usecases.layers import Reading, batches
from orchardmap.usecases.moments import moment
from orchardmap.usecases.planting import BlockPlan, new_id
from orchardmap.usecases.queue_board import read_queues
from small_farm import NOW, OUTLINE, PLANTING, TODAY, small_farm

ORDER = ["A3", "b4", "B9", "B10", "B11", "K1", "K2"]


@pytest.fixture
def farm(shared_store):
    """A farm whose blocks came in no order."""
    made = small_farm(shared_store, new_id())
    plans = [BlockPlan(code, "", None, OUTLINE, PLANTING) for code in ("B10", "b4", "B11", "A3", "B9")]
    planting.plant_blocks(shared_store, farm_id=made.farm.id, plans=plans)
    return made


def codes(store, farm):
    with store.read() as conn:
        return {block.id: block.code for block in orchard.blocks(conn, farm.farm.id)}


def test_blocks_are_read_in_the_order_of_their_codes(shared_store, farm):
    assert list(codes(shared_store, farm).values()) == ORDER
    with shared_store.read() as conn:
        assert [one.code for one in row_codes.coded_blocks(conn, [farm.farm.id])] == ORDER


def test_screens_and_files_follow_it(shared_store, farm):
    shown = overview(shared_store, farm.farm.id, day=None, now=NOW)["blocks"]
    assert [one["code"] for one in shown] == ORDER
    drawn = blocks_geojson(shared_store, farm.farm.id)["features"]
    assert [one["properties"]["code"] for one in drawn] == ORDER
    with shared_store.read() as conn:
        reading = Reading(conn, moment(conn, farm.farm.id, None, NOW))
        told = [code for batch in batches(reading, "blocks") for code in batch.columns["block"]]
    assert told == ORDER


def test_blocks_that_nobody_planned_are_worked_in_it(shared_store, farm):
    working_time.save_calendar(
        shared_store,
        farm_id=farm.farm.id,
        season_id=farm.season.id,
        calendar=SeasonCalendar(expected_pace=20.0, respects_daylight=False),
        now=NOW,
    )
    day = CrewDay(new_id(), farm.season.id, farm.crews[0].id, TODAY, 4, 8.0, "ladder", None, None, NOW)
    record_crew_days(shared_store, farm_id=farm.farm.id, crew_days=[day], sent_at=NOW, now=NOW)
    of = codes(shared_store, farm)
    ahead = forecast(shared_store, farm.farm.id, day=None, now=NOW)["blocks"]
    assert [of[one["block_id"]] for one in ahead] == ORDER
    likely = [one["p50"] for one in ahead]
    assert likely == sorted(likely)
    assert likely[0] < likely[-1]
    tray = read_queues(shared_store, farm.farm.id, now=NOW)["open"]
    assert [of[block] for block in tray] == ORDER
