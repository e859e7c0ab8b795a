"""Laws of pay: nothing is lost or paid twice, sums are exact, and the order of records decides nothing."""

import random
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.pay.corrections import amounts, corrections
from orchardmap.pay.credit import PayMark, PayRow, credited_trees
from orchardmap.pay.earnings import pay
from orchardmap.pay.lines import total
from orchardmap.pay.money import ROUNDING_RULES, Rounding, RoundingRule, shares
from orchardmap.pay.rates import Rate, Validity, Wage, refuse_overlaps
from orchardmap.pay.terms import PayTerms, Rest
from orchardmap.pay.terms_json import terms_from_json, terms_json
from orchardmap.pay.worked import PayWork
from pay_work import CREWS, DAYS, days, marks, rows, settlements, terms, work

STEPS = st.sampled_from([Decimal("0.01"), Decimal("0.05"), Decimal(1), Decimal("0.001")])


def part_of(done: PayWork, is_in: Callable[[date], bool]) -> PayWork:
    return PayWork(
        tuple(one for one in done.credits if is_in(one.day)),
        tuple(one for one in done.hours if is_in(one.day)),
        tuple(one for one in done.bonus if is_in(one.day)),
    )


def tree_by_tree(marked: list[PayMark], ground: list[PayRow]) -> tuple[Counter[tuple[object, ...]], int]:
    """The slow way, without settlements: trees by crew, day, method and round, and how many are held."""
    credited: Counter[tuple[object, ...]] = Counter()
    held = 0
    for row in ground:
        for position in set(range(1, row.positions + 1)) - row.not_paid:
            rounds = defaultdict(list)
            for mark in marked:
                if mark.row == row.number and mark.first <= position <= mark.last:
                    rounds[mark.return_id].append(mark)
            for return_id, here in rounds.items():
                oldest = min(here, key=lambda one: (one.day, one.id))
                if len({one.crew_id for one in here}) == 1:
                    credited[oldest.crew_id, oldest.day, oldest.method, row.number, return_id] += 1
                else:
                    held += 1
    return credited, held


@given(marks(), rows())
def test_each_tree_is_credited_once_a_round_or_held(marked, ground):
    """Held to a loop over trees; blanks and pollinizers are in neither."""
    found = credited_trees(marked, ground)
    credited, held = tree_by_tree(marked, ground)
    told = Counter({
        (one.crew_id, one.day, one.method, one.row, one.return_id): one.trees for one in found.credits
    })
    assert told == credited
    assert sum(one.trees for one in found.held) == held
    assert found.done == credited.total() + held


@given(st.data(), marks(), rows())
def test_credited_held_and_settled_for_nobody_make_what_is_done(data, marked, ground):
    """Whatever a manager says: a word moves trees between crews, nobody and held, and makes or loses none."""
    words = data.draw(settlements(frozenset(one.id for one in marked[::2])))
    found = credited_trees(marked, ground, words)
    assert found.done == credited_trees(marked, ground).done
    assert all(one.trees > 0 for one in (*found.credits, *found.for_nobody))
    assert all(one.trees > 0 for one in found.held)


@given(st.data(), marks(), rows())
def test_order_and_repeats_of_records_change_no_credit(data, marked, ground):
    words = data.draw(settlements(frozenset(one.id for one in marked)))
    found = credited_trees(marked, ground, words)
    mixed = data.draw(st.permutations(marked + marked[:3]))
    assert credited_trees(mixed, ground[::-1], data.draw(st.permutations(words))) == found


@given(marks(), rows(), days, days)
def test_days_of_a_season_hold_its_credits_once(marked, ground, one, other):
    """A period and the days after it share no credit and leave none out."""
    found, cut = credited_trees(marked, ground), min(one, other)
    early, late = found.within(DAYS[0], cut), found.within(cut, DAYS[-1])
    both = [c for c in found.credits if c.day == cut]
    assert Counter(early.credits) + Counter(late.credits) == Counter(found.credits) + Counter(both)


@given(st.decimals(min_value=0, max_value=10_000, places=5), STEPS, st.sampled_from(ROUNDING_RULES))
def test_rounding_is_that_of_decimal(amount: Decimal, step: Decimal, rule: RoundingRule):
    """Python's decimal module as the witness."""
    modes = {"half_up": ROUND_HALF_UP, "half_even": ROUND_HALF_EVEN, "up": ROUND_CEILING}
    steps = Fraction(amount) / Fraction(step)
    witness = (Decimal(steps.numerator) / Decimal(steps.denominator)).quantize(Decimal(1), modes[rule])
    assert Rounding(step, rule).rounded(Fraction(amount)) == witness * step


@given(
    st.integers(0, 100_000), st.lists(st.fractions(0, 30, max_denominator=60), min_size=1, max_size=9), STEPS
)
def test_shares_add_up_by_largest_remainder(steps, weights, step):
    """Exactly the amount; nobody is a step away from the exact share; who is rounded up had no smaller remainder than who is not."""
    amount = steps * step
    parts = shares(amount, weights, step)
    assert sum(parts) == amount
    used = weights if sum(weights) else [Fraction(1)] * len(weights)
    exact = [steps * weight / sum(used) for weight in used]
    whole = [Fraction(part) / Fraction(step) for part in parts]
    assert all(abs(got - due) < 1 for got, due in zip(whole, exact, strict=True))
    up = [due % 1 for got, due in zip(whole, exact, strict=True) if got > due]
    down = [due % 1 for got, due in zip(whole, exact, strict=True) if got < due]
    assert min(up, default=1) >= max(down, default=0)


@given(st.randoms(use_true_random=False), work(), terms())
def test_order_of_records_changes_no_pay(mixer: random.Random, done: PayWork, rules: PayTerms):
    credits, hours, bonus = list(done.credits), list(done.hours), list(done.bonus)
    for one in (credits, hours, bonus):
        mixer.shuffle(one)
    assert pay(PayWork(tuple(credits), tuple(hours), tuple(bonus)), rules) == pay(done, rules)


@given(work(), terms())
def test_people_of_a_crew_get_what_the_crew_earned(done, rules):
    """To the cent, for each crew, day and kind of trees; what nobody can share is told, not lost."""
    made = pay(done, rules)
    shared: Counter[object] = Counter()
    for line in made.lines:
        if line.kind in {"trees", "bonus"}:
            shared[line.crew_id, line.day, line.kind, line.variety, line.method, line.is_return] += (
                line.amount
            )  # type: ignore[assignment]
    assert {one for one in made.unshared if one.amount} == set(made.unshared)
    for whole in made.crew_lines:
        key = (whole.crew_id, whole.day, whole.kind, whole.variety, whole.method, whole.is_return)
        assert shared[key] == (0 if whole in made.unshared else whole.amount)
    for crew in CREWS:
        of_crew = [one for one in made.crew_lines if one.crew_id == crew and one not in made.unshared]
        assert total(made.of_crew(crew), "trees", "bonus") == sum(one.amount for one in of_crew)
    assert made.amount == sum(total(made.of_crew(crew)) for crew in CREWS)


@given(work(), terms(floor_period="day", overtime=None, rest=Rest(is_paid=True, over="day")), days)
def test_pay_of_days_together_is_that_of_days_apart(done, rules, cut):
    """Where nothing is reckoned by weeks: a pay period can begin on any day."""
    whole = pay(done, rules)
    early = pay(part_of(done, lambda day: day <= cut), rules)
    late = pay(part_of(done, lambda day: day > cut), rules)
    assert sorted(map(repr, whole.lines)) == sorted(map(repr, early.lines + late.lines))
    assert whole.amount == early.amount + late.amount


@given(work(), terms(rest=Rest(is_paid=True, over="week")))
def test_pay_of_weeks_together_is_that_of_weeks_apart(done, rules):
    first_week = rules.start_of(DAYS[0], "week")
    early = part_of(done, lambda day: rules.start_of(day, "week") == first_week)
    late = part_of(done, lambda day: rules.start_of(day, "week") != first_week)
    assert pay(done, rules).amount == pay(early, rules).amount + pay(late, rules).amount


@given(work(one_kind_a_day=True), terms(), st.integers(0, 50), st.integers(0, 9))
def test_more_trees_never_pay_a_crew_less(done, rules, more, which):
    """Nor anybody by more than one step: which one gets the last cent of a larger sum is another matter."""
    at = which % len(done.credits)
    grown = replace(done.credits[at], trees=done.credits[at].trees + more)
    before = pay(done, rules)
    after = pay(replace(done, credits=(*done.credits[:at], grown, *done.credits[at + 1 :])), rules)
    assert sum(one.amount for one in after.crew_lines) >= sum(one.amount for one in before.crew_lines)
    earned = {line.key: line.amount for line in after.lines if line.kind == "trees"}
    for line in before.lines:
        if line.kind == "trees":
            assert earned[line.key] >= line.amount - rules.paid.step


@given(
    work(),
    terms(floor_period="day", rest=Rest(is_paid=False, in_floor=False), bonus_per_tree=Decimal(0)),
    st.decimals("0.001", 60, places=3),
)
def test_a_day_under_the_floor_gets_exactly_the_floor(done, rules, per_hour):
    """And one above it nothing on top; the floor is that of the day, whatever the other days brought."""
    made = pay(done, replace(rules, wages=(Wage(per_hour),)))
    hours: Counter[object] = Counter()
    for one in done.hours:
        hours[one.person_id, one.day] += Fraction(one.hours)  # type: ignore[assignment]
    paid: Counter[object] = Counter()
    earned: Counter[object] = Counter()
    for line in made.lines:
        if line.kind != "overtime":
            paid[line.person_id, line.day] += line.amount  # type: ignore[assignment]
            earned[line.person_id, line.day] += line.amount if line.kind != "top_up" else 0  # type: ignore[assignment]
    for key, worked in hours.items():
        floor = rules.paid.rounded(Fraction(worked) * Fraction(per_hour))
        assert paid[key] == max(floor, Decimal(earned[key]))


@given(work(), work(), terms())
def test_what_was_paid_and_its_corrections_are_what_is_owed_now(before, now, rules):
    paid = amounts(pay(before, rules).lines)
    owed = corrections(paid, pay(now, rules).lines)
    settled = {key: paid.get(key, Decimal(0)) + owed.get(key, Decimal(0)) for key in {*paid, *owed}}
    assert {key: amount for key, amount in settled.items() if amount} == {
        key: amount for key, amount in amounts(pay(now, rules).lines).items() if amount
    }
    assert corrections(amounts(pay(now, rules).lines), pay(now, rules).lines) == {}


@given(terms())
def test_terms_come_back_from_json_as_they_were(rules):
    assert terms_from_json(terms_json(rules)) == rules


@given(days, days, days, days, st.booleans())
def test_two_rates_of_one_kind_may_not_share_a_day(a, b, c, d, is_open):
    one, other = Validity(min(a, b), max(a, b)), Validity(min(c, d), None if is_open else max(c, d))
    share = any(one.holds(day) and other.holds(day) for day in DAYS)
    rates = [
        Rate("tree", Decimal(1), "Gala", "ladder", one),
        Rate("hour", Decimal(9), "Gala", "ladder", other),
    ]
    if share:
        with pytest.raises(InputError, match=r"^rate 2: Rates 1 and 2 are both for Gala, ladder"):
            refuse_overlaps(rates)
    else:
        refuse_overlaps(rates)
    refuse_overlaps([rates[0], replace(rates[1], method=None)])
