"""Distances from overhead lines against 29 CFR 1910.269 (line-clearance tree trimming), and its laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.pruning.clearance import LineClearance, line_clearance_m
from orchardmap.units import ft_to_m

VOLTAGES = st.floats(0.0, 2000.0)


@pytest.mark.parametrize(("line_kv", "feet", "metres"), [(0, 10, 3.05), (50, 10, 3.05), (230, 16, 4.85)])
def test_published_distances(line_kv, feet, metres):
    """10 ft (3.05 m) up to 50 kV to ground, 4 in (0.10 m) more for every 10 kV: 16 ft (4.85 m) at 230 kV."""
    assert line_clearance_m(line_kv) == pytest.approx(metres, abs=1e-9)
    inches = LineClearance(base_m=ft_to_m(10), step_m=ft_to_m(4 / 12))
    assert line_clearance_m(line_kv, inches) == pytest.approx(ft_to_m(feet), abs=1e-9)


@given(VOLTAGES, VOLTAGES)
def test_more_voltage_never_means_less_distance(one, other):
    low, high = sorted((one, other))
    assert 3.05 <= line_clearance_m(low) <= line_clearance_m(high)


@given(st.floats(50.0, 2000.0))
def test_it_is_never_less_than_the_rule_divided_evenly_and_never_a_step_more(line_kv):
    even = 3.05 + 0.10 * (line_kv - 50.0) / 10.0
    assert even - 1e-9 <= line_clearance_m(line_kv) < even + 0.10 + 1e-9


@pytest.mark.parametrize("line_kv", [-1.0, float("nan"), float("inf")])
def test_what_is_no_voltage_is_refused(line_kv):
    with pytest.raises(InputError, match="kilovolts"):
        line_clearance_m(line_kv)
