"""Crews and auditors over the service: no crew is blamed for its block or for chance, none is ranked, and no worker is named."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from checked_season import drawn_checks, hand_in, prune
from drawn_lots import add_lot
from orchardmap.usecases import brief_publishing, briefing, planting
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY


def crew_quality(service, **params):
    answer = service.client.get(service.at_farm("/crew-quality"), params=params)
    assert answer.status_code == 200, answer.text
    return answer.json()


def by_name(told):
    return {one["crew"]: one for one in told["crews"]}


@pytest.fixture
def pruned(service):
    """Both blocks are pruned, odd rows by crew A and even ones by crew B."""
    for block in (0, 1):
        prune(service.store, service.farm, block=block, crew_of=lambda row: 1 - row % 2)
    return service


def test_a_bad_block_is_blamed_on_no_crew(pruned):
    """K1 has four times the faulty trees of K2; crew A was checked mostly in K1, crew B mostly in K2."""
    farm, rng = pruned.farm, np.random.default_rng(4)
    bad = drawn_checks(farm, rng, trees_a_row=8, is_faulty=lambda row, at: rng.random() < 0.4)
    good = drawn_checks(farm, rng, block=1, trees_a_row=8, is_faulty=lambda row, at: rng.random() < 0.1)
    kept = [c for c in bad if c.row % 2 or c.row < 5] + [c for c in good if c.row % 2 == 0 or c.row < 5]
    hand_in(pruned.store, farm, kept)
    told = by_name(crew_quality(pruned))
    a, b = told["Crew A"], told["Crew B"]
    assert a["faulty"] / a["checked"] > 2 * b["faulty"] / b["checked"], "by the bare share A would look bad"
    assert [a["standing"], b["standing"]] == ["as_others", "as_others"]
    assert a["expected"] + b["expected"] == pytest.approx(a["faulty"] + b["faulty"], abs=1e-3)
    assert a["words"].startswith("As was to be expected in its blocks: ")
    assert (a["alone"], a["left_out"]) == (0, 0)


def test_a_crew_that_leaves_more_faulty_trees_in_the_same_rows_is_told_so_with_its_interval(pruned):
    farm, rng = pruned.farm, np.random.default_rng(4)
    checks = drawn_checks(
        farm, rng, trees_a_row=8, is_faulty=lambda row, at: rng.random() < (0.5 if row % 2 else 0.05)
    )
    hand_in(pruned.store, farm, checks)
    told = crew_quality(pruned)
    a, b = by_name(told)["Crew A"], by_name(told)["Crew B"]
    assert (a["standing"], b["standing"]) == ("more_faulty", "fewer_faulty")
    assert a["ratio"] > a["far"][1] > a["near"][1] > 1 > a["near"][0] > a["far"][0]
    assert a["words"].startswith("More faulty trees than chance explains: ")
    assert a["words"].endswith("Go over the brief with the crew.")
    assert a["wilson"][0] < a["faulty"] / a["checked"] < a["wilson"][1]
    assert [one["crew"] for one in told["crews"]] == ["Crew A", "Crew B"], "by name, and crew C has no checks"
    checked, *limits = told["funnel"][-1]
    assert checked == max(a["checked"], b["checked"])
    near_low, near_high, far_low, far_high = limits
    assert far_low <= near_low < told["faulty_share"] < near_high <= far_high
    (habit,) = told["habits"]
    assert habit["habit"] == "tip"
    assert sum(one["checked"] for one in habit["crews"]) == len(checks)
    assert farm.auditor.name not in str(told), "nobody is named"
    assert "Más árboles defectuosos" in by_name(crew_quality(pruned, lang="es"))["Crew A"]["words"]
    yesterday = crew_quality(pruned, day=(TODAY - timedelta(days=1)).isoformat())
    assert (yesterday["crews"], yesterday["faulty_share"], yesterday["funnel"]) == ([], None, [])


def test_where_a_crew_worked_alone_it_is_held_against_the_variety_and_told_so(service):
    """Crew A alone in K1, B alone in K2, of one variety: block and crew cannot be told apart, and the words say it."""
    farm, rng = service.farm, np.random.default_rng(4)
    prune(service.store, farm)
    prune(service.store, farm, block=1, crew_of=lambda row: 1)
    hand_in(service.store, farm, drawn_checks(farm, rng, is_faulty=lambda row, at: rng.random() < 0.4))
    good = drawn_checks(farm, rng, block=1, is_faulty=lambda row, at: rng.random() < 0.05)
    hand_in(service.store, farm, good)
    told = by_name(crew_quality(service))
    assert told["Crew A"]["alone"] == told["Crew A"]["checked"] == 100
    assert told["Crew A"]["standing"] == "more_faulty"
    assert "100 of these trees stand in blocks where no other crew was checked" in told["Crew A"]["words"]


def test_one_crew_alone_on_a_farm_is_held_against_nothing(service):
    prune(service.store, service.farm)
    hand_in(service.store, service.farm, drawn_checks(service.farm, np.random.default_rng(4)))
    (told,) = crew_quality(service)["crews"]
    assert (told["checked"], told["left_out"], told["ratio"]) == (0, 100, None)
    assert told["standing"] == "too_few_checks"
    assert "100 trees are left out" in told["words"]


@pytest.fixture
def twice(either):
    """A lot of 40 trees of block K1, and a second auditor."""
    service, farm = either, either.farm
    prune(service.store, farm)
    other = planting.add_person(service.store, farm_id=farm.farm.id, name="Second", role="auditor")
    lot_id, trees = new_id(), [(1, at, False) for at in range(1, 41)]
    with service.store.write() as conn:
        add_lot(conn, lot_id, (farm.farm.id, farm.season.id, farm.blocks[0].id), trees)
    return service, other, lot_id


def agreement(service, **params):
    answer = service.client.get(service.at_farm("/auditor-agreement"), params=params)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_auditors_agree_as_their_table_says(twice):
    """First 30 trees seen by both: 24 meet for both, 2 faulty for both, 1 and 3 for one of them only."""
    service, other, lot_id = twice
    farm = service.farm
    said = ["mm"] * 24 + ["ff"] * 2 + ["fm"] + ["mf"] * 3
    verdict = {"m": "meets", "f": "faulty"}
    own = [farm.check(1, at, lot_id=lot_id, verdict=verdict[pair[0]]) for at, pair in enumerate(said, 1)]
    again = [
        farm.check(1, at, lot_id=lot_id, verdict=verdict[pair[1]], second=True, auditor_id=other.id)
        for at, pair in enumerate(said, 1)
    ]
    hand_in(service.store, farm, [*again, *own, farm.check(1, 40, lot_id=lot_id)])
    told = agreement(service)
    (pair,) = told["pairs"]
    first = [one["name"] for one in pair["auditors"]].index("Auditor")
    assert {one["name"] for one in pair["auditors"]} == {"Auditor", "Second"}
    assert (told["trees"], pair["trees"]) == (30, 30)
    table = np.array(pair["table"]) if first == 0 else np.array(pair["table"]).T
    assert table.tolist() == [[24, 0, 3], [0, 0, 0], [1, 0, 2]]
    assert pair["percent"]["value"] == pytest.approx(26 / 30)
    assert pair["positive"]["value"] == pytest.approx(2 * 2 / (2 * 2 + 3 + 1))
    # Cohen's kappa by hand: alike 26/30; by chance (27 * 25 + 3 * 5) / 900
    assert pair["kappa"]["value"] == pytest.approx((26 / 30 - 690 / 900) / (1 - 690 / 900))
    assert told["words"][0] == "26 of 30 trees were judged alike (87\xa0%)."
    names = [one["name"] for pair in agreement_of(service, "adviser")["pairs"] for one in pair["auditors"]]
    assert set(names) <= {"", "Auditor", "Second"}


def agreement_of(service, role):
    return service.account(role).get(service.at_farm("/auditor-agreement")).json()


def test_a_second_look_by_the_same_auditor_is_none_and_without_any_it_says_what_to_do(twice):
    service, _, lot_id = twice
    own = service.farm.check(1, 1, lot_id=lot_id)
    hand_in(service.store, service.farm, [own, replace(own, id=new_id(), second=True)])
    told = agreement(service)
    assert (told["trees"], told["pairs"], told["points"]) == (0, [], [])
    assert told["words"] == [
        "No tree was looked at by two auditors yet. Ask for a second look at some trees of a lot."
    ]


def test_second_looks_by_nobody_known_are_left_out_and_told(twice):
    """An auditor who is not named may be the same one: of tree 1 the second look, of tree 2 the first has no name."""
    service, other, lot_id = twice
    farm = service.farm
    unnamed = {"lot_id": lot_id, "auditor_id": None}
    own = [farm.check(1, 1, lot_id=lot_id), farm.check(1, 2, **unnamed), farm.check(1, 3, lot_id=lot_id)]
    again = [farm.check(1, 1, second=True, **unnamed)]
    hand_in(service.store, farm, own + again)
    left_out = "Trees with a second look that are left out, for it is not known who looked: {}. Choose a person before a tree is checked."
    assert agreement(service)["words"] == [left_out.format(1)]
    again = [farm.check(1, at, lot_id=lot_id, second=True, auditor_id=other.id) for at in (2, 3)]
    hand_in(service.store, farm, again)
    told = agreement(service)
    assert (told["trees"], told["words"][0], told["words"][-1]) == (
        1, "1 of 1 trees were judged alike (100\xa0%).", left_out.format(2),
    )  # fmt: skip


def test_points_are_counted_by_crew_by_area_and_by_how_auditors_differ_in_the_words_of_their_brief(twice):
    """Limbs are counted on trees 1 to 12, far too many on the first 6; the second auditor says so of the first 3 only."""
    service, other, lot_id = twice
    farm, store = service.farm, service.store
    subject = BriefSubject(farm.season.id, variety_id=farm.blocks[0].variety_id)
    made = briefing.make_brief(
        store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    brief_publishing.publish(store, farm_id=farm.farm.id, brief_id=made.id, revision=1, by=None, now=NOW)

    def look(at, limbs, **changes):
        said = {
            "lot_id": lot_id,
            "brief_id": made.id,
            "brief_version": 1,
            "findings": (("limb-count", limbs),),
        }
        return farm.check(1, at, **said | changes)

    own = [look(at, 99.0 if at <= 6 else 20.0) for at in range(1, 13)]
    again = [look(at, 99.0 if at <= 3 else 20.0, second=True, auditor_id=other.id) for at in range(1, 13)]
    hand_in(store, farm, [*own, *again, *(farm.check(2, at) for at in range(1, 30))])
    (point,) = crew_quality(service)["points"]
    (crew,) = point["crews"]
    assert (point["key"], crew["checked"], crew["failed"]) == ("limb-count", 12, 6)
    assert crew["wilson"][0] < 0.5 < crew["wilson"][1]
    assert "limbs" in point["sentence"]
    (spanish,) = crew_quality(service, lang="es")["points"]
    assert spanish["sentence"] != point["sentence"]
    assert agreement(service)["points"] == [point_of(point, trees=12, differ=3)]
    (area,) = service.client.get(service.at_farm("/weak-areas")).json()["areas"]
    assert area["points"] == [point_of(point, failed=6)]


def point_of(point, **more):
    return {"key": point["key"], "sentence": point["sentence"], **more}
