"""Checks as they are read, on both engines: the verdict by the findings, whose tree it was, and what counts of them."""

from dataclasses import replace
from datetime import timedelta

import pytest

from drawn_lots import add_lot
from orchardmap.errors import InputError
from orchardmap.model.brief import Draft
from orchardmap.model.work import RecordSettlement
from orchardmap.store import briefs
from orchardmap.usecases import blocks, brief_publishing, briefing, glance, recording, settling
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.checked_trees import read_checks
from orchardmap.usecases.moments import moment
from orchardmap.usecases.planting import new_id
from orchardmap.work.identity import content_hash
from orchardmap.work.intake import SET_ASIDE
from small_farm import NOW, TODAY, small_farm

FAR = (("limb-count", 99.0),)
"""Far too many limbs for any brief here."""


@pytest.fixture
def farm(store):
    return small_farm(store)


def published(store, farm, *lows):
    """The brief of block 0's variety, published once with each least number of limbs."""
    subject = BriefSubject(farm.season.id, variety_id=farm.blocks[0].variety_id)
    made = briefing.make_brief(
        store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    for low in lows:
        with store.read() as conn:
            kept = briefs.draft(conn, made.id)
        points = tuple(replace_low(point, low) for point in kept.content.points)
        draft = Draft(replace(kept.content, points=points), kept.revision + 1, NOW, None)
        brief_publishing.save_draft(store, farm_id=farm.farm.id, brief_id=made.id, draft=draft)
        brief_publishing.publish(
            store, farm_id=farm.farm.id, brief_id=made.id, revision=draft.revision, by=None, now=NOW
        )
    return made.id


def replace_low(point, low):
    return replace(point, low=low) if point.key == "limb-count" else point


def take(store, farm, *checks):
    return recording.record_checks(store, farm_id=farm.farm.id, checks=checks, sent_at=NOW, now=NOW)


def mark(store, farm, *marks):
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)


def read(store, farm, *, day=None, **more):
    with store.read() as conn:
        found = read_checks(conn, moment(conn, farm.farm.id, day, NOW), **more)
    return {check.id: check for check in found}


def test_verdict_is_that_of_the_findings_by_the_version_named_else_the_one_said(store, farm):
    """Two versions judge the same findings differently; a version nobody knows, or another farm's, judges nothing."""
    brief, foreign = published(store, farm, 10, 16), published(store, small_farm(store, new_id()), 10)
    found = (("limb-count", 14.0), ("of-tomorrow", True))
    by_brief = {
        (brief, 1): ("meets", (), ("limb-count",)),
        (brief, 2): ("faulty", ("limb-count",), ("limb-count",)),
        (brief, 3): ("minor", (), ()),
        (foreign, 1): ("minor", (), ()),
        (brief, None): ("minor", (), ()),
        (None, None): ("minor", (), ()),
    }
    checks = {
        named: farm.check(verdict="minor", brief_id=named[0], brief_version=named[1], findings=found)
        for named in by_brief
    }
    plain = farm.check(verdict="faulty", brief_id=brief, brief_version=1)
    nothing = farm.check(verdict="faulty", brief_id=brief, brief_version=2, findings=())
    take(store, farm, *checks.values(), plain, nothing)
    told = read(store, farm)
    for named, expected in by_brief.items():
        one = told[checks[named].id]
        assert (one.verdict, one.failed, one.judged) == expected, named
    assert (told[plain.id].verdict, told[plain.id].judged) == ("faulty", ())
    assert told[nothing.id].verdict == "meets", "no point could be judged, so none was missed"


def test_tree_is_of_the_crew_credited_on_the_day_looked_at(store, farm):
    """Nobody's where nothing is pruned, and pruned but nobody's where two crews claim it."""
    mark(store, farm, farm.mark(1, 1, 10, day=TODAY - timedelta(days=1)), farm.mark(1, 8, 20, crew=1))
    trees = {position: farm.check(1, position, day=TODAY - timedelta(days=1)) for position in (5, 9, 15, 40)}
    take(store, farm, *trees.values())
    own, other = farm.crews[0].id, farm.crews[1].id
    now = read(store, farm)
    assert [(now[c.id].crew_id, now[c.id].is_pruned) for c in trees.values()] == [
        (own, True), (None, True), (other, True), (None, False),
    ]  # fmt: skip
    before = read(store, farm, day=TODAY - timedelta(days=1), block_ids=[farm.blocks[0].id])
    assert [before[c.id].crew_id for c in trees.values()] == [own, own, None, None]
    assert read(store, farm, day=TODAY - timedelta(days=2)) == {}
    assert read(store, farm, block_ids=[farm.blocks[1].id]) == {}


def test_glance_judges_by_the_findings_and_leaves_second_looks_out(store, farm):
    """A second look tells how auditors agree: the tree keeps the verdict of the first one, though it is later."""
    brief = published(store, farm, 10)
    mark(store, farm, farm.mark(1))
    first = farm.check(1, 3, verdict="meets", findings=FAR, brief_id=brief, brief_version=1)
    second = farm.check(1, 3, verdict="meets", second=True, device_at=NOW + timedelta(minutes=1))
    elsewhere = farm.check(1, 4, verdict="faulty", second=True)
    take(store, farm, first, second, elsewhere)
    told = glance.overview(store, farm.farm.id, day=None, now=NOW)["blocks"][0]
    assert [told[key] for key in ("checked", "faulty", "meets", "drawn", "drawn_faulty")] == [1, 1, 0, 1, 1]


def test_lot_of_another_farm_is_none(store, farm):
    """Whether another farm has such a lot is not told: it is set aside as a lot that nobody has."""
    other, lot = small_farm(store, new_id()), new_id()
    with store.write() as conn:
        add_lot(conn, lot, (other.farm.id, other.season.id, farm.blocks[0].id), [(1, 3, False)])
    told = take(store, farm, farm.check(1, 3, lot_id=lot), farm.check(1, 3, lot_id=new_id()))
    assert [one.reason for one in told] == [SET_ASIDE["unknown_lot"]] * 2


@pytest.mark.parametrize("is_there", [True, False])
def test_manager_may_let_a_check_count_for_a_lot_that_is_there_alone(store, farm, is_there):
    """The lot is asked again before a manager's word is taken, as row and season are."""
    lot = new_id()
    if is_there:
        with store.write() as conn:
            add_lot(conn, lot, (farm.farm.id, farm.season.id, farm.blocks[0].id), [(1, 3, False)])
    one = farm.check(1, 3, lot_id=lot)
    other = replace(one, verdict="faulty")
    take(store, farm, one, other)
    hashes = frozenset((content_hash(one), content_hash(other)))
    word = RecordSettlement(new_id(), 0, "check", one.id, content_hash(other), hashes)
    said = {"farm_id": farm.farm.id, "said": word, "settled_by": None, "now": NOW}
    if is_there:
        settling.settle(store, **said)
    else:
        with pytest.raises(InputError, match="the lot is not one of this block"):
            settling.settle(store, **said)
    assert [check.verdict for check in read(store, farm).values()] == ["faulty"] * is_there


def test_state_tells_lot_missed_points_and_second_look_and_what_the_points_say(store, farm):
    brief, lot = published(store, farm, 10), new_id()
    of = (farm.farm.id, farm.season.id, farm.blocks[0].id)
    with store.write() as conn:
        add_lot(conn, lot, of, [(1, 3, False), (1, 4, True)])
    by = {"brief_id": brief, "brief_version": 1}
    missed = farm.check(1, 3, lot_id=lot, findings=FAR, **by)
    look = farm.check(1, 3, lot_id=lot, second=True, device_at=NOW + timedelta(seconds=1))
    walked = farm.check(1, 5, drawn=False)
    stray = farm.check(1, 5, lot_id=lot)
    told = take(store, farm, missed, look, walked, stray)
    assert [one.outcome for one in told] == ["taken", "taken", "taken", "set_aside"]
    state = blocks.block_state(store, farm.blocks[0].id, day=None, now=NOW)
    lines = {line[0]: line[3:4] + line[7:] for line in state["checks"]}
    assert lines == {
        missed.id: ["faulty", True, lot, ["limb-count"], False, False],
        look.id: ["meets", True, lot, [], False, True],
        walked.id: ["meets", False, None, [], False, False],
    }
    assert list(state["point_words"]) == ["limb-count"]
    assert "limbs" in state["point_words"]["limb-count"]
    other = blocks.block_state(store, farm.blocks[1].id, day=None, now=NOW)
    assert (other["checks"], other["point_words"]) == ([], {})
