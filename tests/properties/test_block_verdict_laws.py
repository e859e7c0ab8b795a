"""Laws of a block's verdict: "accepted" is said of a block only where nearly all of its pruned trees were judged."""

from fractions import Fraction
from typing import get_args

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.maps import signs
from orchardmap.quality.verdict import BLOCK_VERDICTS, LotVerdict, as_far_as_judged

trees = st.integers(1, 5000).flatmap(lambda pruned: st.tuples(st.just(pruned), st.integers(0, pruned)))


@given(trees)
def test_accepted_is_said_of_a_block_up_to_a_tenth_of_its_trees_unjudged(counts):
    pruned, unjudged = counts
    told = as_far_as_judged("accepted", pruned=pruned, unjudged=unjudged)
    assert (told == "accepted") == (Fraction(unjudged, pruned) <= Fraction(1, 10))
    assert told in {"accepted", "accepted_in_part"}


@given(trees, st.sampled_from(["send_back", "too_few"]))
def test_what_is_not_accepted_stays_as_it_is_however_much_is_unjudged(counts, verdict):
    assert as_far_as_judged(verdict, pruned=counts[0], unjudged=counts[1]) == verdict


def test_every_verdict_on_a_block_has_a_pith_of_its_own():
    """By form alone, so that it is told in black and white: no two have the same lines and the same filled part."""
    assert set(get_args(LotVerdict)) < set(BLOCK_VERDICTS)
    forms = {glyph.key: (glyph.outline, glyph.filled, glyph.strokes) for glyph in signs.PITHS}
    assert set(forms) == {*BLOCK_VERDICTS, "not_begun"}
    assert len(set(forms.values())) == len(forms)
