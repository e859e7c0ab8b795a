"""Risks in words: the sentence says the chance that the lot has, in each language."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.quality.passing import pass_chance
from orchardmap.quality.risk_texts import in_times, risk_text


def test_how_often_a_lot_of_this_size_passes():
    """Hypergeometric: 20 of 100 trees with 10 faulty ones, one of them allowed, pass in 36 of 100 lots."""
    assert float(pass_chance(20, 1, 0.1, model="hypergeometric", lot=100)) == pytest.approx(0.363, abs=1e-3)
    assert (
        risk_text(20, 1, 0.1, lot=100, language="en")
        == "A lot of 100 trees, 10 of them faulty (10\xa0%), passes 1 time in 3."
    )
    assert (
        risk_text(20, 1, 0.1, lot=100, language="es")
        == "Un lote de 100 árboles (defectuosos: 10, el 10\xa0%) se acepta 1 vez de cada 3."
    )


@pytest.mark.parametrize(
    ("plan", "share", "lot", "says"),
    [
        ((20, 1), 0.01, 100, "always passes"),
        ((90, 1), 0.5, 100, "never passes"),
        ((3, 1), 0.8, 10, "passes 1 time in 15"),
        ((50, 5), 0.40, 400, "less than 1 time in 1,000"),
        ((50, 5), 0.02, 400, "is sent back less than 1 time in 1,000"),
        ((50, 5), 0.05, 400, "passes 35 times in 36"),
        ((20, 1), 0.2, 284, "57 of them faulty (20\xa0%), passes"),
        ((20, 1), 0.014, 300, "4 of them faulty (1.3\xa0%), passes 42 times in 43"),
    ],
)
def test_what_is_certain_is_told_from_what_is_nearly_so(plan, share, lot, says):
    """By counting all draws: 20 faulty of 400 are sent back in 1 of 36.3 lots, 4 of 300 in 1 of 42.7; 8 of 120 draws have both good trees."""
    n, accept = plan
    assert says in risk_text(n, accept, share, lot=lot, language="en")


def test_spanish_writes_its_decimal_comma():
    assert "(defectuosos: 4, el 1,3\xa0%)" in risk_text(20, 1, 0.014, lot=300, language="es")


@given(st.floats(0.001, 0.999))
def test_times_are_the_chance_within_a_seventh(chance):
    """Rarer side: the smaller of chance and rest is never off by more than a sixth of itself and a little."""
    times, of = in_times(chance)
    assert 0 < times < of
    rest = min(chance, 1 - chance)
    told = times / of if chance < 0.5 else 1 - times / of
    assert abs(told - rest) <= rest / 6 + 1e-9


def test_impossible_plans_are_refused():
    with pytest.raises(InputError):
        risk_text(101, 1, 0.1, lot=100, language="en")
