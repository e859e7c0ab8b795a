"""The words of pay sheets, in every language there is a catalogue for."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from fractions import Fraction

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import fixed_text, number_text, whole_text
from orchardmap.model.people import Method
from orchardmap.pay.lines import FloorTest, LineKey, LineKind, PayLine
from orchardmap.pay.money import Currency
from orchardmap.pay.sheet import CrewEarned, SheetContent, SheetHead

__all__ = [
    "HEADINGS",
    "LAW",
    "date_words",
    "day_words",
    "head_words",
    "hours_words",
    "kind_words",
    "method_words",
    "money_words",
    "reckoning_words",
    "work_words",
]

LAW = message("Local labour law decides. Check every figure against it before anybody is paid.")

HEADINGS = {
    "pay_sheet": message("Pay sheet"),
    "crew_sheet": message("Pay sheet of a crew"),
    "people": message("People"),
    "crews": message("Crews"),
    "lines": message("Lines"),
    "crew": message("Crew"),
    "person": message("Name"),
    "day": message("Day"),
    "week": message("Whole week from then"),
    "for": message("For"),
    "variety": message("Variety"),
    "method": message("Method"),
    "reckoned": message("How it comes about"),
    "amount": message("Amount"),
    "hours": message("Hours"),
    "rest": message("Rest, minutes"),
    "hours_of_all": message("Hours of all who share"),
    "trees": message("Trees of the crew"),
    "rate": message("Rate"),
    "shared": message("Amount that is shared"),
    "earned": message("What the crew earned"),
    "corrections": message("Corrections of days paid before"),
    "corrected": message("Corrections"),
    "before": message("Paid before"),
    "now": message("Comes to now"),
    "again": message("Gone over again"),
    "yes": message("yes"),
    "sum": message("To be paid"),
    "overpaid": message("Paid too much before"),
    "received": message("Received, date and signature"),
}
_KINDS: dict[LineKind, dict[str, str]] = {
    "trees": message("By the tree"),
    "hours": message("By the hour"),
    "other": message("Other hours"),
    "bonus": message("Quality bonus"),
    "rest": message("Rest time"),
    "top_up": message("Top-up to the minimum wage"),
    "overtime": message("Overtime premium"),
}
_METHODS: dict[Method, dict[str, str]] = {
    "ladder": message("ladder"),
    "platform": message("platform"),
    "ground": message("from the ground"),
}
_AGAIN = message("gone over again")
_WEEK = message("Week from {day}")
_DAYS = message("{first} to {last}")
_SEASON = message("Season {season}")
_RUN = message("Pay run {number}")
_DRAFT = message("Draft, not locked: amounts may still change")
_MADE = message("Made on {day}")
_ALONE = message("{trees} trees × {rate}")
_SHARED = message("{trees} trees × {rate} = {sum}, of which {hours} of {all} hours")
_NOT_PAID = message("{trees} trees of a return, not paid by the tree")
_BY_HOUR = message("{hours} hours at {rate}")
_FLOOR = message("{floor} for {hours} hours, less {earned} earned")


def money_words(amount: Decimal | Fraction, currency: Currency, language: str) -> str:
    """Return an amount with the decimals of its currency, or as many more as a fine rate needs, six at most."""
    whole = Fraction(amount)
    if (whole / Fraction(currency.minor_unit)).denominator == 1:
        return fixed_text(float(whole), currency.minor_digits, language)
    return number_text(float(whole), language)


def kind_words(kind: LineKind, language: str) -> str:
    """Return what a kind of pay is called."""
    return translated(_KINDS[kind], language)


def date_words(day: date, language: str) -> str:
    """Return a day that no line of a table breaks at."""
    return date_text(day, language).replace(" ", "\N{NO-BREAK SPACE}")


def day_words(one: PayLine | LineKey, language: str) -> str:
    """Return the day or week that an amount is for."""
    day = date_words(one.day, language)
    return day if one.period == "day" else translated(_WEEK, language).replace("{day}", day)


def method_words(method: Method | None, language: str) -> str:
    """Return what a method is called, empty where it is not known."""
    return translated(_METHODS[method], language) if method else ""


def work_words(one: PayLine | LineKey | CrewEarned, content: SheetContent, language: str) -> str:
    """Return what an amount is for: its kind, variety and method."""
    parts = [
        content.name(one.variety) if one.variety else "",
        method_words(one.method, language),
        translated(_AGAIN, language) if one.is_return else "",
    ]
    said = ", ".join(part for part in parts if part)
    return f"{kind_words(one.kind, language)}: {said}" if said else kind_words(one.kind, language)


def reckoning_words(one: PayLine, tests: Iterable[FloorTest], currency: Currency, language: str) -> str:
    """Return how an amount comes about, so that it can be checked by hand; empty where nothing is known of it."""
    values = {
        "trees": whole_text(one.crew_trees, language),
        "rate": money_words(one.rate, currency, language),
        "sum": money_words(one.crew_amount, currency, language),
        "hours": hours_words(one.hours, language),
        "all": hours_words(one.crew_hours, language),
    }
    if one.kind == "top_up":
        own = [t for t in tests if (t.person_id, t.first, t.period) == (one.person_id, one.day, one.period)]
        if not own:
            return ""
        values["floor"] = money_words(own[0].floor, currency, language)
        values["earned"] = money_words(own[0].earned, currency, language)
        return translated(_FLOOR, language).format(**values)
    if not one.crew_trees:
        return translated(_BY_HOUR, language).format(**values)
    if one.is_return and not one.rate:
        return translated(_NOT_PAID, language).format(**values)
    return translated(_ALONE if one.hours == one.crew_hours else _SHARED, language).format(**values)


def hours_words(hours: Fraction, language: str) -> str:
    """Return hours with so many decimals that a cent can be checked by them: four at most."""
    return number_text(round(float(hours), 4), language)


def head_words(head: SheetHead, language: str) -> list[str]:
    """Return what stands under the title of every sheet."""
    days = {"first": date_text(head.first, language), "last": date_text(head.last, language)}
    said = [head.farm, translated(_DAYS, language).format(**days)]
    if head.season:
        said.append(translated(_SEASON, language).replace("{season}", head.season))
    if head.number is None:
        said.append(translated(_DRAFT, language))
    else:
        said.append(translated(_RUN, language).replace("{number}", str(head.number)))
    if head.made_on:
        said.append(translated(_MADE, language).replace("{day}", date_text(head.made_on, language)))
    return [one for one in said if one]
