"""What a crew is held against: nobody is blamed for a block that is bad for all, and nothing hangs on order or names."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.quality.crew_expected import CrewInBlock, expected_faulty

HABIT = {"v": "spur", "w": "tip", "x": "tip"}


@st.composite
def crews_in_blocks(draw):
    keys = draw(
        st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from("1234")), unique=True, max_size=10)
    )
    variety = {block: draw(st.sampled_from("vwx")) for block in "1234"}
    found = []
    for crew, block in keys:
        checked = draw(st.integers(1, 80))
        faulty = draw(st.integers(0, checked))
        found.append(CrewInBlock(crew, block, variety[block], HABIT[variety[block]], checked, faulty))
    return found


@given(crews_in_blocks(), st.randoms(use_true_random=False))
def test_order_changes_nothing(found, shuffle):
    again = expected_faulty(shuffle.sample(found, len(found)))
    told = expected_faulty(found)
    assert again.keys() == told.keys()
    for crew, one in told.items():
        assert again[crew].expected == pytest.approx(one.expected)
        assert (again[crew].checked, again[crew].alone) == (one.checked, one.alone)


@given(crews_in_blocks())
def test_every_check_is_held_against_something_or_told_as_left_out(found):
    told = expected_faulty(found)
    for crew, one in told.items():
        assert one.checked + one.left_out == sum(of.checked for of in found if of.crew_id == crew)
        assert 0 <= one.expected <= one.checked
        assert one.alone <= one.checked
        assert bool(one.left_out) == (len(told) == 1), "only a crew that is alone on the farm"


@given(crews_in_blocks())
def test_where_all_blocks_are_shared_what_is_expected_is_what_was_found(found):
    crews_of = {of.block_id: {one.crew_id for one in found if one.block_id == of.block_id} for of in found}
    shared = [of for of in found if len(crews_of[of.block_id]) > 1]
    told = expected_faulty(shared).values()
    assert sum(one.expected for one in told) == pytest.approx(sum(of.faulty for of in shared))
    assert not any(one.alone for one in told)


def test_the_nearest_comparison_is_taken_block_then_variety_then_habit_then_farm():
    found = [
        CrewInBlock("a", "shared", "v", "spur", 50, 5),
        CrewInBlock("b", "shared", "v", "spur", 50, 15),
        CrewInBlock("a", "same variety", "v", "spur", 100, 60),
        CrewInBlock("a", "same habit", "w", "tip", 10, 1),
        CrewInBlock("b", "other variety", "x", "tip", 30, 3),
        CrewInBlock("b", "no other like it", "y", "both", 20, 2),
    ]
    told = expected_faulty(found)
    variety, habit, farm = 80 / 200, 4 / 40, 86 / 260
    assert told["a"].expected == pytest.approx(50 * 0.2 + 100 * variety + 10 * habit)
    assert told["b"].expected == pytest.approx(50 * 0.2 + 30 * habit + 20 * farm)
    assert (told["a"].alone, told["b"].alone) == (110, 50)
