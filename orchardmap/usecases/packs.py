"""What a tablet takes along into the rows: blocks with all that is needed to mark them without a signal."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from orchardmap.errors import UnknownError
from orchardmap.locale.catalogue import languages
from orchardmap.model.brief import BriefVersion
from orchardmap.model.orchard import Block, Row
from orchardmap.pruning.brief_texts import point_pictures
from orchardmap.pruning.cautions import ALWAYS_SHOWN, caution_texts
from orchardmap.store import farm as farm_store
from orchardmap.store import ground as ground_store
from orchardmap.store import log, orchard
from orchardmap.store.session import Connection, Store
from orchardmap.store.settlements import stretch_settlements
from orchardmap.usecases import glance
from orchardmap.usecases.block_timing import block_timing
from orchardmap.usecases.blocks import shape_json, states_json
from orchardmap.usecases.brief_reading import held_briefs, version_json
from orchardmap.usecases.hazards import block_hazards, farm_clearance_m, hazards_json
from orchardmap.usecases.lot_packs import lots_to_take
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.return_telling import block_returns
from orchardmap.usecases.tree_counts import counts_json

__all__ = ["block_log", "packs"]

Json = dict[str, Any]


def block_log(store: Store, block_id: str, *, now: datetime) -> Json:
    """Return what of a block's log is folded into its state: marks that stand, and settlements.

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
        ``shape_version`` of the rows that it speaks of, ``marks`` as [id, row, first, last, index of crew, day], ``settlements`` as [number, id, row, first,
        last, index of crew or -1, [ids of the marks above that it saw with the content they have]], and
        ``returns`` that are not checked again yet (`orchardmap.usecases.return_telling.block_returns`).

    Raises
    ------
    UnknownError
        If no block has that id.
    """
    with store.read() as conn:
        at = moment(conn, orchard.block(conn, block_id).farm_id, None, now)
        return _logs(conn, at, [block_id])[block_id]


def _logs(conn: Connection, at: Moment, block_ids: Sequence[str]) -> dict[str, Json]:
    season_id = at.season.id if at.season else None
    crews = farm_store.crews(conn, at.farm.id)
    number = {crew.id: i for i, crew in enumerate(crews)}
    shared = {
        "season_id": season_id,
        "cursor": log.cursor(conn, at.farm.id),
        "epoch": farm_store.setting(conn, "epoch"),
        "crews": [{"id": crew.id, "name": crew.name} for crew in crews],
    }
    told = _begun(conn, block_ids, shared)
    if season_id is None:
        return told
    for block_id, returns in block_returns(conn, at, block_ids, number).items():
        told[block_id]["returns"] = returns
    marks = log.standing_marks(conn, season_id, block_ids=block_ids)
    of_row: dict[tuple[str, int], list[log.Standing]] = defaultdict(list)
    for m in sorted(marks, key=lambda m: (m.block_id, m.row, m.id)):
        of_row[m.block_id, m.row].append(m)
        told[m.block_id]["marks"].append([m.id, m.row, m.first, m.last, number[m.crew_id], m.day.isoformat()])
    for s in stretch_settlements(conn, season_id, block_ids=block_ids):
        credited = -1 if s.credited_crew_id is None else number[s.credited_crew_id]
        told[s.block_id]["settlements"].append([
            s.number,
            s.id,
            s.row,
            s.first,
            s.last,
            credited,
            [m.id for m in of_row[s.block_id, s.row] if s.saw(m.id, m.content_hash)],
        ])
    return told


def _begun(conn: Connection, block_ids: Sequence[str], shared: Json) -> dict[str, Json]:
    """Return logs without any record yet, each with the shape that it speaks of."""
    versions = ground_store.shape_versions(conn, block_ids)
    empty = ("marks", "settlements", "returns")
    return {
        block_id: {"id": block_id, **shared, "shape_version": versions[block_id]} | {key: [] for key in empty}
        for block_id in block_ids
    }


def packs(
    store: Store, farm_id: str, block_ids: Sequence[str], *, with_lots: bool = True, now: datetime
) -> Json:
    """Return blocks to take along: summary, shape, log, state, dangers, notices on timing, brief, tree counts and lots of each, and the drawings of the briefs.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    block_ids : sequence of str
        In the order wanted; a repeated one is told once.
    with_lots : bool
        False for whoever prunes: trees that are known to be drawn could be gone over before they are checked.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        Log and state are of one moment, and ``cursor`` is its; the summary may be a moment newer, so that
        whoever asks for the changes above the cursor misses nothing.

    Raises
    ------
    UnknownError
        If the farm has no block of one of these ids.
    """
    wanted = list(dict.fromkeys(block_ids))
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        blocks = {block.id: block for block in orchard.blocks(conn, farm_id)}
        for block_id in wanted:
            if block_id not in blocks:
                raise UnknownError("no such block", where=block_id)
        asked = [blocks[block_id] for block_id in wanted]
        rows = orchard.rows_of_blocks(conn, wanted)
        shapes = _shapes(conn, farm_id, asked, rows)
        logs = _logs(conn, at, wanted)
        # a pack is kept in a browser: nobody's name goes with it
        states = states_json(conn, at, wanted, people_of=())
        dangers = block_hazards(conn, at.farm, asked, rows, now=now)
        timing = block_timing(conn, at, asked, rows)
        briefs = held_briefs(conn, at, {block.id: block.variety_id for block in asked})
        counts = counts_json(conn, at, asked, briefs)
        lots = lots_to_take(conn, at, wanted if with_lots else [], briefs)
        taught = _taught(wanted, briefs, farm_clearance_m(conn, farm_id))
        seq, epoch = log.cursor(conn, farm_id), farm_store.setting(conn, "epoch")
    summaries = {one["id"]: one for one in glance.overview(store, farm_id, day=None, now=now)["blocks"]}
    return {
        "epoch": epoch,
        "cursor": seq,
        "made_at": now.isoformat(),
        "blocks": [
            {
                "summary": summaries[block_id],
                "shape": shapes[block_id],
                "log": logs[block_id],
                "state": states[block_id],
                "hazards": hazards_json(dangers[block_id]),
                "timing": timing[block_id],
                **taught[block_id],
                "counts": counts[block_id],
                **lots.of_pack(block_id),
            }
            for block_id in wanted
        ],
        "pictures": point_pictures(version.content for version in (*briefs.values(), *lots.versions)),
    }


def _shapes(
    conn: Connection, farm_id: str, blocks: Sequence[Block], rows: Mapping[str, Sequence[Row]]
) -> dict[str, Json]:
    grounds = ground_store.grounds(conn, farm_id)
    return {block.id: shape_json(block, rows[block.id], grounds.get(block.id, block.id)) for block in blocks}


def _taught(
    block_ids: Sequence[str], briefs: Mapping[str, BriefVersion], clearance_m: float
) -> dict[str, Json]:
    """Return the brief of each block, told once and shared where it holds for several; without one, what always stands on a brief.

    What the tablet itself knows to say there names no distance of the farm's.
    """
    versions = {(version.brief_id, version.version): version for version in briefs.values()}
    told = {key: version_json(version, clearance_m=clearance_m) for key, version in versions.items()}
    general = {
        language: caution_texts(ALWAYS_SHOWN, language, clearance_m=clearance_m) for language in languages()
    }
    return {
        block_id: {"brief": told[version.brief_id, version.version], "cautions": None}
        if (version := briefs.get(block_id))
        else {"brief": None, "cautions": general}
        for block_id in block_ids
    }
