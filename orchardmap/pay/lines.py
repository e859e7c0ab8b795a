"""What pay comes to, line by line: every amount is one that can be paid, and all sums are sums of lines."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Literal, NamedTuple, get_args

from orchardmap.model.people import Method
from orchardmap.pay.terms import Period

__all__ = [
    "LINE_KINDS", "CrewLine", "FloorTest", "LineKey", "LineKind", "Missing", "Notice", "NoticeCode", "OvertimeWeek", "Pay", "PayLine", "total",
]  # fmt: skip

LineKind = Literal["trees", "hours", "other", "bonus", "rest", "top_up", "overtime"]
"""Piece pay; pay by the hour; hours at a rate of their own; quality bonus; rest time; what the floor adds; premium for overtime."""
LINE_KINDS: tuple[LineKind, ...] = get_args(LineKind)

NoticeCode = Literal["hours_without_pay", "trees_without_hours", "hours_of_other_work", "week_of_unnamed"]
"""
Hours that earned nothing; trees that nobody's hours are known for, so that nobody is paid for them; trees shared by hours that were
entered for another method or variety; a week reckoned for one of a head count, who may have been several people.
"""


class LineKey(NamedTuple):
    """What an amount is for."""

    person_id: str
    crew_id: str
    day: date
    period: Period
    kind: LineKind
    variety: str | None = None
    method: Method | None = None
    is_return: bool = False


@dataclass(frozen=True, slots=True)
class CrewLine:
    """What a crew earned together on a day, before it is shared."""

    crew_id: str
    day: date
    kind: Literal["trees", "bonus"]
    trees: int
    rate: Decimal
    """Per tree; 0 for trees of a return that is not paid."""
    amount: Decimal
    variety: str | None = None
    method: Method | None = None
    is_return: bool = False


@dataclass(frozen=True, slots=True)
class PayLine:
    """One amount that a person is paid."""

    person_id: str
    crew_id: str
    day: date
    """Or the first day of its week."""
    kind: LineKind
    amount: Decimal
    hours: Fraction
    """The person's, that it rests on: for trees those that the share goes by; for overtime those above the limit."""
    rate: Fraction
    """Per tree or per hour, exact; 0 for a top-up."""
    period: Period = "day"
    variety: str | None = None
    method: Method | None = None
    is_return: bool = False
    crew_trees: int = 0
    """Of the crew, where it is a share of what these earned; 0 where it is the person's alone."""
    crew_hours: Fraction = Fraction(0)
    """Of all who share it."""
    crew_amount: Decimal = Decimal(0)
    """What is shared."""

    @property
    def key(self) -> "LineKey":
        """What it is for; amounts of one key add up."""
        return LineKey(
            self.person_id,
            self.crew_id,
            self.day,
            self.period,
            self.kind,
            self.variety,
            self.method,
            self.is_return,
        )


@dataclass(frozen=True, slots=True)
class FloorTest:
    """What a person earned in a day or week, held against the minimum wage."""

    person_id: str
    first: date
    period: Period
    hours: Fraction
    """Held against the wage: worked, and rest where it counts."""
    earned: Decimal
    """What counts towards it."""
    floor: Decimal
    top_up: Decimal


@dataclass(frozen=True, slots=True)
class OvertimeWeek:
    """A week of a person with hours above the limit."""

    person_id: str
    first: date
    hours: Fraction
    earned: Decimal
    """All lines of the week but the premium."""
    regular_rate: Fraction
    """Earned per hour, exact."""
    hours_over: Fraction
    premium: Decimal


@dataclass(frozen=True, slots=True)
class Missing:
    """Something that must be entered before anybody is paid: no rate, or no minimum wage, holds."""

    what: Literal["rate", "minimum_wage"]
    day: date
    variety: str | None = None
    method: Method | None = None


@dataclass(frozen=True, slots=True)
class Notice:
    """Something a manager should look at; pay can go out as it is."""

    code: NoticeCode
    day: date
    crew_id: str
    person_id: str = ""


@dataclass(frozen=True, slots=True)
class Pay:
    """Pay of a period."""

    lines: tuple[PayLine, ...] = ()
    """By person, day, kind and crew."""
    crew_lines: tuple[CrewLine, ...] = ()
    """By crew and day; shared to the cent among ``lines``, save those of ``unshared``."""
    unshared: tuple[CrewLine, ...] = ()
    """Of crews without hours that day: nobody is paid them."""
    floor_tests: tuple[FloorTest, ...] = ()
    overtime: tuple[OvertimeWeek, ...] = ()
    missing: tuple[Missing, ...] = ()
    """Not empty: nothing may be paid out by this."""
    notices: tuple[Notice, ...] = ()

    @property
    def amount(self) -> Decimal:
        """All that is paid."""
        return total(self.lines)

    def of_person(self, person_id: str) -> tuple[PayLine, ...]:
        """Return the lines of a person."""
        return tuple(one for one in self.lines if one.person_id == person_id)

    def of_crew(self, crew_id: str) -> tuple[PayLine, ...]:
        """Return the lines of all people of a crew; a top-up or premium stands with the crew that had most of the hours."""
        return tuple(one for one in self.lines if one.crew_id == crew_id)


def total(lines: Iterable[PayLine], *kinds: LineKind) -> Decimal:
    """Return the sum of lines, of some kinds where any are named."""
    return sum((one.amount for one in lines if one.kind in (kinds or LINE_KINDS)), Decimal(0))
