"""Lots to take along: the trees of those that wait for checks or for a second look, and in which order to walk to them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from orchardmap.model.brief import BriefVersion
from orchardmap.model.lot import Lot
from orchardmap.store import briefs as brief_store
from orchardmap.store import lots as lot_store
from orchardmap.store import orchard
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.brief_reading import held_briefs, version_json
from orchardmap.usecases.checked_trees import read_checks
from orchardmap.usecases.hazards import farm_clearance_m
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_findings_json import lot_walk, row_lengths
from orchardmap.usecases.lot_verdicts import JudgedLot, judged_lots
from orchardmap.usecases.moments import Moment, moment

__all__ = ["LotsToTake", "block_lots", "lots_to_take"]

Json = dict[str, Any]

SECOND_LOOK_DAYS = 14
"""For so many days after its last check a decided lot is taken along: a second look much later would judge another tree."""


def block_lots(store: Store, block_id: str, *, now: datetime) -> Json:
    """Return the lots of a block that are to be checked, those decided lately, and which ones were cancelled.

    Parameters
    ----------
    store : Store
        Open for reading.
    block_id : str
        The block.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``lots`` by number, with ``decided_on``, the day of the last check of a decided one, else None;
        ``cancelled`` as id and number.

    Raises
    ------
    UnknownError
        If no block has that id.
    """
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, None, now)
        briefs = held_briefs(conn, at, {block.id: block.variety_id})
        to_take = lots_to_take(conn, at, [block_id], briefs)
        return {"lots": to_take.of_block[block_id], "cancelled": to_take.cancelled[block_id]}


@dataclass(frozen=True, slots=True)
class LotsToTake:
    """Lots to take along, and what they are judged by."""

    of_block: dict[str, list[Json]]
    """By block id; every block that was asked for."""
    cancelled: dict[str, list[Json]]
    """By block id, id and number of the season's cancelled ones: a tablet may hold checks of theirs, which count for no lot."""
    versions: tuple[BriefVersion, ...]
    """Of briefs, other than those that hold for the blocks now."""

    def of_pack(self, block_id: str) -> Json:
        """Return what a pack says of a block; nothing where its lots were not asked for."""
        return {
            "lots": self.of_block.get(block_id, []),
            "lots_cancelled": self.cancelled.get(block_id, []),
        }


def lots_to_take(
    conn: Connection, at: Moment, block_ids: Sequence[str], briefs: Mapping[str, BriefVersion]
) -> LotsToTake:
    """Return the same of several blocks; ``briefs`` are the versions that hold for them now."""
    told: dict[str, list[Json]] = {block_id: [] for block_id in block_ids}
    cancelled: dict[str, list[Json]] = {block_id: [] for block_id in block_ids}
    lots = lot_store.lots_of(conn, at.season.id, block_ids=block_ids) if at.season else []
    standing = [lot for lot in lots if lot.stands]
    for lot in lots:
        if not lot.stands:
            cancelled[lot.block_id].append({"id": lot.id, "number": lot.number})
    if not standing:
        return LotsToTake(told, cancelled, ())
    blocks = sorted({lot.block_id for lot in standing})
    judged = judged_lots(standing, read_checks(conn, at, blocks), trees_left_out(conn, at, standing))
    since = at.today - timedelta(days=SECOND_LOOK_DAYS)
    decided = {one.lot.id: _decided_on(one) for one in judged}
    wanted = [one.lot for one in judged if (day := decided[one.lot.id]) is None or day > since]
    other = _other_versions(conn, wanted, briefs)
    clearance_m = farm_clearance_m(conn, at.farm.id)
    for lot in wanted:
        brief = version_json(other[lot.id], clearance_m=clearance_m) if lot.id in other else None
        day = decided[lot.id]
        made = _lot_json(lot, row_lengths(conn, lot.block_id), brief)
        told[lot.block_id].append(made | {"decided_on": day.isoformat() if day else None})
    return LotsToTake(told, cancelled, tuple(other.values()))


def _decided_on(one: JudgedLot) -> date | None:
    """Return the day of its last check where it is decided."""
    if not one.found.is_decided:
        return None
    return max((check.day for check in one.found.judged), default=None)


def _other_versions(
    conn: Connection, lots: Sequence[Lot], briefs: Mapping[str, BriefVersion]
) -> dict[str, BriefVersion]:
    """Return the brief of each lot that is judged by another version than holds in its block now, by lot id."""
    found: dict[str, BriefVersion] = {}
    for lot in lots:
        held = briefs.get(lot.block_id)
        if lot.brief_id is None or lot.brief_version is None:
            continue
        if held is None or (lot.brief_id, lot.brief_version) != (held.brief_id, held.version):
            found[lot.id] = brief_store.version(conn, lot.brief_id, lot.brief_version)
    return found


def _lot_json(lot: Lot, positions: dict[int, int], brief: Json | None) -> Json:
    plain = ("id", "number", "crew_id", "lot_trees", "n", "accept", "reject", "brief_id", "brief_version")
    return {name: getattr(lot, name) for name in (*plain, "return_id")} | {
        "brief": brief,
        "trees": [list(tree) for tree in lot.trees],
        # the tablet knows which of them stand in, and walks past the others
        "reserve": [list(tree) for tree in lot.reserve],
        "walk": [list(tree) for tree in lot_walk(lot, positions, lot.reserve)],
    }
