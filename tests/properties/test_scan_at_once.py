"""The scan goes through many runs of rows and several permutations at once: that changes no answer, to the last bit."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.quality import scan
from orchardmap.quality.scan import ScanSizes, llr_table, rectangles
from orchardmap.quality.scan_chance import chance_maxima
from orchardmap.quality.weak_areas import CheckedTree, weak_areas

trees = st.dictionaries(
    st.tuples(st.integers(1, 9), st.integers(1, 12)), st.booleans(), min_size=4, max_size=30
)
some_sizes = st.builds(ScanSizes, st.integers(1, 6), st.sampled_from([0.3, 0.5, 0.8]), st.integers(1, 4))


@given(trees, some_sizes)
def test_how_many_runs_are_gone_through_at_once_changes_nothing(told, sizes):
    """One after the other, a few, all."""
    places = np.array(sorted(told))
    llr = llr_table(sum(told.values()), len(told), int(len(told) * sizes.most_share))
    seen, parts = [], []
    for at_once in (1, 20, 10**6):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(scan, "_STRETCHES_AT_ONCE", at_once)
            found = rectangles(places[:, 0], places[:, 1], sizes)
        maxima = chance_maxima(found, llr, permutations=9, rng=np.random.default_rng(1))
        seen.append((sorted(found.bounds().tolist()), maxima.tolist()))
        parts.append(len(found.runs))
    assert seen[0] == seen[1] == seen[2]
    assert parts[0] >= parts[1] >= parts[2]
    assert parts[2] == bool(seen[2][0]), "all at once is one part"


@pytest.mark.parametrize(("faulty", "size"), [(200, 1), (420, 2)])
def test_counts_side_by_side_never_run_into_each_other(faulty, size, monkeypatch):
    """A word holds eight counts or four: running sums of 200 pass what a byte holds, and of 420 so do those of a rectangle.

    Witness: rectangle by rectangle.
    """
    monkeypatch.setattr(scan, "_STRETCHES_AT_ONCE", 10**6)
    row, position = (one.ravel() + 1 for one in np.indices((8, 60)))
    looked_at = rectangles(row, position, ScanSizes(most_rows=7, most_share=0.7, least_checks=310))
    (together,) = looked_at.runs
    assert np.min_scalar_type(faulty).itemsize == size
    assert len(together.members) * faulty // len(row) > 5 * 255
    llr = llr_table(faulty, len(row), looked_at.most)
    maxima = chance_maxima(looked_at, llr, permutations=131, rng=np.random.default_rng(4))
    labels = np.zeros((131, len(row)), np.int16)
    labels[:, :faulty] = 1
    deal = np.random.default_rng(4)
    dealt = np.concatenate([deal.permuted(part, axis=1) for part in (labels[:128], labels[128:])])
    best, most = np.zeros(131), 0
    for first_row, last_row, first, last, n in looked_at.bounds().tolist():
        inside = (first_row <= row) & (row <= last_row) & (first <= position) & (position <= last)
        assert inside.sum() == n
        counted = dealt[:, inside].sum(axis=1)
        most = max(most, counted.max())
        best = np.maximum(best, llr[n, counted])
    assert (most > 255) == (size > 1)
    assert maxima.tolist() == best.tolist()


@pytest.mark.parametrize(
    ("modulo", "below", "told"),
    [
        (13, 1, [((8, 9), (20, 39), 8, 8, 4)]),
        (29, 2, [((8, 9), (20, 39), 8, 8, 1), ((12, 21), (7, 8), 4, 3, 201)]),
        (29, 18, [((17, 28), (41, 47), 16, 16, 156), ((5, 9), (19, 32), 14, 14, 239)]),
        (37, 25, [((4, 14), (27, 36), 22, 22, 81)]),
    ],
)
def test_an_area_keeps_the_odds_that_it_was_told_with(modulo, below, told):
    """As told in 300ths before, when one run of rows was gone through after the other: what was printed then is still said."""
    checks = [
        CheckedTree(
            row, at, (row * row * 7 + at * at * 11) % modulo < below or (row in (8, 9) and 20 <= at < 40)
        )
        for row in range(1, 41)
        for at in range(1 + row % 5, 61, 5)
    ]
    areas = weak_areas(checks, rng=np.random.default_rng(7), permutations=299, level=0.9)
    seen = [(one.rows, one.positions, one.checked, one.faulty, round(one.p * 300)) for one in areas]
    assert seen == told


def test_a_block_of_which_only_new_trees_were_looked_at_has_no_area():
    new = [CheckedTree(1, at, at < 4, is_recheck=True) for at in range(1, 9)]
    assert weak_areas(new, rng=np.random.default_rng(1)) == []
    assert weak_areas([], rng=np.random.default_rng(1)) == []
