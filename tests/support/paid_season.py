"""A week of pay with everything on it: two crews, a return, a bonus, rest, overtime, corrections, and names that spreadsheets choke on."""

from datetime import date, timedelta
from decimal import Decimal
from functools import cache

from orchardmap.pay.credit import Credit
from orchardmap.pay.earnings import pay
from orchardmap.pay.lines import LineKey
from orchardmap.pay.money import Currency
from orchardmap.pay.rates import Rate, Wage
from orchardmap.pay.sheet import SheetContent, SheetHead
from orchardmap.pay.terms import Overtime, PayTerms, Rest
from orchardmap.pay.worked import BonusTrees, Hours, PayWork

MONDAY = date(2026, 1, 12)
DAYS = [MONDAY + timedelta(days=i) for i in range(6)]
FORMULA = '=HYPERLINK("http://example.org","Ana")'
NAMES = {
    "p1": "Ana Belén Ortega", "p2": "Ben <b>& Sons</b>", "p3": FORMULA, "c1": "+North", "c2": "@Ridge", "v1": "-Bramley",
    "v2": "Egremont Russet",
}  # fmt: skip
HEAD = SheetHead("Long Meadow & Ridge", DAYS[0], DAYS[-1], Currency("GBP"), "2025/26", 3, date(2026, 1, 18))


def d(text: str | int) -> Decimal:
    return Decimal(text)


@cache
def paid_week() -> SheetContent:
    credits = [Credit("c1", day, 180 + 17 * i, "v1", "ladder") for i, day in enumerate(DAYS)]
    credits += [
        Credit("c1", DAYS[2], 60, "v2", "platform"),
        Credit("c1", DAYS[3], 25, "v1", "ladder", return_id="R1"),
    ]
    hours = [Hours(person, "c1", day, d("7.75"), d(20)) for day in DAYS for person in ("p1", "p2", "p3")]
    hours += [
        Hours("p2", "c2", DAYS[4], d(2), variety="v2"),
        Hours("p1", "c1", DAYS[1], d("1.5"), rate=d("9.5")),
    ]
    terms = PayTerms(
        HEAD.currency,
        (Rate("tree", d("0.62")), Rate("hour", d(13), "v2")),
        (Wage(d("11.44")),),
        bonus_per_tree=d("0.02"),
        rest=Rest(is_paid=True),
        overtime=Overtime(d(40), d("0.5")),
    )
    made = pay(PayWork(tuple(credits), tuple(hours), (BonusTrees("c1", DAYS[0], 150),)), terms)
    before = MONDAY - timedelta(days=7)
    corrections = {
        LineKey("p1", "c1", before, "day", "trees", "v1", "ladder"): d("-4.34"),
        LineKey("p1", "c1", before, "day", "top_up"): d("1234.50"),
    }
    paid = {key: d("10.00") for key in corrections}
    return SheetContent(made.lines, hours, made.floor_tests, corrections, paid, NAMES)
