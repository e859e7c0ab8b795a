"""A tally on sample trees, from no tree at all to every tree of the block."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import count_vectors
from orchardmap.errors import InputError
from orchardmap.pruning.counting import CountEstimate, count_estimate, sample_size
from orchardmap.pruning.row_likeness import design_effect, row_correlation


def scattered(counts, **settings):
    """Each tree in a row of its own."""
    return count_estimate(counts, range(len(counts)), **settings)


def test_no_tree_says_nothing():
    assert scattered([], trees_in_block=500) == CountEstimate(0, None, None, None, None, None)
    assert not scattered([], trees_in_block=500).is_enough


def test_one_tree_has_a_mean_and_nothing_to_trust_it_by():
    told = scattered([22], trees_in_block=500)
    assert told == CountEstimate(1, 22.0, None, None, None, None)
    assert not told.is_enough


def test_two_trees_have_an_interval_that_is_honestly_wide():
    """20 and 24: s = 2.83, t(1) = 12.706, so 22 plus or minus 25.4; never below no buds at all."""
    told = scattered([20, 24], trees_in_block=1_000_000)
    assert (told.mean, told.low) == (22.0, 0.0)
    assert told.high == pytest.approx(22 + 12.706 * 2, abs=0.01)
    assert not told.is_enough


def test_few_trees_that_are_alike_are_no_proof():
    """Two or four equal counts would make an interval of no width; five may, as practice counts five."""
    for n in (2, 4):
        told = scattered([24] * n, trees_in_block=500)
        assert (told.mean, told.low, told.high, told.is_enough) == (24.0, None, None, False)
    one_row = count_estimate([24] * 9, [7] * 9, trees_in_block=500)
    assert (one_row.low, one_row.is_enough) == (None, False)
    five = scattered([24] * 5, trees_in_block=500)
    assert (five.low, five.high, five.trees_needed, five.is_enough) == (24.0, 24.0, 5, True)


def test_every_tree_of_a_block_is_enough_however_few_or_different():
    for counts in ([7], [1, 90], [0, 0, 0]):
        told = scattered(counts, trees_in_block=len(counts))
        assert told.low == told.mean == told.high == np.mean(counts)
        assert told.is_enough


def test_trees_without_buds_have_a_mean_of_nothing_and_no_share_of_it():
    told = scattered([0] * 8, trees_in_block=500)
    assert (told.mean, told.low, told.high, told.cv, told.is_enough) == (0.0, 0.0, 0.0, None, False)


def test_the_same_counts_from_fewer_rows_tell_less():
    """The more rows, the narrower: eight trees in one row, in two, four and eight rows."""
    tally = [20, 24, 22, 18, 26, 21, 19, 25]
    told = [
        count_estimate(tally, np.repeat(range(rows), 8 // rows), trees_in_block=500) for rows in (1, 2, 4, 8)
    ]
    widths = [(one.high or 0) - (one.low or 0) for one in told]
    assert widths == sorted(widths, reverse=True)
    # 1 + (8 - 1) x 0.25 against 1
    assert widths[0] / widths[3] == pytest.approx(np.sqrt(2.75))
    assert (told[0].trees_needed or 0) > (told[3].trees_needed or 0) > 0
    assert {one.mean for one in told} == {21.875}


@given(st.lists(st.integers(1, 9), max_size=40), st.floats(0, 1))
def test_design_effect_lies_between_scattered_trees_and_one_row(rows, correlation):
    effect = design_effect(rows, correlation=correlation)
    assert 1 <= effect <= 1 + max(0, len(rows) - 1) * correlation + 1e-9
    assert design_effect(range(len(rows)), correlation=correlation) == 1
    assert design_effect(rows[::-1], correlation=correlation) == effect


def test_row_correlation_of_made_rows():
    """Rows that differ and trees that do not: 1; equal rows of different trees: -1 / (m - 1); all alike: 0."""
    assert row_correlation([[1, 1, 1], [5, 5, 5]]) == 1
    assert row_correlation([[1, 5, 9], [9, 1, 5]]) == pytest.approx(-1 / 2)
    assert row_correlation([[3, 3], [3, 3]]) == 0
    for too_little in ([1, 2, 3], [[1, 2]], [[1], [2]], [[1, -2], [3, 4]]):
        with pytest.raises(InputError, match="values"):
            row_correlation(too_little)


counts = st.lists(st.integers(0, 400), min_size=2, max_size=60)


@given(counts, st.integers(0, 5000), st.floats(0.02, 0.5), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_enough_is_said_just_when_the_interval_is_narrow_enough(tally, others, share, confidence):
    told = scattered(tally, trees_in_block=len(tally) + others, half_width_share=share, confidence=confidence)
    if told.cv is None or told.high is None or told.mean is None or told.trees_needed is None:
        assert not told.is_enough or told.trees == len(tally) + others
        return
    wide = (told.high - told.mean) / told.mean
    if abs(wide - share) > 1e-9:
        assert told.is_enough == (wide <= share and told.trees >= min(5, len(tally) + others))
    assert told.trees_needed <= len(tally) + others


@given(counts, st.integers(1, 5000), st.integers(2, 9))
def test_counting_in_another_unit_changes_no_need(tally, others, scale):
    block = len(tally) + others
    one, many = (scattered([c * k for c in tally], trees_in_block=block) for k in (1, scale))
    assert many.trees_needed == one.trees_needed
    assert many.mean == pytest.approx((one.mean or 0.0) * scale)


@given(st.floats(0, 3), st.floats(0.01, 1), st.integers(1, 10**6), st.integers(1, 10**6))
def test_sample_size_is_of_the_block_and_grows_with_it(cv, share, one, other):
    less, more = (
        sample_size(cv, trees_in_block=block, half_width_share=share) for block in sorted((one, other))
    )
    assert 1 <= less <= more
    assert less <= min(one, other)


@pytest.mark.parametrize(
    ("counts", "changes", "where"),
    [
        ([3, -1], {}, "counts"),
        ([3, 4], {"rows": [1]}, "counts"),
        ([3, float("nan")], {}, "counts"),
        ([[3, 4]], {}, "counts"),
        ([3, 4, 5], {"trees_in_block": 2}, "counts"),
        ([], {"trees_in_block": 0}, "trees_in_block"),
        ([3], {"half_width_share": 0}, "half_width_share"),
        ([3], {"half_width_share": 15}, "half_width_share"),
        ([3], {"confidence": 1}, "confidence"),
        ([3], {"confidence": 95}, "confidence"),
    ],
)
def test_what_cannot_be_is_refused_by_name(counts, changes, where):
    with pytest.raises(InputError) as refusal:
        count_estimate(counts, **({"rows": range(len(counts)), "trees_in_block": 500} | changes))
    assert refusal.value.where == where


def test_vectors_of_the_tablets_own_estimate_are_what_is_computed_here():
    """`tests/vectors/counting`: a tablet without a connection says what the service would; hundreds of cases of every kind."""
    made = count_vectors.generated()
    assert count_vectors.written(made) == count_vectors.FILE.read_text(encoding="utf-8")
    enough = [one["expect"]["is_enough"] for one in made["estimates"]]
    assert min(enough.count(True), enough.count(False)) >= 30
