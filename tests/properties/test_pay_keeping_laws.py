"""Costs by block add up to what is paid, and what a run keeps comes back as it was: nothing is lost on the way."""

import json
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.pay.corrections import amounts
from orchardmap.pay.cost import block_costs
from orchardmap.pay.credit import Credit
from orchardmap.pay.earnings import pay
from orchardmap.pay.kept_lines import KeptLine, line_from_json, line_json, owed, paid_so_far
from orchardmap.pay.kept_sheet import floor_from_json, floor_json, hours_from_json, hours_json
from orchardmap.pay.money import Currency
from orchardmap.pay.rates import Rate, Wage
from orchardmap.pay.terms import Overtime, PayTerms, Rest
from orchardmap.pay.worked import Hours, PayWork

FIRST = date(2026, 1, 5)
days = st.integers(0, 9).map(lambda n: FIRST + timedelta(days=n))
crews = st.sampled_from("AB")
credits = st.builds(
    Credit, crews, days, st.integers(1, 90), st.sampled_from(("v", "w", None)), st.sampled_from(("ladder", None)),
    st.sampled_from(("H1", "H2", "H3")), st.integers(1, 3), st.sampled_from((None, None, "r")),
)  # fmt: skip
hours = st.builds(
    Hours, st.sampled_from(("Ana", "Ben")), crews, days,
    st.integers(1, 20).map(lambda n: Decimal(n) / 4), st.integers(0, 20).map(Decimal),
)  # fmt: skip
works = st.builds(
    PayWork,
    st.lists(credits, max_size=8).map(tuple),
    st.lists(hours, max_size=8, unique_by=lambda one: (one.person_id, one.crew_id, one.day)).map(tuple),
)
TERMS = PayTerms(
    Currency("XTS"),
    (Rate("tree", Decimal("0.37")), Rate("hour", Decimal("9.1"), variety="w")),
    (Wage(Decimal("6.00")),),
    floor_period="week",
    rest=Rest(is_paid=True),
    overtime=Overtime(Decimal(20), Decimal("0.5")),
)


@given(works)
def test_costs_of_blocks_add_up_to_the_lines_and_trees_to_the_credits(work):
    lines = pay(work, TERMS).lines
    costs = block_costs(lines, work.credits)
    assert sum((one.amount for one in costs), Fraction(0)) == sum(Fraction(line.amount) for line in lines)
    first = [one for one in work.credits if one.return_id is None]
    assert sum(one.trees for one in costs) == sum(one.trees for one in first)
    assert len({one.block_id for one in costs}) == len(costs)


@given(works)
def test_trees_of_one_kind_cost_the_same_wherever_they_stand(work):
    """Of what a crew's day earned by the tree each block bears as much as it has trees."""
    for line in pay(work, TERMS).lines:
        if line.kind != "trees" or not line.amount:
            continue
        kind = (line.crew_id, line.day, line.variety, line.method, line.is_return)
        own: dict[str, int] = {}
        for one in work.credits:
            if (one.crew_id, one.day, one.variety, one.method, one.return_id is not None) == kind:
                own[one.block_id] = own.get(one.block_id, 0) + one.trees
        share = Fraction(line.amount) / sum(own.values())
        found = {one.block_id: one.amount for one in block_costs([line], work.credits) if one.amount}
        assert found == {block: trees * share for block, trees in own.items()}


@given(works)
def test_lines_hours_and_floor_tests_come_back_from_what_is_kept(work):
    made = pay(work, TERMS)
    kept = [KeptLine(line, before) for line in made.lines for before in (None, Decimal("-1.50"))]
    assert [line_from_json(json.loads(json.dumps(line_json(one)))) for one in kept] == kept
    assert [floor_from_json(floor_json(one)) for one in made.floor_tests] == list(made.floor_tests)
    assert [hours_from_json(hours_json(one)) for one in work.hours] == list(work.hours)


@given(works, works, days)
def test_what_was_paid_and_what_is_owed_are_what_the_records_say_now(before, after, until):
    """Two runs: the first of days up to one, the second of all days by other records."""
    early = PayWork(
        tuple(one for one in before.credits if one.day <= until),
        tuple(one for one in before.hours if one.day <= until),
    )
    first = owed(pay(early, TERMS).lines, {}, lambda _: False)
    paid = paid_so_far(first)
    now = pay(after, TERMS).lines
    second = owed(now, paid, lambda key: key.day <= until)
    together = {key: amount for key, amount in paid_so_far([*first, *second]).items() if amount}
    assert together == {key: amount for key, amount in amounts(now).items() if amount}
    assert all(one.is_correction == (one.line.key in paid or one.line.day <= until) for one in second)
