"""What lots make of a block at a glance, of lists and of packs. On both engines."""

from dataclasses import replace
from datetime import timedelta

import pytest

from lot_seasons import (
    ago,
    area_return,
    check,
    draw,
    farm_with_work,
    go_over,
    hand_in,
    publish,
    read,
    record,
    send_back,
    summary,
    wanting,
)
from orchardmap.model.brief import Draft
from orchardmap.pruning.brief_texts import point_pictures
from orchardmap.quality.plan import sampling_plan
from orchardmap.store import briefs
from orchardmap.usecases import (
    brief_publishing,
    farm_setting,
    glance,
    lot_drawing,
    lot_packs,
    lot_reading,
    packs,
    planting,
)
from small_farm import NOW, TODAY


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    return farm_with_work(store)


def test_a_lot_keeps_its_brief_version_when_a_new_one_is_published_and_packs_carry_it(store, farm):
    brief = publish(store, farm)
    lot = draw(store, farm)
    (before,) = packs.packs(store, farm.farm.id, [farm.blocks[0].id], now=NOW)["blocks"]
    assert (before["lots"][0]["brief_version"], before["lots"][0]["brief"]) == (1, None)
    with store.read() as conn:
        first = briefs.draft(conn, brief).content
    dropped, *kept = first.points
    only_there = {point.picture for point in first.points} - {point.picture for point in kept}
    assert only_there == {dropped.picture}
    draft = Draft(replace(first, points=tuple(kept)), 2, NOW, None)
    brief_publishing.save_draft(store, farm_id=farm.farm.id, brief_id=brief, draft=draft)
    brief_publishing.publish(store, farm_id=farm.farm.id, brief_id=brief, revision=2, by=None, now=NOW)
    told = packs.packs(store, farm.farm.id, [farm.blocks[0].id], now=NOW)
    (after,) = told["blocks"]
    assert (after["brief"]["version"], after["lots"][0]["brief"]["version"]) == (2, 1)
    assert read(store, lot)["brief"]["version"] == 1
    assert set(told["pictures"]) > set(point_pictures([draft.content]))


def test_packs_take_open_lots_and_those_decided_lately_and_tell_which_are_cancelled(store, farm):
    """An auditor makes a second look on another day than the first one; two weeks later the trees are others."""
    record(store, farm, farm.mark(5, 1, 50, crew=2))
    open_lot, done, gone = draw(store, farm, 0, extra=2), draw(store, farm, 1), draw(store, farm, None)
    lot_drawing.cancel_lot(store, gone.id, reason="rain", now=NOW)
    check(store, farm, done)
    block = farm.blocks[0].id
    answer = lot_packs.block_lots(store, block, now=NOW)
    told = answer["lots"]
    assert [(one["id"], one["decided_on"]) for one in told] == [
        (open_lot.id, None),
        (done.id, TODAY.isoformat()),
    ]
    assert answer["cancelled"] == [{"id": gone.id, "number": gone.number}]
    (pack,) = packs.packs(store, farm.farm.id, [block], now=NOW)["blocks"]
    assert (pack["lots"], pack["lots_cancelled"]) == (told, answer["cancelled"])
    assert told[0]["trees"] == [list(tree) for tree in open_lot.trees]
    assert told[0]["reserve"] == [list(tree) for tree in open_lot.reserve]
    drawn = [(tree.row, tree.position) for tree in open_lot.trees]
    assert sorted(map(tuple, told[0]["walk"])) == sorted([*drawn, *open_lot.reserve])
    for days, ids in ((13, [open_lot.id, done.id]), (14, [open_lot.id])):
        later = lot_packs.block_lots(store, block, now=NOW + timedelta(days=days))
        assert [one["id"] for one in later["lots"]] == ids


def test_block_at_a_glance_goes_by_its_lots(store, farm):
    before = summary(store, farm)
    assert (before["lots_open"], before["uninspected"], before["verdict"]) == (0, 335, "too_few")
    one = draw(store, farm, 0)
    told = summary(store, farm)
    assert (told["lots_open"], told["uninspected"], told["verdict"], told["must_check"], told["may_fail"]) == (
        1, 125, "too_few", 13, 1,
    )  # fmt: skip
    check(store, farm, one, faulty=1)
    told = summary(store, farm)
    assert (told["verdict"], told["drawn"], told["drawn_faulty"], told["lots_open"]) == (
        "accepted_in_part",
        13,
        1,
        0,
    )
    other = draw(store, farm, 1)
    check(store, farm, other, faulty=other.reject)
    told = summary(store, farm)
    assert (told["verdict"], told["must_check"], told["may_fail"]) == ("send_back", 13 + other.n, None)
    assert summary(store, farm, TODAY - timedelta(days=1))["verdict"] == "not_begun"
    lot_drawing.cancel_lot(store, other.id, reason="wrong crew", now=NOW)
    assert summary(store, farm)["verdict"] == "accepted_in_part"


def test_a_block_is_accepted_only_as_far_as_it_was_judged_until_nine_trees_of_ten_were(store, farm):
    """210 of 335 pruned trees are judged, then 315 of them; after 200 more are pruned it is 315 of 535 again."""
    check(store, farm, draw(store, farm, 0))
    told = summary(store, farm)
    assert (told["verdict"], told["pruned"], told["uninspected"]) == ("accepted_in_part", 335, 125)
    overview = glance.overview(store, farm.farm.id, day=None, now=NOW)
    assert overview["figures"]["lots"] == {"accepted": 0, "accepted_in_part": 1, "send_back": 0, "too_few": 0}
    check(store, farm, draw(store, farm, 1))
    assert (summary(store, farm)["verdict"], summary(store, farm)["uninspected"]) == ("accepted", 20)
    record(store, farm, farm.mark(7), farm.mark(8, 1, 95))
    told = summary(store, farm)
    assert (told["verdict"], told["pruned"], told["uninspected"]) == ("accepted_in_part", 535, 220)
    lot = draw(store, farm, 0)
    assert summary(store, farm)["verdict"] == "too_few"
    check(store, farm, lot, faulty=lot.reject)
    assert summary(store, farm)["verdict"] == "send_back"


def test_list_tells_what_is_in_no_lot_by_block_and_crew(store, farm):
    draw(store, farm, 1)
    assert wanting(store, farm)[0] == [("K1", "Crew A", 210)]
    told = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)
    assert [(one["number"], one["block_code"], one["crew"]) for one in told["lots"]] == [(1, "K1", "Crew B")]
    assert "oc" not in told["lots"][0]


def test_a_block_without_lots_is_held_to_the_farms_own_plan(store, farm):
    assert summary(store, farm)["must_check"] == sampling_plan(335, level="I", aql=4.0).n
    farm_setting.save_settings(store, farm_id=farm.farm.id, changes={"check_level": "III"}, now=NOW)
    told = summary(store, farm)
    plan = sampling_plan(335, level="III", aql=4.0)
    assert (told["must_check"], told["may_fail"]) == (plan.n, plan.accept)


def test_lots_of_a_season_gone_by_are_told_as_they_ended(store, farm):
    lot = draw(store, farm)
    check(store, farm, lot, faulty=1)
    planting.add_season(
        store,
        farm_id=farm.farm.id,
        name="2026/27",
        opens_on=TODAY + timedelta(days=200),
        must_finish_on=TODAY + timedelta(days=300),
    )
    later = NOW + timedelta(days=250)
    assert lot_reading.farm_lots(store, farm.farm.id, language="en", now=later)["lots"] == []
    told = lot_reading.full_lot(store, lot.id, language="en", now=later)
    assert (told["verdict"], told["faulty"]) == ("accepted", 1)


def test_checks_of_a_lot_that_was_taken_back_judge_its_block_no_more(store, farm):
    lot = draw(store, farm, None)
    check(store, farm, lot, faulty=lot.reject)
    assert summary(store, farm)["verdict"] == "send_back"
    lot_drawing.cancel_lot(store, lot.id, reason="wrong block", now=NOW)
    told = summary(store, farm)
    assert (told["drawn"], told["drawn_faulty"], told["verdict"]) == (0, 0, "too_few")


def test_faulty_trees_that_were_gone_over_since_are_told_apart_from_those_that_stand(store, farm):
    """They leave the faulty trees of block and farm with the mark that goes over them; the verdict waits for the recheck."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    figures = (
        "checked",
        "meets",
        "faulty",
        "gone_over",
        "drawn",
        "drawn_faulty",
        "faulty_gone_over",
        "verdict",
    )

    def told():
        return [summary(store, farm)[name] for name in figures]

    assert told() == [13, 10, 3, 0, 13, 3, 0, "send_back"]
    asked = send_back(store, farm, lot)
    go_over(store, farm, asked, 50)
    assert told() == [13, 0, 0, 13, 13, 0, 3, "send_back"]
    again = draw(store, farm, None, return_id=asked.id)
    check(store, farm, again, faulty=1, **ago(40))
    seen, drawn = told(), {(tree.row, tree.position) for one in (lot, again) for tree in one.trees}
    assert seen[4:] == [13 + again.n, 1, 3, "accepted_in_part"]
    assert seen[:4] == [len(drawn), again.n - 1, 1, len(drawn) - again.n]
    farm_figures = glance.overview(store, farm.farm.id, day=None, now=NOW)["figures"]
    assert [farm_figures[name] for name in figures[:-1]] == seen[:-1]


def test_a_block_without_lots_is_judged_by_what_was_found_whatever_was_gone_over_since(store, farm):
    hand_in(
        store,
        farm,
        *(farm.check(1, at, verdict="faulty", drawn=True, **ago(60)) for at in range(1, 8)),
    )
    before = summary(store, farm)
    assert (before["verdict"], before["drawn_faulty"]) == ("send_back", 7)
    go_over(store, farm, area_return(store, farm, (1, 1)), 50)
    after = summary(store, farm)
    assert (after["verdict"], after["drawn_faulty"], after["faulty_gone_over"]) == ("send_back", 0, 7)


def test_a_faulty_tree_that_is_judged_anew_is_told(store, farm):
    """The last look counts, whoever made it and in whatever order the records came; the page says how many verdicts it changed."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=2, trees=2)
    check(store, farm, lot, faulty=3, **ago(60))
    told = read(store, lot)
    assert (told["verdict"], told["faulty"]) == ("send_back", 3)
    assert not any("judged anew" in one for one in told["sentences"])
    check(store, farm, lot, trees=3, device_at=NOW + timedelta(minutes=1))
    told = read(store, lot)
    assert (told["verdict"], told["faulty"]) == ("accepted", 0)
    assert told["sentences"][-1] == (
        "Trees found faulty at first and judged anew since as not faulty: 3. The last look at a tree counts."
    )
    assert "{" not in " ".join(read(store, lot, "es")["sentences"])
