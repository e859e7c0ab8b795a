"""What crews earn day by day, and each person's share of it."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from orchardmap.model.people import Method
from orchardmap.pay.lines import CrewLine, Missing, Notice, PayLine
from orchardmap.pay.money import shares
from orchardmap.pay.rates import Rate, valid_rate
from orchardmap.pay.terms import PayTerms
from orchardmap.pay.worked import Hours, PayWork

__all__ = ["CrewEarnings", "crew_earnings"]


class _Kind(NamedTuple):
    """Trees of one crew-day that are paid alike."""

    variety: str | None
    method: Method | None
    is_return: bool


@dataclass
class CrewEarnings:
    """What crews earned, and what was noticed on the way."""

    lines: list[PayLine] = field(default_factory=list)
    crew_lines: list[CrewLine] = field(default_factory=list)
    unshared: list[CrewLine] = field(default_factory=list)
    missing: set[Missing] = field(default_factory=set)
    notices: set[Notice] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class _CrewDay:
    """One crew on one day."""

    crew_id: str
    day: date
    trees: Mapping[_Kind, int]
    entries: Sequence[Hours]
    """Those without a rate of their own."""
    bonus_trees: int


def crew_earnings(work: PayWork, terms: PayTerms) -> CrewEarnings:
    """Return piece pay, pay by the hour and bonus of all crews, shared among their people.

    Parameters
    ----------
    work : PayWork
        Of the pay period.
    terms : PayTerms

    Returns
    -------
    CrewEarnings

    Notes
    -----
    Where a crew-day has several varieties or methods and an entry of hours does not say which, its hours are divided over them in
    the proportion of their trees.
    """
    found = CrewEarnings()
    for crew_day in _crew_days(work):
        divided = [_divided(entry, crew_day.trees) for entry in crew_day.entries]
        _pay_trees(crew_day, divided, terms, found)
        _pay_hours(crew_day, divided, terms, found)
        if crew_day.bonus_trees and terms.bonus_per_tree:
            amount = terms.paid.rounded(crew_day.bonus_trees * Fraction(terms.bonus_per_tree))
            line = CrewLine(
                crew_day.crew_id, crew_day.day, "bonus", crew_day.bonus_trees, terms.bonus_per_tree, amount
            )
            _share(line, _all_hours(crew_day), terms, found)
    for entry in work.hours:
        if entry.rate is not None:
            found.lines.append(_own_rate_line(entry, entry.rate, terms))
    return found


def _crew_days(work: PayWork) -> Iterator[_CrewDay]:
    trees: dict[tuple[str, date], dict[_Kind, int]] = defaultdict(lambda: defaultdict(int))
    for one in work.credits:
        if one.trees:
            trees[one.crew_id, one.day][_Kind(one.variety, one.method, one.return_id is not None)] += (
                one.trees
            )
    hours: dict[tuple[str, date], list[Hours]] = defaultdict(list)
    for entry in work.hours:
        if entry.rate is None:
            hours[entry.crew_id, entry.day].append(entry)
    bonus: dict[tuple[str, date], int] = defaultdict(int)
    for lot in work.bonus:
        bonus[lot.crew_id, lot.day] += lot.trees
    for key in sorted({*trees, *hours, *bonus}):
        yield _CrewDay(*key, trees.get(key, {}), hours.get(key, []), bonus.get(key, 0))


def _divided(entry: Hours, trees: Mapping[_Kind, int]) -> dict[_Kind, Fraction]:
    """Divide somebody's hours over the trees they may have been spent on; empty where they fit none."""
    fitting = {
        kind: number
        for kind, number in trees.items()
        if _fit(entry.variety, kind.variety) and _fit(entry.method, kind.method)
    }
    whole = sum(fitting.values())
    return {kind: Fraction(entry.hours) * number / whole for kind, number in fitting.items()}


def _fit(said: str | None, there: str | None) -> bool:
    return said is None or there is None or said == there


def _pay_trees(
    crew_day: _CrewDay, divided: Sequence[Mapping[_Kind, Fraction]], terms: PayTerms, found: CrewEarnings
) -> None:
    for kind in sorted(crew_day.trees, key=_in_order):
        rate = valid_rate(terms.rates, kind.variety, kind.method, crew_day.day)
        if rate is None:
            found.missing.add(Missing("rate", crew_day.day, kind.variety, kind.method))
        if rate is not None and rate.unit == "hour" and not crew_day.entries:
            found.notices.add(Notice("trees_without_hours", crew_day.day, crew_day.crew_id))
        if rate is None or rate.unit == "hour":
            continue
        amount = rate.amount if terms.returns_paid or not kind.is_return else Decimal(0)
        trees = crew_day.trees[kind]
        line = CrewLine(
            crew_day.crew_id, crew_day.day, "trees", trees, amount, terms.paid.rounded(trees * Fraction(amount)), *kind
        )  # fmt: skip
        weights: dict[str, Fraction] = defaultdict(Fraction)
        for entry, parts in zip(crew_day.entries, divided, strict=True):
            if kind in parts:
                weights[entry.person_id] += parts[kind]
        if not weights and crew_day.entries:
            found.notices.add(Notice("hours_of_other_work", crew_day.day, crew_day.crew_id))
        _share(line, weights or _all_hours(crew_day), terms, found)


def _share(line: CrewLine, weights: Mapping[str, Fraction], terms: PayTerms, found: CrewEarnings) -> None:
    """Share what a crew earned among people, by their hours."""
    found.crew_lines.append(line)
    if not weights:
        if line.amount:
            found.unshared.append(line)
            found.notices.add(Notice("trees_without_hours", line.day, line.crew_id))
        return
    people = sorted(weights)
    # the day tells whose turn a cent is that is over: the same person's every day would be felt by spring
    parts = shares(line.amount, [weights[one] for one in people], terms.paid.step, turn=line.day.toordinal())
    found.lines += [
        PayLine(
            person_id, line.crew_id, line.day, line.kind, part, weights[person_id], Fraction(line.rate),
            variety=line.variety, method=line.method, is_return=line.is_return,
            crew_trees=line.trees, crew_hours=sum(weights.values(), Fraction(0)), crew_amount=line.amount,
        )
        for person_id, part in zip(people, parts, strict=True)
    ]  # fmt: skip


def _all_hours(crew_day: _CrewDay) -> dict[str, Fraction]:
    weights: dict[str, Fraction] = defaultdict(Fraction)
    for entry in crew_day.entries:
        weights[entry.person_id] += Fraction(entry.hours)
    return weights


def _pay_hours(
    crew_day: _CrewDay, divided: Sequence[Mapping[_Kind, Fraction]], terms: PayTerms, found: CrewEarnings
) -> None:
    """Pay the hours of which the rate is by the hour: one line for each person and rate."""
    paid: dict[tuple[str, Rate], Fraction] = defaultdict(Fraction)
    for entry, parts in zip(crew_day.entries, divided, strict=True):
        idle = {_Kind(entry.variety, entry.method, is_return=False): Fraction(entry.hours)}
        for kind, hours in (parts or idle).items():
            rate = valid_rate(
                terms.rates, kind.variety or entry.variety, kind.method or entry.method, crew_day.day
            )
            if rate is not None and rate.unit == "hour":
                paid[entry.person_id, rate] += hours
            elif not parts and hours:
                found.notices.add(
                    Notice("hours_without_pay", crew_day.day, crew_day.crew_id, entry.person_id)
                )
    found.lines += [
        PayLine(
            person_id, crew_day.crew_id, crew_day.day, "hours", terms.paid.rounded(hours * Fraction(rate.amount)),
            hours, Fraction(rate.amount), variety=rate.variety, method=rate.method,
        )
        for (person_id, rate), hours in paid.items()
    ]  # fmt: skip


def _own_rate_line(entry: Hours, rate: Decimal, terms: PayTerms) -> PayLine:
    hours = Fraction(entry.hours)
    return PayLine(
        entry.person_id, entry.crew_id, entry.day, "other", terms.paid.rounded(hours * Fraction(rate)),
        hours, Fraction(rate), variety=entry.variety, method=entry.method,
    )  # fmt: skip


def _in_order(kind: _Kind) -> tuple[str, str, bool]:
    return (kind.variety or "", kind.method or "", kind.is_return)
