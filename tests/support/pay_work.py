"""Work and terms of pay for Hypothesis: small enough to meet on the same days, rows and people."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from orchardmap.model.people import METHODS, Method
from orchardmap.model.work import StretchSettlement
from orchardmap.pay.credit import Credit, PayMark, PayRow
from orchardmap.pay.money import ROUNDING_RULES, Currency, Rounding, RoundingRule
from orchardmap.pay.rates import Rate, Wage
from orchardmap.pay.terms import PERIODS, Overtime, PayTerms, Rest
from orchardmap.pay.worked import BonusTrees, Hours, PayWork

MONDAY = date(2026, 1, 12)
CREWS, PEOPLE, VARIETIES = ("A", "B"), ("Ana", "Ben", "Cem", "Dee"), ("Bramley", "Gala", None)
DAYS = [MONDAY + timedelta(days=i) for i in range(10)]

days = st.sampled_from(DAYS)
methods: st.SearchStrategy[Method | None] = st.sampled_from((*METHODS, None))
money = st.decimals(min_value=0, max_value=40, places=3)


def rows() -> st.SearchStrategy[list[PayRow]]:
    positions = st.integers(1, 12)
    row = st.builds(
        PayRow,
        st.just("H1"),
        st.integers(1, 3),
        positions,
        st.sampled_from(VARIETIES),
        st.frozensets(positions),
    )
    return st.lists(row, min_size=1, max_size=3, unique_by=lambda one: one.number)


def marks() -> st.SearchStrategy[list[PayMark]]:
    def mark(
        number: int, first: int, length: int, drawn: tuple[str, date, int, Method | None, str | None]
    ) -> PayMark:
        crew, day, row, method, return_id = drawn
        return PayMark(f"m{number}", crew, day, "H1", row, first, first + length, method, return_id=return_id)

    drawn = st.tuples(
        st.sampled_from(CREWS),
        days,
        st.integers(1, 3),
        methods,
        st.sampled_from((None, None, None, "R1", "R2")),
    )
    one = st.builds(mark, st.integers(0, 999), st.integers(1, 12), st.integers(0, 12), drawn)
    return st.lists(one, max_size=12, unique_by=lambda one: one.id)


def settlements(seen: frozenset[str]) -> st.SearchStrategy[list[StretchSettlement]]:
    def word(number: int, row: int, first: int, length: int, crew: str | None) -> StretchSettlement:
        return StretchSettlement(f"s{number}", number, "", "H1", row, first, first + length, crew, seen)

    one = st.builds(
        word,
        st.integers(1, 99),
        st.integers(1, 3),
        st.integers(1, 12),
        st.integers(0, 12),
        st.sampled_from((*CREWS, None)),
    )
    return st.lists(one, max_size=3, unique_by=lambda one: one.number)


def work(*, one_kind_a_day: bool = False) -> st.SearchStrategy[PayWork]:
    """Work of two crews; with one kind a day a crew prunes trees of one variety by one method."""
    credit = st.builds(
        Credit, st.sampled_from(CREWS), days, st.integers(0, 400), st.sampled_from(VARIETIES), methods,
        return_id=st.sampled_from((None, None, "R1")),
    )  # fmt: skip
    hours = st.builds(
        Hours, st.sampled_from(PEOPLE), st.sampled_from(CREWS), days,
        st.decimals(min_value=0, max_value=10, places=2), st.integers(0, 40).map(Decimal), methods,
        st.sampled_from(VARIETIES), st.sampled_from((None, None, None, Decimal("11.11"))),
    )  # fmt: skip
    lists = st.lists(hours, max_size=14, unique_by=lambda one: (one.person_id, one.crew_id, one.day))
    credits = (
        st.lists(credit, min_size=1, max_size=10, unique_by=lambda one: (one.crew_id, one.day))
        if one_kind_a_day
        else st.lists(credit, max_size=10)
    )
    bonus = st.lists(st.builds(BonusTrees, st.sampled_from(CREWS), days, st.integers(0, 99)), max_size=3)
    return st.builds(PayWork, credits.map(tuple), lists.map(tuple), bonus.map(tuple))


def terms(**fixed: Any) -> st.SearchStrategy[PayTerms]:
    """Terms that have a rate for everything; what is fixed is as given."""
    general = st.builds(Rate, st.sampled_from(("tree", "hour")), money)
    special = st.builds(
        Rate, st.sampled_from(("tree", "hour")), money, st.sampled_from(VARIETIES), st.sampled_from(METHODS)
    )
    rates = st.builds(
        lambda one, more: (one, *more),
        general,
        st.lists(special, max_size=3, unique_by=lambda one: (one.variety, one.method)),
    )
    drawn: dict[str, st.SearchStrategy[Any]] = {
        "rates": rates,
        "wages": st.one_of(st.just(()), st.builds(lambda per_hour: (Wage(per_hour),), money)),
        "floor_period": st.sampled_from(PERIODS),
        "week_starts": st.integers(0, 6),
        "returns_paid": st.booleans(),
        "bonus_per_tree": money,
        "bonus_in_floor": st.booleans(),
        "rest": st.builds(Rest, st.booleans(), st.sampled_from(PERIODS), st.booleans()),
        "overtime": st.one_of(st.none(), st.builds(Overtime, st.integers(0, 40).map(Decimal), money)),
    }
    coins = st.sampled_from([
        (0, "1"),
        (0, "5"),
        (2, "0.01"),
        (2, "0.05"),
        (2, "1"),
        (3, "0.001"),
        (3, "0.05"),
    ])
    drawn |= {name: st.just(value) for name, value in fixed.items()}

    def made(coin: tuple[int, str], rule: RoundingRule, **rest: Any) -> PayTerms:
        digits, step = coin
        return PayTerms(Currency("EUR", digits), rounding=Rounding(Decimal(step), rule), **rest)

    return st.builds(made, coins, st.sampled_from(ROUNDING_RULES), **drawn)
