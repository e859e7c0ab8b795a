"""What stands on pay sheets, on paper and in a spreadsheet: lines of pay with the names that belong to their ids."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from orchardmap.model.people import Method
from orchardmap.pay.lines import LINE_KINDS, FloorTest, LineKey, LineKind, PayLine
from orchardmap.pay.money import Currency
from orchardmap.pay.worked import Hours

__all__ = ["CrewEarned", "SheetContent", "SheetHead", "crew_earned", "crews_of", "kinds_of", "people_of"]


@dataclass(frozen=True, slots=True)
class SheetHead:
    """What stands at the top of every sheet."""

    farm: str
    first: date
    last: date
    currency: Currency
    season: str = ""
    number: int | None = None
    """Of the pay run that was locked; None marks every sheet as a draft."""
    made_on: date | None = None
    """By the farm's calendar."""


@dataclass(frozen=True, slots=True)
class SheetContent:
    """All that one set of sheets is made from. Sums are sums of its lines and corrections; nothing is reckoned anew."""

    lines: Sequence[PayLine]
    hours: Sequence[Hours] = ()
    """Of the same people and days: sheets tell them day by day."""
    floor_tests: Sequence[FloorTest] = ()
    """By which a top-up is explained."""
    corrections: Mapping[LineKey, Decimal] = field(default_factory=dict)
    """Of days that were paid before; they are paid with these lines."""
    paid_before: Mapping[LineKey, Decimal] = field(default_factory=dict)
    """What earlier runs paid for what is corrected; it explains and is part of no sum."""
    names: Mapping[str, str] = field(default_factory=dict)
    """Of people, crews and varieties, by their ids; an id without one stands for itself."""

    def name(self, known: str) -> str:
        """Return the name that belongs to an id."""
        return self.names.get(known, known)

    def of_person(self, person_id: str) -> "SheetContent":
        """Return what concerns one person."""
        return SheetContent(
            [one for one in self.lines if one.person_id == person_id],
            [one for one in self.hours if one.person_id == person_id],
            [one for one in self.floor_tests if one.person_id == person_id],
            {key: amount for key, amount in self.corrections.items() if key.person_id == person_id},
            self.paid_before,
            self.names,
        )

    def of_crew(self, crew_id: str) -> "SheetContent":
        """Return what concerns one crew, of people of several crews what they did with it."""
        lines = [one for one in self.lines if one.crew_id == crew_id]
        people = {one.person_id for one in lines}
        return SheetContent(
            lines,
            [one for one in self.hours if one.crew_id == crew_id],
            [one for one in self.floor_tests if one.person_id in people],
            {key: amount for key, amount in self.corrections.items() if key.crew_id == crew_id},
            self.paid_before,
            self.names,
        )

    @property
    def amount(self) -> Decimal:
        """All that is paid, corrections among it."""
        return sum((one.amount for one in self.lines), Decimal(0)) + sum(
            self.corrections.values(), Decimal(0)
        )


@dataclass(frozen=True, slots=True)
class CrewEarned:
    """What a crew's people share: trees of one kind on one day."""

    day: date
    kind: LineKind
    variety: str | None
    method: Method | None
    is_return: bool
    trees: int
    rate: Fraction
    amount: Decimal


def crew_earned(lines: Iterable[PayLine]) -> list[CrewEarned]:
    """Return what the lines of one crew are shares of, each once, by day."""
    found = {
        CrewEarned(
            one.day,
            one.kind,
            one.variety,
            one.method,
            one.is_return,
            one.crew_trees,
            one.rate,
            one.crew_amount,
        )
        for one in lines
        if one.crew_trees
    }
    return sorted(
        found, key=lambda one: (one.day, one.kind, one.variety or "", one.method or "", one.is_return)
    )


def people_of(content: SheetContent) -> list[str]:
    """Return the ids of all people with lines, hours or corrections, by name."""
    found = {one.person_id for one in content.lines} | {one.person_id for one in content.hours}
    return _by_name(found | {one.person_id for one in content.corrections}, content)


def crews_of(content: SheetContent) -> list[str]:
    """Return the ids of all crews with lines, hours or corrections, by name."""
    found = {one.crew_id for one in content.lines} | {one.crew_id for one in content.hours}
    return _by_name(found | {one.crew_id for one in content.corrections}, content)


def _by_name(ids: Iterable[str], content: SheetContent) -> list[str]:
    return sorted(ids, key=lambda one: (content.name(one).casefold(), one))


def kinds_of(content: SheetContent) -> list[LineKind]:
    """Return the kinds of pay that there are, in their order."""
    found = {one.kind for one in content.lines}
    return [kind for kind in LINE_KINDS if kind in found]
