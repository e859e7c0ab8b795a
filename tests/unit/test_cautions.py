"""Cautions: every hazard in both languages with its source, and never without the sentence that defers."""

import pytest

from orchardmap.errors import UnknownError
from orchardmap.pruning.cautions import ALWAYS_SHOWN, CAUTIONS, caution_texts

HAZARDS = [
    "ladder", "powered-tools", "eyes", "overhead-lines", "cold-and-wet", "working-alone", "spray-reentry", "slope", "closure",
]  # fmt: skip


def test_there_is_one_for_every_hazard_with_a_source():
    assert list(CAUTIONS) == HAZARDS
    assert set(ALWAYS_SHOWN) == set(HAZARDS) - {"slope", "closure"}
    assert all(caution.key == key and caution.source for key, caution in CAUTIONS.items())


@pytest.mark.parametrize(
    ("language", "words"), [("en", "Local law"), ("es", "ley local"), ("xx", "Local law")]
)
@pytest.mark.parametrize("keys", [[], ["eyes"], HAZARDS])
def test_they_always_end_by_deferring(keys, language, words):
    texts = caution_texts(keys, language)
    assert len(texts) == len(keys) + 1
    assert words in texts[-1]


def test_the_distance_from_a_line_is_the_farms_and_never_said_shorter_than_it_is():
    assert "at least 3.05 m away" in caution_texts(["overhead-lines"], "en")[0]
    assert "a 4,85 m como mínimo" in caution_texts(["overhead-lines"], "es", clearance_m=3.05 + 18 * 0.1)[0]
    assert "at least 3.06 m away" in caution_texts(["overhead-lines"], "en", clearance_m=3.0501)[0]


def test_an_unknown_caution_is_refused_with_those_there_are():
    with pytest.raises(UnknownError, match=r"dragons.*ladder"):
        caution_texts(["dragons"], "en")
