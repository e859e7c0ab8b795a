"""The draw of checks: fair, without repeats, reproducible, extended by what comes next, and walked in few steps."""

from collections import Counter
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from orchardmap.errors import InputError
from orchardmap.quality.draw import drawn_trees
from orchardmap.quality.walk import walking_order
from spread import voronoi_balance

blocks = st.sets(st.tuples(st.integers(0, 60), st.integers(0, 200)), min_size=1, max_size=80)
seeds = st.integers(0, 2**32)

WEDGE = [(row, at) for row in range(1, 8) for at in range(1, 4 + row) if (row + at) % 4]
"""Rows that get longer, with gaps: 37 trees in a frame of 7 by 10."""


def places(drawn):
    return [(one.row, one.position) for one in drawn]


def draw(block, trees, seed, extra=0):
    return drawn_trees(block, trees, extra=extra, rng=np.random.default_rng(seed))


@settings(max_examples=60)
@given(blocks, seeds, st.data())
def test_each_tree_once_in_any_order_of_input_and_more_begin_with_the_same(block, seed, data):
    every = draw(block, len(block), seed)
    assert set(places(every)) == block
    assert [one.number for one in every] == list(range(1, len(block) + 1))
    trees = data.draw(st.integers(0, len(block)))
    extra = data.draw(st.integers(0, len(block) - trees))
    told = draw(data.draw(st.permutations(sorted(block))), trees, seed, extra)
    assert places(told) == places(every)[: trees + extra]
    assert [one.is_extra for one in told] == [False] * trees + [True] * extra


@pytest.fixture(scope="module")
def many_draws():
    """12 of the 37 trees, 1,500 seeds."""
    return [places(draw(WEDGE, 12, seed)) for seed in range(1500)]


@pytest.mark.parametrize("nth", [1, 2, 8])
def test_every_tree_is_as_likely_as_another_at_each_place_of_the_list(many_draws, nth):
    """Rows of unequal length with gaps: chi-square of the nth tree drawn, 1 in 1,000 to fail if it is fair."""
    drawn = [trees[nth - 1] for trees in many_draws]
    assert stats.chisquare([drawn.count(tree) for tree in WEDGE]).pvalue > 0.001


@pytest.mark.parametrize(
    ("block", "trees"),
    [
        pytest.param(WEDGE, 12, id="rows of unequal length with gaps"),
        pytest.param(list(product(range(5), range(20))), 50, id="half of 5 rows of 20"),
    ],
)
def test_every_tree_is_as_likely_as_another_to_be_checked_at_all(block, trees):
    """1,500 seeds: no tree is off its share by more than chance allows for the worst one, 1 in 1,000 to fail if it is fair.

    Without the shift the half of 5 by 20 fails: places that the sequence meets regularly are met sooner by some point.
    """
    drawn = Counter(tree for seed in range(1500) for tree in places(draw(block, trees, seed)))
    share = trees / len(block)
    off = [(drawn[tree] - 1500 * share) / np.sqrt(1500 * share * (1 - share)) for tree in block]
    assert np.abs(off).max() < stats.norm.isf(0.0005 / len(block))


def test_trees_are_spread_better_than_simple_random_ones():
    """40 rows of 150 trees, 3.5 m by 1 m, 60 checks; the measured figures stand in bench/draw.py."""
    block = list(product(range(40), range(150)))
    xy_m = np.array(block) * (3.5, 1.0)
    rng = np.random.default_rng(3)
    spread, simple = [], []
    for seed in range(10):
        chosen = [row * 150 + at for row, at in places(draw(block, 60, seed))]
        spread.append(voronoi_balance(xy_m, chosen))
        simple.append(voronoi_balance(xy_m, rng.choice(len(block), 60, replace=False)))
    assert np.mean(spread) < 0.5 * np.mean(simple)


@pytest.mark.parametrize(
    ("trees", "extra", "where"), [(3, 0, "trees"), (2, 1, "trees"), (-1, 0, "trees"), (0, -1, "extra")]
)
def test_no_more_trees_than_there_are(trees, extra, where):
    with pytest.raises(InputError) as refused:
        draw([(1, 1), (1, 2), (1, 2)], trees, 1, extra)
    assert refused.value.where == where


def shortest(rows, positions):
    """The fewest steps, by trying all ways of walking each row through or in and out."""
    best = np.inf
    for start, ways in product((True, False), product((True, False), repeat=len(rows))):
        total, is_first = 0, start
        for (row, inside), through in zip(sorted(rows.items()), ways, strict=True):
            if through:
                total, is_first = total + positions[row], not is_first
            else:
                total += 2 * max(inside) if is_first else 2 * (positions[row] + 1 - min(inside))
        best = min(best, total)
    return best


def walked(order, positions):
    """The fewest steps of somebody who sees the trees in this very order."""
    rows: dict[int, list[int]] = {}
    for row, at in order:
        rows.setdefault(row, []).append(at)
    assert list(rows) == sorted(rows)
    at_end = {True: 0.0, False: 0.0}
    for row, inside in rows.items():
        up, down = inside == sorted(inside), inside == sorted(inside, reverse=True)
        assert up or down
        after = {True: np.inf, False: np.inf}
        for is_first, so_far in at_end.items():
            if up if is_first else down:
                turn = 2 * inside[-1] if is_first else 2 * (positions[row] + 1 - inside[-1])
                after[is_first] = min(after[is_first], so_far + turn)
                after[not is_first] = min(after[not is_first], so_far + positions[row])
        at_end = after
    return min(at_end.values())


@given(
    st.dictionaries(st.integers(1, 9), st.sets(st.integers(1, 30), min_size=1, max_size=4), max_size=7),
    st.data(),
)
def test_no_walk_row_after_row_has_fewer_steps(rows, data):
    """Against all ways of walking each row."""
    positions = {row: data.draw(st.integers(max(inside), 40)) for row, inside in rows.items()}
    trees = [(row, at) for row, inside in rows.items() for at in inside]
    order = walking_order(data.draw(st.permutations(trees)), positions)
    assert sorted(order) == sorted(trees)
    assert walked(order, positions) == shortest(rows, positions)


@pytest.mark.parametrize("tree", [(1, 0), (1, 11), (2, 1)])
def test_a_tree_that_is_not_there_has_no_walk(tree):
    with pytest.raises(InputError) as refused:
        walking_order([tree], {1: 10})
    assert refused.value.where == f"row {tree[0]}, position {tree[1]}"
