"""Counts of sample trees: take them, and tell what they say of their blocks and varieties."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from orchardmap.model.brief import BriefVersion
from orchardmap.model.orchard import Block
from orchardmap.model.people import ANYBODY, Sender
from orchardmap.model.tree_count import COUNTED_THINGS, CountedThing, TreeCount
from orchardmap.model.work import Receipt
from orchardmap.pruning.count_target import target_of
from orchardmap.pruning.counting import CountEstimate, count_estimate
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import log, orchard, row_tables, tree_counts
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.brief_reading import held_briefs
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.taking import Upload, taken_of_trees
from orchardmap.work.intake import tree_count_set_aside
from orchardmap.work.tree_counts import Tallied, Tree, per_tree, standing_counts

__all__ = ["block_counts", "counts_json", "farm_counts", "record_tree_counts"]

Json = dict[str, Any]


def record_tree_counts(
    store: Store,
    *,
    farm_id: str,
    counts: Sequence[TreeCount],
    sent_at: datetime,
    now: datetime,
    sender: Sender = ANYBODY,
) -> list[Receipt]:
    """Append counts of sample trees.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm whose device sends them.
    counts : sequence of TreeCount
        In any order; one may come before the one that it replaces.
    sent_at, now : datetime with time zone
        The device's clock at the upload, and the server's.
    sender : Sender
        Who hands them in.

    Returns
    -------
    list of Receipt
        One for each, in order.
    """
    upload = Upload(farm_id, sent_at, now, sender)
    with store.write() as conn:
        return taken_of_trees(conn, "tree_count", counts, tree_count_set_aside, upload=upload)


def block_counts(store: Store, block_id: str, *, now: datetime) -> Json:
    """Return what was counted in a block this season, and what it says (see `counts_json`).

    Raises
    ------
    UnknownError
        If no block has that id.
    """
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, None, now)
        briefs = held_briefs(conn, at, {block.id: block.variety_id})
        return counts_json(conn, at, [block], briefs)[block.id]


def counts_json(
    conn: Connection, at: Moment, blocks: Collection[Block], briefs: Mapping[str, BriefVersion]
) -> dict[str, Json]:
    """Return what was counted in some blocks of a farm, by their id.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm and season.
    blocks : collection of Block
        Of the farm.
    briefs : mapping of str to BriefVersion
        Block id to the version that holds there.

    Returns
    -------
    dict of str to dict
        ``trees`` of the block; ``aim``, how well a mean is to be known by the farm's settings; ``target``, the brief's, or None; ``lines``, the counts that stand, as [id, row, position, what,
        number, whether a draw proposed the tree]; ``told``, for each thing counted its estimate (`CountEstimate`, ``is_enough``),
        ``chosen`` (how many of the trees no draw proposed), ``days``, its ``target`` and the ``mean_over_target``.
        Trees that the rows do not have any more, blanks and pollinizers are in ``lines`` and enter no estimate.
    """
    season_id = at.season.id if at.season else None
    ids = [block.id for block in blocks]
    counted = tree_counts.counting_tree_counts(conn, season_id, ids) if season_id else []
    of_block: dict[str, list[Any]] = defaultdict(list)
    for one in counted:
        of_block[one.block_id].append(one)
    places = _Places(conn, sorted(of_block))
    size = row_tables.block_trees(conn, at.farm.id)
    aim = setting_store.farm_settings(conn, at.farm.id).count_aim
    shared = {
        "season_id": season_id,
        "cursor": log.cursor(conn, at.farm.id),
        "epoch": farm_store.setting(conn, "epoch"),
        "aim": aim,
    }
    told: dict[str, Json] = {}
    for block_id in ids:
        standing = standing_counts([_tallied(one) for one in of_block[block_id]])
        days = {one.id: one.day.isoformat() for one in of_block[block_id]}
        target = briefs[block_id].content.bud_target if block_id in briefs else None
        trees = size.get(block_id, (0, 0))[1]
        on_trees = [one for one in standing if places.has_tree(block_id, one.row, one.position)]
        estimates = _estimates(on_trees, trees, days, aim)
        for one in estimates:
            one["target"] = None if target is None else target_of(one["what"], target)
            one["mean_over_target"] = None if one["target"] is None else one["mean"] - one["target"]
        told[block_id] = {
            "id": block_id,
            **shared,
            "trees": trees,
            "target": None if target is None else asdict(target),
            "lines": [[c.id, c.row, c.position, c.what, c.number, c.seed is not None] for c in standing],
            "told": estimates,
        }
    return told


def _tallied(record: Any) -> Tallied:  # noqa: ANN401 - a row of the tree_counts table
    return Tallied(*(getattr(record, name) for name in Tallied._fields))


def _estimates(
    standing: Sequence[Tallied], trees_in_block: int, days: Mapping[str, str], aim: Mapping[str, float]
) -> list[Json]:
    of = per_tree(standing)
    found = []
    for what in COUNTED_THINGS:
        if trees := of.get(what):
            estimate = count_estimate(
                list(trees.values()),
                [row for row, _ in trees],
                trees_in_block=trees_in_block,
                half_width_share=aim["half_width_share"],
                confidence=aim["confidence"],
            )
            found.append(_told(estimate, what, trees.keys(), standing, days))
    return found


def _told(
    estimate: CountEstimate,
    what: CountedThing,
    trees: Collection[Tree],
    standing: Sequence[Tallied],
    days: Mapping[str, str],
) -> Json:
    own = [one for one in standing if one.what == what]
    drawn = {(one.row, one.position) for one in own if one.seed is not None}
    return {
        "what": what,
        **asdict(estimate),
        "is_enough": estimate.is_enough,
        "chosen": len(set(trees) - drawn),
        "days": sorted({days[one.id] for one in own}),
    }


class _Places:
    """Which positions of some blocks hold a tree of the block's variety."""

    def __init__(self, conn: Connection, block_ids: Sequence[str]) -> None:
        table = row_tables.row_table(conn, block_ids)
        keys = list(zip(table.block_id, table.number.tolist(), strict=True))
        self._positions = dict(zip(keys, table.positions.tolist(), strict=True))
        self._not_trees = {(*keys[row], position) for row, position in table.not_trees}

    def has_tree(self, block_id: str, row: int, position: int) -> bool:
        within = 1 <= position <= self._positions.get((block_id, row), 0)
        return within and (block_id, row, position) not in self._not_trees


def farm_counts(store: Store, farm_id: str, *, now: datetime) -> Json:
    """Return what was counted on a farm this season, by block and by variety.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``blocks`` as in `counts_json`, without their lines, only those where something was counted; ``varieties``, for each
        thing counted the mean over those blocks, each weighed by its trees. It has no interval: blocks are not drawn.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        blocks = orchard.blocks(conn, farm_id)
        briefs = held_briefs(conn, at, {block.id: block.variety_id for block in blocks})
        told = counts_json(conn, at, blocks, briefs)
        names = {variety.id: variety.name for variety in farm_store.varieties(conn, farm_id)}
        seq = log.cursor(conn, farm_id)
    counted = [
        {
            "id": block.id,
            "code": block.code,
            "variety_id": block.variety_id,
            **{key: told[block.id][key] for key in ("trees", "target", "told")},
        }
        for block in blocks
        if told[block.id]["told"]
    ]
    varieties = sorted(
        {str(one["variety_id"]) for one in counted if one["variety_id"]}, key=names.__getitem__
    )
    return {
        "cursor": seq,
        "season_id": at.season.id if at.season else None,
        "blocks": counted,
        "varieties": [
            {
                "id": variety,
                "name": names[variety],
                "told": _over([one for one in counted if one["variety_id"] == variety]),
            }
            for variety in varieties
        ],
    }


def _over(blocks: Sequence[Json]) -> list[Json]:
    """Return the means over several blocks, each weighed by its trees."""
    found = []
    for what in COUNTED_THINGS:
        of = [(block["trees"], one) for block in blocks for one in block["told"] if one["what"] == what]
        if of:
            weight = sum(trees for trees, _ in of)
            found.append({
                "what": what,
                "blocks": len(of),
                "trees": sum(one["trees"] for _, one in of),
                "mean": sum(trees * one["mean"] for trees, one in of) / weight,
            })
    return found
