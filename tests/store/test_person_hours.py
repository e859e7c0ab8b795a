"""Hours by person on both engines: appended, corrected by naming what stands, seen by nobody twice."""

from dataclasses import replace
from datetime import timedelta

import pytest

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.store import audit
from orchardmap.usecases import planting
from orchardmap.usecases.person_hours import TypedHours, hours_json, type_hours
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm


@pytest.fixture
def farm(shared_store):
    return small_farm(shared_store, new_id())


@pytest.fixture
def person(shared_store, farm):
    made = planting.add_person(
        shared_store, farm_id=farm.farm.id, name="Petru", role="worker", crew_id=farm.crews[0].id
    )
    return made.id


def entry(farm, person, hours=7.5, *, crew=0, **changes):
    return replace(TypedHours(new_id(), person, farm.crews[crew].id, TODAY, hours), **changes)


def typed(store, farm, *found):
    type_hours(store, farm_id=farm.farm.id, typed=found, actor="account:x", now=NOW)


def standing(store, farm):
    found = hours_json(store, farm.farm.id, first=TODAY - timedelta(days=9), last=TODAY)["hours"]
    return {one["id"]: (one["hours"], one["rest_minutes"]) for one in found}


def test_correction_stands_alone_and_the_first_entry_is_still_there_by_its_id(shared_store, farm, person):
    first = entry(farm, person, 7.5)
    typed(shared_store, farm, first)
    second = entry(farm, person, 6, rest_minutes=30, replaces_id=first.id)
    typed(shared_store, farm, second)
    assert standing(shared_store, farm) == {second.id: (6.0, 30)}
    typed(shared_store, farm, first, second)  # the answer was lost, and the page sends both again
    assert standing(shared_store, farm) == {second.id: (6.0, 30)}


def test_whoever_did_not_see_what_stands_is_told_and_nothing_is_taken(shared_store, farm, person):
    first = entry(farm, person)
    typed(shared_store, farm, first)
    other = entry(farm, person, day=TODAY - timedelta(days=1))
    for stale in (entry(farm, person, 8), entry(farm, person, 8, replaces_id=new_id())):
        with pytest.raises(ConflictError, match="somebody else"):
            typed(shared_store, farm, other, stale)
    with pytest.raises(ConflictError, match="other hours"):
        typed(shared_store, farm, replace(first, hours=9))
    assert standing(shared_store, farm) == {first.id: (7.5, 0)}


def test_day_of_a_person_has_24_hours_over_all_crews(shared_store, farm, person):
    first = entry(farm, person, 12)
    typed(shared_store, farm, first, entry(farm, person, 12, crew=1))
    with pytest.raises(InputError, match="more than 24"):
        typed(shared_store, farm, entry(farm, person, 12, rest_minutes=15, replaces_id=first.id))


@pytest.mark.parametrize(
    "changes",
    [
        {"day": TODAY + timedelta(days=1)},
        {"hours": 24.5},
        {"hours": -1.0},
        {"hours": 0.0, "rest_minutes": 10},
    ],
)
def test_hours_that_cannot_be_are_refused(shared_store, farm, person, changes):
    with pytest.raises(InputError):
        typed(shared_store, farm, entry(farm, person, **changes))


def test_another_farms_people_and_crews_are_not_there(shared_store, farm, person):
    other = small_farm(shared_store, new_id())
    for wrong in (
        entry(other, person),
        entry(farm, new_id()),
    ):
        with pytest.raises(UnknownError):
            typed(shared_store, farm, wrong)


def test_audit_log_tells_of_typed_hours_without_saying_whose_or_how_many(shared_store, farm, person):
    typed(shared_store, farm, entry(farm, person))
    with shared_store.read() as conn:
        said = [
            one for one in audit.entries(conn) if one.farm_id == farm.farm.id and one.what == "hours_typed"
        ]
    assert [dict(one.detail) for one in said] == [
        {"entries": 1, "first": TODAY.isoformat(), "last": TODAY.isoformat()}
    ]
