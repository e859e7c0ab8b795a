"""What a map on paper shows of a farm as of a day, gathered in one flat frame."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.positions import stretch_line
from orchardmap.locale.numbers import number_text
from orchardmap.maps.signs import KIND_KEYS, POWER_LINE
from orchardmap.model.hazard import HazardLine
from orchardmap.model.orchard import Block, Row
from orchardmap.paper.map_content import GroundFeature, MapBlock, MapContent, MapPatch
from orchardmap.store import farm_features as feature_store
from orchardmap.store import hazards as hazard_store
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases.blocks import states_json
from orchardmap.usecases.moments import moment
from orchardmap.usecases.named_blocks import named_blocks

__all__ = ["map_content"]

Json = dict[str, Any]
_LONE_PITCH_M = 4.0
"""Where a block has one row only (common practice)."""


def map_content(
    store: Store,
    farm_id: str,
    glance: Json,
    *,
    blocks: Collection[str] = (),
    language: str = "en",
    now: datetime,
) -> MapContent:
    """Return what a map of a farm, or of some of its blocks, shows.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    glance : dict
        What `orchardmap.usecases.glance.overview` tells of it, as of the day that the map is of.
    blocks : collection of str
        Codes or ids; all when left out.
    language : str
        ISO 639-1 code, of weak areas' words.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If the farm has no such block.
    InputError
        If there is no row to draw.
    """
    figures = {one["id"]: one for one in glance["blocks"]}
    with store.read() as conn:
        at = moment(conn, farm_id, date.fromisoformat(glance["day"]), now)
        # a block may have come since the figures were told
        known = [block for block in orchard.blocks(conn, farm_id) if block.id in figures]
        shown = named_blocks(known, blocks)
        ids = [block.id for block in shown]
        rows = orchard.rows_of_blocks(conn, ids)
        states = states_json(conn, at, ids, language=language)
        lines = hazard_store.hazard_lines(conn, farm_id)
        features = feature_store.farm_features(conn, farm_id)
    shown = [block for block in shown if rows[block.id]]
    if not shown:
        raise InputError("there is no row to draw", todo="Give the blocks rows first: Set-up.")
    frame = _Frame([row.line for block in shown for row in rows[block.id]])
    return MapContent(
        farm=at.farm.name,
        season=at.season.name if at.season else "",
        day=at.day,
        blocks=tuple(
            _block(block, rows[block.id], states[block.id], figures[block.id], frame) for block in shown
        ),
        features=(
            *(GroundFeature(one.kind, one.name, frame.flat([one.shape])[0]) for one in features),
            *(_power_line(one, frame, language) for one in lines),
        ),
        made_at=at.clock,
    )


class _Frame:
    """The farm's one flat frame: metres east and north of the middle of what is shown."""

    def __init__(self, lines: Sequence[BaseGeometry]) -> None:
        self._origin = origin_lonlat(shapely.get_coordinates(lines))

    def flat(self, shapes: Sequence[BaseGeometry]) -> Any:  # noqa: ANN401 - an array of shapes
        together = np.array(list(shapes), dtype=object)
        return shapely.transform(together, lambda lonlat: local_xy_m(lonlat, self._origin))


def _block(block: Block, rows: Sequence[Row], state: Json, told: Json, frame: _Frame) -> MapBlock:
    runs: dict[int, list[tuple[int, int, str]]] = defaultdict(list)
    for row, first, last, kind, _ in state["runs"]:
        runs[row].append((first, last, KIND_KEYS[kind]))
    rest = "closed" if state["closed"] else "to_prune"
    pieces: dict[str, list[BaseGeometry]] = defaultdict(list)
    for row in rows:
        for key, first, last in _stretches(row, runs.get(row.number, ()), rest):
            whole = first <= 1 and last >= row.positions
            pieces[key].append(row.line if whole else stretch_line(row, first=first, last=last))
    flat = frame.flat([row.line for row in rows])
    outline = None if block.outline is None else frame.flat([block.outline])[0]
    return MapBlock(
        id=block.id,
        code=block.code,
        variety=told["variety"],
        trees=told["trees"],
        pruned=told["pruned"],
        verdict=told["verdict"],
        numbers=np.array([row.number for row in rows]),
        rows=flat,
        stretches={key: frame.flat(found) for key, found in pieces.items()},
        pitch_m=block.planting.row_spacing_m if block.planting else _pitch_m(flat),
        outline=outline,
        patches=tuple(_patch(one, frame) for one in state["weak"] if one["ring"]),
        has_overlap=told["overlap"] > 0,
        has_again=told["again"] > 0,
        has_weak=told["weak"] > 0,
        closed_until=(state["closed"] or {}).get("until", ""),
    )


def _stretches(row: Row, runs: Sequence[tuple[int, int, str]], rest: str) -> Iterator[tuple[str, int, int]]:
    """Return a row from end to end as (key of a line form, first, last position)."""
    at = 1
    for first, last, key in sorted(runs):
        if first > at:
            yield rest, at, first - 1
        yield key, first, last
        at = last + 1
    if at <= row.positions or at == 1:
        yield rest, at, row.positions


def _pitch_m(rows: Any) -> float:  # noqa: ANN401 - an array of shapes
    """Return the usual distance from a surveyed row to the next."""
    if len(rows) < 2:
        return _LONE_PITCH_M
    return float(np.median(shapely.distance(rows[:-1], rows[1:]))) or _LONE_PITCH_M


def _power_line(line: HazardLine, frame: _Frame, language: str) -> GroundFeature:
    name = f"{line.name} {number_text(line.kv, language)} kV"
    return GroundFeature(POWER_LINE, name, frame.flat([line.line])[0])


def _patch(area: Mapping[str, Any], frame: _Frame) -> MapPatch:
    return MapPatch(area["state"], frame.flat([Polygon(area["ring"])])[0], area["odds_words"])
