"""Steps from one wire version to the next: pure, in order, each once."""

import copy

import pytest

from orchardmap.errors import NewerClientError
from orchardmap_api.upcasting import UPCASTERS, WIRE_VERSION, upcast_batch, upcast_record


def test_there_is_a_step_from_every_version_to_the_next():
    assert sorted(UPCASTERS) == list(range(1, WIRE_VERSION))


def test_steps_are_taken_in_order_from_the_version_it_was_made_under():
    steps = {
        n: (lambda kind, one, n=n: one | {"steps": [*one.get("steps", []), (kind, n)]}) for n in (1, 2, 3)
    }
    record = {"id": "a"}
    assert upcast_record("marks", record, 2, steps=steps) == {
        "id": "a",
        "steps": [("marks", 2), ("marks", 3)],
    }
    assert upcast_record("marks", record, 4, steps=steps) == record == {"id": "a"}


def test_batch_of_today_passes_and_the_body_that_was_sent_is_not_changed():
    for schema in ({}, {"schema": 1}, {"schema": WIRE_VERSION}):
        body = {"sent_at": "x", "marks": [{"id": "a", "odd": [1]}, 7], **schema}
        before = copy.deepcopy(body)
        risen = upcast_batch("marks", body)
        assert risen == body | {"schema": WIRE_VERSION}
        assert body == before


@pytest.mark.parametrize("version", [WIRE_VERSION + 1, 10**30])
def test_newer_version_is_told_to_wait(version):
    with pytest.raises(NewerClientError) as told:
        upcast_batch("marks", {"schema": version, "marks": []})
    assert len(told.value.where) < 30


@pytest.mark.parametrize(
    "body", [None, [], "x", {"schema": "2"}, {"schema": True}, {"schema": 0}, {"marks": 3}]
)
def test_what_is_no_batch_is_left_to_the_checks_that_follow(body):
    assert upcast_batch("marks", body) is body
