"""Who follows the numbered changes and fetches the blocks they name again knows what the service knows, on both engines."""

from dataclasses import replace
from datetime import datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from orchardmap.model.people import Sender
from orchardmap.model.work import Mark, RecordSettlement
from orchardmap.usecases import (
    folding,
    glance,
    history,
    matters,
    packs,
    planting,
    recording,
    reporting,
    settling,
)
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm, withdrawal


class Follower:
    """A tablet that took both blocks along."""

    def __init__(self, store, farm):
        self.store, self.farm = store, farm
        self.cursor = history.cursor(store, farm.farm.id)
        self.known = {block.id: self.fetched(block.id) for block in farm.blocks}

    def fetched(self, block_id):
        told = packs.block_log(self.store, block_id, now=NOW)
        return told["marks"], told["settlements"]

    def follow(self):
        found = history.changes(self.store, self.farm.farm.id, after=self.cursor, limit=100)
        self.cursor = found["cursor"]
        named = {change["block_id"] for change in found["changes"]} - {None}
        self.known |= {block_id: self.fetched(block_id) for block_id in named}
        return named

    def misses_nothing(self):
        return all(self.known[block.id] == self.fetched(block.id) for block in self.farm.blocks)


def hand_in(store, farm, *found, crew=None):
    sender = Sender(None, None if crew is None else farm.crews[crew].id)
    shared = {"farm_id": farm.farm.id, "sent_at": NOW, "now": NOW, "sender": sender}
    recording.record_marks(store, marks=[one for one in found if isinstance(one, Mark)], **shared)
    taken_back = [one for one in found if not isinstance(one, Mark)]
    recording.record_withdrawals(store, withdrawals=taken_back, **shared)


def history_of(draw, farm):
    """Some records of one row in two blocks: two mark ids, two withdrawal ids, so that ids come with several contents."""
    ids, back_ids = [[new_id(), new_id()] for _ in range(2)]
    row = draw.randint(1, 25)
    marks = [
        farm.mark(row, 1, draw.randint(2, 9), crew=draw.randrange(2), id=draw.choice(ids), block_id=draw.choice(farm.blocks).id)
        for _ in range(3)
    ]  # fmt: skip
    back = [
        replace(withdrawal(marks[0]), id=draw.choice(back_ids), mark_id=draw.choice(ids)) for _ in range(3)
    ]
    found = [*marks, *back, *draw.choices([*marks, *back], k=2)]
    draw.shuffle(found)
    return [(one, draw.choice([None, None, 0, 1])) for one in found]


def test_follower_of_named_blocks_knows_what_the_service_knows(store):
    """After every upload and every word of a manager, over histories full of ids that two blocks share."""
    farm = small_farm(store)
    follower, draw = Follower(store, farm), Random(7)
    for _ in range(4):
        for record, crew in history_of(draw, farm):
            hand_in(store, farm, record, crew=crew)
            follower.follow()
            assert follower.misses_nothing(), record
        for one in matters.matters(store, farm.farm.id, now=NOW)["set_aside"]:
            hashes = [version["content_hash"] for version in one["versions"]]
            named = draw.choice([*hashes, None])
            said = RecordSettlement(new_id(), 0, one["kind"], one["id"], named, frozenset(hashes))
            settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)
            follower.follow()
            assert follower.misses_nothing(), said
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_every_block_that_a_contradiction_reaches_is_named(store):
    farm = small_farm(store)
    follower = Follower(store, farm)
    both = {block.id for block in farm.blocks}
    mark = farm.mark(1)
    hand_in(store, farm, mark)
    follower.follow()
    hand_in(store, farm, replace(mark, block_id=farm.blocks[1].id))
    assert follower.follow() == both, "a mark under another block"
    here, there = farm.mark(2), farm.mark(2, block_id=farm.blocks[1].id)
    hand_in(store, farm, here, there, back := withdrawal(here))
    follower.follow()
    hand_in(store, farm, replace(back, mark_id=there.id))
    assert follower.follow() == both, "a withdrawal under another mark"
    hand_in(store, farm, withdrawal(mark))
    assert follower.follow() == both, "a withdrawal of a mark of two contents"
    hand_in(store, farm, withdrawal(there))
    assert follower.follow() == {farm.blocks[1].id}, "and no block that nothing reaches"


def test_new_seasons_and_crews_are_changes_and_everything_names_the_season_of_the_farms_own_day(store):
    """No record turns a season, the farm's midnight does: so each answer must say which one it speaks of."""
    farm = small_farm(store)
    farm_id, block_id, before = farm.farm.id, farm.blocks[0].id, history.cursor(store, farm.farm.id)
    opens, closes = TODAY + timedelta(days=300), TODAY + timedelta(days=400)
    season = planting.add_season(store, farm_id=farm_id, name="next", opens_on=opens, must_finish_on=closes)
    crew = planting.add_crew(store, farm_id=farm_id, name="Crew D")
    found = history.changes(store, farm_id, after=before, limit=9)["changes"]
    assert [(c["kind"], c["subject_id"], c["block_id"]) for c in found] == [
        ("season", season.id, None), ("crew", crew.id, None),
    ]  # fmt: skip
    midnight = datetime.combine(opens, time(), tzinfo=ZoneInfo(farm.farm.time_zone))
    for now, current in ((midnight - timedelta(seconds=1), farm.season), (midnight, season)):
        told = {
            packs.packs(store, farm_id, [block_id], now=now)["blocks"][0]["log"]["season_id"],
            packs.block_log(store, block_id, now=now)["season_id"],
            glance.overview(store, farm_id, day=None, now=now)["season_id"],
            history.progress(store, farm_id, day=None, now=now)["season_id"],
            reporting.farm_pack(store, farm_id, now=now)["season"]["id"],
        }
        assert told == {current.id}
