"""Make the demo farm in a store, through the same use cases as a real farm."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

import numpy as np
import shapely
from shapely.geometry import MultiLineString

from orchardmap.demo import ground, people
from orchardmap.demo.briefs import publish_briefs
from orchardmap.demo.checks import Patch
from orchardmap.demo.counts import counted_trees
from orchardmap.demo.giving import give_out
from orchardmap.demo.handing_in import all_taken
from orchardmap.demo.ids import uuid7
from orchardmap.demo.land import LaidOut, laid_out
from orchardmap.demo.lots import Inspected, Season
from orchardmap.demo.pay import Payday, pay_people
from orchardmap.demo.record import SeasonRecord, season_record
from orchardmap.demo.returns import SentBack
from orchardmap.demo.season import ZONE, moment, must_finish_on, opens_on, season_name
from orchardmap.demo.season_before import YEAR, work_before
from orchardmap.demo.slips import Claim
from orchardmap.demo.surroundings import draw_surroundings
from orchardmap.demo.trees import stand
from orchardmap.demo.weather import weather_csv
from orchardmap.demo.work import BlockAtWork, CrewAtWork
from orchardmap.demo.working_time import say_when_it_works
from orchardmap.model.check import Check
from orchardmap.model.lot import Lot
from orchardmap.model.orchard import Block, Row
from orchardmap.model.returns import Return
from orchardmap.model.season import Closure
from orchardmap.model.season import Season as SeasonOfFarm
from orchardmap.model.tree_count import TreeCount
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases import (
    closing,
    crew_days,
    ground_editing,
    hazard_lines,
    planting,
    recording,
    tree_counts,
    weather,
)
from orchardmap.usecases.hazard_lines import NewLine
from orchardmap.usecases.planting import BlockPlan

CLOSURE_REASON = "spray re-entry: winter wash"
POWER_LINE, LINE_KV = "Pump line", 11.0
STEEP_BLOCK, STEEP_PERCENT = "B3", 22.0


@dataclass(frozen=True, slots=True)
class DemoTruth:
    """What was invented, so that tests and figures can be held against it."""

    farm_id: str
    season_id: str
    block_ids: dict[str, str]
    """Code -> id."""
    crew_ids: dict[str, str]
    """Name -> id."""
    record: SeasonRecord
    """What was handed in, but for what was checked of lots."""
    lots: tuple[Lot, ...]
    """As drawn, in order."""
    lot_checks: tuple[Check, ...]
    returns: tuple[Return, ...]
    """The last one is over the weak area of the first patch."""
    closure: Closure

    @property
    def patches(self) -> tuple[Patch, Patch]:
        """Where the work is weak."""
        return self.record.patches

    @property
    def overlap(self) -> Claim:
        """What two crews both claim."""
        return self.record.overlap


def build_demo(store: Store, *, seed: int = 7, today: date, now: datetime) -> DemoTruth:
    """Make the farm and its season up to now.

    Parameters
    ----------
    store : Store
        Open for writing, without a farm of this name.
    seed : int
        The same seed, day and moment give the same farm and the same records (ids that the use
        cases make for blocks, crews and people are new each time).
    today : date
        The day the demo is looked at, in the farm's time zone.
    now : datetime with time zone
        The moment it is looked at: nothing is recorded after it.

    Returns
    -------
    DemoTruth

    Notes
    -----
    Stops with `ConflictError` if there is a farm of this name already, or if a record was not taken.
    """
    trees_rng, device_rng, season_rng, weather_rng, count_rng, lots_rng, returns_rng, pay_rng = (
        np.random.default_rng(seed).spawn(8)
    )
    opening = opens_on(today)
    set_up_at = moment(opening - timedelta(days=7), 1.0)
    farm = planting.create_farm(store, name=people.FARM_NAME, time_zone=people.TIME_ZONE, now=set_up_at)
    variety_ids = _vary(store, farm.id)
    blocks = _plant(store, farm.id, variety_ids, rng=trees_rng)
    _warn(store, farm.id, blocks, now=set_up_at)
    draw_surroundings(store, farm.id, now=set_up_at)
    season = _open(store, farm.id, today)
    publish_briefs(store, farm.id, season_id=season.id, variety_ids=variety_ids, opening=opening)
    auditor_ids = _hire(store, farm.id)
    crews = _form(store, farm.id, blocks=blocks, at=set_up_at, rng=device_rng)
    work_before(store, _open(store, farm.id, today - YEAR), crews, blocks, seed=seed)
    say_when_it_works(store, season, crews, now=set_up_at)
    at_work = list(blocks.values())
    counts = counted_trees(at_work, season.id, opening=opening, recorder_id=auditor_ids[0], rng=count_rng)
    _count(store, farm.id, counts)
    whole = season_record(crews, season.id, today=today, auditor_ids=auditor_ids, rng=season_rng)
    record = whole.until(now)
    about = Season(farm.id, season.id, crews, record.patches, auditor_ids, now)
    sent_back = SentBack(Inspected(store, about, lots_rng), record.patches, returns_rng)
    _work_through(store, farm.id, record=record, sent_back=sent_back, today=today)
    told = weather_csv({mark.day for mark in record.standing}, today=today, rng=weather_rng)
    weather.load_weather(store, farm_id=farm.id, content=told, name="invented weather", now=now)
    pay_people(store, Payday(farm.id, season.id, crews, variety_ids, today, now), pay_rng)
    closure = _close(store, record.closed_block_id, today=today, now=now)
    give_out(store, farm.id, now=now)
    return DemoTruth(
        farm_id=farm.id,
        season_id=season.id,
        block_ids={code: block.block_id for code, block in blocks.items()},
        crew_ids={crew.gang.name: crew.crew_id for crew in crews},
        record=record,
        lots=tuple(sent_back.inspected.lots),
        lot_checks=tuple(sent_back.inspected.checks),
        returns=tuple(sent_back.returns),
        closure=closure,
    )


def _open(store: Store, farm_id: str, today: date) -> SeasonOfFarm:
    return planting.add_season(
        store,
        farm_id=farm_id,
        name=season_name(today),
        opens_on=opens_on(today),
        must_finish_on=must_finish_on(today),
    )


def _vary(store: Store, farm_id: str) -> dict[str, str]:
    return {
        name: planting.add_variety(
            store,
            farm_id=farm_id,
            name=name,
            habit=habit,
            habit_source=source,
            is_biennial=name in people.BIENNIAL,
            is_canker_prone=name in people.CANKER_PRONE,
        ).id
        for name, habit, source in people.VARIETIES
    }


def _plant(
    store: Store, farm_id: str, variety_ids: Mapping[str, str], *, rng: np.random.Generator
) -> dict[str, BlockAtWork]:
    land = laid_out()
    plans = [
        BlockPlan(one.plot.code, one.plot.name, variety_ids[one.plot.variety], one.outline, one.planting)
        for one in land
    ]
    made = planting.plant_blocks(store, farm_id=farm_id, plans=plans)
    return {
        one.plot.code: _walked(store, one, block=block, rng=rng)
        for one, block in zip(land, made, strict=True)
    }


def _walked(store: Store, one: LaidOut, *, block: Block, rng: np.random.Generator) -> BlockAtWork:
    found = stand(one.plot, _rows(store, block.id), rng=rng)
    planting.count_rows(
        store,
        block.id,
        {
            number: (counted, sorted(blanks), sorted(pollinizers))
            for number, (counted, blanks, pollinizers) in found.items()
        },
    )
    return BlockAtWork(block.id, one.plot, tuple(_rows(store, block.id)))


def _warn(store: Store, farm_id: str, blocks: Mapping[str, BlockAtWork], *, now: datetime) -> None:
    """Say where the power line hangs, and which block is steep."""
    drawn = ground.as_lonlat(shapely.get_coordinates(ground.power_line()))
    line = NewLine(POWER_LINE, LINE_KV, MultiLineString([drawn.tolist()]))
    hazard_lines.add_line(store, farm_id=farm_id, line=line, now=now)
    steep = {"slope_percent": STEEP_PERCENT}
    ground_editing.edit_block(store, block_id=blocks[STEEP_BLOCK].block_id, changes=steep, now=now)


def _rows(store: Store, block_id: str) -> list[Row]:
    with store.read() as conn:
        return orchard.rows(conn, block_id)


def _hire(store: Store, farm_id: str) -> list[str]:
    made = [planting.add_person(store, farm_id=farm_id, name=name, role=role) for name, role in people.OTHERS]
    return [person.id for person in made if person.role == "auditor"]


def _form(
    store: Store, farm_id: str, *, blocks: Mapping[str, BlockAtWork], at: datetime, rng: np.random.Generator
) -> list[CrewAtWork]:
    """Form the crews, each with a tablet."""
    formed = []
    for gang in people.GANGS:
        crew = planting.add_crew(store, farm_id=farm_id, name=gang.name, method=gang.method)
        foreman = planting.add_person(
            store, farm_id=farm_id, name=gang.foreman, role="foreman", crew_id=crew.id
        )
        for name in gang.workers:
            planting.add_person(store, farm_id=farm_id, name=name, role="worker", crew_id=crew.id)
        own = tuple(blocks[code] for code in gang.blocks)
        formed.append(CrewAtWork(gang, crew.id, foreman.id, uuid7(at, rng), own))
    return formed


def _work_through(
    store: Store, farm_id: str, *, record: SeasonRecord, sent_back: SentBack, today: date
) -> None:
    """Upload each day's records as the tablets did, at the moment the last of them was made; each week begins with lots."""
    week = None
    for day in record.by_day():
        at = day.last_at
        if week is not None and week != at.isocalendar().week:
            sent_back.week(at.date())
            sent_back.inspected.week(at.date())
        week = at.isocalendar().week
        all_taken(recording.record_marks(store, farm_id=farm_id, marks=day.marks, sent_at=at, now=at))
        all_taken(
            recording.record_withdrawals(
                store, farm_id=farm_id, withdrawals=day.withdrawals, sent_at=at, now=at
            )
        )
        all_taken(recording.record_checks(store, farm_id=farm_id, checks=day.checks, sent_at=at, now=at))
        all_taken(
            crew_days.record_crew_days(store, farm_id=farm_id, crew_days=day.crew_days, sent_at=at, now=at)
        )
    sent_back.inspected.today(today)
    sent_back.area(record.patches[0], today)


def _count(store: Store, farm_id: str, counts: Sequence[TreeCount]) -> None:
    """Upload what was counted, on the evening of that day."""
    at = counts[-1].device_at
    all_taken(tree_counts.record_tree_counts(store, farm_id=farm_id, counts=counts, sent_at=at, now=at))


def _close(store: Store, block_id: str, *, today: date, now: datetime) -> Closure:
    """Close a block from yesterday at four in the afternoon to tomorrow at the same hour."""
    at_four = datetime.combine(today, time(16), ZONE)
    return closing.close_block(
        store,
        block_id=block_id,
        span=(at_four - timedelta(days=1), at_four + timedelta(days=1)),
        reason=CLOSURE_REASON,
        now=now,
    )
