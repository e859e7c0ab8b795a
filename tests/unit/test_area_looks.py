"""Which checks tell of weak areas: drawn first looks at pruned trees, each tree once, whatever order they came in."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.usecases.area_looks import looks_of_blocks
from orchardmap.usecases.checked_trees import ReadCheck

DAY = date(2026, 1, 20)


@st.composite
def read_checks(draw):
    day = DAY - timedelta(days=draw(st.integers(0, 3)))
    return ReadCheck(
        id=draw(st.uuids()).hex,
        block_id=draw(st.sampled_from("ab")),
        row=draw(st.integers(1, 2)),
        position=draw(st.integers(1, 3)),
        day=day,
        corrected_at=datetime(2026, 1, 20, draw(st.integers(8, 10)), tzinfo=UTC),
        server_at=datetime(2026, 1, 20, 12, tzinfo=UTC),
        auditor_id="auditor",
        verdict=draw(st.sampled_from(["meets", "minor", "faulty"])),
        drawn=draw(st.booleans()),
        lot_id=None,
        second=draw(st.booleans()),
        failed=(),
        brief_id=None,
        brief_version=None,
        note="",
        crew_id=None,
        is_pruned=draw(st.booleans()),
    )


some_checks = st.lists(read_checks(), max_size=12, unique_by=lambda one: one.id)


def told(checks):
    return {
        block_id: sorted(
            (one.row, one.position, one.is_faulty, one.is_recheck) for one in looks.checked_trees()
        )
        for block_id, looks in looks_of_blocks(checks, [], {}).items()
    }


@given(some_checks, st.randoms(use_true_random=False))
def test_order_changes_nothing(checks, shuffle):
    assert told(shuffle.sample(checks, len(checks))) == told(checks)


@given(some_checks, read_checks())
def test_a_tree_seen_while_walking_a_second_look_and_an_unpruned_tree_change_nothing(checks, more):
    for odd in ({"drawn": False}, {"second": True}, {"is_pruned": False}):
        assert told([*checks, replace(more, **odd)]) == told(checks)


@given(some_checks)
def test_each_tree_is_told_once_by_its_latest_look(checks):
    kept = [one for one in checks if one.drawn and not one.second and one.is_pruned]
    expected: dict[str, dict[tuple[int, int], bool]] = {}
    for one in sorted(kept, key=lambda one: (one.day, one.corrected_at, one.id)):
        expected.setdefault(one.block_id, {})[one.row, one.position] = one.verdict == "faulty"
    assert told(checks) == {
        block: sorted((*tree, faulty, False) for tree, faulty in trees.items())
        for block, trees in expected.items()
    }
