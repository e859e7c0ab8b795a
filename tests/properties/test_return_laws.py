"""Laws of returns: what is left to go over again is a function of the sets of what was asked for and what was answered."""

import random
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.model.returns import Stretch
from orchardmap.work.returns import again_runs, common, is_past, joined, open_stretches, trees_in
from orchardmap.work.settling import Run

places = st.integers(1, 12)
stretches = st.lists(
    st.tuples(st.integers(1, 3), places, places).map(lambda s: Stretch(s[0], min(s[1:]), max(s[1:]))),
    max_size=7,
)
odd = st.frozensets(st.tuples(st.integers(1, 3), places), max_size=8)
shuffles = st.randoms(use_true_random=False)


def held(found):
    """Each position by itself: the witness of all laws here."""
    return {(one.row, position) for one in found for position in range(one.first, one.last + 1)}


def shuffled(found, draw: random.Random):
    again = [*found, *draw.sample(found, len(found) // 2)]
    draw.shuffle(again)
    return again


@given(stretches, stretches, odd, shuffles)
def test_order_and_repeats_of_answers_and_of_what_was_asked_change_nothing(asked, answers, blanks, draw):
    told = open_stretches(asked, answers, blanks)
    assert open_stretches(shuffled(asked, draw), shuffled(answers, draw), blanks) == told


@given(stretches, stretches)
def test_open_is_what_was_asked_for_less_what_is_answered_position_by_position(asked, answers):
    told = open_stretches(asked, answers)
    assert held(told) == held(asked) - held(answers)
    assert joined(told) == told, "as few stretches as can be, in order"


@given(stretches, stretches, odd)
def test_open_stretches_lie_inside_the_return_and_hold_a_tree_each_and_no_open_tree_is_lost(
    asked, answers, blanks
):
    told = open_stretches(asked, answers, blanks)
    assert held(told) <= held(asked)
    assert all(trees_in([one], blanks) > 0 for one in told)
    assert held(told) - blanks == held(asked) - held(answers) - blanks
    assert trees_in(told, blanks) == len(held(asked) - held(answers) - blanks)


@given(stretches, stretches, shuffles)
def test_an_answer_taken_back_opens_exactly_what_it_alone_answered(asked, answers, draw):
    if not answers:
        return
    gone = draw.choice(answers)
    rest = [one for one in answers if one is not gone]
    opened = held(open_stretches(asked, rest)) - held(open_stretches(asked, answers))
    assert opened == (held([gone]) - held(rest)) & held(asked)


@given(stretches, stretches)
def test_what_two_lists_have_in_common_is_so_position_by_position_whichever_comes_first(some, others):
    assert held(common(some, others)) == held(some) & held(others) == held(common(others, some))


runs = st.lists(
    st.tuples(st.integers(1, 5), st.sampled_from("AB"), st.sampled_from(("done", "contested", "settled"))),
    max_size=4,
)


@given(runs, stretches)
def test_runs_are_cut_where_a_return_waits_and_lose_nothing(lengths, waiting):
    """What two crews claim stays whole, for it is the manager's first."""
    made, at = [], 1
    for length, crew, status in lengths:
        made.append(Run(at, at + length - 1, crew if status != "contested" else None, status))
        at += length
    told = again_runs(2, made, waiting)
    assert [p for run, _ in told for p in range(run.first, run.last + 1)] == list(range(1, at))
    there = {position for row, position in held(waiting) if row == 2}
    for run, is_again in told:
        of = next(one for one in made if one.first <= run.first and run.last <= one.last)
        assert (run.crew_id, run.status) == (of.crew_id, of.status)
        inside = set(range(run.first, run.last + 1))
        assert is_again == (run.status != "contested" and inside <= there)
        assert is_again or run.status == "contested" or not inside & there


DAY = date(2026, 1, 20)
answered = st.lists(st.tuples(st.sampled_from("RS"), st.integers(-3, 3)), max_size=5)


@given(st.integers(-3, 3), st.sampled_from(["R", "S", None]), answered)
def test_a_check_is_past_once_a_later_mark_answers_and_on_one_day_unless_it_rechecks_that_return(
    on, of, found
):
    answers = [(name, DAY + timedelta(days=n)) for name, n in found]
    told = is_past(DAY + timedelta(days=on), of, answers)
    assert told == (any(n > on for _, n in found) or any(n == on and name != of for name, n in found))
