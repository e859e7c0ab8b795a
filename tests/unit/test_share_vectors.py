"""One rule for shares on every screen, map, paper and report: cut off, so that 100 % is all and 0 % is nothing."""

import json
from pathlib import Path

import pytest

from orchardmap.locale.numbers import part_text

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "numbers" / "shares.json").read_text("utf-8"))
"""The same file is asked of the screens' function and of the map's (web/tests/core/numbers.test.ts)."""


@pytest.mark.parametrize(("part", "whole", "told"), VECTORS)
def test_a_share_is_told_as_the_screens_and_the_map_tell_it(part, whole, told):
    assert part_text(part, whole, "en") == part_text(part, whole, "es") == told
