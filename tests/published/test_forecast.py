"""Calendar, lost days, pace and straight line against published and independently computed figures.

Each case of `forecast.json` names its source; where that says "from memory" the printed figure was recalled and computed anew.
"""

import json
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from forecast_scores import crps
from orchardmap.planning.daylight import daylight_hours
from orchardmap.planning.forecast import straight_line
from orchardmap.planning.pace import PaceDay, PacePrior, Work, fitted_pace
from orchardmap.planning.season import Season
from orchardmap.planning.work_calendar import LostDays, WorkCalendar

CASES = {
    case["id"]: case for case in json.loads((Path(__file__).parent / "forecast.json").read_text("utf-8"))
}
DAY = date(2026, 1, 12)


@pytest.mark.parametrize("name", ["fc-01-asthma", "fc-02-asthma10"])
def test_lost_days_learn_as_a_gamma_poisson_model_does(name):
    given, told = CASES[name]["inputs"], CASES[name]["expected"]
    after = LostDays(*given["prior"]).after(given["y"], given["exposure"])
    assert [after.shape, after.rate] == told["posterior"]
    posterior = stats.gamma(after.shape, scale=1 / after.rate)
    assert posterior.mean() == pytest.approx(told["mean"], abs=0.005)
    assert posterior.sf(1) == pytest.approx(told["P_gt_1"], abs=0.005)
    # the chances that are drawn are that distribution's, where none is cut off at 0.95
    drawn = after.chances(np.array([0.01]), 200_000, np.random.default_rng(1)) / 0.01
    assert drawn.mean() == pytest.approx(posterior.mean(), rel=0.01)
    assert (drawn > 1).mean() == pytest.approx(told["P_gt_1"], abs=0.007)


def test_lost_days_ahead_are_negative_binomial():
    """Two hundred days of a hundredth each are two of exposure; of each draw so many are lost."""
    case = CASES["fc-03-nb-predictive"]
    rng = np.random.default_rng(1)
    chances = LostDays(*case["inputs"]["posterior"]).chances(np.full(1, 0.01), 50_000, rng)[:, 0]
    lost = rng.binomial(100 * case["inputs"]["new_exposure"], chances)
    for k, expected in zip(case["inputs"]["k"], case["expected"], strict=True):
        assert (lost == k).mean() == pytest.approx(expected, abs=case["tolerance"])


def test_paces_of_crews_are_pooled_as_batting_averages_were():
    """Eighteen crews with a day each, whose spread is the one that James and Stein's rule finds."""
    case = CASES["fc-04-james-stein"]
    given, told = case["inputs"], case["expected"]
    seen = np.array(given["hits"]) / given["n"]
    mean = seen.mean()
    noise = mean * (1 - mean) / given["n"]
    kept = 1 - (len(seen) - 3) * noise / ((seen - mean) ** 2).sum()
    assert (mean, kept) == pytest.approx((told["grand_mean"], told["c"]), abs=case["tolerance"])
    prior = PacePrior(
        1.0, farm=1e4, crew=np.sqrt(noise * kept / (1 - kept)), crew_with_variety=1e-9, day=1e-9,
        crew_day=0.0, noise=np.sqrt(noise),
    )  # fmt: skip
    crews = [Work(f"crew {n:02}", "") for n in range(len(seen))]
    days = [PaceDay(DAY, crew, np.exp(one), 1.0) for crew, one in zip(crews, seen, strict=True)]
    pooled = fitted_pace(days, crews, prior).mean
    assert (pooled[0], pooled[-1]) == pytest.approx((told["first"], told["last"]), abs=case["tolerance"])


def test_hours_come_to_trees_and_the_first_guess_is_as_wide_as_orchards_differ():
    """CV9 of the trade's checks, before any day is seen."""
    given, told = CASES["CV9"]["inputs"], CASES["CV9"]["expected"]
    hours = np.array(given["season_hours"])
    assert hours.mean() == pytest.approx(told["mean_hours"], abs=0.5)
    prior = PacePrior(1000 / given["hours_per_1000_trees"], crew=1e-9, variety=1e-9, crew_with_variety=1e-9)
    (likely,), (low,), (high,) = fitted_pace([], [Work("A", "x")], prior).interval(0.95)
    assert likely * given["hours"] == pytest.approx(told["trees"], abs=CASES["CV9"]["tolerance"])
    least, most = told["farm_span"]
    assert least <= high / low <= most
    assert high / low >= hours.max() / hours.min()


def test_score_of_a_normal():
    case = CASES["fc-05-crps-normal"]
    levels = (np.arange(4_000) + 0.5) / 4_000
    for obs, mu, sigma, told in zip(*case["inputs"].values(), case["expected"], strict=True):
        drawn = stats.norm(mu, sigma).ppf(levels)
        assert crps(drawn, obs) == pytest.approx(told, abs=case["tolerance"])


def test_score_of_an_ensemble():
    case = CASES["fc-06-crps-ensemble"]
    assert crps(case["inputs"]["ensemble"], case["inputs"]["obs"]) == pytest.approx(
        case["expected"]["nrg"], abs=1e-9
    )


def test_working_days_are_numpys():
    given, told = CASES["fc-07-busday"]["inputs"], CASES["fc-07-busday"]["expected"]
    calendar = WorkCalendar(given["weekmask"])
    of = {key: date.fromisoformat(given[key]) for key in ("first", "last", "year_first", "year_last", "from")}
    assert calendar.between(of["first"], of["last"]) == told["in_month"]
    assert calendar.between(of["year_first"], of["year_last"]) == told["in_year"]
    assert str(calendar.days(of["from"], 1)[0]) == told["next"]


def test_holidays_and_saturdays_are_passed_over():
    given = CASES["fc-08-calendar-finish"]["inputs"]
    calendar = WorkCalendar(given["weekmask"], frozenset(map(date.fromisoformat, given["holidays"])))
    after = date.fromisoformat(given["start_after"]) + timedelta(1)
    assert (
        str(calendar.days(after, given["working_days_needed"])[-1])
        == CASES["fc-08-calendar-finish"]["expected"]
    )


def test_pace_is_the_closed_form_of_the_conjugate_model():
    """Crew 2 on a variety that nobody has pruned yet; the parts that the worked case has not are all but switched off."""
    given, told = CASES["fc-09-nig"]["inputs"], CASES["fc-09-nig"]["expected"]
    prior = PacePrior(
        given["expected_rate"],
        **given["prior_sd"],
        crew_with_variety=1e-9,
        day=1e-9,
        crew_day=0.0,
        noise=given["s0"],
        noise_days=given["nu0"],
    )
    seen = [
        PaceDay(DAY + timedelta(n), Work(crew, given["variety"]), rate, 1.0)
        for n, (crew, rate) in enumerate(zip(given["crews"], given["rates"], strict=True))
    ]
    pace = fitted_pace(seen, [Work(*given["asked"])], prior)
    assert pace.freedom == told["nu_n"]
    assert pace.sum_of_squares == pytest.approx(told["nu_n_s2_n"], abs=1e-6)
    assert pace.noise_variance == pytest.approx(told["E_sigma2"], abs=1e-6)
    assert pace.interval()[0][0] == pytest.approx(told["pred_median"], abs=1e-5)


def test_straight_line_counts_the_lost_day():
    given = CASES["fc-10-naive"]["inputs"]
    calendar = WorkCalendar()
    days = calendar.days(DAY, len(given["trees_done_per_day"]))
    done = [
        PaceDay(day.item(), Work("A", "x"), trees, 40.0)
        for day, trees in zip(days, given["trees_done_per_day"], strict=True)
        if trees
    ]
    season = Season(
        DAY + timedelta(7), calendar, {"A": 5}, done, {Work("", "x"): given["remaining"]}, PacePrior(12.0)
    )
    line = straight_line(season)
    assert line is not None
    assert calendar.between(season.first, line) == CASES["fc-10-naive"]["expected"]["days"]


def test_daylight_is_that_of_the_worked_example():
    """FAO Irrigation and Drainage Paper 56, chapter 3, example 10 (printed 11.7 h; 11.66559 by NCAR's own programme)."""
    hours = daylight_hours(np.array(["2026-09-03"], "datetime64[D]"), -20.0)
    assert hours[0] == pytest.approx(11.66559, abs=2e-3)
