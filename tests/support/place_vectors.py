"""Where positions of rows stand, as the service reckons it, for `web/tests/core/walk-places.test.ts`.

`python tests/support/place_vectors.py` writes the file: rows as the shape document has them, and the places of some of their positions.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
from shapely.geometry import MultiLineString

from orchardmap.geometry.frame import local_xy_m
from orchardmap.geometry.positions import position_lonlat
from orchardmap.model.orchard import Row

FILE = Path(__file__).parents[1] / "vectors" / "places" / "rows.json"
ORIGIN = (11.3, 46.5)
UNIT_DEG = 1e-9


def rows() -> list[Row]:
    """Return a straight row, a bent one, one in two parts, two whose number was counted, and single trees."""
    straight = [(11.3, 46.5), (11.3, 46.5009)]
    bent = [(11.3001, 46.5), (11.30013, 46.5004), (11.30009, 46.5009)]
    parts = [[(11.3002, 46.5), (11.3002, 46.5003)], [(11.3002, 46.50045), (11.30021, 46.5009)]]
    short = [[(11.3003, 46.5), (11.3003, 46.50001)], [(11.3003, 46.5001), (11.3003, 46.5009)]]
    return [
        Row("", 1, MultiLineString([straight]), 100.0, 0.75, (60,)),
        Row("", 2, MultiLineString([bent]), 100.0, 0.0, (41,)),
        Row("", 3, MultiLineString(parts), 83.0, 0.5, (20, 30)),
        Row("", 4, MultiLineString(parts), 83.0, 0.5, (20, 30), counted_positions=57),
        Row("", 5, MultiLineString(short), 90.0, 3.0, (1, 44), counted_positions=92),
        Row("", 6, MultiLineString([straight]), 100.0, 0.75, (0,), counted_positions=1),
    ]


def told(row: Row) -> dict[str, Any]:
    """Return a row's document and where its positions stand, in metres east and north of the origin."""
    parts = [
        [count, np.rint((np.asarray(line.coords) - ORIGIN) / UNIT_DEG).astype(np.int64).ravel().tolist()]
        for line, count in zip(row.line.geoms, row.part_positions, strict=True)
    ]
    xy_m = local_xy_m(position_lonlat(row), ORIGIN)
    document = {"n": row.number, "p": len(xy_m), "e": row.end_offset_m, "parts": parts}
    return {"row": document, "xy_m": np.round(xy_m, 2).tolist()}


def generated() -> dict[str, Any]:
    """Return the vectors."""
    return {"origin": ORIGIN, "unit_deg": UNIT_DEG, "rows": [told(row) for row in rows()]}


def written() -> str:
    """Return the vectors as their file holds them."""
    return json.dumps(generated()) + "\n"


if __name__ == "__main__":
    FILE.parent.mkdir(exist_ok=True)
    FILE.write_text(written(), "utf-8")
