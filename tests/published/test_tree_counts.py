"""How many trees to count: published trees, printed quantiles, and what an interval must hold when drawn again and again."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from orchardmap.pruning.counting import CountEstimate, count_estimate, sample_size
from orchardmap.pruning.row_likeness import ROW_CORRELATION, design_effect, row_correlation

YIELDS = json.loads(Path(__file__).with_name("jonathan_yields.json").read_text("utf-8"))
ROWS = np.array(YIELDS["pounds"], float)
"""28 rows of 8 trees."""
JONATHAN = ROWS.ravel()


def scattered(counts, **settings):
    """Each tree in a row of its own."""
    return count_estimate(counts, range(len(counts)), **settings)


def test_spread_of_the_224_jonathan_trees():
    """Batchelor & Reed 1918: 28 rows of 8 trees; coefficient of variation 0.414."""
    every = scattered(JONATHAN, trees_in_block=224)
    assert every.trees == 224
    assert every.low == every.mean == every.high
    assert JONATHAN.std(ddof=1) / JONATHAN.mean() == pytest.approx(0.414, abs=5e-4)


@pytest.mark.parametrize(
    ("cv", "trees", "expected"),
    [
        pytest.param(0.414, 224, {0.20: 16, 0.15: 26, 0.10: 51, 0.05: 122}, id="Batchelor & Reed 1918"),
        pytest.param(0.227, 187, {0.20: 5, 0.15: 9, 0.10: 18, 0.05: 56}, id="Strickland 1935"),
    ],
)
def test_sample_sizes_at_95_per_cent(cv, trees, expected):
    """Computed from both trials' tree-by-tree yields; n0 = (1.96 x 0.414 / 0.15)2 = 29.3 in an endless block."""
    for share, needed in expected.items():
        assert sample_size(cv, trees_in_block=trees, half_width_share=share) == needed
    assert sample_size(0.414, trees_in_block=1_000_000, half_width_share=0.15) == 30  # 29.3, rounded up


@pytest.mark.parametrize(("n", "t"), [(2, 12.706), (5, 2.776), (10, 2.262), (30, 2.045)])
def test_half_width_by_printed_quantiles_of_students_t(n, t):
    """NIST/SEMATECH e-Handbook, section 1.3.6.7.2, column 0.975, degrees of freedom n - 1; block without end."""
    counts = np.linspace(10, 30, n)
    told = scattered(counts, trees_in_block=1_000_000)
    assert half_width(told) == pytest.approx(t * counts.std(ddof=1) / np.sqrt(n), rel=5e-4)


def test_interval_is_scipys_where_the_block_has_no_end_and_narrower_where_it_has():
    counts = JONATHAN[:40]
    low, high = stats.t.interval(0.9, 39, loc=counts.mean(), scale=stats.sem(counts))
    told = scattered(counts, trees_in_block=1_000_000, confidence=0.9)
    assert (told.low, told.high) == pytest.approx((low, high), rel=1e-3)
    small = scattered(counts, trees_in_block=50, confidence=0.9)
    # 40 of 50 trees: sqrt(1 - 0.8) of the width
    assert half_width(small) == pytest.approx((high - low) / 2 * np.sqrt(0.2), rel=1e-3)


def test_trees_of_a_row_resemble_each_other():
    """Same trees: correlation 0.25 within rows, design effect 1.98 for five trees a row."""
    correlation = row_correlation(ROWS)
    assert correlation == pytest.approx(ROW_CORRELATION, abs=0.005)
    assert design_effect(np.repeat([1, 2, 3], 5), correlation=correlation) == pytest.approx(1.98, abs=0.006)
    # Strickland 1935: 0.18 and 1.73
    assert design_effect(np.repeat([1, 2], 5), correlation=0.18) == pytest.approx(1.73, abs=0.015)


@pytest.mark.parametrize(("rows", "trees", "least"), [(4, 5, 0.91), (8, 3, 0.925), (2, 5, 0.87)])
def test_trees_taken_row_by_row_hold_the_mean_nearly_as_often(rows, trees, least):
    """Drawn 1,000 times: about 94, 96 and 91 of 100 hold. Taken for scattered trees the first would hold 83, the last 81."""
    rng = np.random.default_rng(28)
    as_rows, as_scattered = [], []
    for _ in range(1000):
        drawn = rng.choice(28, rows, replace=False)
        counts = np.concatenate([rng.choice(ROWS[row], trees, replace=False) for row in drawn])
        as_rows.append(holds_the_mean(count_estimate(counts, np.repeat(drawn, trees), trees_in_block=224)))
        as_scattered.append(holds_the_mean(scattered(counts, trees_in_block=224)))
    assert least <= np.mean(as_rows) <= 0.97
    assert np.mean(as_scattered) < np.mean(as_rows) - 0.03


@pytest.mark.parametrize("n", [5, 26, 120])
def test_interval_holds_the_true_mean_about_19_times_in_20(n):
    """Real trees drawn without replacement, 2,000 times: 1,900 with a standard error of 10, four of them allowed.

    Without the finite correction 120 of 224 trees would hold it 1,992 times (1.96 / sqrt(1 - 120 / 224) = 2.9).
    """
    rng = np.random.default_rng(1918)
    draws = [scattered(rng.choice(JONATHAN, n, replace=False), trees_in_block=224) for _ in range(2000)]
    assert 1860 <= sum(holds_the_mean(told) for told in draws) <= 1940


def test_counting_on_until_enough_is_nearly_as_trustworthy():
    """Stopping at the first narrow interval picks lucky ones: 93 % of 1,500 runs held, so 93 % of 200 give or take 4."""
    rng = np.random.default_rng(245)
    ends = []
    for _ in range(200):
        order = rng.permutation(JONATHAN)
        so_far = (scattered(order[:n], trees_in_block=224) for n in range(5, 225))
        ends.append(next(told for told in so_far if told.is_enough))
    assert 0.88 <= np.mean([holds_the_mean(told) for told in ends]) <= 0.97
    assert 22 <= np.mean([told.trees for told in ends]) <= 32  # 26 were the spread known beforehand
    assert all(half_width(told) <= 0.15 * (told.mean or 0.0) for told in ends)


def holds_the_mean(told: CountEstimate) -> bool:
    assert told.low is not None
    assert told.high is not None
    return bool(told.low <= JONATHAN.mean() <= told.high)


def half_width(told: CountEstimate) -> float:
    assert told.high is not None
    assert told.mean is not None
    return told.high - told.mean
