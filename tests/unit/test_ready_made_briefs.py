"""The ready-made briefs: fit to publish as they are, with the numbers of the trade, and never surer than their source."""

from typing import get_args

import pytest

from orchardmap.locale.catalogue import languages
from orchardmap.model.brief import COMMON_PRACTICE, BearingHabit
from orchardmap.pruning import sources
from orchardmap.pruning.brief import content_problems
from orchardmap.pruning.cultivars import CULTIVARS
from orchardmap.pruning.general_points import TRAINING_SYSTEMS, bud_count_point, extra_points
from orchardmap.pruning.habit_words import habit_text
from orchardmap.pruning.habits import HABITS, ready_made, suiting_habits
from orchardmap.pruning.pictures import PICTURES

NAMED = {value for name, value in vars(sources).items() if name.isupper()}


def keys(habit, **choices):
    return [point.key for point in ready_made(habit, **choices).points]


def limits(habit, key, **choices):
    (point,) = (point for point in ready_made(habit, **choices).points if point.key == key)
    return point.low, point.high, point.unit, point.is_checked, point.source


@pytest.mark.parametrize("system", TRAINING_SYSTEMS)
@pytest.mark.parametrize("habit", HABITS)
@pytest.mark.parametrize("heavy", [False, True])
def test_every_ready_made_brief_may_be_published_as_it_is(habit, heavy, system):
    """In English and in Spanish, each number from a named source or marked common practice."""
    content = ready_made(habit, is_heavy_setter=heavy, system=system)
    assert content_problems(content, pictures=PICTURES) == ()
    assert content.habit == habit
    assert content.is_heavy_setter is heavy
    assert {language for point in content.points for language in point.sentences} == {"en", "es"}
    assert {point.source for point in content.points} <= NAMED | {COMMON_PRACTICE}


def test_every_habit_has_one_and_no_two_are_the_same():
    assert set(HABITS) == set(get_args(BearingHabit))
    assert len({
        tuple(point.sentences["en"] for point in ready_made(habit).points) for habit in HABITS
    }) == len(HABITS)


@pytest.mark.parametrize("language", languages())
def test_every_habit_has_a_name_of_its_own(language):
    names = {
        habit_text(habit, language, is_heavy_setter=heavy) for habit in HABITS for heavy in (False, True)
    }
    assert len(names) == 2 * len(HABITS)


def test_general_points_come_first_in_the_order_of_work():
    general = [
        "dead-wood", "upright-out", "limb-over-half", "fork-out", "light-well", "limb-count", "limb-angle", "one-leader", "no-stub",
    ]  # fmt: skip
    for habit in HABITS:
        assert set(keys(habit)[:9]) == set(general)
        assert keys(habit)[0] == "dead-wood"
    assert keys("spur_long_lived")[1] == "light-well", "light first where spurs live long"


def test_the_numbers_of_the_trade():
    """Half-rule 1/2 (Ontario), 18 to 22 limbs (Australian growers' body), 40 to 140 degrees (rule sheet); the habits' by practice."""
    assert limits("tip_renewed", "limb-over-half") == (None, 0.5, "", True, sources.ONTARIO_YEAR_1)
    assert limits("tip_renewed", "limb-count") == (18, 22, "limbs", True, sources.APAL_2016)
    assert limits("tip_renewed", "limb-angle") == (40, 140, "deg", True, sources.RULES_SHEET)
    assert limits("tip_renewed", "renewal-cuts") == (2, 3, "cuts", True, COMMON_PRACTICE)
    assert limits("tip_alternating", "shorten-borne") == (2, 3, "buds", True, COMMON_PRACTICE)
    assert limits("spur_renewed", "unit-after-crops") == (2, 4, "", False, COMMON_PRACTICE)


@pytest.mark.parametrize(
    ("system", "number", "source"),
    [("tall_spindle", 24, sources.ONTARIO_BUDS), ("slender_spindle", 12, sources.ONTARIO_BUDS), ("v_trellis", 16, sources.GOOD_FRUIT_V)],
)  # fmt: skip
def test_a_published_number_without_tolerance_is_taught_and_not_scored(system, number, source):
    assert limits("spur_uncut", "limb-count", system=system) == (number, number, "limbs", False, source)


def test_the_cut_that_ruins_a_tip_bearer_is_critical_there_and_asked_for_only_where_it_is_right():
    """Shoots of a tip bearer stay whole; shortening belongs to the spur bearer that renews."""
    for habit in ("tip_renewed", "tip_alternating"):
        (whole,) = (point for point in ready_made(habit).points if point.key == "tip-shoot-whole")
        assert whole.point_class == "critical"
        assert whole.is_checked
        assert "shorten-to-fruit-bud" not in keys(habit)
    assert [habit for habit in HABITS if "shorten-to-fruit-bud" in keys(habit)] == ["spur_renewed"]
    assert [habit for habit in HABITS if "no-cut-spurred-two-year" in keys(habit)] == [
        "tip_alternating",
        "spur_uncut",
    ]


@pytest.mark.parametrize("habit", HABITS)
def test_a_heavy_setter_has_its_spurs_thinned_besides(habit):
    assert keys(habit, is_heavy_setter=True) == [*keys(habit), "thin-spurs"]


def test_points_to_add_fit_into_any_brief():
    for habit in HABITS:
        content = ready_made(habit)
        added = (*content.points, *extra_points(), bud_count_point(12, 14))
        assert content_problems(type(content)(habit, False, added, ()), pictures=PICTURES) == ()


def test_a_cultivar_is_offered_what_its_code_allows_and_no_less():
    offered = {cultivar.code: suiting_habits(cultivar.habit) for cultivar in CULTIVARS}
    assert offered == {
        "S": ("spur_renewed", "spur_long_lived", "spur_uncut"),
        "T": ("tip_renewed", "tip_alternating"),
        "PT": HABITS,
    }
    assert suiting_habits("unknown") == HABITS


def test_cultivars_are_listed_once_by_name_with_the_doubt_their_source_deserves():
    names = [cultivar.name for cultivar in CULTIVARS]
    assert names == sorted(set(names))
    assert {cultivar.source for cultivar in CULTIVARS} <= NAMED
    doubts = {cultivar.name: cultivar.doubt for cultivar in CULTIVARS}
    assert doubts["Northern Spy"] == "disputed"
    assert {c.doubt for c in CULTIVARS if c.source == sources.WEB_LIST} == {"weak"}
    assert {name: c.code for name, c in zip(names, CULTIVARS, strict=True) if name in ("Egremont Russet", "Irish Peach", "Discovery")} == {
        "Egremont Russet": "S", "Irish Peach": "T", "Discovery": "PT",
    }  # fmt: skip
