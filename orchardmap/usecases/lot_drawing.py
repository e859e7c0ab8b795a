"""Draw the trees of a lot, and take a lot back."""

from dataclasses import dataclass, replace
from datetime import datetime

from orchardmap.errors import ConflictError, NotAllowedError
from orchardmap.model.lot import Lot
from orchardmap.quality.lot_findings import Findings
from orchardmap.quality.lot_trees import draw, drawn_on
from orchardmap.store import audit, log
from orchardmap.store import lots as lot_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.brief_reading import held_briefs
from orchardmap.usecases.checked_trees import ReadCheck, read_checks
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_planning import LotWish, Proposal, proposal
from orchardmap.usecases.lot_verdicts import judged_lots
from orchardmap.usecases.moments import moment_of_season

__all__ = ["SHELL", "Canceller", "NewLot", "cancel_lot", "draw_lot"]


@dataclass(frozen=True, slots=True)
class NewLot:
    """A lot as whoever draws it asks for it."""

    id: str
    """Made where it is asked for, so that an answer that was lost can be asked for again."""
    wish: LotWish
    seed: int
    """Of the draw, at random: 0 to 2**31 - 1."""


def draw_lot(
    store: Store,
    *,
    farm_id: str,
    asked: NewLot,
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
    asked : NewLot
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
        As `orchardmap.usecases.lot_planning.planned_lot` says.
    ConflictError
        If the id is another lot's, or the return was taken back.
    """
    wish = asked.wish
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = lot_store.find_lot(conn, asked.id)
        if kept is not None:
            if (kept.farm_id, kept.block_id, kept.return_id) != (farm_id, wish.block_id, wish.return_id):
                raise ConflictError(
                    "another lot has that id", where="id", todo="Draw it again under a new one."
                )
            return kept
        made = _drawn(conn, asked, proposal(conn, farm_id, wish, now), by)
        lot_store.add_lot(conn, made)
        log.append_changes(conn, farm_id, [log.Change("lot", made.id, made.block_id)])
        audit.note(
            conn, "lot_drawn", at=now, actor=actor, subject=made.id, farm_id=farm_id,
            number=made.number, block_id=made.block_id, trees=made.lot_trees, n=made.n,
        )  # fmt: skip
    return made


def _drawn(conn: Connection, asked: NewLot, made: Proposal, by: str | None) -> Lot:
    at, block, ground, size = made.at, made.block, made.ground, made.size
    season_id = at.season.id if at.season else ""
    brief = held_briefs(conn, replace(at, day=at.today), {block.id: block.variety_id}).get(block.id)
    return Lot(
        id=asked.id,
        farm_id=at.farm.id,
        season_id=season_id,
        number=lot_store.next_number(conn, at.farm.id, season_id),
        block_id=block.id,
        crew_id=made.crew_id,
        opened_on=at.today,
        opened_at=at.now,
        opened_by=by,
        from_day=ground.from_day,
        until_day=at.day,
        brief_id=brief.brief_id if brief else None,
        brief_version=brief.version if brief else None,
        plan=made.plan,
        n=size.n,
        accept=size.accept,
        reject=size.reject,
        seed=asked.seed,
        eligible=ground.runs,
        holes=ground.holes,
        lot_trees=size.lot,
        trees=draw(ground.trees, size.n, extra=made.extra, seed=asked.seed),
        reserve=drawn_on(ground.trees, size.n + made.extra, more=made.reserve, seed=asked.seed),
        return_id=asked.wish.return_id,
    )


@dataclass(frozen=True, slots=True)
class Canceller:
    """Who takes a lot back."""

    by: str | None = None
    """Account; None for the shell and for a tablet."""
    actor: str = "shell"
    """As the audit log names who says so."""
    answers_for_farm: bool = True
    """Manages it."""


SHELL = Canceller()


def cancel_lot(
    store: Store,
    lot_id: str,
    *,
    reason: str,
    who: Canceller = SHELL,
    now: datetime,
) -> None:
    """Take a lot back: its trees are free for another one, and its checks judge nothing. Once is enough; the first reason stays.

    The list goes on telling of it, with what it had come to.

    Parameters
    ----------
    store : Store
        Open for writing.
    lot_id : str
        The lot.
    reason : str
        Why, for whoever reads of it later.
    who : Canceller
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If there is no such lot.
    NotAllowedError
        If a tree of it was looked at, and whoever asks does not answer for the farm: a verdict is forgotten with the lot.
    """
    with store.write() as conn:
        farm_id = lot_store.lot_of(conn, lot_id).farm_id
        log.lock_farm(conn, farm_id)
        lot = lot_store.lot_of(conn, lot_id)
        if not lot.stands:
            return
        found = _found(conn, lot, now)
        if found.is_begun and not who.answers_for_farm:
            raise NotAllowedError(
                "Trees of this lot were looked at already.",
                where="lot_id",
                todo="Ask a manager of the farm to cancel it, or check the trees that are left.",
            )
        lot_store.cancel_lot(conn, lot_id, cancelled_at=now, cancelled_by=who.by, reason=reason)
        log.append_changes(conn, farm_id, [log.Change("lot", lot_id, lot.block_id)])
        audit.note(
            conn, "lot_cancelled", at=now, actor=who.actor, subject=lot_id, farm_id=farm_id,
            verdict=found.verdict, checked=found.checked, faulty=found.faulty,
        )  # fmt: skip


def _found(conn: Connection, lot: Lot, now: datetime) -> Findings[ReadCheck]:
    at = moment_of_season(conn, lot.farm_id, lot.season_id, now)
    checks = read_checks(conn, at, [lot.block_id])
    return judged_lots([lot], checks, trees_left_out(conn, at, [lot]))[0].found
