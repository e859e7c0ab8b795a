"""What the page that edits the ground reads: blocks with their rows as they are or would be, what changes, and what hinders it."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from shapely.geometry import mapping

from orchardmap.geometry.ground import BlockGround, Ground, ground_of
from orchardmap.geometry.ground_changes import RowChange, row_changes, touched
from orchardmap.geometry.ground_problems import Problem, RowUse
from orchardmap.model.orchard import Block, Row
from orchardmap.store import account_names, orchard
from orchardmap.store import ground as ground_store
from orchardmap.store.session import Connection, Store

__all__ = [
    "Difference",
    "block_ground",
    "change_list",
    "difference_json",
    "ground_version",
    "row_uses",
    "told_of",
]

Json = dict[str, Any]

_MOST_CHANGES = 50


@dataclass(frozen=True, slots=True)
class Difference:
    """What a list of edits comes to."""

    before: Ground
    after: Ground
    uses: Mapping[tuple[str, int], RowUse]
    named: Mapping[str, Sequence[str]]
    """By block: what names it as a whole and keeps it from leaving."""
    problems: Sequence[Problem] = ()
    """What hinders it, and what is to be known first."""

    @property
    def touched(self) -> tuple[str, ...]:
        """Blocks that are another, new, or gone."""
        return touched(self.before, self.after)

    @property
    def rows(self) -> list[RowChange]:
        """Rows that do not stay as they are."""
        return row_changes(self.before, self.after)

    @property
    def leaving(self) -> list[tuple[Block, Sequence[str]]]:
        """Blocks that would leave though something names them, with what does."""
        gone = [self.before[key].block for key in self.touched if key not in self.after]
        return [(block, self.named[block.id]) for block in gone if block.id in self.named]

    @property
    def can_be_taken(self) -> bool:
        """Tell whether nothing hinders it."""
        return bool(self.touched) and not self.leaving and not any(one.hinders for one in self.problems)

    @property
    def touches_work(self) -> bool:
        """Tell whether a row changes in which anything was recorded."""
        return any(one.was in self.uses for one in self.rows)


def ground_version(block: Block) -> str:
    """Return the name of all that an edit of the ground may change of a block: its shape, what it is called, what it is laid by."""
    said = repr((block.code, block.name, block.variety_id, block.planting))
    return f"{block.shape_version}-{hashlib.sha256(said.encode()).hexdigest()[:8]}"


def row_uses(conn: Connection, block_ids: Sequence[str]) -> dict[tuple[str, int], RowUse]:
    """Return what was recorded in rows of some blocks."""
    trees = ground_store.trees_told_of(conn, block_ids)
    return {
        key: RowUse(*found, trees=tuple(trees.get(key, ())))
        for key, found in ground_store.rows_used(conn, block_ids).items()
    }


def block_ground(store: Store, block_id: str) -> Json:
    """Return a block as the page that edits it reads it: outline, planting, rows, and what was recorded in them.

    Raises
    ------
    UnknownError
        If no block has that id.
    """
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        ground = ground_of([block], orchard.rows_of_blocks(conn, [block_id]))
        uses = row_uses(conn, [block_id])
        named = ground_store.named_blocks(conn, [block_id])
    return _block_json(ground[block_id], uses) | {"named": named.get(block_id, [])}


def _block_json(ground: BlockGround, uses: Mapping[tuple[str, int], RowUse]) -> Json:
    block = ground.block
    return {
        "id": block.id,
        "code": block.code,
        "name": block.name,
        "variety_id": block.variety_id,
        "version": ground_version(block),
        "area_ha": block.area_ha,
        "outline": None if block.outline is None else mapping(block.outline),
        "planting": None if block.planting is None else asdict(block.planting),
        "rows": [_row_json(one.row, uses.get((block.id, one.row.number))) for one in ground.rows],
    }


def _row_json(row: Row, use: RowUse | None) -> Json:
    return {
        "number": row.number,
        "parts": [np.round(np.asarray(line.coords)[:, :2], 8).tolist() for line in row.line.geoms],
        "part_positions": list(row.part_positions),
        "length_m": round(row.length_m, 2),
        "end_offset_m": row.end_offset_m,
        "positions": row.positions,
        "trees": row.trees,
        "counted_positions": row.counted_positions,
        "blanks": sorted(row.blanks),
        "pollinizers": sorted(row.pollinizers),
        "marks": use.marks if use else 0,
        "others": use.others if use else 0,
    }


def difference_json(found: Difference) -> Json:
    """Return what a list of edits comes to: blocks as they would be, what becomes of rows, and what hinders it."""
    return {
        "blocks": [
            _summary(found.before.get(key), found.after.get(key)) | {"ground": _ground_after(found, key)}
            for key in found.touched
        ],
        "rows": [asdict(one) for one in found.rows],
        "problems": [asdict(one) | {"hinders": one.hinders} for one in found.problems],
        "leaving": [{"id": block.id, "named": list(named)} for block, named in found.leaving],
        "can_be_taken": found.can_be_taken,
        "touches_work": found.touches_work,
    }


def _ground_after(found: Difference, key: str) -> Json | None:
    return _block_json(found.after[key], found.uses) if key in found.after else None


def _summary(before: BlockGround | None, after: BlockGround | None) -> Json:
    told: Json = {"id": "", "code": ""}
    for name, ground in (("before", before), ("after", after)):
        if ground is None:
            told[name] = None
            continue
        rows = [one.row for one in ground.rows]
        told |= {"id": ground.block.id, "code": ground.block.code}
        told[name] = {
            "code": ground.block.code,
            "name": ground.block.name,
            "variety_id": ground.block.variety_id,
            "rows": len(rows),
            "trees": sum(row.trees for row in rows),
            "area_ha": round(ground.block.area_ha, 4),
        }
    return told


def told_of(found: Difference) -> Json:
    """Return what of a change is kept for the list of changes."""
    return {"blocks": [_summary(found.before.get(key), found.after.get(key)) for key in found.touched]}


def change_list(store: Store, farm_id: str) -> list[Json]:
    """Return the farm's last changes of the ground, the newest first, and which can be taken back.

    A change can be taken back as long as each of its blocks is as the change left it; whether work recorded since allows it, the
    preview says.
    """
    with store.read() as conn:
        found = ground_store.changes(conn, farm_id, most=_MOST_CHANGES)
        now = {block.id: ground_version(block) for block in orchard.blocks(conn, farm_id)}
        undoable = ground_store.undoable(conn, farm_id)
        makers = {one.made_by for one in found if one.made_by.startswith("account:")}
        names = account_names.names(conn, {maker.removeprefix("account:") for maker in makers})
    return [
        {
            "id": one.id,
            "number": one.number,
            "made_at": one.made_at.isoformat(),
            "made_by": names.get(one.made_by.removeprefix("account:"), ""),
            "undoes": one.undoes,
            "blocks": one.told["blocks"],
            "is_last": one.id in undoable
            and all(now.get(key) == version for key, version in one.versions.items()),
        }
        for one in found
    ]
