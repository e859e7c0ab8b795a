"""Layers that are kept ready tell after every change what they would tell if they were made anew, and a mark costs one block."""

from dataclasses import replace
from datetime import timedelta
from typing import Any
from weakref import WeakKeyDictionary

import pytest
from shapely.affinity import translate

import beside_farm
from checked_season import hand_in, patchy_checks
from featured_farm import LAYERS, work_on
from orchardmap.errors import ParameterError, UnknownError
from orchardmap.model.returns import Stretch
from orchardmap.store import farm as farm_store
from orchardmap.store import log
from orchardmap.usecases import (
    brief_publishing,
    briefing,
    closing,
    counting,
    farm_features,
    farm_setting,
    feature_shelf,
    ground_editing,
    hazard_lines,
    planting,
    recording,
    returning,
)
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.feature_sheets import Want
from orchardmap.usecases.layers import batches
from orchardmap.usecases.planting import BlockPlan, new_id
from orchardmap.usecases.returning import NewReturn
from small_farm import NOW, OUTLINE, PLANTING, TODAY, small_farm, withdrawal

YESTERDAY = TODAY - timedelta(days=1)
WANTS = [Want(layer, last=last, limit=10_000) for layer in LAYERS for last in (None, YESTERDAY)]
WANTS.append(Want("checks", limit=10_000, people_of=()))


def told(store: Any, farm: Any) -> list[Any]:
    return [feature_shelf.page_of(store, farm.farm.id, want, now=NOW) for want in WANTS]


def changes(store: Any, farm: Any) -> list[tuple[str, Any]]:
    """One of each kind of change that a layer may tell of, to be made in this order."""
    at = {"farm_id": farm.farm.id, "sent_at": NOW, "now": NOW}
    block, other = farm.blocks
    mark = farm.mark(row=6, first=1, last=9, block_id=other.id)
    contested = farm.mark(row=6, first=5, last=12, block_id=other.id, crew=1)

    def publish():
        subject = BriefSubject(farm.season.id, block_id=block.id)
        at_farm = {"farm_id": farm.farm.id, "by": None, "now": NOW}
        made = briefing.make_brief(store, subject=subject, start=ReadyMade("tip_renewed"), **at_farm)
        brief_publishing.publish(store, brief_id=made.id, revision=1, **at_farm)

    def send_back():
        asked = NewReturn(new_id(), block.id, farm.crews[0].id, TODAY, stretches=(Stretch(7, 1, 20),))
        returning.make_return(store, farm_id=farm.farm.id, asked=asked, now=NOW)

    def recount():
        counting.recount_row(store, block_id=other.id, row=3, changes={"blanks": [2]}, actor="shell", now=NOW)

    def close():
        span = NOW - timedelta(hours=5), NOW + timedelta(days=1)
        closing.close_block(store, block_id=other.id, span=span, reason="felling", now=NOW)

    def plant():
        plan = BlockPlan("K0", "", block.variety_id, translate(OUTLINE, 0.01), PLANTING)
        planting.plant_blocks(store, farm_id=farm.farm.id, plans=[plan])

    def settings():
        farm_setting.save_settings(store, farm_id=farm.farm.id, changes={"line_base_m": 4.5}, now=NOW)

    def slope():
        ground_editing.edit_block(
            store, block_id=block.id, changes={"slope_percent": 8.0}, actor="shell", now=NOW
        )

    ways = {"farm_id": farm.farm.id, "now": NOW}
    gate, track, pond = beside_farm.SAID[:3]
    return [
        ("gate", lambda: farm_features.add_feature(store, said=gate, **ways)),
        ("track", lambda: farm_features.add_feature(store, said=track, **ways)),
        ("pond", lambda: farm_features.add_feature(store, said=pond, **ways)),
        ("power line", lambda: hazard_lines.add_line(store, line=beside_farm.LINE, **ways)),
        ("settings", settings),
        ("mark", lambda: recording.record_marks(store, marks=[mark], **at)),
        ("contested mark", lambda: recording.record_marks(store, marks=[contested], **at)),
        ("withdrawal", lambda: recording.record_withdrawals(store, withdrawals=[withdrawal(mark)], **at)),
        ("checks", lambda: hand_in(store, farm, [replace(one, id=new_id(), block_id=other.id) for one in patchy_checks(farm)])),
        ("brief", publish),
        ("return", send_back),
        ("count", recount),
        ("closure", close),
        ("slope", slope),
        ("crew", lambda: planting.add_crew(store, farm_id=farm.farm.id, name="Crew D")),
        ("block", plant),
    ]  # fmt: skip


@pytest.fixture
def farm(store):
    made = small_farm(store)
    work_on(store, made)
    return made


def test_what_is_kept_is_what_would_be_made_anew(store, farm, monkeypatch):
    """After each kind of change; nearly all of them change some answer, or it would prove nothing."""
    before = told(store, farm)
    told_of = set()
    for name, make in changes(store, farm):
        make()
        kept = told(store, farm)
        with monkeypatch.context() as patched:
            patched.setattr(feature_shelf, "_shelves", WeakKeyDictionary())
            assert kept == told(store, farm), name
        if kept != before:
            told_of.add(name)
        before = kept
    assert told_of >= {
        "mark",
        "contested mark",
        "withdrawal",
        "checks",
        "return",
        "count",
        "closure",
        "slope",
        "block",
        "gate",
        "track",
        "pond",
        "power line",
        "settings",
    }


def test_mark_costs_its_own_block_and_pay_costs_nothing(store, farm, monkeypatch):
    made: list[tuple[str, Any]] = []

    def noted(read, layer, block_ids=None):
        made.append((layer, block_ids))
        return batches(read, layer, block_ids)

    told(store, farm)
    monkeypatch.setattr(feature_shelf, "batches", noted)
    told(store, farm)
    assert made == [], "nothing has changed"
    mark = farm.mark(row=9, block_id=farm.blocks[1].id)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[mark], sent_at=NOW, now=NOW)
    told(store, farm)
    asked = dict(made)
    own = {farm.blocks[1].id}
    assert asked == {"rows": own, "marks": own, "checks": own, "progress": None, "weak_areas": None}


def test_gate_costs_its_own_kind_of_layer_and_a_farm_without_blocks_is_told_of_its_power_lines(
    store, farm, monkeypatch
):
    made: list[str] = []

    def noted(read, layer, block_ids=None):
        made.append(layer)
        return batches(read, layer, block_ids)

    told(store, farm)
    monkeypatch.setattr(feature_shelf, "batches", noted)
    farm_features.add_feature(store, farm_id=farm.farm.id, said=beside_farm.SAID[0], now=NOW)
    told(store, farm)
    assert set(made) == {"farm_points", "farm_lines", "farm_areas"}
    bare = planting.create_farm(store, name=new_id(), time_zone="UTC", now=NOW)
    want = Want("power_lines", limit=10)
    assert feature_shelf.page_of(store, bare.id, want, now=NOW).matched == 0
    hazard_lines.add_line(store, farm_id=bare.id, line=beside_farm.LINE, now=NOW)
    (before,) = feature_shelf.page_of(store, bare.id, want, now=NOW).texts
    farm_setting.save_settings(store, farm_id=bare.id, changes={"line_base_m": 4.5}, now=NOW)
    (after,) = feature_shelf.page_of(store, bare.id, want, now=NOW).texts
    assert ('"clearance_m":3.25' in before, '"clearance_m":4.7' in after) == (True, True)


def test_what_happened_is_found_in_whichever_season_of_the_days_that_are_asked_for(store, farm):
    """Without days it is that of this season, as on the map; a single one is found by its id whenever it was."""
    opens = TODAY.replace(year=TODAY.year - 2, month=12, day=1)
    ends = opens + timedelta(days=90)
    before = planting.add_season(store, farm_id=farm.farm.id, name="Before", opens_on=opens, must_finish_on=ends)  # fmt: skip
    then = opens + timedelta(days=20)
    early = farm.mark(row=9, season_id=before.id, day=then, device_at=NOW)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[early], sent_at=NOW, now=NOW)
    now_ids = set(page_ids(store, farm, Want("marks", limit=1000)))
    assert early.id not in now_ids
    any_season = Want("marks", limit=1000, any_season=True)
    assert set(page_ids(store, farm, any_season)) == {*now_ids, early.id}
    assert page_ids(store, farm, any_season) == sorted({*now_ids, early.id}, key=order_in_blocks(store, farm))
    assert page_ids(store, farm, replace(any_season, first=then, last=then)) == [early.id]
    assert set(page_ids(store, farm, replace(any_season, first=then + timedelta(1)))) == now_ids
    fresh = farm.mark(row=12, season_id=before.id, day=then, device_at=NOW)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[fresh], sent_at=NOW, now=NOW)
    assert set(page_ids(store, farm, any_season)) == {*now_ids, early.id, fresh.id}, "mended as others are"
    for one in (early.id, *list(now_ids)[:1]):
        assert one in feature_shelf.feature_of(store, farm.farm.id, any_season, one, now=NOW)


def order_in_blocks(store: Any, farm: Any) -> Any:
    """By block, then by id: as pages go on."""
    with store.read() as conn:
        of_block = {
            str(mark.id): str(mark.block_id)
            for season in farm_store.seasons(conn, farm.farm.id)
            for mark in log.marks_of_blocks(conn, [block.id for block in farm.blocks], season.id)
        }
    return lambda one: (of_block[one], one)


def page_ids(store: Any, farm: Any, want: Want) -> list[str]:
    import json

    page = feature_shelf.page_of(store, farm.farm.id, want, now=NOW)
    return [json.loads(text)["id"] for text in page.texts]


def test_pages_go_on_rightly_while_features_come_and_go(store, farm):
    """Between two pages of marks one that was told is taken back, so is one that was not, and another one comes: none is told twice or missed."""
    want = Want("marks", limit=10)
    first = feature_shelf.page_of(store, farm.farm.id, want, now=NOW)
    seen = page_ids(store, farm, want)
    last_seen = seen[-1]
    everything = page_ids(store, farm, Want("marks", limit=1000))
    gone = everything[15]
    by_id = {"farm_id": farm.farm.id, "sent_at": NOW, "now": NOW}
    for mark_id in (last_seen, gone):
        taken_back = replace(withdrawal(farm.mark()), mark_id=mark_id)
        recording.record_withdrawals(store, withdrawals=[taken_back], **by_id)
    fresh = farm.mark(row=11, block_id=farm.blocks[1].id)
    recording.record_marks(store, marks=[fresh], **by_id)
    rest = page_ids(store, farm, replace(want, after=first.next_after, limit=1000))
    assert rest == [*(one for one in everything[10:] if one != gone), fresh.id]
    assert set(seen).isdisjoint(rest)


def test_place_to_go_on_from_must_be_one(store, farm):
    with pytest.raises(ParameterError, match="no page ends there"):
        feature_shelf.page_of(store, farm.farm.id, Want("rows", after="nonsense"), now=NOW)
    beyond = feature_shelf.page_of(store, farm.farm.id, Want("rows", after="zzz~zzz"), now=NOW)
    assert (beyond.texts, beyond.matched, beyond.next_after) == ([], 50, None)


def test_another_farms_features_are_not_there(store, farm):
    other = small_farm(store, "Other Farm")
    row = f"{farm.blocks[0].id}.1"
    assert row in feature_shelf.feature_of(store, farm.farm.id, Want("rows"), row, now=NOW)
    with pytest.raises(UnknownError, match="no such feature"):
        feature_shelf.feature_of(store, other.farm.id, Want("rows"), row, now=NOW)
    assert feature_shelf.page_of(store, other.farm.id, Want("marks"), now=NOW).matched == 0


def test_kept_layers_are_bounded(store, farm, monkeypatch):
    """The layer asked for longest ago goes first."""
    monkeypatch.setattr(feature_shelf, "_shelves", WeakKeyDictionary())
    monkeypatch.setattr(feature_shelf, "_MOST_FEATURES", 60)
    for want in (Want("rows"), Want("marks"), Want("blocks")):
        feature_shelf.page_of(store, farm.farm.id, want, now=NOW)
    (shelf,) = feature_shelf._shelves.values()
    assert [key[1] for key in shelf] == ["marks", "blocks"]
