"""Of crew-days entered twice a manager lets one stand, on both engines; the others are left out and stay stored."""

from dataclasses import replace

import pytest

from orchardmap.errors import InputError
from orchardmap.model.work import CrewDay, RecordSettlement
from orchardmap.usecases import matters, recording, settling
from orchardmap.usecases.crew_days import crew_days_of, record_crew_days
from orchardmap.usecases.planting import new_id
from orchardmap.work.identity import content_hash
from small_farm import NOW, TODAY, small_farm


@pytest.fixture
def farm(store):
    """The small farm, on either engine."""
    return small_farm(store)


def entry(farm, people, **changes):
    made = CrewDay(
        new_id(), farm.season.id, farm.crews[0].id, TODAY, people, 7.5, "ladder", None, None, NOW
    )  # fmt: skip
    return replace(made, **changes)


def hand_in(store, farm, *found):
    return record_crew_days(store, farm_id=farm.farm.id, crew_days=found, sent_at=NOW, now=NOW)


def say(store, farm, one, *, counts):
    seen = frozenset((content_hash(one),))
    word = RecordSettlement(new_id(), 0, "crew_day", one.id, content_hash(one) if counts else None, seen)
    return settling.settle(store, farm_id=farm.farm.id, said=word, settled_by=None, now=NOW)


def standing(store, farm):
    return sorted(
        one["people"] for one in crew_days_of(store, farm.farm.id, day=TODAY, crew_id=None) if one["standing"]
    )


def waiting(store, farm):
    found = matters.matters(store, farm.farm.id, now=NOW)
    return [sorted(one["people"] for one in matter["entries"]) for matter in found["crew_days"]]


def test_one_of_several_stands_and_the_choice_can_be_changed(store, farm):
    five, six, seven = (entry(farm, people) for people in (5, 6, 7))
    hand_in(store, farm, five, six, seven)
    assert waiting(store, farm) == [[5, 6, 7]]
    (matter,) = matters.matters(store, farm.farm.id, now=NOW)["crew_days"]
    # the hashes that a settlement names are those that the screen was told
    assert {one["id"]: one["content_hash"] for one in matter["entries"]} == {
        one.id: content_hash(one) for one in (five, six, seven)
    }
    say(store, farm, five, counts=False)
    assert waiting(store, farm) == [[6, 7]]
    say(store, farm, seven, counts=False)
    assert (standing(store, farm), waiting(store, farm)) == ([6], [])
    told = crew_days_of(store, farm.farm.id, day=TODAY, crew_id=None)
    assert {one["people"]: one["set_aside"] for one in told} == {
        5: "a manager let another entry of that day stand",
        6: None,
        7: "a manager let another entry of that day stand",
    }
    say(store, farm, six, counts=False)
    say(store, farm, seven, counts=True)  # the last word holds
    assert standing(store, farm) == [7]


def test_entry_left_out_corrects_nothing(store, farm):
    first = entry(farm, 5)
    correction = entry(farm, 6, replaces_id=first.id)
    hand_in(store, farm, first, correction)
    assert standing(store, farm) == [6]
    say(store, farm, correction, counts=False)
    assert standing(store, farm) == [5]


def test_later_entry_opens_the_matter_again_and_another_version_is_set_aside(store, farm):
    five, six = entry(farm, 5), entry(farm, 6)
    hand_in(store, farm, five, six)
    say(store, farm, five, counts=False)
    hand_in(store, farm, entry(farm, 8))
    assert waiting(store, farm) == [[6, 8]]
    hand_in(store, farm, replace(five, people=9))  # what was left out comes again with other content
    assert standing(store, farm) == [6, 8]
    aside = matters.matters(store, farm.farm.id, now=NOW)["set_aside"]
    assert [(one["id"], one["status"], len(one["versions"])) for one in aside] == [(five.id, "reopened", 2)]


def test_mark_that_counts_is_still_not_left_out_by_a_word(store, farm):
    mark = farm.mark(1, 1, 9)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[mark], sent_at=NOW, now=NOW)
    word = RecordSettlement(new_id(), 0, "mark", mark.id, None, frozenset((content_hash(mark),)))
    with pytest.raises(InputError, match="was not set aside"):
        settling.settle(store, farm_id=farm.farm.id, said=word, settled_by=None, now=NOW)
