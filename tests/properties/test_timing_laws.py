"""Frost flags against a plain loop over days, and heat that only ever hastens the buds."""

from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.pruning.bud_break import green_tip
from orchardmap.pruning.heat import growing_degree_hours, utah_chill_units
from orchardmap.pruning.timing import HARD_FROST_C, frost_risk
from orchardmap.pruning.weather import daily_weather

FIRST = date(2026, 1, 1)
minima_c = st.lists(st.floats(-25, 12), min_size=1, max_size=60)


def weather_of(low_c, spread_c=8.0):
    days = [FIRST + timedelta(k) for k in range(len(low_c))]
    return daily_weather(days, low_c, np.asarray(low_c) + spread_c)


@given(minima_c, st.lists(st.integers(-20, 70), max_size=12))
def test_frost_risk_is_that_of_the_first_hard_frost_from_the_day_of_the_cut_on(low_c, cuts):
    frosts = [k for k, low in enumerate(low_c) if low <= HARD_FROST_C]
    expected = []
    for cut in cuts:
        waits = [frost - cut for frost in frosts if frost >= cut]
        first = min(waits, default=99)
        expected.append("high" if first <= 2 else "falling" if first <= 14 else "none_seen")
    told = frost_risk([FIRST + timedelta(cut) for cut in cuts], weather_of(low_c))
    assert told.tolist() == expected


@given(st.lists(st.floats(-10, 15), min_size=10, max_size=60), st.floats(0, 10), st.floats(1, 300))
def test_warmer_days_never_make_green_tip_later(low_c, warmer_c, f_days):
    cool = green_tip(weather_of(low_c), start=FIRST, green_tip_f_days=f_days)
    warm = green_tip(weather_of(np.asarray(low_c) + warmer_c), start=FIRST, green_tip_f_days=f_days)
    assert warm.f_days >= cool.f_days
    for name in ("estimate", "earliest", "latest", "published_earliest", "published_latest"):
        later, sooner = getattr(cool, name), getattr(warm, name)
        assert later is None or sooner <= later


@given(st.lists(st.floats(-40, 45), max_size=48))
def test_no_hour_gives_more_heat_or_chill_than_the_models_allow(hours_c):
    heat, chill = growing_degree_hours(hours_c), utah_chill_units(hours_c)
    assert ((heat >= 0) & (heat <= 21)).all()
    assert set(chill) <= {-1.0, -0.5, 0.0, 0.5, 1.0}
    cold = np.asarray(hours_c) < 1.0
    assert not heat[cold].any()
    assert not chill[cold].any()
