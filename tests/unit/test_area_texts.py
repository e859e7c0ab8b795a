"""The level of weak areas in words: one block is not "all 1 blocks"."""

import pytest

from orchardmap.quality.area_texts import level_text


@pytest.mark.parametrize(
    ("language", "begin"),
    [("en", "One block has enough checks"), ("es", "Un cuartel tiene revisiones bastantes")],
)
def test_the_level_over_one_block_is_said_of_one(language, begin):
    assert level_text(0.05, blocks=1, language=language).startswith(begin)
    assert not level_text(0.05, blocks=2, language=language).startswith(begin)
