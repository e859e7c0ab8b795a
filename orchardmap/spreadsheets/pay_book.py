"""Pay as a workbook: people, crews, lines and corrections, each a table of its own."""

from decimal import Decimal
from fractions import Fraction

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, translated
from orchardmap.pay.lines import LineKey, LineKind, PayLine, total
from orchardmap.pay.sheet import SheetContent, SheetHead, crews_of, kinds_of, people_of
from orchardmap.pay.words import HEADINGS, LAW, head_words, kind_words, method_words
from orchardmap.spreadsheets.workbook import Cell, Sheet, workbook

__all__ = ["pay_book"]

_LINE_HEADINGS = (
    "person", "crew", "day", "week", "for", "variety", "method", "again", "trees", "rate", "shared", "hours", "hours_of_all", "amount",
)  # fmt: skip
_CORRECTION_HEADINGS = (
    "person",
    "crew",
    "day",
    "week",
    "for",
    "variety",
    "method",
    "again",
    "before",
    "now",
    "amount",
)


def pay_book(content: SheetContent, head: SheetHead, *, language: str = "en") -> bytes:
    """Return pay as an xlsx workbook without a formula in it.

    Parameters
    ----------
    content : SheetContent
        Of all people and crews, or cut to one.
    head : SheetHead
    language : str
        One of `orchardmap.locale.catalogue.languages`.

    Returns
    -------
    bytes
        Sheets of people, crews, lines, and corrections where there are any. Each says that local labour law decides.

    Raises
    ------
    InputError
        If no workbook is made in that language.
    """
    if language not in languages():
        raise InputError(
            "No pay sheet is made in this language",
            where=language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    sheets = [_people(content, language), _crews(content, language), _lines(content, language)]
    if content.corrections:
        sheets.append(_corrections(content, language))
    facts = [*head_words(head, language), *([head.currency.code] if head.currency.code else [])]
    notes = [translated(LAW, language), " · ".join(facts)]
    return workbook(sheets, notes=notes, minor_digits=head.currency.minor_digits)


def _people(content: SheetContent, language: str) -> Sheet:
    kinds = kinds_of(content)
    rows = [(content.name(one), *_sums(content.of_person(one), kinds)) for one in people_of(content)]
    return _sheet("people", ("person", "hours"), kinds, rows, language)


def _crews(content: SheetContent, language: str) -> Sheet:
    kinds = kinds_of(content)
    rows = [(content.name(one), *_sums(content.of_crew(one), kinds)) for one in crews_of(content)]
    return _sheet("crews", ("crew", "hours"), kinds, rows, language)


def _sums(content: SheetContent, kinds: list[LineKind]) -> tuple[Cell, ...]:
    hours = sum((Fraction(one.hours) for one in content.hours), Fraction(0))
    corrected = sum(content.corrections.values(), Decimal(0))
    return (float(hours), *(total(content.lines, kind) for kind in kinds), corrected, content.amount)


def _sheet(
    name: str, first: tuple[str, ...], kinds: list[LineKind], rows: list[tuple[Cell, ...]], language: str
) -> Sheet:
    amounts = [kind_words(kind, language) for kind in kinds]
    headings = (*_words(first, language), *amounts, *_words(("corrections", "sum"), language))
    return Sheet(_words((name,), language)[0], headings, tuple(rows))


def _lines(content: SheetContent, language: str) -> Sheet:
    rows = [
        (
            *_what(one, content, language),
            one.crew_trees or None,
            round(float(one.rate), 6) if one.rate else None,
            one.crew_amount if one.crew_trees else None,
            round(float(one.hours), 4),
            round(float(one.crew_hours), 4) if one.crew_trees else None,
            one.amount,
        )
        for one in sorted(content.lines, key=lambda one: content.name(one.person_id).casefold())
    ]
    return Sheet(_words(("lines",), language)[0], _words(_LINE_HEADINGS, language), tuple(rows))


def _corrections(content: SheetContent, language: str) -> Sheet:
    ordered = sorted(content.corrections.items(), key=lambda one: (one[0].day, str(one[0])))
    rows = [
        (*_what(key, content, language), *_was_and_is(key, amount, content), amount)
        for key, amount in ordered
    ]
    name = translated(HEADINGS["corrected"], language)
    return Sheet(name, _words(_CORRECTION_HEADINGS, language), tuple(rows))


def _was_and_is(key: LineKey, amount: Decimal, content: SheetContent) -> tuple[Cell, Cell]:
    before = content.paid_before.get(key)
    return (None, None) if before is None else (before, before + amount)


def _what(one: PayLine | LineKey, content: SheetContent, language: str) -> tuple[Cell, ...]:
    yes = translated(HEADINGS["yes"], language)
    return (
        content.name(one.person_id),
        content.name(one.crew_id),
        one.day,
        yes if one.period == "week" else None,
        kind_words(one.kind, language),
        content.name(one.variety) if one.variety else None,
        method_words(one.method, language) or None,
        yes if one.is_return else None,
    )


def _words(names: tuple[str, ...], language: str) -> tuple[str, ...]:
    return tuple(translated(HEADINGS[name], language) for name in names)
