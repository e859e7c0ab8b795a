"""Weak areas against a plain loop over all rectangles, and what no order or numbering may change."""

from dataclasses import replace
from math import log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from orchardmap.errors import InputError
from orchardmap.quality import scan
from orchardmap.quality.scan import ScanSizes, llr_table, rectangles
from orchardmap.quality.scan_chance import chance_maxima
from orchardmap.quality.weak_areas import CheckedTree, weak_areas
from orchardmap.quality.weak_rows import weak_rows
from simulated_orchards import PATCHES, Block, checked, drawn_in_every_row, faulty_trees

trees = st.dictionaries(
    st.tuples(st.integers(1, 9), st.integers(1, 12)), st.booleans(), min_size=4, max_size=30
)
some_sizes = st.builds(ScanSizes, st.integers(1, 6), st.sampled_from([0.3, 0.5, 0.8]), st.integers(1, 4))


def block_of(told):
    return [CheckedTree(row, position, is_faulty) for (row, position), is_faulty in told.items()]


def areas_of(checks, permutations=19, **settings):
    return weak_areas(checks, rng=np.random.default_rng(1), permutations=permutations, **settings)


def plain_llr(c, n, faulty, checks):
    def part(x, of):
        return x * log(x / of) if x else 0.0

    if n == checks or c * checks <= faulty * n:
        return 0.0
    inside = part(c, n) + part(n - c, n)
    outside = part(faulty - c, checks - n) + part(checks - n - faulty + c, checks - n)
    return inside + outside - part(faulty, checks) - part(checks - faulty, checks)


def plain_rectangles(told, sizes):
    """Every run of rows and stretch of positions there is, one after the other: tightest bounds and how many to ratio."""
    found = {}
    rows, positions = {row for row, _ in told}, {position for _, position in told}
    for a in rows:
        for b in rows & set(range(a, a + sizes.most_rows)):
            for low in positions:
                for high in positions:
                    inside = [tree for tree in told if a <= tree[0] <= b and low <= tree[1] <= high]
                    if inside and sizes.least_checks <= len(inside) <= len(told) * sizes.most_share:
                        of_rows, along = zip(*inside, strict=True)
                        bounds = (min(of_rows), max(of_rows), min(along), max(along), len(inside))
                        c = sum(told[tree] for tree in inside)
                        found[bounds] = plain_llr(c, len(inside), sum(told.values()), len(told))
    return found


@settings(max_examples=30)
@given(trees, some_sizes)
def test_no_rectangle_is_overlooked_and_the_area_is_as_it_says(told, sizes):
    expected = plain_rectangles(told, sizes)
    places = np.array(sorted(told))
    listed = [tuple(one) for one in rectangles(places[:, 0], places[:, 1], sizes).bounds().tolist()]
    assert sorted(listed) == sorted(expected), "each set of checks once, and none that is not asked for"
    areas = areas_of(block_of(told), sizes=sizes)
    assert (areas[0].llr if areas else 0.0) == pytest.approx(max(expected.values(), default=0.0), abs=1e-9)
    for area in areas:
        (a, b), (low, high) = area.rows, area.positions
        inside = {tree: f for tree, f in told.items() if a <= tree[0] <= b and low <= tree[1] <= high}
        assert (area.checked, area.faulty) == (len(inside), sum(inside.values()))
        assert b - a < sizes.most_rows
        assert {a, b} <= {row for row, _ in inside}, "its bounds are those of its checks"
        assert {low, high} <= {position for _, position in inside}


@given(trees, st.randoms(use_true_random=False), st.integers(0, 500), st.integers(0, 500))
def test_neither_order_nor_first_number_changes_anything(told, shuffle, rows_on, positions_on):
    checks = block_of(told)
    expected = areas_of(checks)
    shuffle.shuffle(checks)
    assert areas_of(checks) == expected
    moved = [replace(one, row=one.row + rows_on, position=one.position + positions_on) for one in checks]
    assert [
        replace(
            area,
            rows=(area.rows[0] - rows_on, area.rows[1] - rows_on),
            positions=(area.positions[0] - positions_on, area.positions[1] - positions_on),
        )
        for area in areas_of(moved)
    ] == expected


@given(trees)
def test_areas_share_no_place_and_get_weaker(told):
    areas = areas_of(block_of(told), level=0.9)
    for at, area in enumerate(areas):
        for other in areas[:at]:
            assert area.llr <= other.llr
            assert area.p >= other.p
            apart_in_rows = area.rows[1] < other.rows[0] or other.rows[1] < area.rows[0]
            apart_along = area.positions[1] < other.positions[0] or other.positions[1] < area.positions[0]
            assert apart_in_rows or apart_along


@given(trees, st.sampled_from([0.05, 0.1, 0.3, 0.55]))
def test_a_level_cuts_the_list_of_areas_and_changes_nothing_else(told, level):
    every = areas_of(block_of(told), level=0.95)
    at_level = areas_of(block_of(told), level=level)
    kept = [area for nth, area in enumerate(every) if nth == 0 or area.p <= level]
    assert [replace(area, state="none") for area in at_level] == [
        replace(area, state="none") for area in kept
    ]


@given(trees, some_sizes, st.integers(0, 10**6))
def test_what_chance_shows_is_the_best_rectangle_of_the_dealt_trees(told, sizes, seed):
    """The quick way of the permutations (most faulty ones for each number of checks) against rectangle by rectangle."""
    places = np.array(sorted(told))
    faulty = sum(told.values())
    looked_at = rectangles(places[:, 0], places[:, 1], sizes)
    llr = llr_table(faulty, len(told), looked_at.most)
    maxima = chance_maxima(looked_at, llr, permutations=5, rng=np.random.default_rng(seed))
    deal = np.random.default_rng(seed)
    labels = deal.permuted(np.tile(np.arange(len(told)) < faulty, (5, 1)).astype(np.int16), axis=1)
    n = looked_at.bounds()[:, 4]
    expected = [llr[n, looked_at.faulty(dealt.astype(bool))].max(initial=0.0) for dealt in labels]
    assert maxima.tolist() == expected


@given(trees, st.integers(10, 60))
def test_a_block_with_too_many_rectangles_is_looked_at_in_cells(told, most):
    """Fewer rectangles, each still one of checks within its tightest bounds and none twice."""
    places = np.array(sorted(told))
    with pytest.MonkeyPatch.context() as patch:
        every = rectangles(places[:, 0], places[:, 1], ScanSizes())
        patch.setattr(scan, "MOST_RECTANGLES", most)
        some = rectangles(places[:, 0], places[:, 1], ScanSizes())
    listed = [tuple(one) for one in some.bounds().tolist()]
    assert len(set(listed)) == len(listed) == some.count
    assert set(listed) <= {tuple(one) for one in every.bounds().tolist()}
    runs = sum(1 for a in set(places[:, 0]) for b in set(places[:, 0]) if a <= b < a + 12)
    assert some.count <= max(most, runs)


@settings(max_examples=30)
@given(trees, st.integers(1, 40), st.data())
def test_confirmed_is_what_fishers_test_says_of_the_new_trees_alone(told, n, data):
    """Witness: scipy's Fisher test, new trees against the whole first pass."""
    expected = areas_of(block_of(told))
    if not expected:
        return
    first = expected[0]
    places = [
        (row, at) for row in range(first.rows[0], first.rows[1] + 1)
        for at in range(first.positions[0], first.positions[1] + 1)
        if (row, at) not in told
    ][:n]  # fmt: skip
    faulty = data.draw(st.integers(0, len(places)))
    new = [CheckedTree(*place, k < faulty, is_recheck=True) for k, place in enumerate(places)]
    area = areas_of([*new, *block_of(told)])[0]
    assert replace(area, recheck=None, state=first.state) == first, (
        "re-checks change nothing of the first pass"
    )
    if not places:
        assert area.recheck is None
        return
    table = [[faulty, len(places) - faulty], [sum(told.values()), len(told) - sum(told.values())]]
    p = stats.fisher_exact(table, alternative="greater").pvalue
    assert area.recheck is not None
    assert area.recheck.p == pytest.approx(p, rel=1e-9)
    if p <= 0.05:
        assert area.state == "confirmed"
    else:
        assert area.state == ("suspect" if first.p <= 0.05 and len(places) < 30 else "none")


def test_two_hundred_clean_seasons_alarm_no_more_often_than_stated():
    """10 rows of 40 trees, 40 checks, one faulty tree in ten; 5 in 100 is the level. Band: 1 in 1,000 either side."""
    block = Block(rows=10, positions=40)
    rng = np.random.default_rng(2026)
    alarms = 0
    for _ in range(200):
        faulty = faulty_trees(block.none(), 0.1, 0.1, rng)
        areas = weak_areas(checked(drawn_in_every_row(block, 40, rng), faulty), rng=rng, permutations=199)
        alarms += any(area.state == "suspect" for area in areas)
    assert stats.binom.ppf(0.001, 200, 0.05) <= alarms <= stats.binom.ppf(0.999, 200, 0.05)


@pytest.mark.parametrize("name", PATCHES)
def test_a_planted_patch_is_found_where_it_is(name):
    """Two seasons of a block of 6,000 trees, 600 of them checked: 5 in 100 faulty, 60 in 100 inside the patch."""
    rng = np.random.default_rng(5)
    block = Block()
    for _ in range(2):
        weak = PATCHES[name](block, rng)
        drawn = drawn_in_every_row(block, 600, rng)
        area = weak_areas(checked(drawn, faulty_trees(weak, 0.05, 0.6, rng)), rng=rng, permutations=49)[0]
        found = block.none()
        found[area.rows[0] - 1 : area.rows[1], area.positions[0] - 1 : area.positions[1]] = True
        assert area.state == "suspect"
        assert (found & weak).sum() > 0.6 * found.sum()
        assert (found & weak).sum() > 0.6 * weak.sum()


def test_two_planted_patches_are_found_and_nothing_else():
    rng = np.random.default_rng(8)
    block = Block()
    weak = block.none()
    weak[5:9, 20:80] = weak[25:31, 100:140] = True
    drawn = drawn_in_every_row(block, 600, rng)
    areas = weak_areas(checked(drawn, faulty_trees(weak, 0.05, 0.6, rng)), rng=rng, permutations=199)
    assert [area.state for area in areas] == ["suspect", "suspect"]
    (upper, lower) = sorted(areas, key=lambda area: area.rows)
    assert 5 <= upper.rows[0] <= upper.rows[1] <= 10
    assert 25 <= lower.rows[0] <= lower.rows[1] <= 32


def test_of_equally_striking_areas_the_first_is_told_first():
    checks = [
        CheckedTree(row, at, row in {2, 16} and at in {6, 7, 8})
        for row in range(1, 18)
        for at in range(1, 13)
    ]
    first, second = areas_of(checks, permutations=99)
    assert (first.rows, second.rows) == ((2, 2), (16, 16))
    assert first.positions == second.positions == (6, 8)
    assert first.llr == second.llr


def test_rows_of_unequal_length_and_rows_left_out():
    """Rows 3, 7 and 20 to 24, numbered from anywhere; the fault lies at the far end of the long ones."""
    lengths = {3: 4, 7: 9, 20: 12, 21: 30, 22: 31, 24: 6}
    checks = [
        CheckedTree(row, at, row in {21, 22} and at > 24)
        for row, length in lengths.items()
        for at in range(1, length + 1)
    ]
    (area,) = areas_of(checks, permutations=99)
    assert (area.rows, area.positions, area.checked, area.faulty) == ((21, 22), (25, 31), 13, 13)


@given(trees)
def test_weak_rows_are_those_of_the_beta_binomial_model(told):
    """Witness: scipy's Beta distribution."""
    share = sum(told.values()) / len(told)
    expected = {}
    for row in {row for row, _ in told}:
        inside = [f for (at, _), f in told.items() if at == row]
        if share > 0 and 1.5 * share < 1:
            after = stats.beta(10 * share + sum(inside), 10 * (1 - share) + len(inside) - sum(inside))
            if after.sf(1.5 * share) > 0.9:
                expected[row] = after.sf(1.5 * share)
    found = weak_rows(block_of(told))
    assert {one.row: pytest.approx(one.sureness) for one in found} == expected
    assert [one.sureness for one in found] == sorted((one.sureness for one in found), reverse=True)


def test_a_tree_that_was_checked_twice_is_refused():
    """Whichever counts is for whoever keeps the checks to say."""
    twice = [CheckedTree(3, 7, False), CheckedTree(1, 1, False), CheckedTree(3, 7, True, is_recheck=True)]
    with pytest.raises(InputError) as refused:
        areas_of(twice)
    assert refused.value.where == "row 3, position 7"


def test_new_trees_of_a_recheck_make_no_row_weak():
    """They were drawn where it looked weak."""
    checks = [CheckedTree(row, at, row == 5 and at > 1) for row in range(1, 9) for at in range(1, 7)]
    new = [CheckedTree(2, at, is_faulty=True, is_recheck=True) for at in range(7, 27)]
    assert [one.row for one in weak_rows(checks)] == [5]
    assert weak_rows([*checks, *new]) == weak_rows(checks)
