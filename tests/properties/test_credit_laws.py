"""Trees credited by day, held against one walk over every position by itself: each pruned tree once, whatever the order."""

from collections import Counter
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.model.returns import Stretch
from orchardmap.model.work import StretchSettlement
from orchardmap.work.credited import Answered, Credit, Worked, credited_trees, trees_gone_over
from orchardmap.work.settling import HELD, Claim, settled_runs

ROWS, POSITIONS, FIRST = 2, 9, date(2026, 1, 5)
days = st.integers(0, 4).map(lambda n: FIRST + timedelta(days=n))
crews = st.sampled_from("ABC")


@st.composite
def marks(draw):
    first = draw(st.integers(1, POSITIONS))
    last = draw(st.integers(first, POSITIONS + 2))
    method = draw(st.sampled_from(("ladder", "platform")))
    return Worked(draw(st.integers(1, ROWS)), first, last, draw(crews), draw(days), method)


@st.composite
def words(draw):
    first = draw(st.integers(1, POSITIONS))
    last = draw(st.integers(first, POSITIONS))
    return draw(st.integers(1, ROWS)), first, last, draw(st.sampled_from(("A", "B", "C", None)))


odd_places = st.sets(st.tuples(st.integers(1, ROWS), st.integers(1, POSITIONS + 2)), max_size=4)


def runs_of(found, said):
    made = []
    for row in range(1, ROWS + 1):
        claims = [
            Claim(str(i), m.first, m.last, m.crew_id, str(i)) for i, m in enumerate(found) if m.row == row
        ]
        seen = frozenset(str(i) for i in range(len(found)))
        own = [
            StretchSettlement(str(n), n, "s", "b", row, first, last, crew, seen)
            for n, (at, first, last, crew) in enumerate(said)
            if at == row
        ]
        made += [(row, run) for run in settled_runs(claims, own, positions=POSITIONS)]
    return made


def one_by_one(found, runs, odd):
    """Every position asked by itself, as the rule is told."""
    counted: Counter[tuple[date, str | None, str, bool]] = Counter()
    for row, run in runs:
        for at in range(run.first, run.last + 1):
            if (row, at) in odd:
                continue
            here = [m for m in found if m.row == row and m.first <= at <= m.last]
            own = [m for m in here if m.crew_id == run.crew_id] or here
            first = min(own, key=lambda m: (m.day, m.method))
            counted[first.day, run.crew_id, first.method, run.status in HELD] += 1
    return {Credit(*key, trees=n) for key, n in counted.items()}


@given(st.lists(marks(), max_size=8), st.lists(words(), max_size=4), odd_places, st.randoms())
def test_credit_is_what_each_position_says_by_itself_in_any_order(found, said, odd, luck):
    runs, rows = runs_of(found, said), dict.fromkeys(range(1, ROWS + 1), POSITIONS)
    made = credited_trees(found, runs, rows, odd)
    assert set(made) == one_by_one(found, runs, odd)
    assert len(made) == len(set(made))
    turned = [*found, *found[:2]]
    luck.shuffle(turned)
    assert credited_trees(turned, runs, rows, sorted(odd)) == made


@given(st.lists(marks(), max_size=8), st.lists(words(), max_size=4), odd_places)
def test_credited_and_held_together_are_the_pruned_trees(found, said, odd):
    runs, rows = runs_of(found, said), dict.fromkeys(range(1, ROWS + 1), POSITIONS)
    pruned = {(row, at) for row, run in runs for at in range(run.first, run.last + 1)} - odd
    made = credited_trees(found, runs, rows, odd)
    assert sum(one.trees for one in made) == len(pruned)
    held = {(row, at) for row, run in runs if run.status in HELD for at in range(run.first, run.last + 1)}
    assert sum(one.trees for one in made if one.is_held) == len(held - odd)


@given(st.lists(marks(), max_size=8), odd_places, st.randoms())
def test_trees_of_a_return_are_gone_over_once_whoever_answers_again(found, odd, luck):
    asked = [Stretch(1, 2, 6), Stretch(2, 1, POSITIONS)]
    answers = [Answered._make((*one, str(i))) for i, one in enumerate(found)]
    made = trees_gone_over(asked, answers, odd)
    reached = {(m.row, at) for m in found for at in range(m.first, m.last + 1)}
    wanted = {(one.row, at) for one in asked for at in range(one.first, one.last + 1)}
    assert sum(one.trees for one in made) == len((reached & wanted) - odd)
    luck.shuffle(answers)
    assert trees_gone_over(asked, answers, odd) == made
