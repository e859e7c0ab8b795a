"""Crew-days on both engines: kept always, the same ones stand in whatever order they came."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchardmap.model.people import Sender
from orchardmap.model.work import CrewDay
from orchardmap.usecases import history, planting, recording
from orchardmap.usecases.crew_days import blocks_of_day, crew_days_of, record_crew_days, several_standing
from small_farm import NOW, TODAY, small_farm
from thorough import tries


def crew_day(farm, people=6, hours=7.5, *, crew=0, **changes):
    made = CrewDay(
        planting.new_id(), farm.season.id, farm.crews[crew].id, TODAY, people, hours, "ladder", None, "t", NOW
    )
    return replace(made, **changes)


def record(store, farm, *found, **more):
    return record_crew_days(
        store, farm_id=farm.farm.id, crew_days=found, **({"sent_at": NOW, "now": NOW} | more)
    )


def told(store, farm, **asked):
    found = crew_days_of(store, farm.farm.id, **({"day": None, "crew_id": None} | asked))
    return {one["id"]: one for one in found}


def standing(store, farm):
    return {key for key, one in told(store, farm).items() if one["standing"]}


def test_crew_day_is_kept_and_counted_in_person_hours(store):
    farm = small_farm(store)
    before = history.cursor(store, farm.farm.id)
    one, other = crew_day(farm), crew_day(farm, 3, 8, crew=1, day=TODAY - timedelta(days=1))
    assert [r.outcome for r in record(store, farm, one, other, one)] == ["taken", "taken", "already_there"]
    found = told(store, farm)
    assert found[one.id]["person_hours"] == 45.0
    assert set(told(store, farm, day=TODAY)) == {one.id}
    assert set(told(store, farm, crew_id=farm.crews[1].id)) == {other.id}
    assert told(store, farm, day=TODAY, crew_id=farm.crews[1].id) == {}
    changes = history.changes(store, farm.farm.id, after=before, limit=10)["changes"]
    assert [(c["kind"], c["subject_id"]) for c in changes] == [("crew_day", one.id), ("crew_day", other.id)]


def test_blocks_of_a_crews_day_are_those_it_marked_rows_of_on_that_day(store):
    """Another crew's, another day's, another farm's and a mark that counts for nothing name no block."""
    farm, other = small_farm(store), small_farm(store, "Other Farm")
    one, two = (block.id for block in farm.blocks)

    def mark(of, *marks):
        recording.record_marks(store, farm_id=of.farm.id, marks=marks, sent_at=NOW, now=NOW)

    def blocks(crew, day=TODAY):
        crew_id = None if crew is None else farm.crews[crew].id
        return blocks_of_day(store, farm.farm.id, day=day, crew_id=crew_id)

    yesterday = TODAY - timedelta(days=1)
    mark(farm, farm.mark(1), farm.mark(2), farm.mark(3, crew=1, block_id=two))
    mark(farm, farm.mark(4, block_id=two, day=yesterday), farm.mark(99, crew=2))
    mark(other, other.mark(1))
    assert (blocks(0), blocks(1), blocks(2)) == ([one], [two], [])
    assert (blocks(0, yesterday), blocks(None)) == ([two], sorted([one, two]))


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("in_one_batch", [False, True])
def test_correction_stands_alone_whichever_came_first(store, turned, in_one_batch):
    farm = small_farm(store)
    first = crew_day(farm, 6)
    second = crew_day(farm, 5, replaces_id=first.id)
    pair = [second, first] if turned else [first, second]
    for batch in [pair] if in_one_batch else [[one] for one in pair]:
        assert {r.outcome for r in record(store, farm, *batch)} == {"taken"}
    assert standing(store, farm) == {second.id}
    with store.read() as conn:
        assert several_standing(conn, farm.farm.id) == []


@pytest.mark.parametrize("turned", [False, True])
def test_correction_of_another_crews_day_does_not_hold_whichever_came_first(store, turned):
    farm = small_farm(store)
    first = crew_day(farm)
    wrong = [
        crew_day(farm, 1, crew=1, replaces_id=first.id),
        crew_day(farm, 1, day=TODAY - timedelta(days=1), replaces_id=first.id),
    ]
    for batch in [[first], wrong] if not turned else [wrong, [first]]:
        receipts = record(store, farm, *batch)
    if not turned:
        assert [r.outcome for r in receipts] == ["set_aside"] * 2
    assert standing(store, farm) == {first.id}
    found = told(store, farm)
    assert {found[one.id]["set_aside"] for one in wrong} == {
        "it corrects the crew-day of another crew or day"
    }
    assert [r.outcome for r in record(store, farm, *wrong)] == ["set_aside"] * 2


def test_other_crews_and_contradictions_do_not_stand(store):
    farm = small_farm(store)
    sender = Sender(None, farm.crews[0].id)
    own, others = crew_day(farm), crew_day(farm, crew=1)
    assert [r.outcome for r in record(store, farm, own, others, sender=sender)] == ["taken", "set_aside"]
    assert [r.outcome for r in record(store, farm, replace(own, people=7))] == ["set_aside"]
    assert standing(store, farm) == set()
    assert {one["set_aside"] for one in told(store, farm).values()} == {
        "it was handed in by another crew's tablet",
        "the same id came twice with different content",
    }


def test_several_that_stand_for_one_crew_day_and_method_are_listed(store):
    farm = small_farm(store)
    one, two, platform, later = (
        crew_day(farm, 6),
        crew_day(farm, 5),
        crew_day(farm, 2, method="platform"),
        crew_day(farm, 4, crew=1),
    )
    record(store, farm, one, two, platform, later)
    with store.read() as conn:
        (found,) = several_standing(conn, farm.farm.id)
    assert (found.crew_id, found.day, found.method) == (farm.crews[0].id, TODAY, "ladder")
    assert {entry["id"] for entry in found.entries} == {one.id, two.id}
    record(store, farm, crew_day(farm, 5, replaces_id=one.id, method="platform"))
    with store.read() as conn:
        assert [(s.method, len(s.entries)) for s in several_standing(conn, farm.farm.id)] == [("platform", 2)]


def test_wrong_clock_moves_the_crew_day_to_the_true_day(store):
    farm = small_farm(store)
    behind = timedelta(days=10)
    one = crew_day(farm, day=TODAY - behind, device_at=NOW - behind)
    record(store, farm, one, sent_at=NOW - behind)
    assert told(store, farm, day=TODAY)[one.id]["standing"]


# few ids, two crews, two days, corrections of anything: rings, chains and misdirected ones are the rule
operations = st.lists(
    st.tuples(st.integers(0, 3), st.integers(0, 1), st.integers(0, 1), st.none() | st.integers(0, 3)),
    max_size=7,
)


@settings(
    max_examples=tries(5), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
@given(told_ops=operations, order=st.randoms(use_true_random=False), cut=st.integers(0, 7))
def test_any_order_any_repeat_any_batches_give_the_same(store, told_ops, order, cut):
    farms = [small_farm(store, planting.new_id()) for _ in range(2)]
    ids = [planting.new_id() for _ in range(4)]

    def records(of):
        return [
            crew_day(
                of, 6, crew=crew, id=ids[n], day=TODAY - timedelta(days=ago),
                replaces_id=None if old is None else ids[old],
            )
            for n, crew, ago, old in told_ops
        ]  # fmt: skip

    for one in records(farms[0]):
        record(store, farms[0], one)
    shuffled = records(farms[1]) * 2
    order.shuffle(shuffled)
    record(store, farms[1], *shuffled[:cut])
    record(store, farms[1], *shuffled[cut:])

    def seen(of):
        crews = {crew.id: i for i, crew in enumerate(of.crews)}
        return sorted(
            (one["id"], crews[one["crew_id"]], one["day"], str(one["replaces_id"]), one["standing"], one["set_aside"] or "")
            for one in crew_days_of(store, of.farm.id, day=None, crew_id=None)
        )  # fmt: skip

    assert seen(farms[0]) == seen(farms[1])
