"""What a lot would be if it were drawn now: its trees, its plan, and what that lets pass."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.lot import LotPlan, Severity, TablePlan, TwoPoints
from orchardmap.model.orchard import Block
from orchardmap.quality.lot_plan import SizedLot, oc_points, plan_text, plan_to_json, risks, sized
from orchardmap.quality.lot_words import inspection_text
from orchardmap.quality.recheck_plan import recheck_sized
from orchardmap.quality.stand_in_words import reserve_text
from orchardmap.quality.stand_ins import reserve_size
from orchardmap.quality.switching import STRICTNESS, Switching
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import lots as lot_store
from orchardmap.store import orchard
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.checked_trees import read_checks
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_ground import Ground, lot_ground, lot_moment
from orchardmap.usecases.lot_verdicts import judged_lots, memories
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.recheck_ground import return_ground, return_to_check

__all__ = ["AskedTable", "LotWish", "Proposal", "planned_lot", "proposal"]

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
class Proposal:
    """Everything that a draw needs but its seed."""

    at: Moment
    block: Block
    crew_id: str | None
    ground: Ground
    memory: Switching
    plan: LotPlan
    size: SizedLot
    extra: int
    reserve: int
    """Further trees, in case some cannot be judged."""


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
        If the farm has no season, or no such block, crew or return.
    ConflictError
        If the return was taken back.
    InputError
        If there is no tree to draw, or the plan cannot be made; ``where`` names what is wrong.
    """
    with store.read() as conn:
        made = proposal(conn, farm_id, wish, now)
    has_severity = isinstance(made.plan, TablePlan)
    return {
        "lot_trees": made.size.lot,
        "rows": made.ground.rows,
        "from_day": made.ground.from_day.isoformat() if made.ground.from_day else None,
        "until_day": made.at.day.isoformat(),
        "severity": made.plan.severity if isinstance(made.plan, TablePlan) else "normal",
        "severity_words": inspection_text(made.memory, language) if has_severity else "",
        "plan": plan_to_json(made.plan),
        "plan_words": plan_text(made.plan, made.size, language, is_recheck=wish.return_id is not None)
        + reserve_text(made.reserve, language),
        "n": made.size.n,
        "accept": made.size.accept,
        "reject": made.size.reject,
        "code_letter": made.size.code_letter,
        "extra": made.extra,
        "reserve": made.reserve,
        "oc": [list(point) for point in oc_points(made.size)],
        "risks": risks(made.size, language),
        "runs": [list(run) for run in made.ground.runs],
        "holes": [list(hole) for hole in made.ground.holes],
    }


def proposal(conn: Connection, farm_id: str, wish: LotWish, now: datetime) -> Proposal:
    """Return everything that a draw needs but its seed; it refuses what `planned_lot` refuses."""
    # a return is checked as it is now, whatever day its trees were pruned
    at = lot_moment(conn, farm_id, None if wish.return_id else wish.until_day, now)
    block = _own_block(conn, farm_id, wish.block_id)
    crew_id, ground = _whose_trees(conn, at, block, wish)
    settings = setting_store.farm_settings(conn, farm_id)
    memory = _memory(conn, at, crew_id, ground.crews, reduced_agreed=settings.check_reduced_agreed == "yes")
    plan = _plan(wish.plan, settings.lot_plan, _least_severity(memory, is_first=wish.return_id is None))
    size = (sized if wish.return_id is None else recheck_sized)(plan, len(ground.trees))
    extra = settings.check_extra_trees if wish.extra is None else wish.extra
    # a small lot has no room for extra trees: what stands in for trees that cannot be judged comes first
    reserve = min(reserve_size(size.n), size.lot - size.n)
    extra = min(extra, size.lot - size.n - reserve)
    return Proposal(at, block, crew_id, ground, memory, plan, size, extra, reserve)


def _whose_trees(conn: Connection, at: Moment, block: Block, wish: LotWish) -> tuple[str | None, Ground]:
    """Return the crew of a lot and its trees: those of a return are its crew's, whoever pruned them first."""
    if wish.crew_id not in {None, *(crew.id for crew in farm_store.crews(conn, at.farm.id))}:
        raise UnknownError("no such crew on this farm", where=wish.crew_id or "")
    if wish.return_id is None:
        return wish.crew_id, lot_ground(conn, at, block, wish.crew_id)
    asked = return_to_check(conn, at, block.id, wish.return_id)
    if wish.crew_id not in {None, asked.said.crew_id}:
        raise InputError(
            "The return is another crew's.",
            where="crew_id",
            todo="Leave the crew out: the return says whose it is.",
        )
    return asked.said.crew_id, return_ground(conn, at, asked)


def _least_severity(memory: Switching, *, is_first: bool) -> Severity:
    """Return the mildest inspection that the last lots allow; a return is never checked less than normally."""
    if memory.inspection == "discontinued":
        return "tightened"
    return "normal" if memory.inspection == "reduced" and not is_first else memory.inspection


def _own_block(conn: Connection, farm_id: str, block_id: str) -> Block:
    if not orchard.block_ids(conn, farm_id, [block_id]):
        raise UnknownError("no such block on this farm", where=block_id)
    return orchard.block(conn, block_id)


def _memory(
    conn: Connection, at: Moment, crew_id: str | None, crews: Collection[str], *, reduced_agreed: bool
) -> Switching:
    """Return what is remembered of the lots of a crew, or of whole blocks; nobody's work gets around its own memory in a block's lot."""
    # whatever day the lot's work ends on: what is known now decides how severely it is inspected
    today = replace(at, day=at.today)
    asked = {crew_id, *crews}
    lots = [lot for lot in lot_store.lots_of(conn, at.season.id if at.season else "") if lot.crew_id in asked]
    blocks = sorted({lot.block_id for lot in lots})
    checks = read_checks(conn, today, blocks) if blocks else []
    judged = judged_lots(lots, checks, trees_left_out(conn, today, lots))
    known = memories(judged, reduced_agreed=reduced_agreed)
    own = known.get(crew_id, Switching())
    stricter = [known[crew] for crew in sorted(crews) if crew in known and known[crew].is_strict]
    return own if own.is_strict or not stricter else stricter[0]


def _plan(asked: AskedTable | TwoPoints | None, own: LotPlan, least: Severity) -> LotPlan:
    if asked is None:
        asked = AskedTable(own.level, own.aql) if isinstance(own, TablePlan) else own
    if isinstance(asked, TwoPoints):
        if isinstance(own, TablePlan) and least == "tightened":
            raise InputError(
                "Too many of the last lots were sent back: inspection is tightened, and a plan by what must pass and what must not cannot be tightened.",
                where="plan.kind",
                todo="Plan by published tables, or by the farm's own plan.",
            )
        return asked
    severity = asked.severity or least
    if STRICTNESS[severity] < STRICTNESS[least]:
        raise InputError(
            f"It is {severity}; what became of the last lots asks for {least} inspection.",
            where="plan.severity",
            todo="Leave it out, or ask for a stricter one.",
        )
    return TablePlan(asked.level, asked.aql, severity)
