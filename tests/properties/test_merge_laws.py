"""P1 to P8 and P13 of design 06b 2.8 over the pure merge model, the proof that each can fail, and 500 permutations of one season."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from merge_laws import LAWS, holds, right
from merge_seasons import folded_text, season, turned
from wrong_merges import WRONG


@pytest.mark.parametrize("name", LAWS)
def test_law_holds(name):
    @settings(max_examples=200)
    @given(data=st.data())
    def run(data):
        LAWS[name](right, data)

    run()


@pytest.mark.parametrize("name", WRONG)
def test_wrong_fold_is_caught_by_the_law_named_for_it(name):
    """`bench/wrong_variants.py` prints the whole table."""
    wrong = WRONG[name]
    assert not holds(LAWS[wrong.caught_by], wrong.fold, 100)


def test_500_permutations_of_a_season_give_the_same_view():
    """`bench/permutations.py` does 10,000 of a larger one."""
    records = season(rows=6, operations=120, seed=1)
    expected = folded_text(records)
    assert all(folded_text(turned(records, seed)) == expected for seed in range(500))
    told = sum(folded_text(records[:n] + records[n + 1 :]) != expected for n in range(len(records)))
    assert told > len(records) / 5, "the view says too little"
