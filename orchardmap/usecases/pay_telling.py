"""A run that was reckoned, as the service tells it: lines, crews, held trees, and what is missing."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from orchardmap.pay.kept_lines import KeptLine
from orchardmap.pay.lines import CrewLine
from orchardmap.pay.worked import Hours
from orchardmap.usecases.pay_reckoning import Reckoned

__all__ = ["people_json", "reckoned_json"]

Json = dict[str, Any]


def reckoned_json(found: Reckoned) -> Json:
    """Return what a run would pay now, and what is missing for it."""
    days = found.days
    return {
        "first": days.first.isoformat(),
        "last": days.last.isoformat(),
        "crew_id": days.crew_id,
        "season_id": found.season_id,
        "has_rules": found.terms is not None,
        "currency": found.terms.currency.code if found.terms else None,
        "digest": found.digest,
        "amount": _sum(found.lines),
        "lines": found.lines_json,
        "crews": _crews(found),
        "people": people_json(found.new_work.hours),
        "held": _held(found),
        "for_nobody": sum(
            one.trees for one in found.work.trees.for_nobody if days.first <= one.day <= days.last
        ),
        "missing": [
            {"what": one.what, "day": one.day.isoformat(), "variety_id": one.variety, "method": one.method}
            for one in sorted(
                {*found.pay.missing, *found.all_pay.missing},
                key=lambda one: (one.what, one.day, one.variety or "", one.method or ""),
            )
        ],
        "gaps": _gaps(found),
    }


def _sum(lines: Iterable[KeptLine]) -> str:
    return f"{sum((one.line.amount for one in lines), Decimal(0)):f}"


def _crews(found: Reckoned) -> list[Json]:
    """Return trees and hours of each crew on the days of the run that no earlier one paid: what the lines are for."""
    trees: dict[str, int] = defaultdict(int)
    again: dict[str, int] = defaultdict(int)
    hours: dict[str, Decimal] = defaultdict(Decimal)
    work = found.new_work
    for one in work.credits:
        (trees if one.return_id is None else again)[one.crew_id] += one.trees
    for entry in work.hours:
        hours[entry.crew_id] += entry.hours
    return [
        {
            "crew_id": crew_id,
            "trees": trees[crew_id],
            "gone_over": again[crew_id],
            "hours": f"{hours[crew_id]:f}",
        }
        for crew_id in sorted({*trees, *again, *hours})
    ]


def people_json(entries: Iterable[Hours]) -> list[Json]:
    """Return everybody's hours with each crew."""
    hours: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    rest: dict[tuple[str, str], Decimal] = defaultdict(Decimal)
    for one in entries:
        hours[one.crew_id, one.person_id] += one.hours
        rest[one.crew_id, one.person_id] += one.rest_minutes
    return [
        {
            "crew_id": crew_id,
            "person_id": person_id,
            "hours": f"{hours[crew_id, person_id]:f}",
            "rest_minutes": int(rest[crew_id, person_id]),
        }
        for crew_id, person_id in sorted(hours)
    ]


def _held(found: Reckoned) -> list[Json]:
    return [
        {
            "block_id": one.block_id,
            "row": one.row,
            "first": one.first,
            "last": one.last,
            "trees": one.trees,
            "crew_ids": list(one.crew_ids),
            "days": [day.isoformat() for day in one.days],
        }
        for one in found.held
    ]


def _gaps(found: Reckoned) -> list[Json]:
    """Return what a manager should look at before the run goes out; it can go out as it is."""
    days, told = found.days, []

    def tell(code: str, crew_id: str, day: date, **more: object) -> None:
        if days.holds(crew_id, day):
            told.append({"code": code, "crew_id": crew_id, "day": day.isoformat(), **more})

    several = {(one.crew_id, one.day) for one in found.work.several}
    for crew_id, day in sorted(several, key=lambda unit: (unit[1], unit[0])):
        tell("several_crew_days", crew_id, day)
    waiting = {(one.crew_id, one.day) for one in found.pay.notices if one.code == "trees_without_hours"}
    for crew_id, day in waiting - several:
        tell("no_hours", crew_id, day, unpaid=_unpaid(found.unshared, crew_id, day))
    for (crew_id, day), typed, people in found.work.miscounted:
        tell("fewer_hours" if typed < people else "more_hours", crew_id, day, typed=typed, people=people)
    told += [{"code": "not_in_a_run", "crew_id": None, "day": day.isoformat()} for day in found.left_out]
    told += [
        {"code": "below_zero", "crew_id": None, "day": days.first.isoformat(), "person_id": person_id}
        for person_id in _below_zero(found.lines)
    ]
    for one in found.work.shares:
        tell("shared_alike", one.crew_id, one.day, people=one.people)
    for notice in found.pay.notices:
        if notice.code in {"hours_without_pay", "hours_of_other_work"}:
            tell(notice.code, notice.crew_id, notice.day, person_id=notice.person_id or None)
    if found.terms is not None and found.terms.has_weeks:
        told += [{"code": "cut_week", "crew_id": None, "day": day.isoformat()} for day in _cut_weeks(found)]
    return sorted(told, key=lambda one: (str(one["day"]), str(one["code"]), str(one["crew_id"])))


def _below_zero(lines: Iterable[KeptLine]) -> list[str]:
    """Return those from whom more would be taken back than they are paid: whether that may be, local law says."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for one in lines:
        sums[one.line.person_id] += one.line.amount
    return sorted(person_id for person_id, amount in sums.items() if amount < 0)


def _unpaid(unshared: Iterable[CrewLine], crew_id: str, day: date) -> str:
    amounts = (one.amount for one in unshared if (one.crew_id, one.day) == (crew_id, day))
    return f"{sum(amounts, Decimal(0)):f}"


def _cut_weeks(found: Reckoned) -> set[date]:
    """Return the first days of weeks of which the run holds a part only."""
    assert found.terms is not None  # noqa: S101 - asked by who has terms
    first, last = found.days.first, found.days.last
    starts = {found.terms.start_of(day, "week") for day in (first, last)}
    return {start for start in starts if start < first or start.toordinal() + 6 > last.toordinal()}
