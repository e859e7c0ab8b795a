"""Notices on timing: held against a plain loop over cuts, and laws of weather and order that no case may break."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.locale.catalogue import languages
from orchardmap.model.weather import WeatherDay
from orchardmap.pruning.farm_settings import FarmSettings
from orchardmap.pruning.timing_notices import BlockAtWork, Cuts, SeasonDays, timing_notices
from orchardmap.pruning.timing_texts import notice_json

FIRST = date(2025, 12, 1)
SEASON = SeasonDays(FIRST, date(2026, 3, 31), FIRST + timedelta(30))
SETTINGS = FarmSettings()
BLOCKS = tuple(
    BlockAtWork(str(i), f"K{i}", is_biennial=i % 2 == 1, is_canker_prone=i > 1, pruned=i, left=3 - i)
    for i in range(4)
)
RANK = {"falling": 1, "high": 2}

cuts_of = st.lists(
    st.tuples(st.integers(0, 3), st.integers(1, 4), st.integers(0, 30)), max_size=15, unique=True
)
weather_of = st.lists(
    st.tuples(st.integers(0, 130), st.floats(-25, 15), st.none() | st.floats(0, 5)),
    max_size=40,
    unique_by=lambda one: one[0],
).map(
    lambda found: [
        WeatherDay(day(k), low, low + 8, rain) for k, low, rain in sorted(found, key=lambda o: o[0])
    ]
)


def day(k):
    return FIRST + timedelta(k)


def noticed(cuts, weather, season=SEASON, settings=SETTINGS, forecast=()):
    columns = list(zip(*cuts, strict=True)) or [(), (), ()]
    made = Cuts(
        np.array(columns[0], np.int64),
        np.array(columns[1], np.int64),
        np.array([day(k) for k in columns[2]], "datetime64[D]"),
    )
    return timing_notices(season, BLOCKS, made, weather, settings, forecast=forecast)


def at_risk(cuts, weather):
    """Return each cut at risk with its level, asked for one by one: then a notice says of which cut it speaks."""
    return {
        cut: RANK[one.level] for cut in cuts for one in noticed([cut], weather) if one.kind == "frost_on_cuts"
    }


def of_kind(notices, kind):
    return [one for one in notices if one.kind == kind]


@given(cuts_of, weather_of)
def test_frost_notices_speak_of_the_cuts_that_a_plain_loop_finds(cuts, weather):
    frosts = [one.day for one in weather if one.tmin_c <= SETTINGS.hard_frost_c]
    expected: dict[str, set[tuple[int, int, date]]] = {"high": set(), "falling": set()}
    for block, row, k in cuts:
        wait = min((frost - day(k)).days for frost in [*frosts, date.max] if frost >= day(k))
        if wait <= 14:
            expected["high" if wait <= 2 else "falling"].add((block, row, day(k)))
    for level, found in expected.items():
        told = [one for one in of_kind(noticed(cuts, weather), "frost_on_cuts") if one.level == level]
        assert {b.code for one in told for b in one.blocks} == {f"K{block}" for block, _, _ in found}
        assert {d for one in told for d in one.cut_days} == {d for _, _, d in found}
        assert len({(block, row) for block, row, _ in found}) <= sum(one.rows for one in told) <= len(found)


@given(cuts_of, weather_of, st.floats(0, 12))
def test_a_warmer_table_never_puts_a_cut_at_risk_nor_raises_its_risk(cuts, weather, warmer_c):
    warm = [replace(one, tmin_c=one.tmin_c + warmer_c, tmax_c=one.tmax_c + warmer_c) for one in weather]
    before, after = at_risk(cuts, weather), at_risk(cuts, warm)
    assert all(level <= before.get(cut, 0) for cut, level in after.items())
    frosts = [
        {d for one in of_kind(noticed(cuts, table), "frost_ahead") for d in one.days}
        for table in (weather, warm)
    ]
    assert frosts[1] <= frosts[0]


@given(cuts_of, weather_of, st.floats(0, 9))
def test_more_rain_never_removes_a_wet_notice_or_a_day_or_block_of_it(cuts, weather, more_mm):
    wetter = [one if one.rain_mm is None else replace(one, rain_mm=one.rain_mm + more_mm) for one in weather]
    for kind in ("wet_cuts", "wet_ahead"):
        before, after = of_kind(noticed(cuts, weather), kind), of_kind(noticed(cuts, wetter), kind)
        assert len(before) <= len(after) <= 1
        for one, other in zip(before, after, strict=False):
            assert set(one.days) <= set(other.days)
            assert set(one.blocks) <= set(other.blocks)


@given(cuts_of, weather_of, st.randoms(use_true_random=False))
def test_the_order_of_marks_changes_nothing(cuts, weather, random):
    mixed = random.sample(cuts, len(cuts))
    assert repr(noticed(mixed, weather)) == repr(noticed(cuts, weather))


@given(cuts_of, weather_of, st.integers(0, 60))
def test_only_canker_prone_blocks_are_named_for_rain_and_what_asks_today_is_high(cuts, weather, k):
    notices = noticed(cuts, weather, replace(SEASON, day=day(k)))
    for one in notices:
        assert one.kind not in {"wet_cuts", "wet_ahead"} or all(block.is_canker_prone for block in one.blocks)
        assert not one.asks_today or one.level == "high"
    asks = [one.asks_today for one in notices]
    assert asks == sorted(asks, reverse=True)


@given(cuts_of, weather_of)
def test_every_notice_can_be_said_in_every_language_with_nothing_left_to_fill_in(cuts, weather):
    for one in noticed(cuts, weather):
        told = notice_json(one, SETTINGS)
        assert set(told["text"]) == set(told["title"]) == set(told["defers"]) == set(languages())
        assert not any(mark in text for text in told["text"].values() for mark in "{}")
        assert told["text"]["en"] != told["text"]["es"]
        assert told["source"]


def frost_of_14_january():
    return [WeatherDay(date(2026, 1, k), -18.0 if k == 14 else -2.0, 3.0, 0.0) for k in range(1, 20)]


def test_a_frost_ahead_says_from_when_on_cuts_are_at_risk():
    """The rule of Penn State: high within 48 hours, fading over two weeks."""
    told = {}
    for seen in (
        date(2025, 12, 30),
        date(2026, 1, 11),
        date(2026, 1, 12),
        date(2026, 1, 14),
        date(2026, 1, 15),
    ):
        found = of_kind(noticed([], frost_of_14_january(), replace(SEASON, day=seen)), "frost_ahead")
        told[seen.isoformat()] = [(one.level, one.asks_today) for one in found]
        if found:
            text = notice_json(found[0], SETTINGS)["text"]["en"]
            assert "\N{MINUS SIGN}18 °C (\N{MINUS SIGN}0.4 °F) on 14 January 2026" in text
            assert "from 12 January 2026 on would be at high risk, from 31 December 2025 on" in text
    assert told == {
        "2025-12-30": [("note", False)],
        "2026-01-11": [("falling", False)],
        "2026-01-12": [("high", True)],
        "2026-01-14": [("high", True)],
        "2026-01-15": [],
    }


def test_biennial_bearers_begun_before_annual_ones_are_finished_are_told_once():
    (told,) = of_kind(noticed([], []), "order")
    assert ([b.code for b in told.blocks], [b.code for b in told.others]) == (["K1"], ["K0", "K2"])
    only_annual = tuple(block for block in BLOCKS if not block.is_biennial)
    nothing = Cuts(np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, "datetime64[D]"))
    assert timing_notices(SEASON, only_annual, nothing, [], SETTINGS) == []


def spring(days=31, gap=None):
    """8 Fahrenheit degree days a day from 1 March on, as check value CV10 has it; none before."""
    start = date(2026, 2, 1)
    table = [start + timedelta(k) for k in range(28 + days)]
    return [
        WeatherDay(d, 5.0, 145 / 9, 0.0) if d >= date(2026, 3, 1) else WeatherDay(d, 0.0, 5.0, 0.0)
        for d in table
        if d != gap
    ]


def test_green_tip_is_told_with_five_days_either_way_and_what_is_left():
    """CV10: 41 to 61 F is 8 degree days a day; 120 on 15 March."""
    (told,) = of_kind(noticed([], spring()), "green_tip")
    assert (told.green_tip.estimate, told.asks_today, told.left) == (date(2026, 3, 15), False, 6)
    text = notice_json(told, SETTINGS)["text"]["en"]
    assert "About 15 March 2026 (10 March 2026 to 20 March 2026): an estimate" in text
    assert "Trees left to prune: 6." in text
    for k, asks in ((98, False), (99, True)):  # 10 March is day 99
        near = of_kind(noticed([], spring(), replace(SEASON, day=day(k))), "green_tip")
        assert [one.asks_today for one in near] == [asks]


def test_green_tip_is_never_reckoned_over_a_gap_or_for_another_half_of_the_year():
    (told,) = of_kind(noticed([], spring(gap=date(2026, 3, 11))), "green_tip")
    assert (told.green_tip.estimate, told.table_ends) == (None, date(2026, 3, 10))
    assert "After 10 March 2026" in notice_json(told, SETTINGS)["text"]["en"]
    assert "80 of 120 degree days" in notice_json(told, SETTINGS)["text"]["en"]
    assert of_kind(noticed([], spring(gap=date(2026, 3, 1))), "green_tip") == []
    south = SeasonDays(date(2025, 6, 1), date(2025, 9, 15), date(2025, 7, 1))
    assert of_kind(noticed([], spring(), south), "green_tip") == []


@given(cuts_of, weather_of, st.sets(st.integers(0, 130)))
def test_a_day_that_nobody_measured_is_named_as_forecast_in_every_notice_that_rests_on_it(cuts, weather, ks):
    """And changes nothing else: a forecast frost is warned of like any other."""
    guessed = {day(k) for k in ks} & {one.day for one in weather}
    told, sure = noticed(cuts, weather, forecast=guessed), noticed(cuts, weather)
    assert [replace(one, forecast_days=()) for one in told] == sure
    for one in told:
        if one.kind in {"frost_on_cuts", "wet_cuts"}:
            assert set(one.forecast_days) == set(one.days) & guessed
            texts = notice_json(one, SETTINGS)["text"]
            assert ("As forecast, not measured:" in texts["en"]) == bool(one.forecast_days)
            assert ("Según el pronóstico, no medido:" in texts["es"]) == bool(one.forecast_days)
    assert all(one.forecast_days == () for one in sure)


def green_tips(season, weather, forecast=()):
    return of_kind(noticed([], weather, season, forecast=forecast), "green_tip")


def test_green_tip_says_how_much_of_its_sum_was_forecast():
    weather = spring()
    guessed = [one.day for one in weather if one.day >= date(2026, 3, 10)]
    (told,) = green_tips(replace(SEASON, day=date(2026, 3, 9)), weather, guessed)
    assert (told.forecast_days[0], told.forecast_days[-1]) == (date(2026, 3, 10), told.green_tip.estimate)
    (sure,) = green_tips(replace(SEASON, day=date(2026, 3, 9)), weather)
    assert (sure.forecast_days, sure.green_tip) == ((), told.green_tip)


def test_south_of_the_equator_autumn_warmth_is_no_green_tip():
    """A season that is entered as a calendar year holds 1 March, and there that is autumn."""
    year = SeasonDays(date(2026, 1, 1), date(2026, 12, 31), date(2026, 3, 5))
    assert len(green_tips(year, spring())) == 1
    assert green_tips(replace(year, is_southern=True), spring()) == []


def test_a_season_that_opens_in_march_has_the_spring_that_it_opens_in():
    for opens_on, springs in ((date(2026, 3, 10), 1), (date(2026, 4, 30), 1), (date(2026, 6, 10), 0)):
        season = SeasonDays(opens_on, opens_on + timedelta(days=60), opens_on)
        assert len(green_tips(season, spring())) == springs
