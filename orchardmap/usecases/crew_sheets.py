"""Crew sheets of blocks as PDF: what is left in each row as of a day, with dangers, brief and where to begin."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np
import shapely

from orchardmap.errors import InputError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.locale.catalogue import translated
from orchardmap.model.brief import BriefVersion, PointClass
from orchardmap.model.orchard import Block, Row
from orchardmap.model.row_code import read_origin, row_address
from orchardmap.paper.crew_sheet import CrewSheet, SheetRow, Span, crew_sheets_document
from orchardmap.paper.pdf import pdf_of
from orchardmap.pruning.cautions import ALWAYS_SHOWN, caution_texts
from orchardmap.pruning.sentences import point_text
from orchardmap.store import farm as farm_store
from orchardmap.store import log, orchard, row_codes
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.blocks import states_json
from orchardmap.usecases.brief_reading import held_briefs
from orchardmap.usecases.hazards import block_hazards, farm_clearance_m
from orchardmap.usecases.moments import Moment, moment, refuse_day_to_come
from orchardmap.usecases.named_blocks import named_blocks

__all__ = ["MOST_ROWS", "CrewSheetWish", "crew_sheets", "crew_sheets_pdf"]

Json = dict[str, Any]
MOST_ROWS = 3_000
"""In one document: a row takes about 9 ms of one core (measured: 15 s for 1,781), and a service has other work."""
_WEIGHT: dict[PointClass, int] = {"critical": 0, "major": 1, "minor": 2}
_HELD, _AGAIN = 2, 3


@dataclass(frozen=True, slots=True)
class CrewSheetWish:
    """Which sheets, and how."""

    blocks: tuple[str, ...]
    """Codes or ids."""
    language: str = "en"
    only_left: bool = False
    """Leave the rows out in which there is nothing to do."""
    origin: str = ""
    """Scheme, host and port that tablets use for the service; without one a sheet has no code."""


def crew_sheets_pdf(
    store: Store, farm_id: str, wish: CrewSheetWish, *, day: date | None, now: datetime
) -> bytes:
    """Return the sheets of blocks as PDF, as of a day (None: today).

    Raises
    ------
    InputError
        If no sheet is made in that language, no block was named, it has no rows, or they are too many at once.
    UnknownError
        If the farm has no such block.
    PaperError
        If this machine lacks what paper is made with.
    """
    sheets = crew_sheets(store, farm_id, wish, day=day, now=now)
    return pdf_of(crew_sheets_document(sheets, language=wish.language, only_left=wish.only_left))


def crew_sheets(
    store: Store, farm_id: str, wish: CrewSheetWish, *, day: date | None, now: datetime
) -> list[CrewSheet]:
    """Return what stands on the sheets; see `crew_sheets_pdf`."""
    if not wish.blocks:
        raise InputError("no block was named")
    origin = read_origin(wish.origin) if wish.origin else ""
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        refuse_day_to_come(at)
        shown = named_blocks(orchard.blocks(conn, farm_id), wish.blocks)
        ids = [block.id for block in shown]
        rows = orchard.rows_of_blocks(conn, ids)
        _refuse_sizes(shown, {block_id: len(found) for block_id, found in rows.items()})
        known = _Known.of(conn, at, shown, rows, wish.language)
    return [_sheet(block, rows[block.id], known, origin) for block in shown]


def _refuse_sizes(blocks: Sequence[Block], rows: dict[str, int]) -> None:
    empty = [block.code for block in blocks if not rows[block.id]]
    if empty:
        raise InputError(f"block {empty[0]} has no rows", todo="Give it rows first: Set-up.")
    if sum(rows.values()) > MOST_ROWS:
        raise InputError(
            f"that is {sum(rows.values())} rows, {MOST_ROWS} at a time are made",
            todo="Ask for fewer blocks at once.",
        )


@dataclass(frozen=True, slots=True)
class _Known:
    """What of the blocks is told by block id."""

    at: Moment
    language: str
    states: dict[str, Json]
    last_marks: dict[tuple[str, int], date]
    briefs: dict[str, BriefVersion]
    dangers: dict[str, tuple[str, ...]]
    clearance_m: float
    varieties: dict[str, str]
    codes: tuple[str, ...]

    @classmethod
    def of(
        cls, conn: Connection, at: Moment, blocks: Sequence[Block], rows: dict[str, list[Row]], language: str
    ) -> "_Known":
        ids = [block.id for block in blocks]
        last: dict[tuple[str, int], date] = {}
        for mark in log.standing_marks(conn, at.season.id, block_ids=ids, until=at.day) if at.season else ():
            key = mark.block_id, mark.row
            last[key] = max(last.get(key, mark.day), mark.day)
        hazards = block_hazards(conn, at.farm, blocks, rows, now=at.now)
        return cls(
            at=at,
            language=language,
            states=states_json(conn, at, ids, language=language),
            last_marks=last,
            briefs=dict(held_briefs(conn, at, {block.id: block.variety_id for block in blocks})),
            dangers={
                block_id: tuple(translated(one.texts, language) for one in found)
                for block_id, found in hazards.items()
            },
            clearance_m=farm_clearance_m(conn, at.farm.id),
            varieties={one.id: one.name for one in farm_store.varieties(conn, at.farm.id)},
            codes=tuple(one.code for one in row_codes.coded_blocks(conn, [at.farm.id])),
        )


def _sheet(block: Block, rows: Sequence[Row], known: _Known, origin: str) -> CrewSheet:
    runs: dict[int, list[list[int]]] = defaultdict(list)
    for run in known.states[block.id]["runs"]:
        runs[run[0]].append(run)
    listed = tuple(
        _row(row, runs[row.number], known.last_marks.get((block.id, row.number)), begins_at="AB"[at % 2])
        for at, row in enumerate(rows)
    )
    first = next((row.number for row in listed if row.left), None)
    version = known.briefs.get(block.id)
    points = sorted(version.content.points, key=lambda one: _WEIGHT[one.point_class]) if version else []
    cautions = version.content.cautions if version else ALWAYS_SHOWN
    closed = known.states[block.id]["closed"]
    return CrewSheet(
        farm=known.at.farm.name,
        season=known.at.season.name if known.at.season else "",
        day=known.at.day,
        code=block.code,
        variety=known.varieties.get(block.variety_id or "", ""),
        rows=listed,
        trees=sum(row.trees for row in rows),
        trees_left=sum(_trees_left(row, one.left) for row, one in zip(rows, listed, strict=True)),
        bearing_a_deg=_bearing_of_a_deg(rows),
        dangers=known.dangers[block.id],
        points=tuple(point_text(one, known.language) for one in points),
        brief_version=version.version if version else None,
        cautions=tuple(caution_texts(cautions, known.language, clearance_m=known.clearance_m)),
        address=row_address(origin, block.code, first, others=known.codes) if origin and first else "",
        made_at=known.at.clock,
        closed_until=datetime.fromisoformat(closed["until"]) if closed else None,
    )


def _row(row: Row, runs: Sequence[list[int]], last_mark: date | None, *, begins_at: str) -> SheetRow:
    left = tuple(_left(row, runs))
    return SheetRow(
        number=row.number,
        trees=row.trees,
        positions=row.positions,
        begins_at=begins_at,
        left=left,
        done_on=None if left else last_mark,
        again=tuple((first, last) for _, first, last, kind, _ in runs if kind == _AGAIN),
        claimed=tuple((first, last) for _, first, last, kind, _ in runs if kind == _HELD),
    )


def _left(row: Row, runs: Sequence[list[int]]) -> Iterator[Span]:
    """Return the stretches that no mark covers and that hold a tree."""
    at = 1
    for _, first, last, _, _ in [*sorted(runs), [0, row.positions + 1, row.positions + 1, 0, 0]]:
        if first > at and _trees_left(row, [(at, first - 1)]):
            yield at, first - 1
        at = max(at, last + 1)


def _trees_left(row: Row, spans: Sequence[Span]) -> int:
    odd = row.blanks | row.pollinizers
    return sum(last - first + 1 - sum(first <= one <= last for one in odd) for first, last in spans)


def _bearing_of_a_deg(rows: Sequence[Row]) -> float:
    """Return where the first ends of the rows lie as seen from the far ends, clockwise from north."""
    ends = np.array([(row.line.geoms[0].coords[0], row.line.geoms[-1].coords[-1]) for row in rows])[:, :, :2]
    flat = local_xy_m(
        ends.reshape(-1, 2), origin_lonlat(shapely.get_coordinates([row.line for row in rows]))
    ).reshape(-1, 2, 2)
    east, north = (flat[:, 0] - flat[:, 1]).mean(axis=0)
    return float(np.degrees(np.arctan2(east, north)) % 360.0)
