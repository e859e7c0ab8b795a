"""Layers of the work and of how well it was done: marks, checks, weak areas."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.geometry.positions import position_lonlat, stretch_line
from orchardmap.model.orchard import Block, Row
from orchardmap.store import log, orchard
from orchardmap.usecases.checked_trees import ReadCheck, point_words, read_checks
from orchardmap.usecases.layer_reading import Found, Reading, found
from orchardmap.usecases.return_facts import past_checks, return_facts
from orchardmap.usecases.weak_telling import standing_areas

__all__ = ["check_features", "mark_features", "weak_area_features"]

Features = dict[str, list[Found]]
"""By block id."""


def mark_features(reading: Reading, blocks: Sequence[Block]) -> Features:
    """Return the marks that count, were not withdrawn, and are of the day or earlier."""
    ids = [block.id for block in blocks]
    season, until = reading.at.season, reading.at.until
    kept = log.marks_of_blocks(reading.conn, ids, season.id) if season else []
    counting: dict[str, list[Any]] = defaultdict(list)
    for mark in sorted(kept, key=lambda mark: str(mark.id)):
        if mark.counts and not mark.withdrawn and (until is None or mark.day <= until):
            counting[mark.block_id].append(mark)
    rows = orchard.rows_of_blocks(reading.conn, ids)
    return {block.id: _marks_of_block(reading, block, rows[block.id], counting[block.id]) for block in blocks}


def _marks_of_block(reading: Reading, block: Block, rows: Sequence[Row], marks: Sequence[Any]) -> list[Found]:
    by_number = {row.number: row for row in rows}
    return [_mark(reading, block, by_number.get(mark.row), mark) for mark in marks]


def _mark(reading: Reading, block: Block, row: Row | None, mark: Any) -> Found:  # noqa: ANN401 - a row of the marks table
    last = min(mark.last, row.positions) if row else 0
    odd = row.blanks | row.pollinizers if row else frozenset()
    is_there = row is not None and mark.first <= last
    return found(
        mark.id,
        mark.id,
        stretch_line(row, first=mark.first, last=last) if row is not None and is_there else None,
        block.code,
        mark.row,
        mark.first,
        mark.last,
        sum(at not in odd for at in range(mark.first, last + 1)),
        mark.day,
        reading.crews.get(mark.crew_id),
        mark.method,
        mark.return_id is not None,
        reading.people.get(mark.recorder_id),
    )


def check_features(reading: Reading, blocks: Sequence[Block]) -> Features:
    """Return the looks at trees that count, as the map tells them on the day."""
    ids = [block.id for block in blocks]
    states = reading.states(ids)
    checks = read_checks(reading.conn, reading.at, ids, states=list(states.values()))
    if not checks:
        return {}
    words = point_words(reading.conn, reading.at, checks, reading.language)
    is_past = past_checks(return_facts(reading.conn, reading.at, ids))
    rows = orchard.rows_of_blocks(reading.conn, sorted({check.block_id for check in checks}))
    codes = {block.id: block.code for block in blocks}
    places = _points(rows, checks)
    told: Features = defaultdict(list)
    for check in sorted(checks, key=lambda check: check.id):
        told[check.block_id].append(
            found(
                check.id,
                check.id,
                places.get(check.id),
                codes[check.block_id],
                check.row,
                check.position,
                check.day,
                check.verdict,
                _sentences(check.failed, words.get(check.block_id, {})),
                check.note or None,
                reading.crews.get(check.crew_id),
                check.drawn,
                check.second,
                is_past(check),
                reading.people.get(check.auditor_id),
            )
        )
    return told


def _points(rows: Mapping[str, Sequence[Row]], checks: Sequence[ReadCheck]) -> dict[str, BaseGeometry]:
    """Return where the checked trees stand, by check id; a tree that a recount took away stands nowhere."""
    of_row: dict[tuple[str, int], list[ReadCheck]] = defaultdict(list)
    for check in checks:
        of_row[check.block_id, check.row].append(check)
    told: dict[str, BaseGeometry] = {}
    for block_id, found_rows in rows.items():
        for row in found_rows:
            here = [one for one in of_row[block_id, row.number] if 1 <= one.position <= row.positions]
            if here:
                points = position_lonlat(row, [one.position for one in here]).round(8)
                told |= {one.id: shapely.Point(at) for one, at in zip(here, points, strict=True)}
    return told


def _sentences(keys: Sequence[str], words: Mapping[str, str]) -> str | None:
    return " ".join(words.get(key, key) for key in keys) or None


def weak_area_features(reading: Reading, blocks: Sequence[Block]) -> Features:
    """Return the areas that stand on the day at the farm's own level, as the map shows them."""
    ids = [block.id for block in blocks]
    areas = standing_areas(reading.conn, reading.at, ids, language=reading.language)
    return {
        block_id: [_weak_area(reading, area) for area in sorted(of_block, key=lambda area: str(area["id"]))]
        for block_id, of_block in areas.items()
    }


def _weak_area(reading: Reading, area: Mapping[str, Any]) -> Found:
    return found(
        area["id"],
        area["id"],
        shapely.Polygon(area["ring"]) if area["ring"] else None,
        area["block_code"],
        reading.at.day,
        area["state"],
        *area["rows"],
        *area["positions"],
        area["trees"],
        area["checked"],
        area["faulty"],
        area["odds_words"],
        ", ".join(crew["crew"] for crew in area["crews"]) or None,
        " ".join(point["sentence"] for point in area["points"]) or None,
    )
