"""Weak areas in words: one block is not "all 1 blocks", and odds are said no finer than the permutations behind them can tell."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.quality.area_texts import level_text, odds_text
from orchardmap.quality.weak_areas import WeakArea

AREA = WeakArea((3, 4), (5, 9), 14, 9, 10.7, 0.001, "suspect")


def odds_of(reached: int, deals: int) -> tuple[str, int]:
    """Return the word before the odds and their number, of an area whose found was reached by so many permutations."""
    area = replace(AREA, p=(reached + 1) / (deals + 1))
    told = re.fullmatch(
        r"9 of 14 faulty; chance alone: (about |less than |)1 in ([\d,]+)",
        odds_text(area, deals=deals, language="en"),
    )
    assert told is not None
    return told[1].strip(), int(told[2].replace(",", ""))


@given(st.sampled_from([399, 999, 3_999, 9_999]).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n))))
def test_odds_are_never_rarer_than_counted_nor_finer_than_the_count_can_tell(case):
    deals, reached = case
    word, of = odds_of(reached, deals)
    exact = (deals + 1) / (reached + 1)
    assert word == ("less than" if reached == 0 else "about" if reached < 100 else "")
    if word == "about":
        assert exact / 2.5 < of <= exact * (1 + 1e-6)
        assert str(of).rstrip("0") in {"1", "2", "5"}
    else:
        assert of == pytest.approx(exact, rel=0.05, abs=0.5)


def test_draws_that_differ_by_chance_only_are_told_alike():
    """Three draws of the demo's checks told 1 in 140, 170 and 500 of one area: by 999 permutations these are 6, 5 and 1 that reached it."""
    assert [odds_of(reached, 999) for reached in (6, 5, 1)] == [
        ("about", 100),
        ("about", 100),
        ("about", 500),
    ]


@pytest.mark.parametrize(
    ("language", "begin"),
    [("en", "One block has enough checks"), ("es", "Un cuartel tiene revisiones bastantes")],
)
def test_the_level_over_one_block_is_said_of_one(language, begin):
    assert level_text(0.05, blocks=1, language=language).startswith(begin)
    assert not level_text(0.05, blocks=2, language=language).startswith(begin)
