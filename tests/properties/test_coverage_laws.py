"""Coverage is a pure function of the set of marks: held against a naive model that looks at every position by itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import RecordError
from orchardmap.work.burnup import NEVER, first_pruned_day
from orchardmap.work.coverage import OVERLAP, Coverage, coverage, positions_covered
from orchardmap.work.progress import clipped, row_progress

LENGTH = 14
# small numbers on purpose: rows, crews and stretches collide all the time
marks = st.lists(
    st.tuples(st.integers(0, 2), st.integers(0, 3), st.integers(1, LENGTH), st.integers(0, LENGTH)).map(
        lambda m: (m[0], m[1], m[2], min(m[2] + m[3], LENGTH))
    ),
    max_size=14,
)


def folded(found, by=coverage):
    columns = (
        [np.array(c, np.int64) for c in zip(*found, strict=True)] if found else [np.empty(0, np.int64)] * 4
    )
    return by(*columns)


def naive(found):
    """Claiming crews of every position."""
    claims: dict[tuple[int, int], set[int]] = {}
    for row, crew, first, last in found:
        for position in range(first, last + 1):
            claims.setdefault((row, position), set()).add(crew)
    return claims


def as_positions(runs: Coverage):
    told = {}
    for row, first, last, crew, n in zip(
        runs.row, runs.first, runs.last, runs.crew, runs.claims, strict=True
    ):
        for position in range(int(first), int(last) + 1):
            assert (int(row), position) not in told, "runs of a row share a position"
            told[int(row), position] = (int(crew), int(n))
    return told


def agrees(found, by=coverage):
    expected = {
        at: (next(iter(crews)) if len(crews) == 1 else OVERLAP, len(crews))
        for at, crews in naive(found).items()
    }
    return as_positions(folded(found, by)) == expected


@given(marks)
def test_coverage_equals_the_naive_model(found):
    assert agrees(found)


@given(marks, st.randoms(use_true_random=False), st.data())
def test_order_repeats_and_cutting_a_mark_in_two_change_nothing(found, order, data):
    cut = []
    for row, crew, first, last in found * 2:
        at = data.draw(st.integers(first, last))
        cut += [(row, crew, first, at)] + ([(row, crew, at + 1, last)] if at < last else [])
    order.shuffle(cut)
    one, two = folded(found), folded(cut)
    for name in ("row", "first", "last", "crew", "claims"):
        assert getattr(one, name).tolist() == getattr(two, name).tolist()


@given(marks, st.integers(0, LENGTH))
def test_clipping_forgets_only_what_lies_beyond_the_row(found, end):
    positions = np.full(3, end, np.int64)
    expected = {at: told for at, told in as_positions(folded(found)).items() if at[1] <= end}
    assert as_positions(clipped(folded(found), positions)) == expected


@given(
    marks, st.sets(st.tuples(st.integers(0, 2), st.integers(1, LENGTH)), max_size=8), st.integers(1, LENGTH)
)
def test_progress_counts_every_tree_once(found, not_trees, end):
    positions = np.full(3, end, np.int64)
    inside = {(row, p) for row, p in not_trees if p <= end}
    worth = row_progress(folded(found), positions, sorted(inside))
    trees = {(row, p) for row in range(3) for p in range(1, end + 1)} - inside
    claims = naive(found)
    for row in range(3):
        mine = {at for at in trees if at[0] == row}
        assert worth.trees[row] == len(mine)
        assert worth.pruned[row] == sum(at in claims for at in mine)
        assert worth.overlap[row] == sum(len(claims.get(at, ())) > 1 for at in mine)
        assert worth.done[row] == (bool(mine) and all(at in claims for at in mine))


@given(marks, st.integers(0, 2), st.integers(1, LENGTH))
def test_single_positions_are_found_in_the_runs(found, row, position):
    asked = positions_covered(folded(found), np.array([row]), np.array([position]))
    assert bool(asked[0]) == ((row, position) in naive(found))


@given(
    st.lists(
        st.tuples(st.integers(0, 2), st.integers(1, LENGTH), st.integers(1, LENGTH), st.integers(100, 105)),
        max_size=12,
    )
)
def test_every_position_counts_on_its_first_day(found):
    found = [(row, min(a, b), max(a, b), day) for row, a, b, day in found]
    positions = np.array([LENGTH, 5, 0], np.int64)
    columns = (
        [np.array(c, np.int64) for c in zip(*found, strict=True)] if found else [np.empty(0, np.int64)] * 4
    )
    days = first_pruned_day((columns[0], columns[1], columns[2], columns[3]), positions)
    expected = [
        min((day for r, a, b, day in found if r == row and a <= p <= b), default=NEVER)
        for row, length in enumerate(positions.tolist())
        for p in range(1, length + 1)
    ]
    assert days.tolist() == expected


def test_backward_mark_is_an_error():
    with pytest.raises(RecordError):
        folded([(0, 0, 5, 4)])
    with pytest.raises(RecordError):
        folded([(0, 0, 0, 4)])


def last_mark_wins(row, crew, first, last):
    """Wrong: a later mark takes the trees of an earlier one."""
    owner: dict[tuple[int, int], int] = {}
    for r, c, a, b in zip(row.tolist(), crew.tolist(), first.tolist(), last.tolist(), strict=True):
        owner |= {(r, p): c for p in range(a, b + 1)}
    return runs_of({at: ({c}) for at, c in owner.items()})


def first_mark_keeps(row, crew, first, last):
    """Wrong: whoever came first keeps the trees."""
    return last_mark_wins(row[::-1], crew[::-1], first[::-1], last[::-1])


def one_mark_per_stretch(row, crew, first, last):
    """Wrong: two crews that claim the very same stretch are taken for a repeat."""
    kept: dict[tuple[int, int, int], tuple[int, int, int, int]] = {}
    for r, c, a, b in zip(row.tolist(), crew.tolist(), first.tolist(), last.tolist(), strict=True):
        kept.setdefault((r, a, b), (r, c, a, b))
    return folded(list(kept.values()))


def claims_by_mark(row, crew, first, last):
    """Wrong: a crew's own two marks on a tree count as two claims."""
    return coverage(row, np.arange(len(row)), first, last)


def half_open(row, crew, first, last):
    """Wrong: the last tree of a mark is left out."""
    return coverage(row, crew, first, np.maximum(first, last - 1))


def runs_of(claims):
    found = [(row, position, crews) for (row, position), crews in sorted(claims.items())]
    columns = [(r, p, p, next(iter(c)) if len(c) == 1 else OVERLAP, len(c)) for r, p, c in found]
    return Coverage(
        *(np.array(c, np.int64) for c in zip(*columns, strict=True))
        if columns
        else [np.empty(0, np.int64)] * 5
    )


@pytest.mark.parametrize(
    "wrong", [last_mark_wins, first_mark_keeps, one_mark_per_stretch, claims_by_mark, half_open]
)
def test_a_wrong_coverage_is_caught_by_the_model(wrong):
    """The proof that the first law can fail: five plausible mistakes, each caught."""

    @given(marks)
    def law(found):
        assert agrees(found, wrong)

    with pytest.raises(AssertionError):
        law()
