"""Hours of people, and trees that earn a bonus: what pay needs beside credited trees."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from orchardmap.errors import InputError
from orchardmap.model.people import Method
from orchardmap.pay.credit import Credit

__all__ = ["BonusTrees", "Hours", "PayWork", "PersonDay", "head_count", "person_days"]

_DAY_HOURS = 24
_MINUTES = 60


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours that a person worked in a crew on a day. Several of one day are added up."""

    person_id: str
    crew_id: str
    day: date
    hours: Decimal
    """Worked; rest that is recorded as such is not among them."""
    rest_minutes: Decimal = Decimal(0)
    method: Method | None = None
    """None: whatever the crew's trees of that day were pruned by."""
    variety: str | None = None
    """None: whatever the crew pruned that day."""
    rate: Decimal | None = None
    """Per hour, for hours on no trees, such as waiting: they have no part in the crew's trees."""
    is_named: bool = True
    """False for one of a head count, who may be somebody else on another day."""

    def __post_init__(self) -> None:
        for name, value in (("hours", self.hours), ("rest_minutes", self.rest_minutes), ("rate", self.rate)):
            if value is not None and value < 0:
                raise InputError(f"It is {value}.", where=name, todo="Give 0 or more.")

    @property
    def rest_hours(self) -> Fraction:
        """Rest, in hours."""
        return Fraction(self.rest_minutes) / _MINUTES


@dataclass(frozen=True, slots=True)
class BonusTrees:
    """Trees of a lot that was accepted, by the crew and the day that pruned them."""

    crew_id: str
    day: date
    trees: int
    lot_id: str = ""

    def __post_init__(self) -> None:
        if self.trees < 0:
            raise InputError(f"It is {self.trees}.", where="trees", todo="Give 0 or more.")


@dataclass(frozen=True, slots=True)
class PayWork:
    """All work of a pay period. The order of nothing matters."""

    credits: tuple[Credit, ...] = ()
    hours: tuple[Hours, ...] = ()
    bonus: tuple[BonusTrees, ...] = ()

    @property
    def units(self) -> set[tuple[str, date]]:
        """Crews' days with trees or hours."""
        return {(one.crew_id, one.day) for one in self.credits} | {
            (one.crew_id, one.day) for one in self.hours
        }


@dataclass(frozen=True, slots=True)
class PersonDay:
    """One person's day over all crews."""

    person_id: str
    day: date
    hours: Fraction
    rest_hours: Fraction
    crew_hours: Mapping[str, Fraction]
    """Crew id -> hours and rest with it."""
    is_named: bool


def head_count(
    crew_id: str, day: date, people: int, hours: Decimal, method: Method | None = None
) -> tuple[Hours, ...]:
    """Return the hours of a crew-day of which only a head count is known: so many people, as many hours each.

    Parameters
    ----------
    crew_id : str
    day : date
    people : int
        At least 1.
    hours : Decimal, h
        Worked by each of them.
    method : str, optional

    Returns
    -------
    tuple of Hours
        Of people named ``<crew> 1``, ``<crew> 2`` ...: equal parts, and a floor tested day by day for each.

    Raises
    ------
    InputError
        If nobody was there.
    """
    if people < 1:
        raise InputError(f"It is {people}.", where="people", todo="Give 1 or more.")
    return tuple(
        Hours(f"{crew_id} {number}", crew_id, day, hours, method=method, is_named=False)
        for number in range(1, people + 1)
    )


def person_days(hours: Iterable[Hours]) -> dict[tuple[str, date], PersonDay]:
    """Return the days of people, by person and day.

    Parameters
    ----------
    hours : iterable of Hours

    Returns
    -------
    dict of (str, date) to PersonDay

    Raises
    ------
    InputError
        If somebody's day has more than 24 hours; ``where`` names person and day.
    """
    entries: dict[tuple[str, date], list[Hours]] = defaultdict(list)
    for one in hours:
        entries[one.person_id, one.day].append(one)
    return {key: _person_day(*key, entries[key]) for key in sorted(entries)}


def _person_day(person_id: str, day: date, entries: list[Hours]) -> PersonDay:
    worked = sum((Fraction(one.hours) for one in entries), Fraction(0))
    rest = sum((one.rest_hours for one in entries), Fraction(0))
    if worked + rest > _DAY_HOURS:
        raise InputError(
            f"Hours and rest come to {float(worked + rest):g} h in one day.",
            where=f"{person_id}, {day}",
            todo="Correct the hours, or give them to the days they were worked on.",
        )
    by_crew: dict[str, Fraction] = defaultdict(Fraction)
    for one in entries:
        by_crew[one.crew_id] += Fraction(one.hours) + one.rest_hours
    return PersonDay(person_id, day, worked, rest, by_crew, all(one.is_named for one in entries))
