"""Who pruned each tree first, held against a tree-by-tree count; and hours turned into days of a pace."""

from collections import defaultdict
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.planning.pace import PacePrior, Work
from orchardmap.planning.pace_days import CrewHours, pace_days
from orchardmap.work.burnup import NEVER, first_pruned_day
from orchardmap.work.first_crews import Claims, Settled, first_pruned

POSITIONS = np.array([6, 1, 9])
CREW_OF = np.array([0, 0, 1, 2])
"""Four claimants of three crews."""
one_claim = st.tuples(
    st.integers(0, 2), st.integers(1, 9), st.integers(0, 5), st.integers(1, 4), st.integers(0, 3)
)
one_word = st.sampled_from([
    Settled(0, 1, 3, 0),
    Settled(0, 4, 9, None),
    Settled(1, 1, 1, 2),
    Settled(2, 3, 5, 1),
    Settled(2, 6, 6, None),
])


def told(claims, settled):
    """What `first_pruned` says, position by position."""
    columns = Claims(*(np.array([one[n] for one in claims], np.int64) for n in range(5)))
    found = first_pruned(columns, POSITIONS, crew_of=CREW_OF, settled=settled)
    shares: dict[int, dict[int, tuple[int, float]]] = defaultdict(dict)
    for at, day, claimant, share in zip(
        found.position.tolist(),
        found.credit_day.tolist(),
        found.claimant.tolist(),
        found.share.tolist(),
        strict=True,
    ):
        shares[at][claimant] = (day, share)
    return found.day.tolist(), dict(shares), columns


def counted(claims, settled):
    """The same, tree by tree."""
    start = np.concatenate([[0], np.cumsum(POSITIONS)])
    first, shares = [NEVER] * int(start[-1]), {}
    for row, whole in enumerate(POSITIONS):
        for position in range(1, whole + 1):
            at = int(start[row]) + position - 1
            here = [one for one in claims if one[0] == row and one[1] <= position <= one[2]]
            first[at] = min((one[3] for one in here), default=NEVER)
            for word in settled:
                if word.row == row and word.first <= position <= word.last:
                    here = [one for one in here if CREW_OF[one[4]] == word.crew]
            earliest = [one for one in here if one[3] == min(each[3] for each in here)]
            who = {one[4]: one[3] for one in earliest}
            if who:
                shares[at] = {claimant: (day, pytest.approx(1 / len(who))) for claimant, day in who.items()}
    return first, shares


@given(
    st.lists(one_claim.map(lambda c: (c[0], c[1], c[1] + c[2], c[3], c[4])), max_size=12),
    st.sets(one_word).map(list),
)
def test_each_tree_is_told_for_who_marked_it_on_its_first_day(claims, settled):
    """Whatever marks overlap, reach beyond a row or begin beyond it, and whatever a manager settled."""
    days, shares, columns = told(claims, settled)
    assert (days, shares) == counted(claims, settled)
    assert days == first_pruned_day(tuple(columns[:4]), POSITIONS).tolist()
    assert told(claims[::-1], settled)[1] == shares, "the order of marks decides nothing"


DAY = date(2026, 1, 20)
LADDER_X, LADDER_Y = Work("A", "x", "ladder"), Work("A", "y", "ladder")
PLATFORM_X = Work("A", "x", "platform")


PRIOR = PacePrior(6.0)


def paced(trees, *said, prior=PRIOR):
    hours = [CrewHours(day, crew, method, people, people * each) for day, crew, method, people, each in said]
    return pace_days(trees, hours, prior, lambda day, crew, came: 8.0 * came)


def brief(days):
    return [(one.work, one.trees, round(one.person_hours, 6)) for one in days]


def test_a_crew_day_without_trees_and_trees_without_a_crew_day_tell_of_no_pace():
    trees = {DAY: {LADDER_X: 40.0, Work("B", "x", "ladder"): 10.0}, DAY + timedelta(1): {LADDER_X: 30.0}}
    found = paced(trees, (DAY, "A", "ladder", 4, 8.0), (DAY, "C", "ladder", 3, 8.0))
    assert brief(found) == [(LADDER_X, 40.0, 32.0)]
    assert found[0].full_person_hours == 32.0


def test_of_several_crew_days_of_one_method_the_mean_counts_whatever_their_order():
    said = [(DAY, "A", "ladder", 4, 8.0), (DAY, "A", "ladder", 5, 8.0), (DAY, "A", "ladder", 4, 8.0)]
    trees = {DAY: {LADDER_X: 40.0}}
    assert (
        brief(paced(trees, *said))
        == brief(paced(trees, *said[::-1]))
        == [(LADDER_X, 40.0, round(104 / 3, 6))]
    )


def test_methods_are_kept_apart_where_each_has_its_crew_day():
    trees = {DAY: {LADDER_X: 40.0, PLATFORM_X: 60.0}}
    found = paced(trees, (DAY, "A", "ladder", 4, 4.0), (DAY, "A", "platform", 4, 3.5))
    assert brief(found) == [(LADDER_X, 40.0, 16.0), (PLATFORM_X, 60.0, 14.0)]


def test_a_method_without_its_crew_day_puts_all_hours_to_all_trees():
    """By the method of most hours: the trees marked by the other one were pruned in the same hours."""
    trees = {DAY: {LADDER_X: 40.0, PLATFORM_X: 60.0}}
    assert brief(paced(trees, (DAY, "A", "platform", 4, 8.0))) == [(PLATFORM_X, 100.0, 32.0)]
    both = paced(trees, (DAY, "A", "ground", 4, 5.0), (DAY, "A", "ladder", 4, 3.0))
    assert brief(both) == [(Work("A", "x", "ground"), 100.0, 32.0)]


def test_hours_go_to_the_varieties_as_days_with_one_of_them_tell():
    """x takes an hour a tree and y half of one, as 20 days by themselves tell; a mixed day is split near 2 to 1."""
    alone = [DAY - timedelta(n) for n in range(1, 21)]
    trees = {day: {LADDER_X: 32.0} if n % 2 else {LADDER_Y: 64.0} for n, day in enumerate(alone)}
    trees[DAY] = {LADDER_X: 16.0, LADDER_Y: 16.0}
    said = [(day, "A", "ladder", 4, 8.0) for day in [*alone, DAY]]
    found = paced(trees, *said, prior=PacePrior(1.4))
    mixed = {one.work: one.person_hours for one in found if one.day == DAY}
    assert sum(mixed.values()) == pytest.approx(32.0)
    assert {one.day for one in found if one.is_reckoned} == {DAY}, "nobody wrote down those hours"
    assert mixed[LADDER_X] / mixed[LADDER_Y] == pytest.approx(2.0, rel=0.05)


works = st.builds(
    Work, st.sampled_from("AB"), st.sampled_from("xyz"), st.sampled_from(["ladder", "platform"])
)
days = st.sampled_from([DAY, DAY + timedelta(1)])
half_trees = st.integers(0, 1_000).map(lambda n: n / 2)
"""Two crews share what both claim."""


@given(
    st.dictionaries(days, st.dictionaries(works, half_trees, max_size=6)),
    st.lists(
        st.tuples(
            days,
            st.sampled_from("ABC"),
            st.sampled_from(["ladder", "platform"]),
            st.integers(1, 9),
            st.floats(0.5, 10),
        ),
        max_size=8,
    ),
)
def test_no_tree_and_no_hour_is_told_twice_or_lost_in_between(trees, said):
    """All trees of a crew's day with hours are there; and all its hours, or those of methods with trees."""
    found = paced(trees, *said)
    for day, crew in {(one[0], one[1]) for one in said}:
        of_day = [one for one in found if (one.day, one.work.crew) == (day, crew)]
        pruned = {work: n for work, n in trees.get(day, {}).items() if work.crew == crew and n > 0}
        assert sum(one.trees for one in of_day) == pytest.approx(sum(pruned.values()))
        means = {}
        for method in {one[2] for one in said if one[:2] == (day, crew)}:
            each = [one[3] * one[4] for one in said if one[:3] == (day, crew, method)]
            means[method] = sum(each) / len(each)
        marked = {work.method for work in pruned}
        counted_hours = [n for method, n in means.items() if method in marked or not marked <= set(means)]
        assert sum(one.person_hours for one in of_day) == pytest.approx(sum(counted_hours) if pruned else 0.0)
    assert {(one.day, one.work.crew) for one in found} <= {(one[0], one[1]) for one in said}
