"""Risks in words: the sentence says the chance that the lot has, in each language."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.quality.passing import pass_chance
from orchardmap.quality.risk_texts import risk_text


def test_how_often_a_lot_of_this_size_passes():
    """Hypergeometric: 20 of 100 trees with 10 faulty ones, one of them allowed, pass in 36 of 100 lots."""
    assert float(pass_chance(20, 1, 0.1, model="hypergeometric", lot=100)) == pytest.approx(0.363, abs=1e-3)
    assert (
        risk_text(20, 1, 0.1, lot=100, language="en")
        == "A lot of 100 trees, 10 of them faulty (10\xa0%), passes 36 times in 100."
    )
    assert (
        risk_text(20, 1, 0.1, lot=100, language="es")
        == "Un lote de 100 árboles (defectuosos: 10, el 10\xa0%) se acepta 36 veces de cada 100."
    )


@pytest.mark.parametrize(
    ("plan", "share", "lot", "says"),
    [
        ((20, 1), 0.01, 100, "always passes"),
        ((90, 1), 0.5, 100, "never passes"),
        ((3, 1), 0.8, 10, "passes 7 times in 100"),
        ((50, 5), 0.40, 400, "less than 1 time in 100"),
        ((50, 5), 0.02, 400, "is sent back less than 1 time in 100"),
        ((50, 5), 0.05, 400, "passes 97 times in 100"),
        ((20, 1), 0.2, 284, "57 of them faulty (20\xa0%), passes"),
        ((20, 1), 0.014, 300, "4 of them faulty (1.3\xa0%), passes 98 times in 100"),
    ],
)
def test_what_is_certain_is_told_from_what_is_nearly_so(plan, share, lot, says):
    """By counting all draws: 20 faulty of 400 are sent back in 1 of 36.3 lots, 4 of 300 in 1 of 42.7; 8 of 120 draws have both good trees."""
    n, accept = plan
    assert says in risk_text(n, accept, share, lot=lot, language="en")


def test_spanish_writes_its_decimal_comma():
    assert "(defectuosos: 4, el 1,3\xa0%)" in risk_text(20, 1, 0.014, lot=300, language="es")


@given(n=st.integers(5, 80), accept=st.integers(0, 4), faulty=st.integers(5, 60))
def test_times_in_a_hundred_are_the_chance_to_the_nearest(n, accept, faulty):
    chance = float(pass_chance(n, accept, faulty / 200, model="hypergeometric", lot=200))
    told = re.search(r"(\d+) times? in 100", risk_text(n, accept, faulty / 200, lot=200, language="en"))
    if 0.01 <= chance <= 0.99:
        assert told is not None
        assert abs(int(told[1]) - 100 * chance) <= 0.5 + 1e-9
    else:
        assert told is None or "less than 1 time in 100" in told.string


def test_impossible_plans_are_refused():
    with pytest.raises(InputError):
        risk_text(101, 1, 0.1, lot=100, language="en")
