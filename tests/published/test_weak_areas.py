"""Weak areas and the draw of checks against published or hand-made values; `spatial.json` names the source of each case."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from scipy.stats import qmc

from hot_spots import exact_gi_star, kept_by_fdr
from orchardmap.quality.draw import radical_inverse
from orchardmap.quality.scan import ScanSizes, llr_table
from orchardmap.quality.weak_areas import CheckedTree, weak_areas
from spread import voronoi_balance, voronoi_shares

CASES = {case["id"]: case for case in json.loads(Path(__file__).with_name("spatial.json").read_text("utf-8"))}


def halton(index):
    return np.column_stack([
        radical_inverse(np.asarray(index)[..., at], base) for at, base in enumerate((2, 3))
    ])


def test_first_points_of_the_halton_sequence():
    """Halton 1960: mirrored digits in bases 2 and 3."""
    case = CASES["bas-01-halton"]
    index = np.array(case["inputs"]["index"])[:, np.newaxis].repeat(2, axis=1)
    np.testing.assert_allclose(halton(index), case["expected"], atol=case["tolerance"], rtol=0)


def test_a_thousand_points_are_those_of_scipy():
    index = np.arange(1000)[:, np.newaxis].repeat(2, axis=1)
    np.testing.assert_allclose(halton(index), qmc.Halton(2, scramble=False).random(1000), atol=1e-12)


def test_halton_points_from_a_random_start():
    """Robertson, Brown, McDonald & Jaksons 2013, Biometrics 69:776-784: each base has a start of its own."""
    case = CASES["bas-02-random-start"]
    index = np.array(case["inputs"]["random_start"]) + np.array(case["inputs"]["k"])[:, np.newaxis]
    np.testing.assert_allclose(halton(index), case["expected"], atol=case["tolerance"], rtol=0)


@pytest.mark.parametrize("name", ["spread", "clumped", "diagonal"])
def test_voronoi_balance_that_the_draw_is_measured_by(name):
    """Stevens & Olsen 2004, JASA 99:262-278."""
    case = CASES[f"bas-04-voronoi-{name}"]
    trees = np.argwhere(np.ones((4, 4)))
    sample = case["inputs"]["sample"]
    np.testing.assert_allclose(voronoi_shares(trees, sample), case["expected"]["v"], atol=case["tolerance"])
    assert voronoi_balance(trees, sample) == pytest.approx(case["expected"]["B"], abs=case["tolerance"])


def test_log_likelihood_ratio_of_the_bernoulli_scan():
    """Kulldorff 1997, high shares only; the second case is 3 of 3, the last lies below the rest and is 0."""
    case = CASES["spa-09-bernoulli-llr"]
    for (c, n, faulty, checks), expected in zip(case["inputs"]["cases"], case["expected"], strict=True):
        assert llr_table(faulty, checks, checks // 2)[n, c] == pytest.approx(expected, abs=case["tolerance"])


def test_log_likelihood_ratio_is_that_of_two_binomials_against_one():
    """Witness: scipy's binomial probabilities at the best shares; the binomial coefficients cancel."""
    faulty, checks = 7, 23
    table = llr_table(faulty, checks, 11)
    for n in range(1, 12):
        for c in range(max(0, faulty - (checks - n)), min(n, faulty) + 1):
            inside, outside, rest = c / n, (faulty - c) / (checks - n), faulty / checks
            two = stats.binom.logpmf(c, n, inside) + stats.binom.logpmf(faulty - c, checks - n, outside)
            one = stats.binom.logpmf(c, n, rest) + stats.binom.logpmf(faulty - c, checks - n, rest)
            expected = two - one if inside > rest else 0.0
            assert table[n, c] == pytest.approx(expected, abs=1e-9)


def test_most_striking_rectangle_of_a_small_block():
    """All rectangles of a 6 x 8 grid, three checks to half of them."""
    case = CASES["spa-12-rect-scan"]
    grid = np.array(case["inputs"]["grid_rows_x_cols"], bool)
    checks = [CheckedTree(row, at, bool(grid[row, at])) for row, at in np.ndindex(grid.shape)]
    sizes = ScanSizes(most_share=case["inputs"]["max_fraction"], least_checks=case["inputs"]["min_n"])
    area = weak_areas(checks, rng=np.random.default_rng(1), permutations=99, sizes=sizes)[0]
    told = case["expected"]
    assert area.llr == pytest.approx(told["LLR"], abs=case["tolerance"])
    assert (list(area.rows), list(area.positions)) == (told["row_range"], told["col_range"])
    assert (area.faulty, area.checked) == (told["c"], told["n"])


def test_exact_gi_star_that_the_scan_is_measured_against():
    case = CASES["spa-11-gistar-exact"]
    given = case["inputs"]
    told = exact_gi_star(given["k"], given["c"], checks=given["n"], faulty=given["C"])
    np.testing.assert_allclose(told, case["expected"], atol=case["tolerance"], rtol=0)


def test_false_discovery_rate_that_it_is_held_to():
    """Benjamini & Hochberg 1995, JRSS-B 57:289-300, section 4.1: four of the fifteen."""
    case = CASES["spa-08-bh"]
    p = case["inputs"]["p"]
    np.testing.assert_allclose(
        stats.false_discovery_control(p), case["expected"]["adjusted"], atol=case["tolerance"]
    )
    assert kept_by_fdr(p, case["inputs"]["q"]).sum() == case["expected"]["rejected_BH"]
