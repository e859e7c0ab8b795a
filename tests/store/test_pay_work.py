"""What pay rests on, from the records of both engines: credited, held, gone over again, and whose hours."""

from collections import Counter
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from orchardmap.model.returns import Stretch
from orchardmap.model.work import CrewDay, StretchSettlement
from orchardmap.store import log
from orchardmap.usecases import planting, recording, returning, settling
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.history import progress
from orchardmap.usecases.moments import moment
from orchardmap.usecases.pay_work import season_work
from orchardmap.usecases.person_hours import TypedHours, type_hours
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.returning import NewReturn
from small_farm import NOW, TODAY, small_farm, withdrawal

YESTERDAY = TODAY - timedelta(days=1)


@pytest.fixture
def farm(shared_store):
    return small_farm(shared_store, new_id())


def record(store, farm, *marks):
    receipts = recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)
    assert {one.outcome for one in receipts} == {"taken"}


def work(store, farm):
    with store.read() as conn:
        return season_work(conn, moment(conn, farm.farm.id, None, NOW))


def by_crew(farm, found):
    names = {crew.id: crew.name for crew in farm.crews}
    counted: Counter[tuple[Any, ...]] = Counter()
    for one in found.trees.credits:
        counted[one.day, names[one.crew_id], one.method, one.return_id] += one.trees
    return dict(counted)


def test_contested_trees_are_held_until_they_are_settled_and_count_for_the_day_of_that_crew(
    shared_store, farm
):
    record(
        shared_store,
        farm,
        farm.mark(1, 1, 60, day=YESTERDAY),
        farm.mark(1, 51, 105, crew=1, method="platform"),
    )
    assert by_crew(farm, work(shared_store, farm)) == {
        (YESTERDAY, "Crew A", "ladder", None): 50,
        (TODAY, "Crew B", "platform", None): 45,
    }
    (held,) = work(shared_store, farm).trees.held
    assert (held.trees, held.row, held.first, set(held.crew_ids)) == (
        10,
        1,
        51,
        {c.id for c in farm.crews[:2]},
    )
    with shared_store.read() as conn:
        seen = frozenset(m.content_hash for m in log.standing_marks(conn, farm.season.id))
    word = StretchSettlement(
        new_id(), 0, farm.season.id, farm.blocks[0].id, 1, 51, 60, farm.crews[1].id, seen
    )
    settling.settle(shared_store, farm_id=farm.farm.id, said=word, settled_by=None, now=NOW)
    assert by_crew(farm, work(shared_store, farm)) == {
        (YESTERDAY, "Crew A", "ladder", None): 50,
        (TODAY, "Crew B", "platform", None): 55,
    }


def test_credit_of_all_crews_held_and_nobodys_is_what_progress_tells(shared_store, farm):
    """Blanks, pollinizers, a mark that was taken back and one that was set aside count in neither."""
    planting.count_rows(shared_store, farm.blocks[0].id, {1: (104, [2, 3], [4])})
    gone = farm.mark(2, 1, 40)
    record(shared_store, farm, farm.mark(1, 1, 104), farm.mark(1, 80, 104, crew=1), gone, farm.mark(3, 5, 9))
    back = [withdrawal(gone)]
    recording.record_withdrawals(shared_store, farm_id=farm.farm.id, withdrawals=back, sent_at=NOW, now=NOW)
    beyond = farm.mark(4, 1, 900)
    recording.record_marks(shared_store, farm_id=farm.farm.id, marks=[beyond], sent_at=NOW, now=NOW)
    told = progress(shared_store, farm.farm.id, day=None, now=NOW)
    found = work(shared_store, farm)
    assert found.trees.done == sum(one["pruned"] for one in told["blocks"]) == 106
    assert sum(one.trees for one in found.trees.held) == told["held"] == 25


def test_trees_gone_over_again_stand_apart_under_their_return(shared_store, farm):
    record(shared_store, farm, farm.mark(1, 1, 20, day=YESTERDAY))
    asked = NewReturn(new_id(), farm.blocks[0].id, farm.crews[0].id, TODAY, stretches=(Stretch(1, 5, 14),))
    made = returning.make_return(shared_store, farm_id=farm.farm.id, asked=asked, now=NOW)
    record(
        shared_store,
        farm,
        farm.mark(1, 1, 10, return_id=made.id),
        farm.mark(1, 9, 12, crew=2, return_id=made.id),
    )
    found = by_crew(farm, work(shared_store, farm))
    assert found.pop((YESTERDAY, "Crew A", "ladder", None)) == 20
    # both marks are of one day: the one with the lesser id was first
    assert sum(found.values()) == 8
    assert {(day, of) for day, _, _, of in found} == {(TODAY, made.id)}


def crew_day(farm, people, hours, *, crew=0, **changes):
    method = changes.pop("method", "ladder")
    return CrewDay(
        new_id(), farm.season.id, farm.crews[crew].id, TODAY, people, hours, method, None, "t", NOW, **changes
    )


def test_hours_by_person_stand_for_the_crews_day_which_speaks_only_where_nobody_typed_any(shared_store, farm):
    person = planting.add_person(shared_store, farm_id=farm.farm.id, name="Anca", role="worker")
    days = [
        crew_day(farm, 5, 8),
        crew_day(farm, 3, 6, crew=1),
        crew_day(farm, 3, 2, crew=1, method="platform"),
        crew_day(farm, 4, 8, crew=2),
        crew_day(farm, 4, 7, crew=2),
    ]
    record_crew_days(shared_store, farm_id=farm.farm.id, crew_days=days, sent_at=NOW, now=NOW)
    typed = TypedHours(new_id(), person.id, farm.crews[0].id, TODAY, 7.5)
    type_hours(shared_store, farm_id=farm.farm.id, typed=[typed], now=NOW)
    found = work(shared_store, farm)
    a, b, c = (crew.id for crew in farm.crews)
    assert [(one.crew_id, one.person_id, one.hours) for one in found.hours] == [
        (a, person.id, Decimal("7.5")),
        *((b, f"{b} {n}", Decimal(hours)) for n in (1, 2, 3) for hours in (6, 2)),
    ]
    assert found.miscounted == (((a, TODAY), 1, 5),)
    assert [one.crew_id for one in found.several] == [c]
    back = TypedHours(new_id(), person.id, a, TODAY, 0, replaces_id=typed.id)
    type_hours(shared_store, farm_id=farm.farm.id, typed=[back], now=NOW)
    found = work(shared_store, farm)
    assert ({one.crew_id for one in found.shares}, found.miscounted) == ({a, b}, ())


def test_hours_of_more_people_than_were_there_are_told_and_a_crew_of_two_methods_may_have_been_two_groups(
    shared_store, farm
):
    people = [
        planting.add_person(shared_store, farm_id=farm.farm.id, name=name, role="worker")
        for name in ("Anca", "Bela", "Cosmin", "Dita", "Emil", "Fane")
    ]
    days = [crew_day(farm, 2, 8), crew_day(farm, 3, 8, method="platform"), crew_day(farm, 2, 14, crew=1)]
    days.append(crew_day(farm, 2, 12, crew=1, method="platform"))
    record_crew_days(shared_store, farm_id=farm.farm.id, crew_days=days, sent_at=NOW, now=NOW)
    a, b, _ = (crew.id for crew in farm.crews)
    # 28 and 24 hours of the same two people would not fit into a day
    assert {(one.people, one.hours) for one in work(shared_store, farm).shares if one.crew_id == b} == {
        (3, Decimal("17.3333"))
    }
    for n, told in ((2, 3), (3, None), (5, None), (6, 5)):
        typed = [TypedHours(new_id(), one.id, a, TODAY, 8.0) for one in people[:n]]
        kept = work(shared_store, farm)
        standing = {one.person_id for one in kept.hours}
        new = [one for one in typed if one.person_id not in standing]
        type_hours(shared_store, farm_id=farm.farm.id, typed=new, now=NOW)
        assert work(shared_store, farm).miscounted == (() if told is None else (((a, TODAY), n, told),))


def test_hours_of_a_day_by_two_methods_are_those_that_the_crew_said_and_not_in_the_shares_of_trees(
    shared_store, farm
):
    """100 trees from the ladder in five hours, 5 from the platform in three: by trees the platform would have 23 minutes.

    Where trees were marked by a method that no crew-day tells of, all hours stand for all trees.
    """
    record(
        shared_store,
        farm,
        farm.mark(1, 1, 100),
        farm.mark(2, 1, 5, method="platform"),
        farm.mark(3, 1, 5, crew=1, method="ground"),
    )
    person = planting.add_person(shared_store, farm_id=farm.farm.id, name="Anca", role="worker")
    said = [
        crew_day(farm, 2, 5, crew=crew, method=method) for crew in (0, 1) for method in ("ladder", "platform")
    ]
    said[1] = crew_day(farm, 2, 3, method="platform")
    record_crew_days(shared_store, farm_id=farm.farm.id, crew_days=said, sent_at=NOW, now=NOW)
    a, b, _ = (crew.id for crew in farm.crews)

    def told():
        return [
            (one.person_id, one.method, one.hours, one.rest_minutes)
            for one in work(shared_store, farm).hours
            if one.hours
        ]

    assert told() == [
        *(
            (f"{a} {n}", method, hours, 0)
            for n in (1, 2)
            for method, hours in (("ladder", 5), ("platform", 3))
        ),
        *((f"{b} {n}", None, 10, 0) for n in (1, 2)),
    ]
    typed = TypedHours(new_id(), person.id, a, TODAY, 4.0, 20)
    type_hours(shared_store, farm_id=farm.farm.id, typed=[typed], now=NOW)
    assert told()[:2] == [
        (person.id, "ladder", Decimal("2.5"), 20),
        (person.id, "platform", Decimal("1.5"), 0),
    ]
