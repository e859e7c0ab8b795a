"""Propose the plan of a lot, draw its trees, and cancel it."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.lot import SEVERITIES, Lot, LotPlan, Severity, TablePlan, TwoPoints
from orchardmap.model.orchard import Block
from orchardmap.quality.lot_plan import SizedLot, oc_points, plan_text, plan_to_json, risks, sized
from orchardmap.quality.lot_trees import draw
from orchardmap.quality.lot_words import inspection_text
from orchardmap.quality.switching import Switching
from orchardmap.store import audit, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import lots as lot_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.brief_reading import held_briefs
from orchardmap.usecases.checked_trees import read_checks
from orchardmap.usecases.lot_ground import Ground, lot_ground, lot_moment
from orchardmap.usecases.lot_verdicts import judged_lots, memory_of
from orchardmap.usecases.moments import Moment

__all__ = ["AskedTable", "LotWish", "cancel_lot", "draw_lot", "planned_lot"]

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class AskedTable:
    """A plan of the tables as it is asked for."""

    level: str
    aql: float
    """Percent of faulty trees."""
    severity: Severity | None = None
    """None for what is remembered of the crew's lots."""


@dataclass(frozen=True, slots=True)
class LotWish:
    """Which trees are to be judged together, and how."""

    block_id: str
    crew_id: str | None = None
    """None for the trees of the whole block."""
    until_day: date | None = None
    """Work of this day and earlier; today if None."""
    plan: AskedTable | TwoPoints | None = None
    """None for the farm's own."""
    extra: int | None = None
    """Trees to look at besides; the farm's own number if None."""
    return_id: str | None = None
    """The return whose trees are to be judged anew; None for a first inspection."""


@dataclass(frozen=True, slots=True)
class _Proposal:
    """Everything that a draw needs but its seed."""

    at: Moment
    block: Block
    ground: Ground
    memory: Switching
    plan: LotPlan
    size: SizedLot
    extra: int


def planned_lot(store: Store, farm_id: str, wish: LotWish, *, language: str, now: datetime) -> Json:
    """Return what a lot would be if it were drawn now; nothing is written.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    wish : LotWish
    language : str
        Of the sentences; English where it has no catalogue.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer.

    Raises
    ------
    UnknownError
        If the farm has no season, or no such block or crew.
    InputError
        If there is no tree to draw, or the plan cannot be made; ``where`` names what is wrong.
    """
    with store.read() as conn:
        made = _proposal(conn, farm_id, wish, now)
    has_severity = isinstance(made.plan, TablePlan)
    return {
        "lot_trees": made.size.lot,
        "rows": made.ground.rows,
        "from_day": made.ground.from_day.isoformat() if made.ground.from_day else None,
        "until_day": made.at.day.isoformat(),
        "severity": made.plan.severity if isinstance(made.plan, TablePlan) else "normal",
        "severity_words": inspection_text(made.memory, language) if has_severity else "",
        "plan": plan_to_json(made.plan),
        "plan_words": plan_text(made.plan, made.size, language),
        "n": made.size.n,
        "accept": made.size.accept,
        "reject": made.size.reject,
        "code_letter": made.size.code_letter,
        "extra": made.extra,
        "oc": [list(point) for point in oc_points(made.size)],
        "risks": risks(made.size, language),
        "runs": [list(run) for run in made.ground.runs],
        "holes": [list(hole) for hole in made.ground.holes],
    }


def _proposal(conn: Connection, farm_id: str, wish: LotWish, now: datetime) -> _Proposal:
    at = lot_moment(conn, farm_id, wish.until_day, now)
    block = _own_block(conn, farm_id, wish.block_id)
    if wish.crew_id not in {None, *(crew.id for crew in farm_store.crews(conn, farm_id))}:
        raise UnknownError("no such crew on this farm", where=wish.crew_id or "")
    ground = lot_ground(conn, at, block, wish.crew_id)
    settings = setting_store.farm_settings(conn, farm_id)
    memory = _memory(conn, at, wish.crew_id, reduced_agreed=settings.check_reduced_agreed == "yes")
    plan = _plan(wish.plan, settings.lot_plan, memory)
    size = sized(plan, len(ground.trees))
    extra = settings.check_extra_trees if wish.extra is None else wish.extra
    return _Proposal(at, block, ground, memory, plan, size, min(extra, size.lot - size.n))


def _own_block(conn: Connection, farm_id: str, block_id: str) -> Block:
    if not orchard.block_ids(conn, farm_id, [block_id]):
        raise UnknownError("no such block on this farm", where=block_id)
    return orchard.block(conn, block_id)


def _memory(conn: Connection, at: Moment, crew_id: str | None, *, reduced_agreed: bool) -> Switching:
    # whatever day the lot's work ends on: what is known now decides how severely it is inspected
    today = replace(at, day=at.today)
    lots = [
        lot for lot in lot_store.lots_of(conn, at.season.id if at.season else "") if lot.crew_id == crew_id
    ]
    blocks = sorted({lot.block_id for lot in lots})
    checks = read_checks(conn, today, blocks) if blocks else []
    return memory_of(judged_lots(lots, checks), crew_id, reduced_agreed=reduced_agreed)


def _plan(asked: AskedTable | TwoPoints | None, own: LotPlan, memory: Switching) -> LotPlan:
    if asked is None:
        asked = AskedTable(own.level, own.aql) if isinstance(own, TablePlan) else own
    if isinstance(asked, TwoPoints):
        return asked
    least: Severity = "tightened" if memory.inspection == "discontinued" else memory.inspection
    severity = asked.severity or least
    if _STRICTNESS[severity] < _STRICTNESS[least]:
        raise InputError(
            f"It is {severity}; what became of the last lots asks for {least} inspection.",
            where="plan.severity",
            todo="Leave it out, or ask for a stricter one.",
        )
    return TablePlan(asked.level, asked.aql, severity)


_STRICTNESS = {severity: ("reduced", "normal", "tightened").index(severity) for severity in SEVERITIES}


def draw_lot(
    store: Store,
    *,
    farm_id: str,
    lot_id: str,
    wish: LotWish,
    seed: int,
    by: str | None = None,
    actor: str = "shell",
    now: datetime,
) -> Lot:
    """Draw a lot's trees and keep it; the same id again gives the lot that is there.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    lot_id : str
        Made where it is asked for, so that an answer that was lost can be asked for again.
    wish : LotWish
    seed : int, 0 to 2**31 - 1
        Of the draw, at random.
    by : str or None
        Account; None for the shell and for a tablet.
    actor : str
        As the audit log names who draws it.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Lot

    Raises
    ------
    UnknownError, InputError
        As `planned_lot` says.
    ConflictError
        If the id is another lot's.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = lot_store.find_lot(conn, lot_id)
        if kept is not None:
            if (kept.farm_id, kept.block_id, kept.crew_id) != (farm_id, wish.block_id, wish.crew_id):
                raise ConflictError(
                    "another lot has that id", where="id", todo="Draw it again under a new one."
                )
            return kept
        made = _drawn(conn, _proposal(conn, farm_id, wish, now), lot_id, wish.crew_id, seed=seed, by=by)
        lot_store.add_lot(conn, made)
        log.append_changes(conn, farm_id, [log.Change("lot", made.id, made.block_id)])
        audit.note(
            conn, "lot_drawn", at=now, actor=actor, subject=made.id, farm_id=farm_id,
            number=made.number, block_id=made.block_id, trees=made.lot_trees, n=made.n,
        )  # fmt: skip
    return made


def _drawn(
    conn: Connection, asked: _Proposal, lot_id: str, crew_id: str | None, *, seed: int, by: str | None
) -> Lot:
    at, block, ground, size = asked.at, asked.block, asked.ground, asked.size
    season_id = at.season.id if at.season else ""
    brief = held_briefs(conn, replace(at, day=at.today), {block.id: block.variety_id}).get(block.id)
    return Lot(
        id=lot_id,
        farm_id=at.farm.id,
        season_id=season_id,
        number=lot_store.next_number(conn, at.farm.id, season_id),
        block_id=block.id,
        crew_id=crew_id,
        opened_on=at.today,
        opened_at=at.now,
        opened_by=by,
        from_day=ground.from_day,
        until_day=at.day,
        brief_id=brief.brief_id if brief else None,
        brief_version=brief.version if brief else None,
        plan=asked.plan,
        n=size.n,
        accept=size.accept,
        reject=size.reject,
        seed=seed,
        eligible=ground.runs,
        holes=ground.holes,
        lot_trees=size.lot,
        trees=draw(ground.trees, size.n, extra=asked.extra, seed=seed),
    )


def cancel_lot(
    store: Store, lot_id: str, *, reason: str, by: str | None = None, actor: str = "shell", now: datetime
) -> None:
    """Take a lot back: its trees are free for another one, and its checks judge nothing. Once is enough; the first reason stays.

    Parameters
    ----------
    store : Store
        Open for writing.
    lot_id : str
        The lot.
    reason : str
        Why, for whoever reads of it later.
    by : str or None
        Account; None for the shell and for a tablet.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If there is no such lot.
    """
    with store.write() as conn:
        farm_id = lot_store.lot_of(conn, lot_id).farm_id
        log.lock_farm(conn, farm_id)
        lot = lot_store.lot_of(conn, lot_id)
        if not lot.stands:
            return
        lot_store.cancel_lot(conn, lot_id, cancelled_at=now, cancelled_by=by, reason=reason)
        log.append_changes(conn, farm_id, [log.Change("lot", lot_id, lot.block_id)])
        audit.note(conn, "lot_cancelled", at=now, actor=actor, subject=lot_id, farm_id=farm_id)
