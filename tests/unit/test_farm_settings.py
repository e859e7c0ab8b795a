"""A farm's settings: first guesses are the published ones, every one is bounded and sourced, and nothing else passes."""

import re
from dataclasses import asdict, fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.model.lot import TablePlan, TwoPoints
from orchardmap.pruning import timing
from orchardmap.pruning.clearance import LineClearance, line_clearance_m
from orchardmap.pruning.counting import CONFIDENCE, HALF_WIDTH_SHARE, count_estimate
from orchardmap.pruning.farm_settings import (
    SETTINGS,
    ChoiceRule,
    FarmSettings,
    SettingRule,
    changed_settings,
    settings_json,
)

NUMBERS = {name: rule for name, rule in SETTINGS.items() if isinstance(rule, SettingRule)}
CHOICES = {name: rule for name, rule in SETTINGS.items() if isinstance(rule, ChoiceRule)}


def test_every_setting_has_a_source_and_a_unit_and_its_first_guess_lies_within_its_bounds():
    assert list(SETTINGS) == [part.name for part in fields(FarmSettings)]
    first = asdict(FarmSettings())
    for name, rule in NUMBERS.items():
        assert rule.low <= first[name] <= rule.high, name
        assert isinstance(first[name], int) == rule.is_whole, name
    for name, choice in CHOICES.items():
        assert first[name] in choice.choices, name
    assert all(rule.source for rule in SETTINGS.values())
    assert {name for name, rule in NUMBERS.items() if not rule.unit} == {"check_extra_trees"}


def test_first_guesses_are_those_of_the_rules_themselves():
    """Trade notes 6.1 (hard frost at 0 F, 48 h, two weeks) and R4: 3.05 m at 50 kV, 4.85 m at 230 kV."""
    first = FarmSettings()
    assert round(first.hard_frost_c, 1) == -17.8
    assert (first.frost_high_risk_days, first.frost_falling_risk_days) == (2, 14)
    assert first.wet_day_mm == timing.WET_DAY_MM
    assert first.line_clearance == LineClearance()
    assert first.count_aim == {"half_width_share": HALF_WIDTH_SHARE, "confidence": CONFIDENCE}
    assert round(line_clearance_m(230, first.line_clearance), 2) == 4.85


@given(st.data())
def test_whatever_a_farm_may_aim_at_counting_can_be_judged_by_it(data):
    """A share that is out of bounds by its last bits would cost every tablet its packs."""
    names = ("count_half_width_percent", "count_confidence_percent")
    edges = {
        name: st.sampled_from([NUMBERS[name].low, NUMBERS[name].high])
        | st.floats(NUMBERS[name].low, NUMBERS[name].high)
        for name in names
    }
    aim = changed_settings(FarmSettings(), {name: data.draw(edges[name]) for name in names}).count_aim
    told = count_estimate(
        [20, 24, 22, 18, 26],
        [1, 4, 7, 9, 12],
        trees_in_block=500,
        half_width_share=aim["half_width_share"],
        confidence=aim["confidence"],
    )
    assert told.trees_needed is not None
    assert 5 <= told.trees_needed <= 500


@st.composite
def changes(draw):
    chosen = draw(st.sets(st.sampled_from(list(SETTINGS))))
    # from the risk's fading on, any highest risk is refused or not by the other: taken apart below
    chosen -= {"frost_high_risk_days", "frost_falling_risk_days", "check_p1_percent", "check_p2_percent"}
    numbers = {
        name: draw(
            st.integers(int(NUMBERS[name].low), int(NUMBERS[name].high))
            if NUMBERS[name].is_whole
            else st.floats(NUMBERS[name].low, NUMBERS[name].high)
        )
        for name in sorted(chosen & NUMBERS.keys())
    }
    picked = {name: draw(st.sampled_from(CHOICES[name].choices)) for name in sorted(chosen & CHOICES.keys())}
    return numbers | picked


@given(changes(), changes())
def test_what_is_not_said_stays_and_what_is_said_last_holds(one, other):
    made = changed_settings(changed_settings(FarmSettings(), one), other)
    assert asdict(made) == asdict(FarmSettings()) | one | other
    assert changed_settings(made, other) == made


@given(st.sampled_from(list(NUMBERS)), st.floats())
def test_a_number_out_of_its_bounds_is_refused_by_name(name, value):
    rule = NUMBERS[name]
    if rule.low <= value <= rule.high and (not rule.is_whole or value == int(value)):
        return
    with pytest.raises(
        InputError, match=re.escape(f"from {rule.low:g} to {rule.high:g} {rule.unit}".strip())
    ) as told:
        changed_settings(FarmSettings(), {name: value})
    assert told.value.where == name


def test_unknown_name_and_a_risk_that_ends_before_it_is_highest_are_refused():
    with pytest.raises(InputError, match=r"no such setting.*slope_caution_percent"):
        changed_settings(FarmSettings(), {"moon_phase": 1})
    with pytest.raises(InputError, match="15 days or more"):
        changed_settings(FarmSettings(), {"frost_high_risk_days": 15})
    assert changed_settings(
        FarmSettings(), {"frost_high_risk_days": 15, "frost_falling_risk_days": 15}
    ).frost_high_risk_days == 15  # fmt: skip


def test_a_form_is_told_value_and_first_guess_of_each():
    told = {one["name"]: one for one in settings_json(changed_settings(FarmSettings(), {"line_reach_m": 5}))}
    assert list(told) == list(SETTINGS)
    assert (told["line_reach_m"]["value"], told["line_reach_m"]["default"]) == (5.0, 3.0)
    assert told["line_reach_m"]["source"] == "common practice"
    assert told["slope_caution_percent"]["value"] == told["slope_caution_percent"]["default"] == 15.0


@given(st.sampled_from(list(CHOICES)), st.text(max_size=12) | st.floats(allow_nan=True))
def test_what_is_not_among_the_choices_is_refused_by_name_with_the_choices(name, value):
    rule = CHOICES[name]
    if value in rule.choices:
        assert getattr(changed_settings(FarmSettings(), {name: value}), name) == value
        return
    with pytest.raises(InputError, match=r"must be one of .*, ") as told:
        changed_settings(FarmSettings(), {name: value})
    assert told.value.where == name


def test_words_are_no_numbers_and_two_promises_must_differ():
    for wrong in ({"line_reach_m": "3"}, {"check_level": 1}, {"check_aql": "4.0"}):
        with pytest.raises(InputError):
            changed_settings(FarmSettings(), wrong)
    with pytest.raises(InputError, match="worse than what passes") as told:
        changed_settings(FarmSettings(), {"check_p1_percent": 15})
    assert told.value.where == "check_p2_percent"


def test_lots_are_planned_as_the_farm_chose():
    assert FarmSettings().lot_plan == TablePlan("I", 4.0)
    tables = changed_settings(FarmSettings(), {"check_level": "S-4", "check_aql": 1})
    assert tables.lot_plan == TablePlan("S-4", 1.0)
    promises = changed_settings(tables, {"check_kind": "two_points", "check_p2_percent": 12})
    assert promises.lot_plan == TwoPoints(0.05, 0.95, 0.12, 0.1)
    told = {one["name"]: one for one in settings_json(promises)}
    assert told["check_level"] == {
        "name": "check_level",
        "value": "S-4",
        "default": "I",
        "unit": "",
        "choices": ("S-1", "S-2", "S-3", "S-4", "I", "II", "III"),
        "source": "a first guess: no figure for pruning is published",
    }
