"""Layers of the ground: blocks, rows, positions, and blocks as of a day."""

from collections import Counter
from collections.abc import Sequence

import shapely

from orchardmap.geometry.positions import position_lonlat
from orchardmap.geometry.surveyed import told_bearing_deg
from orchardmap.model.layer import Value
from orchardmap.model.orchard import Block, Row
from orchardmap.store import orchard, row_tables
from orchardmap.store.row_lines import row_lines
from orchardmap.store.states import RowState
from orchardmap.usecases.layer_reading import Found, Reading, found
from orchardmap.work.settling import HELD, Run

__all__ = ["block_features", "position_features", "progress_features", "row_features", "row_key"]

Features = dict[str, list[Found]]
"""By block id."""


def row_key(row: int, position: int = 0) -> str:
    """Return what orders rows and positions of a block as text, as their numbers would."""
    return f"{row:06d}.{position:06d}"


def block_features(reading: Reading, blocks: Sequence[Block]) -> Features:
    """Return blocks with their planting, their rows and trees."""
    ids = [block.id for block in blocks]
    table = row_tables.row_table(reading.conn, ids)
    positions: Counter[str] = Counter()
    for block_id, count in zip(table.block_id, table.positions.tolist(), strict=True):
        positions[block_id] += count
    size = row_tables.block_trees(reading.conn, reading.at.farm.id)
    lines = row_lines(reading.conn, ids)
    return {
        block.id: [
            _block(
                reading,
                block,
                (*size.get(block.id, (0, 0)), positions[block.id]),
                # of the rows as they lie: what was typed may be replaced by two points, a survey or a turn of the block
                bearing_deg=told_bearing_deg(lines[block.id]),
            )
        ]
        for block in blocks
    }


def _block(reading: Reading, block: Block, size: tuple[int, int, int], *, bearing_deg: float | None) -> Found:
    rows, trees, positions = size
    planting = block.planting
    return found(
        "",
        block.id,
        block.outline,
        block.code,
        block.name,
        reading.varieties.get(block.variety_id),
        round(block.area_ha, 4),
        rows,
        positions,
        trees,
        bearing_deg,
        planting.row_spacing_m if planting else None,
        planting.tree_spacing_m if planting else None,
        block.slope_percent,
    )


def progress_features(reading: Reading, blocks: Sequence[Block]) -> Features:
    """Return blocks as the overview tells them on the day."""
    return {block.id: [_progress(reading, block)] for block in blocks}


def _progress(reading: Reading, block: Block) -> Found:
    told = reading.overview[block.id]
    trees, pruned = told["trees"], told["pruned"]
    return found(
        "",
        block.id,
        block.outline,
        block.code,
        block.name,
        reading.varieties.get(block.variety_id),
        reading.at.day,
        told["rows"],
        told["rows_done"],
        trees,
        pruned,
        trees - pruned,
        _share(pruned, trees),
        told["overlap"],
        told["again"],
        told["checked"],
        told["faulty"],
        told["verdict"],
        told["weak"],
    )


def _share(pruned: int, trees: int) -> float | None:
    return round(pruned / trees, 6) if trees else None


def row_features(reading: Reading, blocks: Sequence[Block]) -> Features:
    """Return rows with their length and trees, and what of them is pruned on the day."""
    ids = [block.id for block in blocks]
    rows, states = orchard.rows_of_blocks(reading.conn, ids), reading.states(ids)
    return {
        block.id: [_row(reading, block, row, states.get((block.id, row.number))) for row in rows[block.id]]
        for block in blocks
    }


def _row(reading: Reading, block: Block, row: Row, state: RowState | None) -> Found:
    pruned, held, runs = (state.pruned, state.overlap, state.runs) if state else (0, 0, ())
    crews = dict.fromkeys(run.crew_id for run in runs if run.crew_id is not None)
    return found(
        row_key(row.number),
        f"{block.id}.{row.number}",
        row.line,
        block.code,
        row.number,
        reading.at.day,
        round(row.length_m, 2),
        row.positions,
        row.trees,
        len(row.blanks),
        len(row.pollinizers - row.blanks),
        pruned,
        _share(pruned, row.trees),
        held,
        ", ".join(sorted(reading.crews.get(crew_id, "") for crew_id in crews)) or None,
    )


def position_features(reading: Reading, blocks: Sequence[Block]) -> Features:
    """Return every position of the rows as a point, and what became of it by the day."""
    ids = [block.id for block in blocks]
    rows, states = orchard.rows_of_blocks(reading.conn, ids), reading.states(ids)
    return {
        block.id: [
            one
            for row in rows[block.id]
            for one in _positions(reading, block, row, states.get((block.id, row.number)))
        ]
        for block in blocks
    }


def _positions(reading: Reading, block: Block, row: Row, state: RowState | None) -> list[Found]:
    run_of = {at: run for run in (state.runs if state else ()) for at in range(run.first, run.last + 1)}
    return [
        found(
            row_key(row.number, position),
            f"{block.id}.{row.number}.{position}",
            shapely.Point(place),
            block.code,
            row.number,
            position,
            reading.at.day,
            *_holding(reading, row, position, run_of.get(position)),
        )
        for position, place in enumerate(position_lonlat(row).round(8), 1)
    ]


def _holding(reading: Reading, row: Row, position: int, run: Run | None) -> tuple[Value, ...]:
    """Return what stands there, whether it is pruned, whether two crews claim it, and who is credited."""
    if position in row.blanks:
        return "blank", False, False, None
    if position in row.pollinizers:
        return "pollinizer", False, False, None
    if run is None:
        return "tree", False, False, None
    return "tree", True, run.status in HELD, reading.crews.get(run.crew_id)
