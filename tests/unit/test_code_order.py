"""Codes of blocks stand in one order everywhere: the browser's own collation agrees on the same list (`web/tests/core/block-order.test.ts`)."""

import json
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.model.code_order import code_order

IN_ORDER = json.loads(
    (Path(__file__).parents[1] / "vectors" / "block_codes" / "order.json").read_text("utf-8")
)


@given(st.permutations(IN_ORDER))
def test_codes_in_any_order_come_into_that_of_the_vectors(codes):
    assert sorted(codes, key=code_order) == IN_ORDER


@given(st.text(max_size=12), st.text(max_size=12))
def test_no_two_codes_are_alike(one, other):
    assert (code_order(one) == code_order(other)) == (one == other)


@given(st.text(alphabet="abzABZ _-", max_size=4), st.integers(0, 10**9), st.integers(0, 10**9))
def test_what_follows_the_same_letters_goes_by_what_it_counts(letters, one, other):
    codes = [f"{letters}{n}" for n in (one, other)]
    assert sorted(codes, key=code_order) == [f"{letters}{n}" for n in sorted((one, other))]
