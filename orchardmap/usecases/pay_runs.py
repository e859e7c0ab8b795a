"""Pay runs: looked at, exported and locked; what comes later for the same days is paid by a later run."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from orchardmap.errors import ConflictError, InputError
from orchardmap.model.pay import PayRun
from orchardmap.pay.kept_lines import line_from_json
from orchardmap.pay.kept_sheet import hours_from_json
from orchardmap.store import audit, log
from orchardmap.store import farm as farm_store
from orchardmap.store import pay as pay_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.moments import moment
from orchardmap.usecases.pay_reckoning import Reckoned, RunDays, reckoned
from orchardmap.usecases.pay_rules import Doer
from orchardmap.usecases.pay_telling import people_json, reckoned_json

__all__ = ["export_run", "preview", "run_json", "runs_json"]

Json = dict[str, Any]


def preview(store: Store, farm_id: str, days: RunDays, *, now: datetime) -> Json:
    """Return what a run of some days would pay now, what is missing for it, and the digest that an export must name.

    ``cursor`` is the farm's, up to which it was read.

    Raises
    ------
    InputError, UnknownError
        As `orchardmap.usecases.pay_reckoning.reckoned`.
    """
    with store.read() as conn:
        told = reckoned_json(reckoned(conn, moment(conn, farm_id, None, now), days))
        return {**told, "cursor": log.cursor(conn, farm_id)}


def export_run(store: Store, *, farm_id: str, run_id: str, days: RunDays, seen: str, by: Doer) -> Json:
    """Lock what a run of some days pays.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    run_id : str
        Made by the page: the same one again is answered as the first time.
    days : RunDays
    seen : str
        Digest of what was looked at: nothing is paid that nobody saw.
    by : Doer

    Returns
    -------
    dict
        As `run_json`.

    Raises
    ------
    InputError
        If something is missing without which nobody can be paid, or there is nothing to pay.
    ConflictError
        If the records, hours or rules changed since they were looked at, or the id was used for another run.
    UnknownError
        If the farm has no such crew, or no season.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = pay_store.find_run(conn, run_id)
        if kept is not None:
            if (kept.farm_id, _days_of(kept)) != (farm_id, days):
                raise ConflictError("the id was used for another run", where=run_id, todo="Export anew.")
            return _told(kept)
        found = reckoned(conn, moment(conn, farm_id, None, by.now), days)
        _refuse_unpayable(found)
        if found.digest != seen:
            raise ConflictError(
                "records, hours or rules changed since you looked", where="run", todo="Look at the run again."
            )
        made = _made(conn, farm_id, run_id, found, by)
        pay_store.add_run(conn, made)
        log.append_changes(conn, farm_id, [log.Change("pay", farm_id)])
        audit.note(
            conn,
            "pay_run_exported",
            at=by.now,
            actor=by.actor,
            subject=made.id,
            farm_id=farm_id,
            number=made.number,
            lines=len(made.lines),
            digest=made.digest,
        )
    return _told(made)


def _refuse_unpayable(found: Reckoned) -> None:
    if found.terms is None:
        raise InputError(
            "nobody said what the farm pays by", where="rules", todo="Enter the rules of pay first."
        )
    paid_in = {one.rules.get("currency") for one in found.earlier}
    if paid_in - {found.terms.currency.code}:
        raise ConflictError(
            f"runs of this season were paid in {', '.join(sorted(map(str, paid_in)))}",
            where="currency",
            todo="Pay what is still owed of it outside the runs, or enter that currency again.",
        )
    missing = (*found.pay.missing, *found.all_pay.missing)
    if missing:
        raise InputError(
            f"no {missing[0].what.replace('_', ' ')} holds on {missing[0].day}",
            where="rules",
            todo="Enter it in the rules of pay.",
        )
    if not found.lines:
        raise InputError(
            "there is nothing to pay on these days", where="run", todo="Choose days that were not paid yet."
        )


def _made(conn: Connection, farm_id: str, run_id: str, found: Reckoned, by: Doer) -> PayRun:
    return PayRun(
        id=run_id,
        farm_id=farm_id,
        season_id=found.season_id,
        number=pay_store.next_run_number(conn, farm_id),
        first_day=found.days.first,
        last_day=found.days.last,
        crew_id=found.days.crew_id,
        exported_at=by.now,
        exported_by=by.id,
        rules=found.rules.said,
        lines=tuple(found.lines_json),
        sheet=found.sheet_json,
        digest=found.digest,
    )


def _days_of(run: PayRun) -> RunDays:
    return RunDays(run.first_day, run.last_day, run.crew_id)


def runs_json(store: Store, farm_id: str) -> Json:
    """Return the exported runs of all seasons, the newest first, without their lines: sheets are asked for years later."""
    with store.read() as conn:
        found = pay_store.farm_runs(conn, farm_store.farm(conn, farm_id).id)
    return {"runs": [_head(one) for one in reversed(found)]}


def run_json(store: Store, farm_id: str, run_id: str) -> Json:
    """Return an exported run with its lines as they were paid.

    Raises
    ------
    UnknownError
        If the farm has none of that id.
    """
    with store.read() as conn:
        return _told(pay_store.run_of(conn, farm_id, run_id))


def _told(run: PayRun) -> Json:
    return _head(run) | {
        "rules": dict(run.rules),
        "lines": [dict(one) for one in run.lines],
        "worked": people_json(hours_from_json(one) for one in run.sheet["hours"]),
    }


def _head(run: PayRun) -> Json:
    lines = [line_from_json(one) for one in run.lines]
    corrected = [one.line.amount for one in lines if one.is_correction]
    return {
        "id": run.id,
        "number": run.number,
        "first": run.first_day.isoformat(),
        "last": run.last_day.isoformat(),
        "crew_id": run.crew_id,
        "exported_at": run.exported_at.isoformat(),
        "exported_by": run.exported_by,
        "currency": run.rules.get("currency"),
        "amount": f"{sum((one.line.amount for one in lines), Decimal(0)):f}",
        "corrections": len(corrected),
        "corrected": f"{sum(corrected, Decimal(0)):f}",
        "people": len({one.line.person_id for one in lines}),
        "digest": run.digest,
    }
