"""Correcting what was entered once: dates and names change, what was recorded does not, and every reader hears of it."""

from datetime import UTC, date, datetime, timedelta

import pytest

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.store import audit, log
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import correcting, ground_editing, planting, recording
from orchardmap.usecases.blocks import block_marks
from orchardmap.usecases.glance import overview
from orchardmap.usecases.planting import By, new_id
from orchardmap.usecases.reporting import farm_pack
from small_farm import NOW, TODAY, small_farm

BY = By("maud", datetime(2026, 1, 20, 16, tzinfo=UTC))


@pytest.fixture
def store(tmp_path):
    made = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    yield made
    made.close()


def correct(store, farm, season=None, **changes):
    season_id = (season or farm.season).id
    return correcting.correct_season(store, farm_id=farm.farm.id, season_id=season_id, changes=changes, by=BY)


def kinds_after(store, farm, cursor):
    with store.read() as conn:
        return [change.kind for change in log.changes_after(conn, farm.farm.id, cursor, limit=100)]


def cursor_of(store, farm):
    with store.read() as conn:
        return log.cursor(conn, farm.farm.id)


def noted(store):
    with store.read() as conn:
        return [(entry.what, entry.actor) for entry in audit.entries(conn) if entry.actor == "maud"]


def test_later_must_finish_date_is_told_at_once_and_what_was_pruned_stays(store):
    farm = small_farm(store)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[farm.mark()], sent_at=NOW, now=NOW)
    before = overview(store, farm.farm.id, day=None, now=NOW)["figures"]
    at = cursor_of(store, farm)
    made = correct(store, farm, name=" Winter  25 ", must_finish_on=date(2026, 4, 1))
    assert (made.name, made.must_finish_on) == ("Winter 25", date(2026, 4, 1))
    pack = farm_pack(store, farm.farm.id, now=NOW)
    assert (pack["season"]["name"], pack["season"]["must_finish_on"]) == ("Winter 25", "2026-04-01")
    after = overview(store, farm.farm.id, day=None, now=NOW)["figures"]
    assert after["pruned"] == before["pruned"] > 0
    assert after["working_days_left"] > before["working_days_left"]
    assert kinds_after(store, farm, at) == ["season"], "every reader hears of it"
    correct(store, farm, must_finish_on=date(2026, 4, 1))
    assert noted(store) == [("season_corrected", "maud")], "saying the same again is no change"


def test_days_that_cannot_be_are_refused_and_nothing_changes(store):
    farm = small_farm(store)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[farm.mark()], sent_at=NOW, now=NOW)
    at = cursor_of(store, farm)
    with pytest.raises(InputError, match="must finish after it opens"):
        correct(store, farm, must_finish_on=farm.season.opens_on)
    with pytest.raises(InputError, match=f"recorded from {TODAY} on"):
        correct(store, farm, opens_on=TODAY + timedelta(1))
    with pytest.raises(UnknownError):
        correcting.correct_season(store, farm_id=farm.farm.id, season_id=new_id(), changes={}, by=BY)
    assert kinds_after(store, farm, at) == []
    assert correct(store, farm, opens_on=TODAY).opens_on == TODAY, "the first day worked is in it"


def test_seasons_keep_their_order_and_their_names_apart(store):
    """A day is of the season opened last: one that jumped over another would take its days."""
    farm = small_farm(store)
    opens = farm.season.opens_on + timedelta(365)
    after = planting.add_season(
        store, farm_id=farm.farm.id, name="Next", opens_on=opens, must_finish_on=opens + timedelta(90)
    )
    for day in (farm.season.opens_on, farm.season.opens_on - timedelta(1)):
        with pytest.raises(ConflictError, match="opens on"):
            correct(store, farm, after, opens_on=day)
    with pytest.raises(ConflictError, match="season of that name"):
        correct(store, farm, after, name=farm.season.name)
    assert correct(store, farm, after, opens_on=opens + timedelta(7)).opens_on == opens + timedelta(7)


def test_crew_person_and_variety_get_another_name(store):
    farm = small_farm(store)
    at = cursor_of(store, farm)
    correcting.correct_crew(
        store, farm_id=farm.farm.id, crew_id=farm.crews[0].id, changes={"name": "Rook"}, by=BY
    )
    correcting.rename_person(store, farm_id=farm.farm.id, person_id=farm.auditor.id, name="Idris Vane", by=BY)
    variety = farm.blocks[0].variety_id or ""
    ground_editing.edit_variety(
        store, farm_id=farm.farm.id, variety_id=variety, changes={"name": "Ashmead's Kernel"}, now=NOW
    )
    pack = farm_pack(store, farm.farm.id, now=NOW)
    kinds = ("crews", "people", "varieties")
    names = {kind: {one["id"]: one["name"] for one in pack[kind]} for kind in kinds}
    assert names["people"][farm.auditor.id] == "Idris Vane"
    assert names["crews"][farm.crews[0].id] == "Rook"
    assert names["varieties"][variety] == "Ashmead's Kernel"
    assert set(kinds_after(store, farm, at)) == {"crew", "person", "variety"}
    with pytest.raises(ConflictError, match="crew of that name"):
        correcting.correct_crew(
            store, farm_id=farm.farm.id, crew_id=farm.crews[1].id, changes={"name": "Rook"}, by=BY
        )
    with pytest.raises(UnknownError):
        correcting.rename_person(store, farm_id=farm.farm.id, person_id=farm.crews[0].id, name="X", by=BY)
    assert noted(store) == [("crew_corrected", "maud"), ("person_renamed", "maud")]


def test_crew_that_changes_its_method_keeps_what_was_said_of_its_marks(store):
    farm = small_farm(store)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[farm.mark()], sent_at=NOW, now=NOW)
    crew, block = farm.crews[0], farm.blocks[0].id

    def told():
        [mark] = block_marks(store, block, now=NOW)
        return mark["method"], mark["day"]

    before = told()
    other = "platform" if crew.method != "platform" else "ground"
    correcting.correct_crew(store, farm_id=farm.farm.id, crew_id=crew.id, changes={"method": other}, by=BY)
    crews = {one["id"]: one for one in farm_pack(store, farm.farm.id, now=NOW)["crews"]}
    assert (crews[crew.id]["name"], crews[crew.id]["method"]) == (crew.name, other)
    assert told() == before


def test_farm_gets_another_name_and_time_zone_and_the_days_of_its_records_stay(store):
    farm = small_farm(store)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[farm.mark()], sent_at=NOW, now=NOW)
    before = overview(store, farm.farm.id, day=None, now=NOW)["figures"]["pruned"]
    at = cursor_of(store, farm)

    def say(**changes):
        return correcting.correct_farm(store, farm_id=farm.farm.id, changes=changes, by=BY)

    # ten in the evening there: the farm's day is still the one before
    night = NOW.replace(hour=2)
    say(name=" Far  Meadow ", time_zone="America/Los_Angeles")
    pack = farm_pack(store, farm.farm.id, now=night)
    assert (pack["name"], pack["time_zone"]) == ("Far Meadow", "America/Los_Angeles")
    assert date.fromisoformat(pack["today"]) == night.date() - timedelta(1)
    assert overview(store, farm.farm.id, day=None, now=NOW)["figures"]["pruned"] == before > 0
    assert kinds_after(store, farm, at) == ["farm"], "every reader hears of it"
    planting.create_farm(store, name="Long Meadow", time_zone="UTC", now=NOW)
    with pytest.raises(ConflictError, match="farm of that name"):
        say(name="Long Meadow")
    with pytest.raises(InputError, match="no time zone"):
        say(time_zone="Mars/Olympus")
    with pytest.raises(InputError, match="name of 1 to 200"):
        say(name="  ")
    with pytest.raises(UnknownError):
        correcting.correct_farm(store, farm_id=new_id(), changes={}, by=BY)
    say(name="Far Meadow")
    assert noted(store) == [("farm_corrected", "maud")], "saying the same again is no change"
