"""A second, smaller invented farm that the demo's adviser advises too: what there is to lay side by side.

The same people never work on both, and nothing of one is told on the other.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
from shapely.geometry import Polygon

from orchardmap.demo.ground import as_lonlat
from orchardmap.demo.ids import uuid7
from orchardmap.demo.people import NEIGHBOUR_NAME, TIME_ZONE, VARIETIES
from orchardmap.demo.season import (
    CLOCK_HOURS_A_DAY,
    HOURS_A_DAY,
    WorkDay,
    moment,
    must_finish_on,
    opens_on,
    season_name,
    work_days,
)
from orchardmap.errors import ConflictError
from orchardmap.model.calendar import CrewStrength, SeasonCalendar
from orchardmap.model.check import Check
from orchardmap.model.orchard import Block, Planting
from orchardmap.model.people import Crew
from orchardmap.model.season import Season
from orchardmap.model.work import CrewDay, Mark, Receipt
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases import crew_days, planting, recording, working_time
from orchardmap.usecases.planting import BlockPlan

__all__ = ["build_neighbour"]

EXPECTED_PACE = 9.0
"""Invented, as everything here: trees of a person-hour."""
SHEET_M = (4_300.0, -1_900.0)
"""Where the farm lies on the sheet of the first one."""
CHECKED_SHARE = 0.03


@dataclass(frozen=True, slots=True)
class _Field:
    code: str
    name: str
    variety: str
    west_m: float
    south_m: float
    row_spacing_m: float
    tree_spacing_m: float


FIELDS = (
    _Field("1", "Kiln Garth", "Cox's Orange Pippin", 0.0, 0.0, 3.6, 1.7),
    _Field("2", "Slape Ing", "James Grieve", 0.0, 190.0, 4.0, 2.2),
    _Field("3", "Thistle Rigg", "Egremont Russet", 170.0, 0.0, 3.5, 1.6),
    _Field("4", "Long Butts", "Bramley's Seedling", 170.0, 190.0, 6.0, 5.0),
)
WIDE_M, HIGH_M = 155.0, 175.0


@dataclass(frozen=True, slots=True)
class _Team:
    name: str
    people: int
    pace: float
    """Trees of a person-hour."""
    fault_share: float
    fields: tuple[int, ...]


TEAMS = (
    _Team("Alder", 3, 9.6, 0.10, (0, 3)),
    _Team("Sallow", 3, 8.2, 0.03, (2, 1)),
)


def build_neighbour(store: Store, *, seed: int = 11, today: date, now: datetime) -> str:
    """Make the second farm and its season up to the evening before.

    Parameters
    ----------
    store : Store
        Open for writing, without a farm of this name.
    seed : int
        The same seed and day give the same records.
    today : date
        In the farm's time zone.
    now : datetime with time zone
        When it is looked at.

    Returns
    -------
    str
        Id of the farm.

    Raises
    ------
    ConflictError
        If there is a farm of this name already, or a record was not taken.
    """
    rng = np.random.default_rng(seed)
    farm = planting.create_farm(
        store, name=NEIGHBOUR_NAME, time_zone=TIME_ZONE, now=moment(opens_on(today) - timedelta(days=7), 1.0)
    )
    blocks = _plant(store, farm.id)
    season = planting.add_season(
        store,
        farm_id=farm.id,
        name=season_name(today),
        opens_on=opens_on(today),
        must_finish_on=must_finish_on(today),
    )
    auditor = planting.add_person(store, farm_id=farm.id, name="Sigrun Halloway", role="auditor")
    crews = [planting.add_crew(store, farm_id=farm.id, name=team.name, method="ladder") for team in TEAMS]
    _say_when_it_works(store, season, crews, now=now)
    days = [one for one in work_days(today, rng) if one.day < today]
    made = _Winter(store, season, auditor.id, rng)
    for team, crew in zip(TEAMS, crews, strict=True):
        made.work(team, crew, [blocks[at] for at in team.fields], days)
    return farm.id


def _plant(store: Store, farm_id: str) -> list[Block]:
    wanted = {one.variety for one in FIELDS}
    varieties = {
        name: planting.add_variety(store, farm_id=farm_id, name=name, habit=habit, habit_source=source).id
        for name, habit, source in VARIETIES
        if name in wanted
    }
    plans = [
        BlockPlan(
            one.code,
            one.name,
            varieties[one.variety],
            _outline(one),
            Planting(
                bearing_deg=0.0,
                row_spacing_m=one.row_spacing_m,
                tree_spacing_m=one.tree_spacing_m,
                end_offset_m=1.0,
                first_row_offset_m=one.row_spacing_m / 2,
                headland_m=6.0,
                min_row_length_m=12.0,
            ),
        )
        for one in FIELDS
    ]
    return planting.plant_blocks(store, farm_id=farm_id, plans=plans)


def _outline(one: _Field) -> Polygon:
    west, south = SHEET_M[0] + one.west_m, SHEET_M[1] + one.south_m
    corners = [(0.0, 0.0), (WIDE_M, 0.0), (WIDE_M - 9.0, HIGH_M), (6.0, HIGH_M - 8.0)]
    return Polygon(as_lonlat(np.array([(west + x_m, south + y_m) for x_m, y_m in corners])))


def _say_when_it_works(store: Store, season: Season, crews: Sequence[Crew], *, now: datetime) -> None:
    calendar = SeasonCalendar(
        hours_per_day=CLOCK_HOURS_A_DAY, expected_pace=EXPECTED_PACE, respects_daylight=False
    )
    working_time.save_calendar(store, farm_id=season.farm_id, season_id=season.id, calendar=calendar, now=now)
    ends = season.must_finish_on + timedelta(weeks=12)
    strengths = [
        CrewStrength(crew.id, season.opens_on, ends, team.people)
        for team, crew in zip(TEAMS, crews, strict=True)
    ]
    working_time.save_strengths(store, farm_id=season.farm_id, strengths=strengths, now=now)


@dataclass(frozen=True, slots=True)
class _Winter:
    """Hands in what was done, crew by crew and day by day."""

    store: Store
    season: Season
    auditor_id: str
    rng: np.random.Generator

    def work(self, team: _Team, crew: Crew, blocks: Sequence[Block], days: Sequence[WorkDay]) -> None:
        """Prune whole rows, as many as the day allows; a checker looks at drawn trees of each on the same evening."""
        with self.store.read() as conn:
            rows = [(block, row) for block in blocks for row in orchard.rows(conn, block.id)]
        for day in days:
            at = moment(day.day, 7.5)
            left = team.people * day.hours * team.pace * float(self.rng.normal(1.0, 0.12))
            marks = []
            while rows and left >= rows[0][1].positions / 2:
                block, row = rows.pop(0)
                left -= row.positions
                marks.append(self._mark(crew, block, row.number, row.positions, at))
            if not marks:
                continue
            hours = CLOCK_HOURS_A_DAY * day.hours / HOURS_A_DAY
            self._hand_in(marks, self._said(team, crew, hours, at), self._checks(team, marks, at), at)

    def _mark(self, crew: Crew, block: Block, row: int, last: int, at: datetime) -> Mark:
        return Mark(
            id=uuid7(at, self.rng), season_id=self.season.id, block_id=block.id, row=row, first=1, last=last,
            crew_id=crew.id, day=at.date(), method="ladder", recorder_id=None, device_id=None, device_at=at,
        )  # fmt: skip

    def _said(self, team: _Team, crew: Crew, hours: float, at: datetime) -> CrewDay:
        return CrewDay(
            id=uuid7(at, self.rng), season_id=self.season.id, crew_id=crew.id, day=at.date(), people=team.people,
            hours=round(4.0 * hours) / 4.0, method="ladder", recorder_id=None, device_id=None, device_at=at,
        )  # fmt: skip

    def _checks(self, team: _Team, marks: Sequence[Mark], at: datetime) -> list[Check]:
        return [
            Check(
                id=uuid7(at, self.rng), season_id=mark.season_id, block_id=mark.block_id, row=mark.row, position=position,
                auditor_id=self.auditor_id, day=at.date(), device_id=None, device_at=at, drawn=True,
                verdict="faulty" if self.rng.random() < team.fault_share else "meets",
            )
            for mark in marks
            for position in range(1, mark.last + 1)
            if self.rng.random() < CHECKED_SHARE
        ]  # fmt: skip

    def _hand_in(self, marks: Sequence[Mark], said: CrewDay, checks: Sequence[Check], at: datetime) -> None:
        where = self.season.farm_id
        _taken(recording.record_marks(self.store, farm_id=where, marks=marks, sent_at=at, now=at))
        _taken(recording.record_checks(self.store, farm_id=where, checks=checks, sent_at=at, now=at))
        _taken(crew_days.record_crew_days(self.store, farm_id=where, crew_days=[said], sent_at=at, now=at))


def _taken(receipts: Sequence[Receipt]) -> None:
    for receipt in receipts:
        if receipt.outcome != "taken":
            raise ConflictError(f"a demo record was {receipt.outcome}: {receipt.reason}", where=receipt.id)
