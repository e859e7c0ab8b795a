"""Which counts of sample trees stand, and what each tree has by them: a function of the set of counts."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.model.brief import BudTarget
from orchardmap.model.season import Season
from orchardmap.model.tree_count import TreeCount
from orchardmap.pruning.count_target import target_of
from orchardmap.work.intake import Facts, tree_count_set_aside
from orchardmap.work.replacing import not_replaced
from orchardmap.work.tree_counts import Tallied, per_tree, standing_counts

NOON, DAY = datetime(2026, 1, 20, 12, tzinfo=UTC), date(2026, 1, 20)
FACTS = Facts(
    ZoneInfo("Europe/Rome"),
    {"s": Season("s", "f", "one", date(2025, 12, 1), date(2026, 3, 1))},
    frozenset("c"),
    frozenset("p"),
    frozenset("b"),
    {("b", 1): 10},
    frozenset({("b", 1, 4)}),
    revoked_devices=frozenset({"gone"}),
)
COUNT = TreeCount("k", "s", "b", 1, 3, "limbs", 18, DAY, "p", None, NOON)


def tallied(name, *, position=1, what="limbs", number=20, replaces=None):
    return Tallied(name, "s", "b", 1, position, what, number, None, replaces)


def said(counts):
    """What the trees have, thing by thing."""
    return {what: dict(trees) for what, trees in per_tree(standing_counts(counts)).items()}


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({}, None),
        ({"number": None}, None),
        ({"season_id": "x"}, "unknown_season"),
        ({"block_id": "x"}, "unknown_block"),
        ({"row": 2}, "unknown_row"),
        ({"position": 0}, "no_stretch"),
        ({"position": 11}, "beyond_row_end"),
        ({"position": 4}, "no_tree_there"),
        ({"recorder_id": "x"}, "unknown_person"),
        ({"device_id": "gone"}, "device_revoked"),
    ],
)
def test_tree_count_is_set_aside_for(changes, reason):
    assert tree_count_set_aside(replace(COUNT, **changes), FACTS, day=DAY, today=DAY) == reason


def test_tree_count_outside_the_season_so_far():
    assert tree_count_set_aside(COUNT, FACTS, day=date(2025, 11, 30), today=DAY) == "before_season"
    ahead = tree_count_set_aside(COUNT, FACTS, day=DAY + timedelta(days=1), today=DAY)
    assert ahead == "later_than_today"


def test_correction_holds_and_what_has_no_number_takes_back():
    """One is corrected twice, one taken back, one taken back and counted anew."""
    counts = [
        tallied("1", number=9), tallied("2", number=19, replaces="1"), tallied("3", number=20, replaces="2"),
        tallied("4", position=2), tallied("5", position=2, number=None, replaces="4"),
        tallied("6", position=3, number=7), tallied("7", position=3, number=None, replaces="6"),
        tallied("8", position=3, number=8, replaces="7"),
    ]  # fmt: skip
    assert said(counts) == {"limbs": {(1, 1): 20, (1, 3): 8}}


def test_tree_counted_by_two_people_has_the_mean_and_corrects_nothing():
    assert said([tallied("1", number=20), tallied("2", number=23)]) == {"limbs": {(1, 1): 21.5}}


@pytest.mark.parametrize("other", [{"position": 2}, {"what": "buds_before"}])
def test_count_replaces_nothing_on_another_tree_and_nothing_else_of_the_tree(other):
    stand = standing_counts([tallied("1"), tallied("2", replaces="1", **other)])
    assert [one.id for one in stand] == ["1", "2"]


def test_counts_that_replace_each_other_all_stand():
    assert len(standing_counts([tallied("1", replaces="2"), tallied("2", replaces="1")])) == 2


@given(
    st.dictionaries(st.integers(0, 7), st.none() | st.integers(0, 9), max_size=8),
    st.randoms(use_true_random=False),
)
def test_not_replaced_knows_no_order_and_leaves_something(links, order):
    """Whatever replaces whatever, the ids in any order: the same stand; and never nothing, where there was something."""
    named = {str(new): None if old is None else str(old) for new, old in links.items()}
    shuffled = list(named.items())
    order.shuffle(shuffled)
    stand = not_replaced(dict(shuffled))
    assert stand == not_replaced(named)
    assert bool(stand) == bool(named)
    assert {one for one in named if one not in named.values()} <= stand


def test_target_of_each_thing_and_none_where_it_says_nothing():
    target = BudTarget(buds_per_tree=110, buds_per_limb=6.1, limbs_per_tree=18)
    told = [target_of(what, target) for what in ("buds_before", "buds_after", "limbs", "buds_on_limb")]
    assert told == [110, 110, 18, 6.1]
    assert target_of("limbs", BudTarget(buds_per_tree=110)) is None
