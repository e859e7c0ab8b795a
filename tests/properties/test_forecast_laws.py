"""What must hold of every forecast, whatever the season: invented by Hypothesis."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.planning.forecast import Finish, finish_forecast
from orchardmap.planning.futures import MOST_DAYS
from orchardmap.planning.hours import split_hours
from orchardmap.planning.needs import MORE, Sought, people_more
from orchardmap.planning.pace import PaceDay, PacePrior, Work, fitted_pace
from orchardmap.planning.queues import QueueBlock, queue_forecast
from orchardmap.planning.season import Season, Strength
from orchardmap.planning.work_calendar import WorkCalendar

MONDAY = date(2026, 1, 12)
CREWS, VARIETIES = ("Ash", "Birch", "Cedar"), ("Blenheim", "Ribston", "Tydeman")
DRAWS = 200
few = settings(max_examples=25)


@st.composite
def seasons(draw):
    """A season some days old, or not begun, with up to three crews and varieties."""
    crews = draw(st.lists(st.sampled_from(CREWS), min_size=1, max_size=3, unique=True))
    n_days = draw(st.integers(0, 6))
    calendar = WorkCalendar(lost_chance=(draw(st.sampled_from([0.0, 0.1, 0.3])),) * 12)
    days = calendar.days(MONDAY, n_days + 1)
    history = [
        PaceDay(days[n].item(), Work(crew, draw(st.sampled_from(VARIETIES))), trees, hours, 40.0)
        for n in range(n_days)
        for crew in crews
        if draw(st.booleans())
        for trees, hours in [(draw(st.integers(50, 900)), draw(st.sampled_from([16.0, 32.0, 40.0])))]
    ]
    return Season(
        first=days[-1].item(),
        calendar=calendar,
        people={crew: float(draw(st.integers(1, 8))) for crew in crews},
        history=history,
        remaining={Work("", one): float(draw(st.integers(0, 9000))) for one in VARIETIES},
        prior=PacePrior(draw(st.sampled_from([4.0, 12.0]))),
    )


@few
@given(seasons(), st.data())
def test_more_people_never_finish_later(season, data):
    """In every single draw: more in a crew that is there, or a new crew."""
    crew = data.draw(st.sampled_from([*season.people, MORE]))
    more = replace(
        season, people={**season.people, crew: season.people.get(crew, 0.0) + data.draw(st.integers(1, 9))}
    )
    before, after = (finish_forecast(one, seed=1, draws=DRAWS).working_day for one in (season, more))
    assert (after <= before).all()


@few
@given(seasons(), st.floats(0.1, 1.0))
def test_fewer_trees_never_finish_later(season, share):
    less = replace(season, remaining={work: trees * share for work, trees in season.remaining.items()})
    before, after = (finish_forecast(one, seed=1, draws=DRAWS).working_day for one in (season, less))
    assert (after <= before).all()


@few
@given(seasons(), st.integers(-30, 30))
def test_a_season_that_is_shifted_by_weeks_has_its_forecast_shifted(season, weeks):
    by = timedelta(weeks=weeks)
    history = [replace(one, day=one.day + by) for one in season.history]
    shifted = replace(season, first=season.first + by, history=history)
    before, after = (finish_forecast(one, seed=1, draws=DRAWS) for one in (season, shifted))
    assert after.working_day.tolist() == before.working_day.tolist()
    must = season.first + timedelta(days=20)
    assert after.chance(must + by) == before.chance(must)
    for share in (0.1, 0.5, 0.9):
        was, now = before.day(share), after.day(share)
        assert now == (None if was is None else was + by)


@few
@given(seasons(), st.randoms(use_true_random=False))
def test_order_of_records_and_of_crews_changes_nothing(season, dice):
    history, crews = list(season.history), list(season.people.items())
    dice.shuffle(history)
    dice.shuffle(crews)
    other = replace(season, history=history, people=dict(crews))
    asked = [Work(crew, one) for crew in season.people for one in VARIETIES]
    for told, again in zip(
        fitted_pace(season.history, asked, season.prior).interval(),
        fitted_pace(history, asked, season.prior).interval(),
        strict=True,
    ):
        assert again == pytest.approx(told, rel=1e-9)
    before, after = (finish_forecast(one, seed=1, draws=DRAWS).working_day for one in (season, other))
    # a rounding may turn a draw that ends at the very end of a day
    assert (before != after).mean() <= 0.01


@few
@given(seasons())
def test_chance_of_a_day_and_day_of_a_chance_agree(season):
    finish = finish_forecast(season, seed=1, draws=DRAWS)
    for share in (0.1, 0.5, 0.9):
        day = finish.day(share)
        if day is None:
            assert (finish.working_day > MOST_DAYS).mean() > 1 - share
        else:
            assert finish.chance(day) >= share > finish.chance(day - timedelta(days=1)) - 1e-12


@few
@given(seasons(), st.data())
def test_blocks_are_done_in_the_order_of_their_queue_and_all_with_the_farm(season, data):
    crews = [*season.people, None]
    blocks = [
        QueueBlock(
            f"b{n}",
            data.draw(st.sampled_from(crews)),
            Work("", data.draw(st.sampled_from(VARIETIES))),
            float(trees),
        )
        for n, trees in enumerate(data.draw(st.lists(st.integers(0, 3000), min_size=1, max_size=6)))
    ]
    told = queue_forecast(season, blocks, seed=1, draws=DRAWS)
    each = {block.id: told.blocks[block.id].working_day for block in blocks}
    assert told.farm.working_day.tolist() == np.max(list(each.values()), axis=0).tolist()
    for crew in season.people:
        own = [each[block.id] for block in blocks if block.crew == crew and block.trees]
        assert all((first <= then).all() for first, then in pairwise(own))
    trees = sum(block.trees for block in blocks)
    done = told.farm.working_day <= len(told.farm.days)
    if trees and done.all():
        assert told.pruned[-1] == pytest.approx([trees] * 3)
    assert (np.diff(told.pruned, axis=0) >= -1e-6).all()
    # of some blocks: the same seasons, told of them alone
    of = set(data.draw(st.lists(st.sampled_from([block.id for block in blocks]), unique=True)))
    part = queue_forecast(season, blocks, seed=1, draws=DRAWS, of=of)
    left = [each[block.id] for block in blocks if block.id in of and block.trees]
    assert part.farm.working_day.tolist() == (np.max(left, axis=0) if left else np.zeros(DRAWS)).tolist()
    assert {block.id: part.blocks[block.id].working_day.tolist() for block in blocks} == {
        one: days.tolist() for one, days in each.items()
    }
    assert (part.pruned <= told.pruned + 1e-6).all()
    assert (part.pruned <= sum(block.trees for block in blocks if block.id in of) + 1e-6).all()


@few
@given(seasons())
def test_blocks_given_to_nobody_are_done_when_all_work_together(season):
    """The two ways of simulating meet the same seasons: nine draws in ten end within two days, or a tenth."""
    blocks = [QueueBlock(work.variety, None, work, trees) for work, trees in season.remaining.items()]
    queued = queue_forecast(season, blocks, seed=1, draws=DRAWS).farm.working_day
    # what is never done by the queues, which look less far ahead, is left aside
    together = np.minimum(finish_forecast(season, seed=1, draws=DRAWS).working_day, queued.max())
    off = np.abs(queued - together) / np.maximum(together, 20)
    assert np.quantile(off, 0.9) <= 0.1


def by(finish: Finish, share: float) -> date:
    """Return the day of a share of seasons, which there must be."""
    day = finish.day(share)
    assert day is not None
    return day


def season_of(people: float, trees: float, **changed: object) -> Season:
    done = [PaceDay(MONDAY - timedelta(n), Work("Ash", "Ribston"), 400.0, 40.0, 40.0) for n in (3, 4, 5)]
    one = Season(MONDAY, WorkCalendar(), {"Ash": people}, done, {Work("", "Ribston"): trees}, PacePrior(10.0))
    return replace(one, **changed)  # type: ignore[arg-type]


def test_a_closed_block_waits_and_its_crew_goes_on_with_the_next():
    until = MONDAY + timedelta(days=60)
    blocks = [
        QueueBlock("shut", "Ash", Work("", "Ribston"), 500.0, ((MONDAY, until),)),
        QueueBlock("open", "Ash", Work("", "Ribston"), 500.0),
    ]
    told = queue_forecast(season_of(5, 1000), blocks, seed=1)
    assert by(told.blocks["shut"], 0.001) > until
    alone = queue_forecast(season_of(5, 500), blocks[1:], seed=1)
    assert told.blocks["open"].day(0.5) == alone.blocks["open"].day(0.5)


def test_a_crew_that_is_done_helps_the_others():
    two = {"Ash": 5.0, "Birch": 5.0}
    blocks = [
        QueueBlock("long", "Ash", Work("", "Ribston"), 8000.0),
        QueueBlock("short", "Birch", Work("", "Ribston"), 100.0),
    ]
    helped = queue_forecast(replace(season_of(5, 1), people=two), blocks, seed=1)
    alone = queue_forecast(season_of(5, 1), [blocks[0]], seed=1)
    assert by(helped.farm, 0.5) < by(alone.farm, 0.5)


def test_a_block_given_to_a_crew_without_people_is_refused_by_name():
    with pytest.raises(InputError, match="Birch") as refused:
        queue_forecast(season_of(5, 1), [QueueBlock("K1", "Birch", Work("", "Ribston"), 10.0)], seed=1)
    assert refused.value.where == "block K1"


def test_people_of_a_span_work_in_it_and_nowhere_else():
    """Nobody is there until March: nothing is done before; with everybody there the span says nothing."""
    away = season_of(5, 400, strengths=(Strength("Ash", MONDAY, date(2026, 2, 28), 0.0),))
    assert by(finish_forecast(away, seed=1), 0.001) >= date(2026, 3, 2)
    same = season_of(5, 400, strengths=(Strength("Ash", MONDAY, date(2026, 2, 28), 5.0),))
    plain = finish_forecast(season_of(5, 400), seed=1)
    assert finish_forecast(same, seed=1).working_day.tolist() == plain.working_day.tolist()


def test_days_on_which_a_crew_was_told_to_be_away_are_no_absence_and_none_that_weather_took():
    """Birch is away for the second week, or both are, as a span told: ahead it is as if that week had not been."""
    days = WorkCalendar().days(date(2025, 12, 29), 10).tolist()
    ash, birch = (
        [PaceDay(day, Work(c, "Ribston"), 400.0, 40.0, 40.0) for day in days] for c in ("Ash", "Birch")
    )
    away = [Strength(crew, days[5], days[9], 0.0) for crew in ("Ash", "Birch")]
    both = replace(season_of(5, 6000), people={"Ash": 5.0, "Birch": 5.0})

    def ahead(history: list[PaceDay], spans: list[Strength]) -> list[int]:
        one = replace(both, history=history, strengths=spans)
        return [int(day) for day in finish_forecast(one, seed=1).working_day]

    def mean(history: list[PaceDay], spans: list[Strength]) -> float:
        return float(np.mean(ahead(history, spans)))

    assert mean([*ash, *birch[:5]], away[1:]) == pytest.approx(mean([*ash, *birch], []), rel=0.02)
    week = [*ash[:5], *birch[:5]]
    shut = replace(both, history=week, calendar=WorkCalendar(holidays=frozenset(days[5:])))
    assert ahead(week, away) == finish_forecast(shut, seed=1).working_day.tolist()
    # that nobody told of is what it was: a week that weather took, a crew that does not come
    assert mean(week, []) > 1.1 * mean(week, away)
    assert mean([*ash, *birch[:5]], []) > 1.1 * mean([*ash, *birch], [])


def test_no_number_of_people_makes_it_where_a_block_is_closed_too_long():
    """All together would be done in a week; the block opens after the day, so nobody can be added to make it."""
    season, sought = season_of(5, 2000), Sought(date(2026, 2, 27), 0.9, seed=1)
    span = (MONDAY, date(2026, 3, 8))
    blocks = [QueueBlock("shut", "Ash", Work("", "Ribston"), 2000.0, (span,))]
    assert people_more(season, sought) == people_more(season, sought, [replace(blocks[0], closed=())]) == 0
    assert people_more(season, sought, blocks) is None
    # where it opens late in time, it takes more than all together would need
    opens = [replace(blocks[0], closed=((MONDAY, date(2026, 2, 25)),))]
    n = people_more(season, sought, opens)
    assert n is not None
    chances = [
        queue_forecast(replace(season, people={**season.people, MORE: float(k)}), opens, seed=1).farm.chance(
            sought.must_finish
        )
        for k in (n - 1, n)
    ]
    assert chances[0] < 0.9 <= chances[1]


def test_people_needed_are_the_fewest_that_are_enough():
    season = season_of(4, 12_000)
    sought = Sought(date(2026, 2, 27), 0.9, seed=1)
    n = people_more(season, sought)
    assert n is not None
    assert n > 1
    made = [
        finish_forecast(replace(season, people={**season.people, MORE: float(k)}), seed=1, draws=1000).chance(
            sought.must_finish
        )
        for k in (n - 1, n)
    ]
    assert made[0] < 0.9 <= made[1]
    assert people_more(season, Sought(date(2027, 2, 27), 0.9, seed=1)) == 0
    assert people_more(season, Sought(MONDAY - timedelta(days=1), 0.9, seed=1)) is None


def test_a_platform_is_thought_faster_by_its_ratio_before_anybody_was_seen_on_one():
    """37 % less time (SARE ONE12-165): 1 / 0.63 of the trees, whatever ladders turned out to be, until days on one tell."""
    ladder, platform = Work("Ash", "Ribston", "ladder"), Work("Ash", "Ribston", "platform")

    def ratio(seen: list[PaceDay], expected: float = 10.0) -> float:
        prior = PacePrior(expected, ratio={"platform": 1 / 0.63})
        paces = fitted_pace(seen, [ladder, platform], prior).interval()[0]
        return float(paces[1] / paces[0])

    on_ladders = [PaceDay(MONDAY + timedelta(n), ladder, 400.0, 40.0) for n in range(20)]
    on_platform = [PaceDay(MONDAY + timedelta(n), platform, 400.0, 40.0) for n in range(20)]
    for seen in ([], on_ladders, on_platform):
        for expected in (5.0, 10.0, 20.0):
            assert ratio(seen, expected) == pytest.approx(1 / 0.63)
    half = [replace(day, day=day.day + timedelta(28)) for day in on_platform[:10]]
    assert ratio([*on_ladders, *half]) < 1.15


@given(
    # trees are counted, or shared by two crews: nothing so small that it divides to nothing
    st.dictionaries(
        st.sampled_from([Work("A", v) for v in VARIETIES]),
        st.integers(0, 20_000).map(lambda halves: halves / 2),
        max_size=3,
    ),
    st.floats(0.5, 200),
)
def test_split_hours_add_up(trees, hours):
    split = split_hours(trees, hours, {Work("A", v): 3.0 + n for n, v in enumerate(VARIETIES)})
    if any(n > 0 for n in trees.values()):
        assert sum(split.values()) == pytest.approx(hours)
        assert all(one > 0 for one in split.values())
    else:
        assert split == {}


def test_hours_that_were_reckoned_tell_nothing_of_how_varieties_differ():
    """Days on two varieties whose hours nobody wrote down: as much is known of the whole, nothing more of the difference."""
    prior = PacePrior(10.0)
    asked = [Work("Ash", "Ribston"), Work("Ash", "Blenheim")]
    days = [
        PaceDay(MONDAY + timedelta(n), work, 200.0 * 1.1 ** (n % 2), 20.0, is_reckoned=True)
        for n in range(10)
        for work in asked
    ]

    def spread_of_difference(seen: list[PaceDay]) -> float:
        pace = fitted_pace(seen, asked, prior)
        return float(np.linalg.norm(pace.root[0] - pace.root[1]))

    none, reckoned = spread_of_difference([]), spread_of_difference(days)
    told = spread_of_difference([replace(day, is_reckoned=False) for day in days])
    assert reckoned == pytest.approx(none, rel=1e-6)
    assert told < 0.5 * none
    # of both together they tell what ten whole days tell
    whole = [PaceDay(MONDAY + timedelta(n), Work("Ash", ""), 400.0 * 1.1 ** (n % 2), 40.0) for n in range(10)]
    assert fitted_pace(days, asked, prior).freedom == fitted_pace(whole, asked, prior).freedom


def test_a_worked_day_without_hours_is_neither_lost_nor_a_day_of_absence():
    """Birch marked trees on every day and wrote down the hours of three of five: as if it had come like the others."""
    days = [date(2026, 1, 5) + timedelta(n) for n in range(5)]
    ash = [PaceDay(day, Work("Ash", "Ribston"), 400.0, 40.0, 40.0) for day in days]
    birch = [PaceDay(day, Work("Birch", "Ribston"), 400.0, 40.0, 40.0) for day in days[:3]]
    season = replace(season_of(5, 6000), people={"Ash": 5.0, "Birch": 5.0}, history=[*ash, *birch])
    pairs = {(day, crew) for day in days for crew in ("Ash", "Birch")}
    told = [
        finish_forecast(replace(season, worked=worked), seed=1).working_day.mean() for worked in ((), pairs)
    ]
    assert told[1] < told[0]
    lost = replace(season, history=[one for one in season.history if one.day in days[:3]])
    counted = [
        finish_forecast(replace(lost, worked=worked), seed=1).working_day.mean() for worked in ((), pairs)
    ]
    assert counted[1] < counted[0]


def test_saturdays_from_now_on_were_no_lost_days_before():
    """Two weeks of five days, none of them lost; then Saturdays are worked too: it is done sooner, by a sixth at the most."""
    days = WorkCalendar().days(date(2026, 1, 12), 10)
    season = Season(
        first=date(2026, 1, 26),
        calendar=WorkCalendar(),
        people={"Ash": 5.0},
        history=[PaceDay(day.item(), Work("Ash", "Ribston"), 400.0, 40.0, 40.0) for day in days],
        remaining={Work("", "Ribston"): 12_000.0},
        prior=PacePrior(10.0),
    )
    saturdays = replace(season, calendar=WorkCalendar("1111110"))
    assert season.past()[0].tolist() == saturdays.past()[0].tolist()
    # nor do they become such once the first one is worked
    third = WorkCalendar("1111110").days(date(2026, 1, 26), 6)
    begun = replace(saturdays, first=date(2026, 2, 2), worked=[(day.item(), "Ash") for day in third])
    assert begun.past()[0].tolist() == [*season.past()[0].tolist(), *third.tolist()]
    five, six = (finish_forecast(one, seed=1) for one in (season, saturdays))
    # as many working days, only that there are six of them in a week
    assert six.working_day.tolist() == five.working_day.tolist()
    assert by(six, 0.5) < by(five, 0.5)
