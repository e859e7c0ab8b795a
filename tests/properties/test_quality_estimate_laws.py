"""Laws of block shares, agreement and funnels, and how often they hold when drawn again and again."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import binom

from orchardmap.errors import InputError
from orchardmap.quality.agreement import agreement_of_several, agreement_of_two, counts_of_scores
from orchardmap.quality.block_share import block_share
from orchardmap.quality.crew_standings import LEAST_CREWS, crew_standings
from orchardmap.quality.funnel import FAR, NEAR, ratio_limits, share_limits
from orchardmap.quality.intervals import wilson_interval

COEFFICIENTS = ("percent", "kappa", "pi", "ac1", "brennan_prediger", "alpha", "positive")
TABLES = st.integers(2, 4).flatmap(
    lambda size: arrays(np.int64, (size, size), elements=st.integers(0, 40)).filter(
        lambda table: table.sum() > 0
    )
)


@st.composite
def visited_rows(draw):
    """Rows with trees, checks and faulty trees."""
    rows = []
    for _ in range(draw(st.integers(1, 12))):
        trees = draw(st.integers(1, 150))
        checked = draw(st.integers(1, trees))
        rows.append((trees, checked, draw(st.integers(0, checked))))
    return np.array(rows)


@given(visited_rows(), st.integers(0, 20))
def test_interval_of_a_block_holds_its_estimate(rows, unseen):
    told = block_share(*rows.T, rows_in_block=len(rows) + unseen)
    assert 0 <= told.share <= 1
    assert told.every_row_checked == (unseen == 0)
    if told.low is not None and told.high is not None:
        assert 0 <= told.low <= told.share + 1e-9
        assert told.share - 1e-9 <= told.high <= 1


@given(st.integers(2, 12), st.integers(0, 20), st.integers(2, 60), st.data())
def test_rows_alike_by_chance_are_worth_no_more_than_scattered_trees(rows, unseen, checked, data):
    """All rows of 80 trees have the same share, so that nothing tells them apart: n over the unseen share, no more."""
    faulty = data.draw(st.integers(1, checked - 1))
    told = block_share([80] * rows, [checked] * rows, [faulty] * rows, rows_in_block=rows + unseen)
    left = 1 - checked * rows / (80 * (rows + unseen))
    assert told.effective_checks is not None
    assert told.effective_checks <= checked * rows / left + 1e-6


@given(visited_rows())
def test_block_checked_tree_by_tree_has_no_doubt_left(rows):
    trees, _, faulty = rows.T
    told = block_share(trees, trees, faulty, rows_in_block=len(rows))
    assert told.low == told.high == told.share == pytest.approx(faulty.sum() / trees.sum())
    assert told.joined_rows == ()


@given(visited_rows(), st.integers(1, 20), st.randoms(use_true_random=False))
def test_rows_with_two_checks_may_come_in_any_order(rows, unseen, random):
    rows = rows[(rows[:, 1] > 1) | (rows[:, 0] == 1)]
    if not len(rows):
        return
    shuffled = rows.tolist()
    random.shuffle(shuffled)
    one, other = (
        block_share(*np.transpose(order), rows_in_block=len(rows) + unseen) for order in (rows, shuffled)
    )
    assert one.share == pytest.approx(other.share)
    assert (one.low is None) == (other.low is None)
    if one.low is not None:
        assert (one.low, one.high) == pytest.approx((other.low, other.high))


def test_rows_with_a_single_check_are_joined_and_told():
    told = block_share([100, 90, 110, 95, 1], [1, 4, 1, 1, 1], [0, 1, 0, 1, 0], rows_in_block=5)
    assert told.joined_rows == ((0, 1), (2, 3))  # the row of one tree is known
    last = block_share([100, 90, 110], [4, 4, 1], [0, 1, 0], rows_in_block=3)
    assert last.joined_rows == ((1, 2),)


def test_too_little_to_judge_says_nothing_of_the_interval():
    for told in (
        block_share([100], [20], [2], rows_in_block=12),
        block_share([100], [1], [0], rows_in_block=1),
    ):
        assert (told.low, told.high, told.standard_error) == (None, None, None)


def test_a_clean_sample_of_a_few_rows_does_not_count_as_scattered():
    """60 clean checks in 3 of 40 rows tell less than 60 all over the block, for trees of a row resemble each other."""
    few = block_share([100] * 3, [20] * 3, [0] * 3, rows_in_block=40)
    assert (few.share, few.low) == (0, 0)
    assert few.high is not None
    assert few.high > 2 * wilson_interval(0, 60)[1]


@pytest.mark.parametrize(
    ("rows", "rows_in_block", "where"),
    [
        (([10], [11], [0]), 1, "checked"),
        (([10], [5], [6]), 1, "faulty"),
        (([10, 10], [5, 5], [0, 0]), 1, "rows_in_block"),
        (([10, 10], [5], [0]), 2, "row_trees"),
        (([10], [0], [0]), 1, "checked"),
        (([], [], []), 1, "row_trees"),
    ],
)
def test_impossible_rows_are_refused_by_name(rows, rows_in_block, where):
    with pytest.raises(InputError) as refused:
        block_share(*rows, rows_in_block=rows_in_block)
    assert refused.value.where == where


@pytest.mark.parametrize(
    ("visited", "checks", "scattered_at_most"),
    [
        pytest.param(5, 12, 0.85, id="5 rows of 40"),
        pytest.param(10, 18, 0.85, id="10 rows of 40"),
        pytest.param(40, 2, 1.0, id="two in every row"),
        pytest.param(40, 1, 1.0, id="one in every row"),
    ],
)
def test_block_interval_holds_the_truth_where_rows_differ(visited, checks, scattered_at_most):
    """400 blocks of 40 rows whose shares spread (mean 15 %, sd 15 %): 95 in 100 promised, 92 asked, with 1.1 of standard error.

    Taken for scattered trees the checks of a few rows would hold it less than 85 times in 100.
    """
    rng = np.random.default_rng(57)
    held = as_scattered = 0
    for _ in range(400):
        trees = rng.integers(80, 160, 40)
        faulty = rng.binomial(trees, rng.beta(0.75, 4.25, 40))
        rows = np.sort(rng.choice(40, visited, replace=False))
        found = rng.hypergeometric(faulty[rows], (trees - faulty)[rows], checks)
        told = block_share(trees[rows], np.full(visited, checks), found, rows_in_block=40)
        truth = faulty.sum() / trees.sum()
        assert told.low is not None
        assert told.high is not None
        held += told.low <= truth <= told.high
        low, high = wilson_interval(found.sum(), visited * checks)
        as_scattered += low <= truth <= high
    assert held / 400 >= 0.92
    assert as_scattered / 400 <= scattered_at_most


@given(TABLES)
def test_who_of_two_auditors_came_first_changes_nothing(table):
    one, other = agreement_of_two(table), agreement_of_two(table.T)
    for name in COEFFICIENTS:
        mine, yours = getattr(one, name), getattr(other, name)
        assert (mine is None) == (yours is None)
        if mine:
            assert (mine.value, mine.low, mine.high) == pytest.approx(
                (yours.value, yours.low, yours.high), abs=1e-9
            )


@given(TABLES)
def test_every_coefficient_lies_in_its_interval(table):
    told = agreement_of_two(table)
    for name in COEFFICIENTS:
        one = getattr(told, name)
        if one:
            assert -1 <= one.low <= one.value + 1e-9
            assert one.value - 1e-9 <= one.high <= 1 + 1e-9


@given(TABLES)
def test_two_auditors_are_several(table):
    """Tree by tree, in classes, or as a table."""
    size = len(table)
    scores = [
        [row, column] for row in range(size) for column in range(size) for _ in range(table[row, column])
    ]
    several, two = agreement_of_several(counts_of_scores(scores, range(size))), agreement_of_two(table)
    for name in COEFFICIENTS:
        one, other = getattr(several, name), getattr(two, name)
        if one:
            assert (one.value, one.standard_error) == pytest.approx(
                (other.value, other.standard_error), abs=1e-7
            )


@settings(max_examples=30)
@given(st.lists(st.lists(st.sampled_from([0, 1, None]), min_size=3, max_size=3), min_size=2, max_size=20))
def test_a_tree_that_one_auditor_scored_tells_alpha_nothing(scores):
    scores += [[0, 0, 1], [1, 1, None]]
    alone = [[None, 1, None], [0, None, None]]
    with_them, without = (agreement_of_several(counts_of_scores(s, [0, 1])) for s in (scores + alone, scores))
    assert with_them.alpha is not None
    assert without.alpha is not None
    assert with_them.alpha.value == pytest.approx(without.alpha.value)
    assert with_them.alpha.standard_error == pytest.approx(without.alpha.standard_error, abs=1e-9)
    assert with_them.trees == without.trees


def test_standard_errors_are_those_of_trees_drawn_anew():
    """Kappa, AC1 and alpha of 120 trees drawn 1,000 times from a table of chances: their spread is the error that is told."""
    rng = np.random.default_rng(3)
    chances = np.array([[0.7, 0.06], [0.04, 0.2]])
    drawn = [agreement_of_two(rng.multinomial(120, chances.ravel()).reshape(2, 2)) for _ in range(1000)]
    for name in ("kappa", "ac1", "alpha", "positive"):
        told = [getattr(one, name) for one in drawn]
        spread = np.std([one.value for one in told])
        assert np.mean([one.standard_error for one in told]) == pytest.approx(spread, rel=0.09)


def test_full_agreement_on_few_trees_is_not_certain():
    """12 trees alike leave room: Wilson's lower end of 12 of 12 is .757, so kappa's is (.757 - .722) / (1 - .722) = .13."""
    told = agreement_of_two([[10, 0], [0, 2]])
    assert told.kappa is not None
    assert (told.kappa.value, round(told.kappa.low, 2), told.kappa.high) == (1, 0.13, 1)
    same = agreement_of_two([[10, 0], [0, 0]])
    assert (same.kappa, same.alpha, same.positive) == (None, None, None)  # no class to tell from another
    with pytest.raises(InputError, match="two auditors"):
        agreement_of_several([[1, 0], [0, 1]])


@given(st.floats(0.5, 500), st.floats(1.01, 5), st.sampled_from([NEAR, FAR]))
def test_more_expected_trees_make_a_narrower_funnel(expected, more, level):
    (low, nearer_low), (high, nearer_high) = ratio_limits([expected, expected * more], level=level)
    assert low <= nearer_low <= 1 <= nearer_high <= high


@settings(max_examples=50)
@given(st.floats(0.02, 0.5), st.integers(5, 800), st.sampled_from([NEAR, FAR]))
def test_limit_of_a_share_lies_between_the_trees_that_are_too_likely_and_rare_enough(target, checked, level):
    """By summing the binomial: the next whole tree outside is rarer than the tail, and the one inside is not."""
    low, high = (float(limits[0]) for limits in share_limits(target, [checked], level=level))
    assert 0 <= low <= target <= high <= 1
    tail = (1 - level) / 2
    above, below = np.ceil(high * checked - 1e-7), np.ceil(low * checked - 1e-7)
    assert binom.sf(above, checked, target) <= tail + 1e-9
    assert binom.sf(above - 1, checked, target) >= tail - 1e-9
    assert binom.cdf(below - 1, checked, target) <= tail + 1e-9
    assert binom.cdf(below, checked, target) >= tail - 1e-9


def test_of_ten_equal_crews_hardly_one_is_ever_blamed():
    """500 seasons of ten crews of 120 checks at 10 %: summing the binomial, one at least is beyond 99.8 % in 10 of them."""
    rng = np.random.default_rng(10)
    blamed = sum(
        any(one.standing != "as_others" for one in season([120] * 10, found, 0.1))
        for found in rng.binomial(120, 0.1, (500, 10))
    )
    assert 1 <= blamed <= 20  # three standard errors of 3.1


def test_a_crew_in_bad_blocks_is_not_blamed_for_them():
    """40 faulty trees of 200 where 20 % are, and where 8 % are."""
    others = [(200, 16, 16.0)] * 4
    for expected, standing in ((40.0, "as_others"), (16.0, "more_faulty")):
        told = crew_standings(*map(list, zip((200, 40, expected), *others, strict=True)))
        assert [one.standing for one in told] == [standing, *["as_others"] * 4]


def test_crews_that_all_differ_widen_the_funnel_and_few_crews_do_not():
    """Crew shares spread by 0.3 on the log scale: with exact limits alone many of 15 crews would stand out."""
    rng = np.random.default_rng(4)
    found = rng.poisson(40 * np.exp(rng.normal(0, 0.3, 15)))
    wide = crew_standings([400] * 15, found, [40.0] * 15)
    narrow = share_limits(0.1, [400], level=FAR)[1][0] / 0.1
    assert all(one.far.high > narrow for one in wide)
    assert sum(x / 40 > narrow for x in found) > sum(one.standing == "more_faulty" for one in wide)
    few = crew_standings([400] * (LEAST_CREWS - 1), found[: LEAST_CREWS - 1], [40.0] * (LEAST_CREWS - 1))
    assert [one.far.high for one in few] == pytest.approx([narrow] * len(few))


def test_one_bad_crew_of_ten_does_not_hide_itself():
    told = crew_standings([200] * 10, [60, *[18, 22, 19, 21, 20, 17, 23, 20, 20]], [20.0] * 10)
    assert [one.standing for one in told] == ["more_faulty", *["as_others"] * 9]


def test_no_faulty_tree_anywhere_and_few_checks_say_nothing():
    told = crew_standings([200, 29], [0, 29], [0.0, 2.9])
    assert [one.standing for one in told] == ["too_few_checks"] * 2
    assert told[0].ratio is None


def season(checked, faulty, share):
    return crew_standings(checked, faulty, [n * share for n in checked])
