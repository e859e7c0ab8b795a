"""Arithmetic examples of pay from published rules: dated, of their country and time, to hold the arithmetic to. None is a default or advice."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from orchardmap.pay.credit import Credit
from orchardmap.pay.earnings import pay
from orchardmap.pay.fair_rate import fair_piece_rate
from orchardmap.pay.lines import Pay, total
from orchardmap.pay.money import Currency, Rounding
from orchardmap.pay.rates import Rate, Wage
from orchardmap.pay.terms import Overtime, PayTerms, Period, Rest
from orchardmap.pay.worked import Hours, PayWork

MONDAY = date(2026, 1, 12)
CENT = Decimal("0.01")
US_OVERTIME = Overtime(after_hours=Decimal(40), premium=Decimal("0.5"))


def d(text: str | int) -> Decimal:
    return Decimal(text)


def us_week(piece: str, waiting_rate: str) -> Pay:
    """46 hours at piece rates and 4 of waiting in one week, one tree standing for each cent of piece earnings."""
    days = [MONDAY + timedelta(days=i) for i in range(5)]
    cents = int(d(piece) / CENT)
    trees = [cents // 5] * 4 + [cents - 4 * (cents // 5)]
    hours = [Hours("Ana", "A", day, d("9.2")) for day in days]
    hours.append(Hours("Ana", "A", days[2], d(4), rate=d(waiting_rate)))
    terms = PayTerms(Currency("USD"), (Rate("tree", CENT),), overtime=US_OVERTIME)
    credits = tuple(Credit("A", day, n) for day, n in zip(days, trees, strict=True))
    return pay(PayWork(credits, tuple(hours)), terms)


@pytest.mark.parametrize(
    ("piece", "waiting", "straight", "regular", "premium", "week"),
    [
        ("491.00", "8.00", "523.00", "10.46", "52.30", "575.30"),
        ("245.50", "5.00", "265.50", "5.31", "26.55", "292.05"),
    ],
    ids=["today's text", "1981 text"],
)
def test_us_regular_rate_and_overtime_of_piece_work(piece, waiting, straight, regular, premium, week):
    """29 CFR 778.111(a): piece work and waiting over 50 hours; half the regular rate more for the ten above 40 (CV5)."""
    made = us_week(piece, waiting)
    (over,) = made.overtime
    assert (over.earned, over.regular_rate, over.hours_over) == (d(straight), Fraction(regular), Fraction(10))
    assert over.premium == total(made.lines, "overtime") == d(premium)
    assert made.amount == d(week)


def test_without_the_setting_nobody_gets_overtime():
    """Off by default: the same week is 523.00 where the farm entered no such rule."""
    hours = (Hours("Ana", "A", MONDAY, d(24)), Hours("Ana", "A", MONDAY + timedelta(days=1), d(24)))
    made = pay(
        PayWork((Credit("A", MONDAY, 52300),), hours), PayTerms(Currency("USD"), (Rate("tree", CENT),))
    )
    assert made.amount == d("523.00")


@pytest.mark.parametrize(
    ("wage", "average", "exact", "paid"),
    [("5.05", 10, "0.606", "0.61"), ("6.31", 12, "0.631", "0.64")],
    ids=["NMWM03140", "GOV.UK"],
)
def test_uk_fair_piece_rate(wage, average, exact, paid):
    """HMRC NMWM03140 and GOV.UK, rated output work: the average divided by 1.2, and the rate rounded up to the penny (CV6)."""
    rate = fair_piece_rate(d(wage), d(average), d("1.2"))
    assert rate == Fraction(exact)
    assert Rounding(CENT, "up").rounded(rate) == d(paid)


def au_days(trees: list[int], floor_period: Period) -> Pay:
    """Days of 7.6 hours at 1.00 a tree, with the minimum of 25.41 an hour."""
    days = [MONDAY + timedelta(days=i) for i in range(len(trees))]
    terms = PayTerms(Currency("AUD"), (Rate("tree", d(1)),), (Wage(d("25.41")),), floor_period=floor_period)
    credits = tuple(Credit("A", day, n) for day, n in zip(days, trees, strict=True))
    return pay(PayWork(credits, tuple(Hours("Ana", "A", day, d("7.6")) for day in days)), terms)


def test_au_floor_is_tested_per_day():
    """Fair Work Ombudsman, 28 April 2022: 25.41 an hour for 7.6 hours is 193.12, day by day; a good day does not make up for a bad one (CV7)."""
    made = au_days([250, 100], "day")
    assert [test.floor for test in made.floor_tests] == [d("193.12")] * 2
    assert [test.top_up for test in made.floor_tests] == [d(0), d("93.12")]
    assert made.amount == d("250.00") + d("193.12")


def test_the_same_two_days_by_the_week_need_less():
    """The setting decides: 350.00 against 386.23 over both days tops up 36.23, where days apart top up 93.12."""
    made = au_days([250, 100], "week")
    assert [(test.floor, test.top_up) for test in made.floor_tests] == [(d("386.23"), d("36.23"))]


def test_au_piece_rate_before_april_2022():
    """Fair Work Ombudsman, the rule that ended on 27 April 2022: 740.80 a week, 40 % on it, 5 days, 15 bins a day (R11)."""
    week = Fraction(d("740.80")) * Fraction("1.40")
    cents = Rounding(CENT)
    assert (cents.rounded(week), cents.rounded(week / 5)) == (d("1037.12"), d("207.42"))
    assert cents.rounded(fair_piece_rate(d("740.80"), d(5 * 15), d("1.40"))) == d("13.83")


def test_au_fifteen_percent_on_the_loaded_rate():
    """Since 28 April 2022 the 15 % sits on the rate with casual loading: 1.25 x 1.15 on 20.33 is 29.22 an hour (computed in trade.md, trap 8)."""
    assert Rounding(CENT).rounded(fair_piece_rate(d("20.33"), d(1), d("1.25") * d("1.15"))) == d("29.22")


def rest_day(trees: int, wage: str) -> Pay:
    terms = PayTerms(Currency("USD"), (Rate("tree", d(1)),), (Wage(d(wage)),), rest=Rest(is_paid=True))
    hours = Hours("Ana", "A", MONDAY, d("7.5"), rest_minutes=d(20))
    return pay(PayWork((Credit("A", MONDAY, trees),), (hours,)), terms)


@pytest.mark.parametrize(
    ("trees", "wage", "rest"), [(150, "15.00", "6.67"), (90, "15.00", "5.00")], ids=["regular", "minimum"]
)
def test_rest_time_is_paid_apart_at_the_greater_rate(trees, wage, rest):
    """WAC 296-131-020(2) and Demetrio v. Sakuma, 16 July 2015: figures ours. 150.00 in 7.5 hours is 20.00 an hour, 90.00 is 12.00."""
    assert total(rest_day(trees, wage).lines, "rest") == d(rest)


def test_rest_time_counts_in_the_minimum_wage_test():
    """The same rule: 90.00 and 5.00 of rest over 7.5 hours and 20 minutes against 15.00 an hour: 117.50, so 22.50 more."""
    (test,) = rest_day(90, "15.00").floor_tests
    assert (test.hours, test.earned, test.floor, test.top_up) == (
        Fraction(47, 6), d("95.00"), d("117.50"), d("22.50"),
    )  # fmt: skip


def test_hours_at_or_above_the_minimum_whatever_the_output():
    """SIZA on the South African minimum of 23.19 ZAR an hour from 1 March 2022: nobody below it however few trees."""
    terms = PayTerms(Currency("ZAR"), (Rate("tree", d(2)),), (Wage(d("23.19")),))
    made = pay(PayWork((Credit("A", MONDAY, 10),), (Hours("Ana", "A", MONDAY, d(9)),)), terms)
    assert made.amount == d("208.71")
