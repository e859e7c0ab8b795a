"""Blocks, rows and places (blanks and pollinizers)."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

import shapely
from sqlalchemy import (
    Connection,
    bindparam,
    delete,
    func,
    insert,
    literal,
    select,
    text,
    update,
)

from orchardmap.errors import ConflictError
from orchardmap.model.code_order import code_order
from orchardmap.model.orchard import Block, Planting, Row
from orchardmap.store import tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.types import Geom
from orchardmap.store.whose import refuse_block

__all__ = [
    "add_blocks", "block", "block_ids", "block_values", "blocks", "edit_block", "extents", "farm_extent", "insert_places", "row_values", "rows",
    "rows_in_box", "rows_of_blocks", "set_counts", "set_shape_version",
]  # fmt: skip


def _box(geometry: Any) -> dict[str, float]:  # noqa: ANN401 - any geometry
    return dict(zip(("west", "south", "east", "north"), geometry.bounds, strict=True))


def add_blocks(conn: Connection, blocks: Sequence[Block], rows: Sequence[Row]) -> None:
    """Append blocks with their rows.

    Raises
    ------
    ConflictError
        If the farm has a block of that code already; nothing is taken then.
    """
    lines = defaultdict(list)
    for row in rows:
        lines[row.block_id].append(row.line)
    wanted = {b.code for b in blocks}
    there = select(t.blocks.c.code).where(t.blocks.c.farm_id.in_({b.farm_id for b in blocks}))
    twice = sorted(wanted & set(conn.execute(there).scalars()))
    if twice:
        raise ConflictError(
            "the farm has a block of that code already",
            where=", ".join(twice)[:200],
            todo="Give each new block a code of its own; nothing was overwritten.",
        )
    conn.execute(insert(t.blocks), [block_values(b, lines[b.id]) for b in blocks])
    if rows:
        conn.execute(insert(t.rows), [row_values(row) for row in rows])
    insert_places(conn, rows)


def block_values(b: Block, lines: Sequence[Any]) -> dict[str, Any]:
    """Return a block as its table holds it; `lines` are its rows' where it has no outline."""
    extent = b.outline if b.outline is not None else shapely.geometrycollections(list(lines))
    return {
        "id": b.id,
        "farm_id": b.farm_id,
        "code": b.code,
        "name": b.name,
        "variety_id": b.variety_id,
        "outline": b.outline,
        "planting": asdict(b.planting) if b.planting else None,
        "area_ha": b.area_ha,
        "shape_version": b.shape_version,
        "slope_percent": b.slope_percent,
        **_box(extent),
    }


def row_values(row: Row) -> dict[str, Any]:
    """Return a row as its table holds it."""
    return {
        "block_id": row.block_id,
        "number": row.number,
        "line": row.line,
        "length_m": row.length_m,
        "end_offset_m": row.end_offset_m,
        "part_positions": list(row.part_positions),
        "counted_positions": row.counted_positions,
        "positions": row.positions,
        "trees": row.trees,
        **_box(row.line),
    }


def insert_places(conn: Connection, rows: Iterable[Row]) -> None:
    """Append the blanks and pollinizers of rows that have none yet."""
    found = [
        {"block_id": row.block_id, "row": row.number, "position": position, "kind": kind}
        for row in rows
        for kind, positions in (("blank", row.blanks), ("pollinizer", row.pollinizers - row.blanks))
        for position in sorted(positions)
    ]
    if found:
        conn.execute(insert(t.places), found)


def _block(record: Any) -> Block:  # noqa: ANN401 - a row of the blocks table
    planting = dict(record.planting) if record.planting else None
    if planting:
        for drawn in ("first_row", "baseline"):
            if planting.get(drawn):
                planting[drawn] = tuple(tuple(point) for point in planting[drawn])
    return Block(
        id=record.id,
        farm_id=record.farm_id,
        code=record.code,
        name=record.name,
        variety_id=record.variety_id,
        outline=record.outline,
        planting=Planting(**planting) if planting else None,
        area_ha=record.area_ha,
        shape_version=record.shape_version,
        slope_percent=record.slope_percent,
    )


def blocks(conn: Connection, farm_id: str) -> list[Block]:
    """Return the farm's blocks in the order of their codes, the same on both engines: B2 before B10."""
    found = conn.execute(select(t.blocks).where(t.blocks.c.farm_id == farm_id))
    return sorted((_block(r) for r in found), key=lambda one: code_order(one.code))


def block_ids(conn: Connection, farm_id: str, asked: Collection[str]) -> list[str]:
    """Return those of the asked ids that are blocks of the farm."""
    return [
        found
        for chunk in chunks(sorted(asked))
        for found in conn.execute(
            select(t.blocks.c.id).where(t.blocks.c.farm_id == farm_id, t.blocks.c.id.in_(chunk))
        ).scalars()
    ]


def block(conn: Connection, block_id: str) -> Block:
    """Return one block.

    Raises
    ------
    UnknownError
        If no block has that id.
    """
    record = conn.execute(select(t.blocks).where(t.blocks.c.id == block_id)).one_or_none()
    if record is None:
        refuse_block(block_id)
    return _block(record)


def extents(conn: Connection, farm_id: str) -> dict[str, tuple[float, float, float, float]]:
    """Return each block's west, south, east, north in degrees."""
    c = t.blocks.c
    found = conn.execute(select(c.id, c.west, c.south, c.east, c.north).where(c.farm_id == farm_id))
    return {r.id: (r.west, r.south, r.east, r.north) for r in found}


def farm_extent(conn: Connection, farm_id: str) -> tuple[float, float, float, float] | None:
    """Return west, south, east, north in degrees of all blocks and rows of a farm; None where it has none."""
    b, r = t.blocks.c, t.rows.c
    asked = (
        select(*_sides(b)).where(b.farm_id == farm_id),
        select(*_sides(r)).select_from(t.rows.join(t.blocks, b.id == r.block_id)).where(b.farm_id == farm_id),
    )
    found = [told for told in map(tuple, (conn.execute(one).one() for one in asked)) if None not in told]
    if not found:
        return None
    west, south, east, north = zip(*found, strict=True)
    return min(west), min(south), max(east), max(north)


def _sides(c: Any) -> tuple[Any, ...]:  # noqa: ANN401 - a table's columns
    return func.min(c.west), func.min(c.south), func.max(c.east), func.max(c.north)


def rows(conn: Connection, block_id: str) -> list[Row]:
    """Return a block's rows by number, with blanks and pollinizers."""
    return rows_of_blocks(conn, [block_id])[block_id]


def rows_of_blocks(conn: Connection, block_ids: Sequence[str]) -> dict[str, list[Row]]:
    """Return the rows of several blocks by number, with blanks and pollinizers."""
    found: dict[str, list[Row]] = {block_id: [] for block_id in block_ids}
    for chunk in chunks(sorted(found)):
        odd: dict[tuple[str, str, int], set[int]] = defaultdict(set)
        for place in conn.execute(select(t.places).where(t.places.c.block_id.in_(chunk))):
            odd[place.kind, place.block_id, place.row].add(place.position)
        asked = select(t.rows).where(t.rows.c.block_id.in_(chunk)).order_by(t.rows.c.number)
        for record in conn.execute(asked):
            found[record.block_id].append(_row(record, odd))
    return found


def _row(record: Any, odd: Mapping[tuple[str, str, int], set[int]]) -> Row:  # noqa: ANN401 - a row of the rows table
    return Row(
        block_id=record.block_id,
        number=record.number,
        line=record.line,
        length_m=record.length_m,
        end_offset_m=record.end_offset_m,
        part_positions=tuple(record.part_positions),
        counted_positions=record.counted_positions,
        blanks=frozenset(odd.get(("blank", record.block_id, record.number), ())),
        pollinizers=frozenset(odd.get(("pollinizer", record.block_id, record.number), ())),
    )


def rows_in_box(
    conn: Connection, farm_id: str, box: tuple[float, float, float, float]
) -> list[tuple[str, int]]:
    """Return (block id, row number) of the farm's rows that cross a box.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm_id : str
        The farm.
    box : tuple of float, degrees
        West, south, east, north in WGS 84, ``west <= east``; east may pass 180.

    Returns
    -------
    list of (str, int)
        By block and number. The index narrows, the geometry itself decides.
    """
    found: set[tuple[str, int]] = set()
    west, south, east, north = box
    for turn_deg in (
        -360.0,
        0.0,
        360.0,
    ):  # a block across the antimeridian is stored unbroken, past 180 degrees
        found |= _rows_crossing(conn, farm_id, (west + turn_deg, south, east + turn_deg, north))
    return sorted(found)


def _rows_crossing(
    conn: Connection, farm_id: str, box: tuple[float, float, float, float]
) -> set[tuple[str, int]]:
    area = shapely.box(*box)
    asked = select(t.rows.c.block_id, t.rows.c.number, t.rows.c.line).join(
        t.blocks, t.blocks.c.id == t.rows.c.block_id
    )
    asked = asked.where(t.blocks.c.farm_id == farm_id)
    if conn.dialect.name == "postgresql":
        found = conn.execute(
            asked.where(func.ST_Intersects(t.rows.c.line, literal(area, Geom("POLYGON"))))
        ).all()
        return {(r.block_id, r.number) for r in found}
    near = text(
        "rows.key IN (SELECT key FROM row_boxes WHERE east >= :w AND west <= :e AND north >= :s AND south <= :n)"
    )
    west, south, east, north = box
    found = conn.execute(asked.where(near), {"w": west, "e": east, "s": south, "n": north}).all()
    return {(r.block_id, r.number) for r in found if shapely.intersects(r.line, area)}


def set_counts(conn: Connection, rows: Sequence[Row]) -> None:
    """Replace what was counted in the given rows, blanks and pollinizers included, by what they carry."""
    if not rows:
        return
    change = update(t.rows).where(t.rows.c.block_id == bindparam("b"), t.rows.c.number == bindparam("n"))
    conn.execute(
        change.values(counted_positions=bindparam("c"), positions=bindparam("p"), trees=bindparam("t")),
        [
            {"b": r.block_id, "n": r.number, "c": r.counted_positions, "p": r.positions, "t": r.trees}
            for r in rows
        ],
    )
    for row in rows:
        conn.execute(
            delete(t.places).where(t.places.c.block_id == row.block_id, t.places.c.row == row.number)
        )
    insert_places(conn, rows)


def set_shape_version(conn: Connection, block_id: str, version: str) -> None:
    """Name the block's shape anew after a change to its rows."""
    conn.execute(update(t.blocks).where(t.blocks.c.id == block_id).values(shape_version=version))


def edit_block(conn: Connection, block_id: str, changes: Mapping[str, str | float | None]) -> None:
    """Say what a block is planted with (`variety_id`), or how steep it is (`slope_percent`)."""
    conn.execute(update(t.blocks).where(t.blocks.c.id == block_id).values(**changes))
