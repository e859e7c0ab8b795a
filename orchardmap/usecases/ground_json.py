"""The step back from a change of the ground, as JSON that gives it back to the last bit."""

from dataclasses import asdict
from typing import Any, cast

import shapely
from shapely.geometry import MultiLineString

from orchardmap.geometry.ground import GroundRow, RowKey
from orchardmap.geometry.ground_changes import PutBack
from orchardmap.model.orchard import Block, Planting, Row

__all__ = ["put_back_from_json", "put_back_json"]

Json = dict[str, Any]


def put_back_json(back: PutBack) -> Json:
    """Return a step back as JSON; geometries as WKB in hexadecimal digits."""
    return {
        "blocks": [_block_json(block) for block in back.blocks],
        "dropped": list(back.dropped),
        "rows": [_row_json(one) for one in back.rows],
        "away": [list(key) for key in back.away],
    }


def put_back_from_json(told: Json) -> PutBack:
    """Return the step back that `put_back_json` told."""
    return PutBack(
        blocks=tuple(_block(one) for one in told["blocks"]),
        dropped=tuple(told["dropped"]),
        rows=tuple(_row(one) for one in told["rows"]),
        away=tuple((block_id, number) for block_id, number in told["away"]),
    )


def _block_json(block: Block) -> Json:
    outline = None if block.outline is None else shapely.to_wkb(block.outline, hex=True)
    return asdict(block) | {"outline": outline}


def _block(told: Json) -> Block:
    outline = None if told["outline"] is None else shapely.from_wkb(told["outline"])
    planting = told["planting"]
    if planting is not None:
        drawn = {
            name: tuple(tuple(point) for point in planting[name])
            for name in ("first_row", "baseline")
            if planting[name]
        }
        planting = Planting(**(planting | drawn))
    return Block(**(told | {"outline": outline, "planting": planting}))


def _row_json(one: GroundRow) -> Json:
    row = one.row
    return {
        "block_id": row.block_id,
        "number": row.number,
        "line": shapely.to_wkb(row.line, hex=True),
        "length_m": row.length_m,
        "end_offset_m": row.end_offset_m,
        "part_positions": list(row.part_positions),
        "counted_positions": row.counted_positions,
        "blanks": sorted(row.blanks),
        "pollinizers": sorted(row.pollinizers),
        "origin": None if one.origin is None else list(one.origin),
        "turned": one.turned,
        "kept": one.kept,
        "own": one.own,
    }


def _row(told: Json) -> GroundRow:
    origin: RowKey | None = None if told["origin"] is None else (told["origin"][0], told["origin"][1])
    row = Row(
        block_id=told["block_id"],
        number=told["number"],
        line=cast(MultiLineString, shapely.from_wkb(told["line"])),
        length_m=told["length_m"],
        end_offset_m=told["end_offset_m"],
        part_positions=tuple(told["part_positions"]),
        counted_positions=told["counted_positions"],
        blanks=frozenset(told["blanks"]),
        pollinizers=frozenset(told["pollinizers"]),
    )
    return GroundRow(row, origin, turned=told["turned"], kept=told["kept"], own=told["own"])
