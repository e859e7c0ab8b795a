"""Pay as it is kept: rules, hours by person, exported runs, budgets. Hours and runs are appended, never edited."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select

from orchardmap.errors import UnknownError
from orchardmap.model.pay import Budget, KeptRules, PayRun, PersonDay
from orchardmap.store import pay_tables as t
from orchardmap.work.replacing import not_replaced

__all__ = [
    "add_person_days",
    "add_run",
    "budget",
    "farm_runs",
    "find_run",
    "kept_rules",
    "next_run_number",
    "person_days_by_id",
    "run_of",
    "runs",
    "save_budget",
    "save_rules",
    "standing_person_days",
]


def kept_rules(conn: Connection, farm_id: str) -> KeptRules:
    """Return what a farm pays by."""
    found = conn.execute(select(t.pay_rules).where(t.pay_rules.c.farm_id == farm_id)).one_or_none()
    return KeptRules({}, 0) if found is None else KeptRules(found.said, found.revision)


def save_rules(
    conn: Connection, farm_id: str, rules: KeptRules, *, saved_at: datetime, saved_by: str | None
) -> None:
    """Keep what a farm pays by from now on."""
    conn.execute(delete(t.pay_rules).where(t.pay_rules.c.farm_id == farm_id))
    said = {"said": dict(rules.said), "revision": rules.revision, "saved_at": saved_at, "saved_by": saved_by}
    conn.execute(insert(t.pay_rules).values(farm_id=farm_id, **said))


def add_person_days(conn: Connection, made: Sequence[PersonDay]) -> None:
    """Append hours by person."""
    if made:
        conn.execute(insert(t.person_days), [asdict(one) for one in made])


def person_days_by_id(conn: Connection, ids: Sequence[str]) -> dict[str, PersonDay]:
    """Return entries by their id, of any farm."""
    asked = select(t.person_days).where(t.person_days.c.id.in_(list(ids)))
    return {one.id: PersonDay(**dict(one._mapping)) for one in conn.execute(asked)}


def standing_person_days(
    conn: Connection, farm_id: str, *, first: date | None = None, last: date | None = None
) -> list[PersonDay]:
    """Return the entries that no other replaces, those of no hours too, by day, crew and person."""
    c = t.person_days.c
    asked = select(t.person_days).where(c.farm_id == farm_id)
    if first is not None:
        asked = asked.where(c.day >= first)
    if last is not None:
        asked = asked.where(c.day <= last)
    found = [PersonDay(**dict(one._mapping)) for one in conn.execute(asked)]
    standing = not_replaced({one.id: one.replaces_id for one in found})
    return sorted(
        (one for one in found if one.id in standing), key=lambda one: (one.day, one.crew_id, one.person_id)
    )


def next_run_number(conn: Connection, farm_id: str) -> int:
    """Return the number of the next run; the caller holds the farm's lock."""
    asked = select(func.max(t.pay_runs.c.number)).where(t.pay_runs.c.farm_id == farm_id)
    return int(conn.execute(asked).scalar_one() or 0) + 1


def add_run(conn: Connection, made: PayRun) -> None:
    """Append an exported run."""
    values = {field.name: getattr(made, field.name) for field in fields(PayRun)}
    plain = {
        "rules": dict(made.rules),
        "lines": [dict(one) for one in made.lines],
        "sheet": dict(made.sheet),
    }
    conn.execute(insert(t.pay_runs).values(values | plain))


def runs(conn: Connection, season_id: str) -> list[PayRun]:
    """Return the exported runs of a season by number."""
    r = t.pay_runs.c
    asked = select(t.pay_runs).where(r.season_id == season_id).order_by(r.number)
    return [_run(one._mapping) for one in conn.execute(asked)]


def farm_runs(conn: Connection, farm_id: str) -> list[PayRun]:
    """Return the exported runs of a farm by number, whatever their season."""
    asked = select(t.pay_runs).where(t.pay_runs.c.farm_id == farm_id).order_by(t.pay_runs.c.number)
    return [_run(one._mapping) for one in conn.execute(asked)]


def find_run(conn: Connection, run_id: str) -> PayRun | None:
    """Return the run of that id, None where there is none."""
    found = conn.execute(select(t.pay_runs).where(t.pay_runs.c.id == run_id)).one_or_none()
    return None if found is None else _run(found._mapping)


def run_of(conn: Connection, farm_id: str, run_id: str) -> PayRun:
    """Return a farm's run.

    Raises
    ------
    UnknownError
        If the farm has none of that id.
    """
    found = find_run(conn, run_id)
    if found is None or found.farm_id != farm_id:
        raise UnknownError("no such pay run on this farm", where=run_id)
    return found


def _run(values: Mapping[Any, Any]) -> PayRun:
    return PayRun(**dict(values) | {"lines": tuple(values["lines"])})


def budget(conn: Connection, season_id: str) -> Budget | None:
    """Return what a season may cost, None where nobody said."""
    b = t.season_budgets.c
    found = conn.execute(select(b.farm_id, b.amount, b.is_per_tree).where(b.season_id == season_id)).first()
    return None if found is None else Budget(season_id, found[0], Decimal(found[1]), found[2])


def save_budget(
    conn: Connection, season_id: str, said: Budget | None, *, saved_at: datetime, saved_by: str | None
) -> None:
    """Keep what a season may cost; None forgets it."""
    conn.execute(delete(t.season_budgets).where(t.season_budgets.c.season_id == season_id))
    if said is not None:
        values = asdict(said) | {"amount": str(said.amount), "saved_at": saved_at, "saved_by": saved_by}
        conn.execute(insert(t.season_budgets).values(values))
