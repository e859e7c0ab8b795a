"""What is said of a crew never hides that block and crew cannot be told apart."""

import pytest

from orchardmap.quality.crew_expected import ExpectedFaulty
from orchardmap.quality.crew_texts import standing_text


@pytest.mark.parametrize("standing", ["as_others", "more_faulty", "fewer_faulty"])
def test_trees_that_no_other_crew_was_checked_near_are_told_whatever_the_standing(standing):
    told = standing_text(ExpectedFaulty(314, 32, 26.65, 314, 0), standing, language="en")
    assert "314 of these trees stand in blocks where no other crew was checked" in told
    told = standing_text(ExpectedFaulty(314, 32, 26.65, 0, 0), standing, language="en")
    assert "no other crew" not in told
