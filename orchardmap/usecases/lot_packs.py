"""Lots to take along: the trees of those that wait for checks, and in which order to walk to them."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from orchardmap.model.brief import BriefVersion
from orchardmap.store import briefs as brief_store
from orchardmap.store import lots as lot_store
from orchardmap.store import orchard
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.brief_reading import held_briefs, version_json
from orchardmap.usecases.checked_trees import read_checks
from orchardmap.usecases.hazards import farm_clearance_m
from orchardmap.usecases.lot_findings_json import lot_walk, row_lengths
from orchardmap.usecases.lot_verdicts import JudgedLot, judged_lots
from orchardmap.usecases.moments import Moment, moment

__all__ = ["block_lots", "lots_to_take"]

Json = dict[str, Any]


def block_lots(store: Store, block_id: str, *, now: datetime) -> list[Json]:
    """Return the lots of a block that are to be checked, and those decided today.

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
    list of dict
        As the service's answer, by number.

    Raises
    ------
    UnknownError
        If no block has that id.
    """
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, None, now)
        briefs = held_briefs(conn, at, {block.id: block.variety_id})
        return lots_to_take(conn, at, [block_id], briefs)[block_id]


def lots_to_take(
    conn: Connection, at: Moment, block_ids: Sequence[str], briefs: Mapping[str, BriefVersion]
) -> dict[str, list[Json]]:
    """Return the same of several blocks by their id; ``briefs`` are the versions that hold for them now."""
    told: dict[str, list[Json]] = {block_id: [] for block_id in block_ids}
    lots = lot_store.lots_of(conn, at.season.id, block_ids=block_ids) if at.season else []
    standing = [lot for lot in lots if lot.stands]
    if not standing:
        return told
    blocks = sorted({lot.block_id for lot in standing})
    judged = judged_lots(standing, read_checks(conn, at, blocks))
    wanted = [one for one in judged if not one.found.is_decided or _is_of_today(one, at)]
    other = _other_versions(conn, at, wanted, briefs)
    for one in wanted:
        told[one.lot.block_id].append(_lot_json(conn, one, other))
    return told


def _is_of_today(one: JudgedLot, at: Moment) -> bool:
    """Tell whether its last check was made today: whoever made it still looks at it."""
    return max((check.day for check in one.found.judged), default=None) == at.today


def _other_versions(
    conn: Connection, at: Moment, wanted: Sequence[JudgedLot], briefs: Mapping[str, BriefVersion]
) -> dict[str, Json]:
    """Return the brief of each lot that is judged by another version than holds in its block now, by lot id."""
    clearance_m = farm_clearance_m(conn, at.farm.id)
    told: dict[str, Json] = {}
    for lot in (one.lot for one in wanted):
        held = briefs.get(lot.block_id)
        own = (lot.brief_id, lot.brief_version)
        if lot.brief_id is None or lot.brief_version is None:
            continue
        if held is None or own != (held.brief_id, held.version):
            version = brief_store.version(conn, lot.brief_id, lot.brief_version)
            told[lot.id] = version_json(version, clearance_m=clearance_m)
    return told


def _lot_json(conn: Connection, one: JudgedLot, other: Mapping[str, Json]) -> Json:
    lot = one.lot
    plain = ("id", "number", "crew_id", "lot_trees", "n", "accept", "reject", "brief_id", "brief_version")
    return {name: getattr(lot, name) for name in (*plain, "return_id")} | {
        "brief": other.get(lot.id),
        "trees": [list(tree) for tree in lot.trees],
        "walk": [list(tree) for tree in lot_walk(lot, row_lengths(conn, lot.block_id))],
    }
