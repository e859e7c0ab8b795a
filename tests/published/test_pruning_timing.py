"""Bud break, chill, heat and frost against published thresholds; the series are made by hand."""

from datetime import date, timedelta

import numpy as np
import pytest

from orchardmap.errors import InputError
from orchardmap.pruning.bud_break import LEAST_MARGIN_DAYS, green_tip
from orchardmap.pruning.heat import (
    BASE_C,
    degree_days,
    growing_degree_hours,
    hourly_temperatures_c,
    utah_chill_units,
)
from orchardmap.pruning.timing import frost_risk, is_wet_on_canker, pruning_order_key
from orchardmap.pruning.weather import daily_weather
from orchardmap.units import C_PER_F, fahrenheit_to_celsius

MARCH_1 = date(2026, 3, 1)


def celsius(temperatures_f):
    return np.array([fahrenheit_to_celsius(float(value)) for value in temperatures_f])


def days_from(first, n):
    return [date.fromisoformat(first) + timedelta(k) for k in range(n)]


def weather_of(first, tmin_c, tmax_c):
    return daily_weather(days_from(first, len(tmin_c)), tmin_c, tmax_c)


def constant(first, n, *, low_f=41, high_f=61):
    return weather_of(first, [fahrenheit_to_celsius(low_f)] * n, [fahrenheit_to_celsius(high_f)] * n)


def test_green_tip_on_the_fifteenth_day_of_eight_degree_days():
    """61 / 41 F, base 43 F: 8 a day, so 120 (UMass, Predicting green tip, 2019) on 15 March; converted to Celsius exactly."""
    weather = constant("2026-03-01", 31)
    assert degree_days(weather.tmin_c, weather.tmax_c) / C_PER_F == pytest.approx(8.0)
    told = green_tip(weather, start=MARCH_1)
    assert told.estimate == date(2026, 3, 15)
    assert (told.earliest, told.latest) == (date(2026, 3, 10), date(2026, 3, 20))
    assert told.f_days == pytest.approx(31 * 8)


def test_simple_average_never_counts_cold_days_against_warm_ones():
    """30 / 50 F is a mean of 40, below 43 F: nothing, not minus 3; 43 F itself is nothing either."""
    low, high = np.array([30.0, 43.0, 40.0]), np.array([50.0, 43.0, 47.0])
    told = degree_days(celsius(low), celsius(high)) / C_PER_F
    assert told == pytest.approx([0.0, 0.0, 0.5])
    assert fahrenheit_to_celsius(43) == BASE_C


def test_published_sums_make_a_range_far_wider_than_the_margin():
    """Geneva NY, from 1 January: 24 to 161 degree days (Scaffolds, 20 March 1995). A cold winter, then 4 more each week."""
    t_f = np.concatenate([np.full(59, 25.0), 43.0 + np.arange(60) / 7 * 1.0])
    weather = weather_of("2026-01-01", celsius(t_f - 9), celsius(t_f + 9))
    told = green_tip(weather, start=MARCH_1)
    # sum of k / 7 for k up to n is n (n + 1) / 14: 24 at n = 18, 120 at n = 41, 161 at n = 47
    assert told.published_earliest == MARCH_1 + timedelta(18)
    assert told.estimate == MARCH_1 + timedelta(41)
    assert told.published_latest == MARCH_1 + timedelta(47)
    width = told.published_latest - told.published_earliest
    assert width == timedelta(29) > 2 * timedelta(LEAST_MARGIN_DAYS)


def test_what_the_table_does_not_hold_is_not_told():
    """Ended before the sum, or begun after 1 January, from which the published sums count."""
    told = green_tip(constant("2026-02-20", 9 + 14), start=MARCH_1)
    assert told.f_days == pytest.approx(14 * 8)
    assert (told.estimate, told.earliest, told.latest) == (None, None, None)
    assert (told.published_earliest, told.published_latest) == (None, None)
    with pytest.raises(InputError, match="2026-03-02"):
        green_tip(constant("2026-03-02", 30), start=MARCH_1)


def test_no_margin_under_five_days_is_given():
    """Models with chill err by 5.0 and 6.0 days (Drepper et al. 2020, Agronomy, Belgium 1950-2018)."""
    weather = constant("2026-03-01", 31)
    with pytest.raises(InputError, match="5 days"):
        green_tip(weather, start=MARCH_1, margin_days=4)
    assert green_tip(weather, start=MARCH_1, margin_days=9).latest == date(2026, 3, 24)


def test_utah_chill_units_by_continuous_bands():
    """UC Davis, About chilling units: 30, 35, 40, 50, 58, 63, 70 F give 0, .5, 1, .5, 0, -.5, -1; sum 0.5."""
    units = utah_chill_units(celsius([30, 35, 40, 50, 58, 63, 70]))
    assert units.tolist() == [0, 0.5, 1, 0.5, 0, -0.5, -1]
    assert units.sum() == 0.5


def test_utah_bands_join_where_whole_degrees_leave_gaps():
    """34.5 F lies between the printed bands "below 34" and "35-36"; the upper edge belongs to the lower band."""
    between_f, edges_f = [34.5, 36.5, 48.5, 54.5, 60.5, 65.5], [34, 36, 48, 54, 60, 65]
    assert utah_chill_units(celsius(between_f)).tolist() == [0.5, 1, 0.5, 0, -0.5, -1]
    assert utah_chill_units(celsius(edges_f)).tolist() == [0, 0.5, 1, 0.5, 0, -0.5]


def test_growing_degree_hours():
    """Anderson 1986 (Acta Hort. 184:71), 4 / 25 / 36 C; 14.5 and 30.5 are 21/2 and 21 (1 - sqrt(1/2)) by hand."""
    told = growing_degree_hours([-5, 4, 10, 14.5, 20, 25, 30.5, 36, 40])
    assert told == pytest.approx([0, 0, 3.953, 10.5, 18.197, 21, 6.151, 0, 0], abs=5e-4)
    assert told[6] == pytest.approx(21 * (1 - np.sqrt(0.5)))


def test_guessed_hours_keep_extremes_and_mean_of_the_day():
    hours = hourly_temperatures_c([-3.0, 5.0], [9.0, 5.0])
    assert hours.shape == (2, 24)
    assert (hours.min(axis=1), hours.max(axis=1), hours.mean(axis=1)) == (
        pytest.approx([-3.0, 5.0]),
        pytest.approx([9.0, 5.0]),
        pytest.approx([3.0, 5.0]),
    )


def test_frost_after_cuts_is_high_for_two_days_and_fades_over_two_weeks():
    """0 F or below within 48 hours, within 14 days (Penn State in Fruit Growers News, 14 January 2016)."""
    low_c = np.full(31, -5.0)
    low_c[19] = fahrenheit_to_celsius(0)  # 20 January, exactly at the limit
    weather = weather_of("2026-01-01", low_c, low_c + 4)
    told = frost_risk(weather.days, weather)
    expected = ["none_seen"] * 5 + ["falling"] * 12 + ["high"] * 3 + ["none_seen"] * 11
    assert told.tolist() == expected
    assert set(frost_risk(weather.days, weather, hard_frost_c=-18.0)) == {"none_seen"}
    assert frost_risk([date(2025, 12, 1)], weather).tolist() == ["none_seen"]


def test_the_nearer_of_two_frosts_decides():
    low_c = np.full(20, -5.0)
    low_c[[2, 12]] = -20
    weather = weather_of("2026-01-01", low_c, low_c + 4)
    assert frost_risk(weather.days, weather).tolist() == (
        ["high"] * 3 + ["falling"] * 7 + ["high"] * 3 + ["none_seen"] * 7
    )


def test_wet_days_matter_on_canker_prone_blocks_only():
    """No pruning in wet conditions (NIAB, apple canker); the least rain that counts is a setting."""
    days = days_from("2026-01-01", 4)
    weather = daily_weather(days, [2] * 4, [6] * 4, [0.0, 0.1, 0.2, 9.0])
    assert is_wet_on_canker(days, True, weather).tolist() == [False, False, True, True]
    assert is_wet_on_canker(days, [True, True, False, True], weather, wet_day_mm=0.1).tolist() == [
        False, True, False, True,
    ]  # fmt: skip
    assert not is_wet_on_canker(days, True, daily_weather(days, [2] * 4, [6] * 4)).any()


def test_annual_bearers_go_before_biennial_ones_then_by_day():
    """Cornell, Miranda Sazo & Robinson 2024: biennial cultivars last, as their flower buds can be counted then."""
    order = [
        (False, date(2026, 2, 1)),
        (False, date(2026, 3, 1)),
        (False, None),
        (True, date(2026, 1, 10)),
        (True, None),
    ]
    keys = [pruning_order_key(is_biennial=biennial, must_finish=day) for biennial, day in order]
    assert keys == sorted(keys)
    assert len(set(keys)) == 5


@pytest.mark.parametrize(
    ("days", "low", "high", "where"),
    [
        (["2026-01-01", "2026-01-03"], [1, 1], [2, 2], "2026-01-01"),
        (["2026-01-01", "2026-01-01"], [1, 1], [2, 2], "2026-01-01"),
        (["2026-01-02", "2026-01-01"], [1, 1], [2, 2], "2026-01-02"),
        (["2026-01-01", "2026-01-02"], [1, 3], [2, 2], "2026-01-02"),
        (["2026-01-01", "2026-01-02"], [1], [2, 2], "days"),
        ([], [], [], "days"),
        (["2026-01-01"], [float("nan")], [2], "tmin_c"),
        (["2026-01-01"], [41], [61], "tmax_c"),
    ],
)
def test_a_table_with_gaps_or_nonsense_adds_up_to_nothing(days, low, high, where):
    """Degree days of a table with a day left out would be too few, and nobody would see it."""
    with pytest.raises(InputError) as refusal:
        daily_weather(days, low, high)
    assert refusal.value.where == where
