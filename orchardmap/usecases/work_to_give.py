"""From the records of a season to what a proposal is made from: blocks with work left, crews, days ahead."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np
import shapely

from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.orchard import Block
from orchardmap.model.queue import BlockTerms
from orchardmap.model.season import Season
from orchardmap.planning.pace import fitted_pace
from orchardmap.planning.season import Season as SeasonAhead
from orchardmap.planning.work_ahead import AheadBlock, AheadCrew, Days, Spot
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store import queues as queue_store
from orchardmap.store.session import Connection
from orchardmap.usecases.crew_skills import crew_people, crew_skills, said_people
from orchardmap.usecases.giving_out import trees_left, wanted_season
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.season_ahead import closed_days, last_evening, season_ahead, work_calendar
from orchardmap.usecases.season_records import SeasonRecords, season_records

__all__ = ["LastWork", "WorkToGive", "work_to_give"]

_LOOK_BACK = timedelta(days=21)
_DAYS_AHEAD = 260


class LastWork(NamedTuple):
    """Who pruned in a block last, and when."""

    crew_id: str
    day: date


@dataclass(frozen=True, slots=True)
class WorkToGive:
    """All that a proposal, and the board of it, is made from."""

    season: Season
    left: Mapping[str, int]
    """Trees left of every block, by code."""
    blocks: tuple[AheadBlock, ...]
    """Those with work left, by code."""
    crews: tuple[AheadCrew, ...]
    days: Days
    """Hours are those expected of a day: lost days, and days that are too short, are in them."""
    terms: Mapping[str, BlockTerms]
    worked: Mapping[str, LastWork]
    """Of blocks that are begun and not done."""
    counted: frozenset[str]
    """Crews of which something tells how many people they have; of the others it is a guess."""


class _Known(NamedTuple):
    """What is said of blocks, by their ids."""

    terms: Mapping[str, BlockTerms]
    worked: Mapping[str, LastWork]
    closed: Mapping[str, tuple[tuple[date, date], ...]]


def work_to_give(conn: Connection, at: Moment) -> WorkToGive:
    """Gather what there is to give out.

    Raises
    ------
    UnknownError
        If the farm has no season yet.
    """
    season = wanted_season(at)
    records = season_records(conn, at.farm, season)
    left = trees_left(conn, at)
    spots = _spots(conn, at.farm.id, records.blocks)
    begun = [one for one, trees in left.items() if 0 < trees < records.trees.get(one, 0)]
    work = queue_store.last_work(conn, season.id, block_ids=begun)
    worked = {block: LastWork(crew, day) for block, crew, day in work}
    terms = queue_store.block_terms(conn, season.id)
    blocks = _blocks(conn, records, left, spots, _Known(terms, worked, _closed(records, at)))
    lately = queue_store.last_work(conn, season.id, since=at.today - _LOOK_BACK)
    stands = {crew: spots[block] for block, crew, _ in lately if block in spots}
    days = _days(records, at.today)
    crews = _crews(conn, at, records, stands, days)
    spans = {one.crew_id for one in records.strengths if one.last >= at.today}
    counted = frozenset(said_people(conn, records, at.today)) | spans
    return WorkToGive(season, left, blocks, crews, days, terms, worked, counted)


def _crews(
    conn: Connection, at: Moment, records: SeasonRecords, stands: Mapping[str, Spot], days: Days
) -> tuple[AheadCrew, ...]:
    """Return the crews with the people and paces that the forecast reckons with, as far as it knows them."""
    skills, usual = crew_skills(conn, at, records)
    people = crew_people(conn, records, at.today)
    ahead = season_ahead(records, last_evening(records, at.today, at.today), at.today).season
    known = {} if ahead is None else _strengths(ahead, days)
    paces = {} if ahead is None else _paces(ahead, records)
    found = []
    for c in records.crews:
        n, back_on = known.get(c.id, (people[c.id], None))
        spot = stands.get(c.id)
        paced = paces.get(c.id, {})
        found.append(AheadCrew(c.id, c.name, n, c.method, skills.get(c.id, {}), usual, spot, paced, back_on))
    return tuple(found)


def _strengths(ahead: SeasonAhead, days: Days) -> dict[str, tuple[int, date | None]]:
    """Return the people of each crew on the first day on which it has any, and that day where it is not the first."""
    people = ahead.people_on(np.array(days.days, "datetime64[D]"))
    found: dict[str, tuple[int, date | None]] = {}
    for crew, of_days in zip(ahead.crews, people.T, strict=True):
        there = np.flatnonzero(of_days > 0)
        at = int(there[0]) if there.size else 0
        found[crew] = (max(round(of_days[at]), int(bool(there.size))), days.days[at] if at else None)
    return found


def _paces(ahead: SeasonAhead, records: SeasonRecords) -> dict[str, dict[str, float]]:
    """Return the pace of each crew at each variety that grows here."""
    kinds = sorted({records.work_of(block) for block in records.blocks})
    works = [
        kind._replace(crew=crew, method=ahead.methods.get(crew, "")) for crew in ahead.crews for kind in kinds
    ]
    if not works:
        return {}
    likely = fitted_pace(ahead.history, works, ahead.prior).interval()[0].tolist()
    found: dict[str, dict[str, float]] = {}
    for work, pace in zip(works, likely, strict=True):
        found.setdefault(work.crew, {})[work.variety] = pace
    return found


def _closed(records: SeasonRecords, at: Moment) -> dict[str, tuple[tuple[date, date], ...]]:
    """Return the days on which blocks are closed: at noon, and from today on where they are closed at this moment."""
    by_noon = closed_days(records)
    found = dict(by_noon)
    for one in records.closures:
        if one.holds(at.now):
            last = one.ends_at.astimezone(records.zone).date()
            ends = [until for _, until in by_noon.get(one.block_id, ()) if until <= last]
            now = (at.today, max([at.today, *ends]))
            # what lies within it is the same closure, told by noon
            others = [span for span in found.get(one.block_id, ()) if span[0] < now[0] or span[1] > now[1]]
            found[one.block_id] = (now, *others)
    return found


def _blocks(
    conn: Connection,
    records: SeasonRecords,
    left: Mapping[str, int],
    spots: Mapping[str, Spot],
    known: _Known,
) -> tuple[AheadBlock, ...]:
    varieties = {variety.id: variety for variety in farm_store.varieties(conn, records.farm.id)}
    found = []
    for block in (one for one in records.blocks if left.get(one.id)):
        variety = varieties.get(block.variety_id or "")
        own = known.terms.get(block.id, BlockTerms())
        last = known.worked.get(block.id)
        ahead = AheadBlock(
            block.id,
            spots[block.id],
            left[block.id],
            variety.habit if variety else "unknown",
            own.must_finish_on or records.season.must_finish_on,
            bool(variety and variety.is_biennial),
            last.crew_id if last else None,
            known.closed.get(block.id, ()),
            own.platform_fits,
            block.variety_id or "",
        )
        found.append(ahead)
    return tuple(found)


def _spots(conn: Connection, farm_id: str, blocks: Sequence[Block]) -> dict[str, Spot]:
    """Return where each block lies, in metres from the middle of the farm."""
    extents = orchard.extents(conn, farm_id)
    here = [block for block in blocks if block.id in extents]
    if not here:
        return {}
    boxes = np.array([extents[block.id] for block in here])
    centres = (boxes[:, :2] + boxes[:, 2:]) / 2.0
    origin = origin_lonlat(centres)
    xy_m = local_xy_m(centres, origin)
    # a block of lines alone has no outline: the box around them stands for it
    lonlat = [
        shapely.box(*box) if block.outline is None else block.outline
        for block, box in zip(here, boxes.tolist(), strict=True)
    ]
    ground = shapely.transform(np.array(lonlat), lambda points: local_xy_m(points, origin))
    return {
        block.id: Spot(block.code, (float(x), float(y)), shape)
        for block, (x, y), shape in zip(here, xy_m, ground, strict=True)
    }


def _days(records: SeasonRecords, today: date) -> Days:
    """Return the working days ahead, each with the hours that can be expected of it: weather takes some of them."""
    working = work_calendar(records.calendar or SeasonCalendar(), records.latitude_deg)
    days = working.days(max(today, records.season.opens_on), _DAYS_AHEAD)
    to_do = days[days <= np.datetime64(records.season.must_finish_on)]
    span = to_do if to_do.size else days[:20]
    hours = float((working.hours(span) * (1.0 - working.chances(span))).mean())
    return Days(tuple(days.astype(object).tolist()), max(hours, 1.0))
