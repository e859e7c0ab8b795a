"""Pay by small examples worked by hand: which rate holds, who shares what, what is told instead of guessed."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from orchardmap.errors import InputError
from orchardmap.model.people import Method
from orchardmap.model.work import StretchSettlement
from orchardmap.pay.credit import Credit, CreditedTrees, PayMark, PayRow, credited_trees
from orchardmap.pay.earnings import pay
from orchardmap.pay.lines import Missing, Notice, Pay, total
from orchardmap.pay.money import Currency, Rounding
from orchardmap.pay.rates import Rate, Validity, Wage, valid_rate
from orchardmap.pay.terms import Overtime, PayTerms, Rest
from orchardmap.pay.worked import BonusTrees, Hours, PayWork, head_count

MONDAY = date(2026, 1, 12)
TUESDAY = MONDAY + timedelta(days=1)
EURO = Currency("EUR")


def d(text: str | int) -> Decimal:
    return Decimal(text)


def paid(*parts: Credit | Hours | BonusTrees, rates: list[Rate], **rules: Any) -> Pay:
    work = PayWork(
        tuple(one for one in parts if isinstance(one, Credit)),
        tuple(one for one in parts if isinstance(one, Hours)),
        tuple(one for one in parts if isinstance(one, BonusTrees)),
    )
    return pay(work, PayTerms(EURO, tuple(rates), **rules))


def amounts(made: Pay) -> list[tuple[str, str, str]]:
    return [(line.person_id, line.kind, str(line.amount)) for line in made.lines]


def per_tree(amount: str, variety: str | None = None, method: Method | None = None) -> Rate:
    return Rate("tree", d(amount), variety, method)


def per_hour(amount: str, variety: str | None = None, method: Method | None = None) -> Rate:
    return Rate("hour", d(amount), variety, method)


def test_the_most_specific_rate_holds():
    """Variety and method, else the variety, else the method, else all; whatever the order they were entered in."""
    rates = [
        per_tree("1"),
        per_tree("2", method="ladder"),
        per_tree("3", "Gala"),
        per_tree("4", "Gala", "ladder"),
    ]
    for known in (rates, rates[::-1]):
        found = [
            valid_rate(known, "Gala", "ladder", MONDAY), valid_rate(known, "Gala", "platform", MONDAY),
            valid_rate(known, "Fuji", "ladder", MONDAY), valid_rate(known, "Fuji", None, MONDAY),
        ]  # fmt: skip
        assert [one.amount for one in found if one] == [d(4), d(3), d(2), d(1)]
    assert valid_rate(rates[1:], "Fuji", None, MONDAY) is None
    assert valid_rate(rates[:3], "Gala", "ladder", MONDAY) == rates[2]


def test_a_rate_changes_with_the_day():
    rates = [
        Rate("tree", d("0.40"), validity=Validity(last=MONDAY)),
        Rate("tree", d("0.50"), validity=Validity(first=TUESDAY)),
    ]
    made = paid(
        Credit("A", MONDAY, 100), Credit("A", TUESDAY, 100), Hours("Ana", "A", MONDAY, d(8)), Hours("Ana", "A", TUESDAY, d(8)),
        rates=rates,
    )  # fmt: skip
    assert [str(line.amount) for line in made.lines] == ["40.00", "50.00"]


def test_a_head_count_shares_alike_to_the_cent_and_the_cent_goes_round():
    """100.00 among three of whom only the number is known: each of them has the cent once in three days."""
    days = [MONDAY + timedelta(days=n) for n in range(3)]
    credits = [Credit("A", day, 200) for day in days]
    hours = [one for day in days for one in head_count("A", day, 3, d(8))[::-1]]
    made = paid(*credits, *hours, rates=[per_tree("0.50")])
    for day in days:
        assert sorted(one.amount for one in made.lines if one.day == day) == [
            d("33.33"),
            d("33.33"),
            d("33.34"),
        ]
    assert {one: total(made.of_person(one)) for one in ("A 1", "A 2", "A 3")} == dict.fromkeys(
        ("A 1", "A 2", "A 3"), d(100)
    )


def test_a_step_is_of_whole_coins():
    """No sheet could tell an amount that its currency has no coins for."""
    for digits, step in ((2, "0.003"), (0, "0.05"), (3, "0.0005")):
        with pytest.raises(InputError, match=r"rounding_step.*whole coins"):
            PayTerms(Currency("XTS", digits), (), rounding=Rounding(d(step)))


def test_only_trees_that_bring_something_wait_for_hours():
    """Those of a return that is not paid by the tree bring nothing, whoever's hours are missing."""
    for rate, of, told in (
        (per_tree("1"), "R1", ()),
        (per_tree("1"), None, (1,)),
        (per_hour("9"), "R1", (1,)),
    ):
        notices = paid(Credit("A", MONDAY, 20, return_id=of), rates=[rate]).notices
        assert notices == tuple(Notice("trees_without_hours", MONDAY, "A") for _ in told)


def test_hours_of_a_day_go_to_varieties_by_their_trees():
    """Eight hours, 300 trees by the tree and 100 by the hour: two hours are paid by the hour."""
    rates = [per_tree("0.50", "Gala"), per_hour("15", "Fuji")]
    made = paid(Credit("A", MONDAY, 300, "Gala"), Credit("A", MONDAY, 100, "Fuji"), Hours("Ana", "A", MONDAY, d(8)), rates=rates)  # fmt: skip
    assert amounts(made) == [("Ana", "trees", "150.00"), ("Ana", "hours", "30.00")]


def test_hours_entered_for_a_variety_or_method_share_its_trees_alone():
    made = paid(
        Credit("A", MONDAY, 100, "Gala", "ladder"), Credit("A", MONDAY, 100, "Gala", "platform"),
        Hours("Ana", "A", MONDAY, d(8), method="ladder"), Hours("Ben", "A", MONDAY, d(2), method="platform"),
        rates=[per_tree("1", method="platform"), per_tree("2", method="ladder")],
    )  # fmt: skip
    assert amounts(made) == [("Ana", "trees", "200.00"), ("Ben", "trees", "100.00")]
    assert made.notices == ()


def test_hours_of_a_variety_fit_trees_of_which_it_is_not_known():
    """Nobody said what the trees are, so they may be those; by the hour the rate is that of the hours."""
    trees, hours = Credit("A", MONDAY, 100), Hours("Ana", "A", MONDAY, d(8), method="ladder", variety="Gala")
    assert paid(trees, hours, rates=[per_tree("1")]).notices == ()
    assert paid(trees, hours, rates=[per_hour("10"), per_hour("15", "Gala", "ladder")]).amount == d("120.00")


def test_trees_that_nobody_has_hours_for_by_method_are_shared_by_all_and_told():
    made = paid(
        Credit("A", MONDAY, 100, None, "platform"), Hours("Ana", "A", MONDAY, d(8), method="ladder"), rates=[per_tree("1")]
    )  # fmt: skip
    assert amounts(made) == [("Ana", "trees", "100.00")]
    assert {one.code for one in made.notices} == {"hours_of_other_work", "hours_without_pay"}


def test_trees_of_a_day_without_hours_are_shared_by_nobody_and_told():
    made = paid(Credit("A", MONDAY, 100), rates=[per_tree("1")])
    assert (made.lines, [one.amount for one in made.unshared]) == ((), [d(100)])
    assert made.notices == (Notice("trees_without_hours", MONDAY, "A"),)


def test_work_without_a_rate_or_wage_is_named():
    """Nothing is paid by a guess: the desk lists what must be entered first."""
    wage = Wage(d(12), Validity(first=TUESDAY))
    made = paid(Credit("A", MONDAY, 9, "Fuji", "ladder"), Hours("Ana", "A", MONDAY, d(8)), rates=[per_tree("1", "Gala")], wages=(wage,))  # fmt: skip
    assert made.missing == (Missing("minimum_wage", MONDAY), Missing("rate", MONDAY, "Fuji", "ladder"))


def test_hours_without_trees_are_paid_by_the_hour_where_the_rate_is():
    """A day on which all trees are held, say; by a rate per tree they earn nothing, and that is told."""
    hours = Hours("Ana", "A", MONDAY, d(8), method="ladder")
    assert amounts(paid(hours, rates=[per_hour("15")])) == [("Ana", "hours", "120.00")]
    made = paid(hours, rates=[per_tree("1")])
    assert (made.lines, made.notices) == ((), (Notice("hours_without_pay", MONDAY, "A", "Ana"),))


@pytest.mark.parametrize(("is_paid", "amount"), [(False, "0.00"), (True, "20.00")])
def test_returns_are_paid_by_setting(is_paid, amount):
    again = Credit("A", MONDAY, 40, return_id="R1")
    made = paid(again, Hours("Ana", "A", MONDAY, d(8)), rates=[per_tree("0.50")], returns_paid=is_paid)
    assert amounts(made) == [("Ana", "trees", amount)]


def test_hours_on_returns_are_paid_by_the_hour():
    """Unpaid returns speak of trees; an hour is an hour."""
    made = paid(
        Credit("A", MONDAY, 40, return_id="R1"), Hours("Ana", "A", MONDAY, d(8)), rates=[per_hour("15")]
    )
    assert made.amount == d("120.00")


def test_a_bonus_is_shared_by_the_hours_of_the_day_that_pruned_the_trees():
    made = paid(
        BonusTrees("A", MONDAY, 50), Credit("A", MONDAY, 50), Hours("Ana", "A", MONDAY, d(6)), Hours("Ben", "A", MONDAY, d(4)),
        rates=[per_tree("1")], bonus_per_tree=d("0.10"),
    )  # fmt: skip
    assert [one for one in amounts(made) if one[1] == "bonus"] == [
        ("Ana", "bonus", "3.00"),
        ("Ben", "bonus", "2.00"),
    ]


@pytest.mark.parametrize(("in_floor", "top_up"), [(False, "30.00"), (True, "25.00")])
def test_a_bonus_counts_towards_the_floor_by_setting(in_floor, top_up):
    made = paid(
        BonusTrees("A", MONDAY, 50), Credit("A", MONDAY, 50), Hours("Ana", "A", MONDAY, d(8)),
        rates=[per_tree("1")], bonus_per_tree=d("0.10"), bonus_in_floor=in_floor, wages=(Wage(d(10)),),
    )  # fmt: skip
    assert total(made.lines, "top_up") == d(top_up)


def test_a_week_with_two_minimum_wages_is_held_against_both():
    """8 h at 10 and 8 h at 12 are 176; the week begins on the day that the farm says."""
    wages = (Wage(d(10), Validity(last=MONDAY)), Wage(d(12), Validity(first=TUESDAY)))
    hours = [Hours("Ana", "A", day, d(8)) for day in (MONDAY, TUESDAY)]
    made = paid(*hours, rates=[per_tree("1")], wages=wages, floor_period="week")
    assert [(one.first, one.floor) for one in made.floor_tests] == [(MONDAY, d("176.00"))]
    made = paid(*hours, rates=[per_tree("1")], wages=wages, floor_period="week", week_starts=1)
    assert [one.first for one in made.floor_tests] == [TUESDAY - timedelta(days=7), TUESDAY]


def test_somebody_of_two_crews_has_one_floor_a_day():
    """The top-up stands with the crew that had most of the hours."""
    made = paid(
        Credit("A", MONDAY, 100), Credit("B", MONDAY, 10), Hours("Ana", "A", MONDAY, d(3)), Hours("Ana", "B", MONDAY, d(5)),
        rates=[per_tree("1")], wages=(Wage(d(15)),),
    )  # fmt: skip
    (top_up,) = [line for line in made.lines if line.kind == "top_up"]
    assert (top_up.crew_id, top_up.amount, made.amount) == ("B", d("10.00"), d("120.00"))


def test_rest_outside_the_floor_test_is_neither_hours_nor_pay_in_it():
    hours = Hours("Ana", "A", MONDAY, d(8), rest_minutes=d(30))
    made = paid(Credit("A", MONDAY, 80), hours, rates=[per_tree("1")], wages=(Wage(d(12)),), rest=Rest(is_paid=True, in_floor=False))  # fmt: skip
    assert amounts(made) == [("Ana", "trees", "80.00"), ("Ana", "rest", "6.00"), ("Ana", "top_up", "16.00")]


def test_rest_over_a_week_goes_by_what_the_week_earned():
    """200.00 in 16 hours is 12.50 an hour on both days."""
    hours = [Hours("Ana", "A", day, d(8), rest_minutes=d(60)) for day in (MONDAY, TUESDAY)]
    trees = [Credit("A", MONDAY, 150), Credit("A", TUESDAY, 50)]
    made = paid(*trees, *hours, rates=[per_tree("1")], rest=Rest(is_paid=True, over="week"))
    assert [str(line.amount) for line in made.lines if line.kind == "rest"] == ["12.50", "12.50"]


def test_waiting_at_a_rate_of_its_own_has_no_part_in_the_trees():
    """Two hours of waiting are paid, and the trees are shared by the hours on trees."""
    made = paid(
        Credit("A", MONDAY, 100), Hours("Ana", "A", MONDAY, d(5)), Hours("Ben", "A", MONDAY, d(5)),
        Hours("Ben", "A", MONDAY, d(2), rate=d(8)), rates=[per_tree("1")],
    )  # fmt: skip
    assert amounts(made) == [("Ana", "trees", "50.00"), ("Ben", "trees", "50.00"), ("Ben", "other", "16.00")]


def test_rest_time_is_among_the_hours_that_overtime_goes_by():
    """40 hours and two of rest at 10.00 an hour: two over 40, half of 10.00 for each."""
    days = [MONDAY + timedelta(days=i) for i in range(5)]
    hours = [Hours("Ana", "A", day, d(8), rest_minutes=d(24)) for day in days]
    made = paid(*hours, rates=[per_hour("10")], rest=Rest(is_paid=True), overtime=Overtime(d(40), d("0.5")))
    assert [(one.hours, one.earned, one.premium) for one in made.overtime] == [
        (Fraction(42), d("420.00"), d("10.00"))
    ]


def test_weeks_of_unnamed_people_are_told():
    made = paid(
        *head_count("A", TUESDAY, 2, d(8)), rates=[per_hour("15")], wages=(Wage(d(12)),), floor_period="week"
    )
    assert Notice("week_of_unnamed", MONDAY, "A") in made.notices


@pytest.mark.parametrize(("rule", "amount"), [("half_up", "0.13"), ("half_even", "0.12"), ("up", "0.13")])
def test_the_rounding_rule_is_the_farms(rule, amount):
    """25 trees at 0.005 are 0.125."""
    made = paid(Credit("A", MONDAY, 25), Hours("Ana", "A", MONDAY, d(1)), rates=[per_tree("0.005")], rounding=Rounding(d("0.01"), rule))  # fmt: skip
    assert str(made.amount) == amount


def test_a_currency_without_small_coins_pays_whole_units():
    work = PayWork(
        (Credit("A", MONDAY, 25),), (Hours("Ana", "A", MONDAY, d(1)), Hours("Ben", "A", MONDAY, d(1)))
    )
    made = pay(work, PayTerms(Currency("JPY", 0), (per_tree("1.5"),)))
    assert [str(line.amount) for line in made.lines] == ["19", "19"]


def test_a_day_has_24_hours():
    with pytest.raises(InputError, match=r"^Ana, 2026-01-12: Hours and rest come to 25 h in one day"):
        paid(Hours("Ana", "A", MONDAY, d(12)), Hours("Ana", "B", MONDAY, d(12), rest_minutes=d(60)), rates=[])


def test_lines_say_what_they_rest_on():
    """Enough to check a share by hand: trees, rate, sum, own hours of all hours."""
    made = paid(Credit("A", MONDAY, 100), Hours("Ana", "A", MONDAY, d(6)), Hours("Ben", "A", MONDAY, d(4)), rates=[per_tree("0.5")])  # fmt: skip
    line = made.lines[0]
    assert (line.crew_trees, line.rate, line.crew_amount, line.hours, line.crew_hours, line.amount) == (
        100, Fraction(1, 2), d("50.00"), Fraction(6), Fraction(10), d("30.00"),
    )  # fmt: skip


def test_a_settled_tree_belongs_to_the_day_its_own_crew_marked():
    """And where that crew marked nothing there, to the earliest day anybody claims."""
    claims = [PayMark("1", "A", MONDAY, "H1", 1, 1, 4), PayMark("2", "B", TUESDAY, "H1", 1, 1, 4)]

    def settled(crew: str | None) -> CreditedTrees:
        word = StretchSettlement("s", 1, "", "H1", 1, 1, 4, crew, frozenset("12"))
        return credited_trees(claims, [PayRow("H1", 1, 4)], [word])

    assert settled("B").credits == (Credit("B", TUESDAY, 4, block_id="H1", row=1),)
    assert settled("C").credits == (Credit("C", MONDAY, 4, block_id="H1", row=1),)
    assert settled(None).for_nobody == (Credit("", MONDAY, 4, block_id="H1", row=1),)


def test_a_mark_that_the_manager_has_not_seen_holds_the_trees_again():
    claims = [PayMark(str(i), crew, MONDAY, "H1", 1, 1, 4) for i, crew in enumerate("ABC")]
    word = StretchSettlement("s", 1, "", "H1", 1, 1, 4, "A", frozenset("01"))
    found = credited_trees(claims, [PayRow("H1", 1, 4)], [word])
    assert (found.credits, [one.trees for one in found.held]) == ((), [4])


def test_no_word_on_the_first_pruning_speaks_of_a_return():
    """Two crews that went over the same trees for one return: held, whatever was settled of the first round."""
    again = [PayMark(str(i), crew, MONDAY, "H1", 1, 1, 4, return_id="R1") for i, crew in enumerate("AB")]
    word = StretchSettlement("s", 1, "", "H1", 1, 1, 4, "A", frozenset("01"))
    found = credited_trees(again, [PayRow("H1", 1, 4)], [word])
    assert (found.credits, [(one.trees, one.return_id) for one in found.held]) == ((), [(4, "R1")])
