"""Notices on when to cut, from marks, weather, varieties and a farm's settings: what is at risk, never what is allowed."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from orchardmap.model.weather import WeatherDay
from orchardmap.pruning.bud_break import GreenTip
from orchardmap.pruning.farm_settings import FarmSettings
from orchardmap.pruning.spring import spring_green_tip
from orchardmap.pruning.timing import day_spells, first_frosts
from orchardmap.pruning.weather import DailyWeather

__all__ = [
    "BlockAtWork",
    "Cuts",
    "Level",
    "Notice",
    "NoticeKind",
    "SeasonDays",
    "timing_notices",
]

NoticeKind = Literal["frost_on_cuts", "frost_ahead", "wet_cuts", "wet_ahead", "order", "green_tip"]
Level = Literal["high", "falling", "note"]
Days = NDArray[np.datetime64]


@dataclass(frozen=True, slots=True)
class BlockAtWork:
    """What of a block decides on its timing."""

    id: str
    code: str
    is_biennial: bool
    is_canker_prone: bool
    pruned: int
    """Trees."""
    left: int
    """Trees still to prune."""


@dataclass(frozen=True, slots=True, eq=False)
class Cuts:
    """Rows in which was cut on a day: one entry for each block, row and day."""

    block: NDArray[np.int64]
    """Index of the block, shape (n,)."""
    row: NDArray[np.int64]
    """Number of the row, shape (n,)."""
    day: Days
    """Shape (n,), unit D."""


@dataclass(frozen=True, slots=True)
class SeasonDays:
    """Which days are looked at."""

    opens_on: date
    must_finish_on: date
    day: date
    """The day that somebody looks at: what comes after it lies ahead."""
    is_southern: bool = False
    """The farm lies south of the equator."""


@dataclass(frozen=True, slots=True)
class Notice:
    """One notice; which of the later fields are filled depends on its kind."""

    kind: NoticeKind
    level: Level
    asks_today: bool = False
    """Somebody should know today: it is high, and not of long ago."""
    days: tuple[date, ...] = ()
    """Days of the frost, or wet days, in order."""
    forecast_days: tuple[date, ...] = ()
    """Days that it rests on and that nobody measured: the table has them as they were forecast. In order."""
    tmin_c: float | None = None
    """The lowest of a frost, degrees Celsius."""
    cut_days: tuple[date, ...] = ()
    """Days of the cuts in question, in order."""
    rows: int = 0
    """Rows in which they were made."""
    blocks: tuple[BlockAtWork, ...] = ()
    others: tuple[BlockAtWork, ...] = ()
    """Annual bearers that are not finished."""
    green_tip: GreenTip | None = None
    table_ends: date | None = None
    """Last day without a gap that green tip was reckoned to."""
    left: int = 0
    """Trees still to prune on the whole farm."""


@dataclass(frozen=True, slots=True, eq=False)
class _Told:
    """What all notices are made from."""

    season: SeasonDays
    blocks: Sequence[BlockAtWork]
    cuts: Cuts
    settings: FarmSettings
    days: Days
    tmin_c: NDArray[np.float64]
    rain_mm: NDArray[np.float64]
    forecast: Days
    today: np.datetime64 = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "today", np.datetime64(self.season.day))

    def of(self, chosen: NDArray[np.bool_]) -> tuple[BlockAtWork, ...]:
        """Return the blocks of some cuts, in the farm's order."""
        return tuple(self.blocks[i] for i in np.unique(self.cuts.block[chosen]))

    def guessed(self, days: Days) -> tuple[date, ...]:
        """Return those of some days that are kept as they were forecast."""
        return _dates(days[np.isin(days, self.forecast)])


def timing_notices(
    season: SeasonDays,
    blocks: Sequence[BlockAtWork],
    cuts: Cuts,
    weather: Sequence[WeatherDay],
    settings: FarmSettings,
    *,
    forecast: Collection[date] = (),
) -> list[Notice]:
    """Return the notices of a season as of a day, the most urgent first.

    Parameters
    ----------
    season : SeasonDays
        And the day that is looked at.
    blocks : sequence of BlockAtWork
        Of the farm, in its order.
    cuts : Cuts
        Of the season up to that day, in any order.
    weather : sequence of WeatherDay
        Measured and forecast days in order, none twice; days may be missing, and then nothing is known of them.
    settings : FarmSettings
        Limits for frost and rain.
    forecast : collection of date
        Days of that weather that nobody measured.

    Returns
    -------
    list of Notice
        Those that ask for somebody today, then by level, then in the order of `NoticeKind`.
    """
    told = _Told(
        season,
        blocks,
        cuts,
        settings,
        np.array([one.day for one in weather], "datetime64[D]"),
        np.array([one.tmin_c for one in weather], np.float64),
        np.array([np.nan if one.rain_mm is None else one.rain_mm for one in weather], np.float64),
        np.array(sorted(forecast), "datetime64[D]"),
    )
    tip = spring_green_tip(season.opens_on, season.must_finish_on, weather, is_southern=season.is_southern)
    notices = [
        *_frosts_on_cuts(told),
        *_frosts_ahead(told),
        *_wet_cuts(told),
        *_wet_ahead(told),
        *_order(blocks),
        *([] if tip is None else [_green_tip_notice(told, *tip)]),
    ]
    rank = {"high": 0, "falling": 1, "note": 2}
    return sorted(notices, key=lambda one: (not one.asks_today, rank[one.level]))


def _frost_spells(told: _Told) -> list[tuple[Days, float]]:
    """Return the days of each hard frost and its lowest temperature."""
    is_frost = told.tmin_c <= told.settings.hard_frost_c
    frosts, low_c = told.days[is_frost], told.tmin_c[is_frost]
    spell = day_spells(frosts)
    return [(frosts[spell == k], float(low_c[spell == k].min())) for k in np.unique(spell)]


def _frosts_on_cuts(told: _Told) -> list[Notice]:
    settings, cuts = told.settings, told.cuts
    found = []
    spells = _frost_spells(told)
    every_frost = np.concatenate([days for days, _ in spells]) if spells else told.days[:0]
    next_frost = first_frosts(cuts.day, every_frost)
    waited = (next_frost - cuts.day).astype(int)
    is_high = waited <= settings.frost_high_risk_days
    is_falling = ~is_high & (waited <= settings.frost_falling_risk_days)
    for days, low_c in spells:
        is_of_spell = np.isin(next_frost, days)
        # a frost of long ago cannot ask for anything any more
        is_recent = bool(days[-1] + np.timedelta64(settings.frost_falling_risk_days, "D") >= told.today)
        levels: tuple[tuple[Level, NDArray[np.bool_]], ...] = (("high", is_high), ("falling", is_falling))
        for level, has_level in levels:
            chosen = is_of_spell & has_level
            if chosen.any():
                found.append(
                    Notice(
                        "frost_on_cuts",
                        level,
                        asks_today=level == "high" and is_recent,
                        days=_dates(days),
                        forecast_days=told.guessed(days),
                        tmin_c=low_c,
                        cut_days=_dates(np.unique(cuts.day[chosen])),
                        rows=len(np.unique(np.stack([cuts.block[chosen], cuts.row[chosen]]), axis=1).T),
                        blocks=told.of(chosen),
                    )
                )
    return found


def _frosts_ahead(told: _Told) -> list[Notice]:
    found = []
    for days, low_c in _frost_spells(told):
        if days[-1] < told.today:
            continue
        wait = max(0, int((days[0] - told.today).astype(int)))
        is_high = wait <= told.settings.frost_high_risk_days
        level: Level = (
            "high" if is_high else "falling" if wait <= told.settings.frost_falling_risk_days else "note"
        )
        has_work = any(block.left for block in told.blocks)
        found.append(
            Notice("frost_ahead", level, asks_today=is_high and has_work, days=_dates(days), tmin_c=low_c)
        )
    return found


def _wet_days(told: _Told) -> Days:
    return told.days[told.rain_mm >= told.settings.wet_day_mm]


def _wet_cuts(told: _Told) -> list[Notice]:
    is_prone = np.array([block.is_canker_prone for block in told.blocks], np.bool_)
    chosen = np.isin(told.cuts.day, _wet_days(told))
    chosen &= is_prone[told.cuts.block]
    if not chosen.any():
        return []
    wet = np.unique(told.cuts.day[chosen])
    rows = len(np.unique(np.stack([told.cuts.block[chosen], told.cuts.row[chosen]]), axis=1).T)
    return [
        Notice(
            "wet_cuts",
            "note",
            days=_dates(wet),
            forecast_days=told.guessed(wet),
            cut_days=_dates(wet),
            rows=rows,
            blocks=told.of(chosen),
        )
    ]


def _wet_ahead(told: _Told) -> list[Notice]:
    open_ones = tuple(block for block in told.blocks if block.is_canker_prone and block.left)
    wet = _wet_days(told)
    ahead = wet[wet >= told.today]
    if not open_ones or not len(ahead):
        return []
    is_wet_today = bool(ahead[0] == told.today)
    level: Level = "high" if is_wet_today else "note"
    return [Notice("wet_ahead", level, asks_today=is_wet_today, days=_dates(ahead), blocks=open_ones)]


def _order(blocks: Sequence[BlockAtWork]) -> list[Notice]:
    early = tuple(block for block in blocks if block.is_biennial and block.pruned and block.left)
    late = tuple(block for block in blocks if not block.is_biennial and block.left)
    return [Notice("order", "note", blocks=early, others=late)] if early and late else []


def _green_tip_notice(told: _Told, tip: GreenTip, weather: DailyWeather) -> Notice:
    season, blocks, days = told.season, told.blocks, weather.days
    left = sum(block.left for block in blocks)
    is_near = left > 0 and tip.earliest is not None and season.day >= tip.earliest
    ends: date = days[-1].astype(object)
    counted = days[days <= np.datetime64(tip.estimate or ends)]
    level: Level = "high" if is_near else "note"
    open_ones = tuple(block for block in blocks if block.left)
    return Notice(
        "green_tip",
        level,
        asks_today=is_near,
        forecast_days=told.guessed(counted),
        blocks=open_ones,
        green_tip=tip,
        table_ends=ends,
        left=left,
    )


def _dates(days: Days) -> tuple[date, ...]:
    return tuple(days.tolist())
