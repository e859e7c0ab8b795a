"""The invented season as pure values: the same from the same seed, honest in its variety, true to its plan."""

import itertools
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from uuid import UUID

import numpy as np
import pytest

from orchardmap.demo import people
from orchardmap.demo.ids import uuid7
from orchardmap.demo.land import laid_out
from orchardmap.demo.record import season_record
from orchardmap.demo.season import ZONE, must_finish_on, opens_on
from orchardmap.demo.trees import stand
from orchardmap.demo.work import BlockAtWork, CrewAtWork, minutes_a_tree
from orchardmap.geometry.rows import rows_of_block
from orchardmap.model.work import Mark

# an ordinary autumn day, one whose eight weeks hold Christmas, one after both clock changes
TODAYS = (date(2026, 11, 25), date(2027, 1, 20), date(2027, 4, 30))
AUDITORS = ("auditor-1", "auditor-2")


@cache
def crews():
    rng = np.random.default_rng(7)
    blocks = {}
    for one in laid_out():
        rows = rows_of_block(one.outline, one.planting, block_id=one.plot.code)
        found = stand(one.plot, rows, rng=rng)
        walked = []
        for row in rows:
            counted, blanks, pollinizers = found.get(row.number, (None, frozenset(), frozenset()))
            walked.append(replace(row, counted_positions=counted, blanks=blanks, pollinizers=pollinizers))
        blocks[one.plot.code] = BlockAtWork(one.plot.code, one.plot, tuple(walked))
    return tuple(
        CrewAtWork(
            gang, gang.name, gang.foreman, f"tablet {gang.name}", tuple(blocks[code] for code in gang.blocks)
        )
        for gang in people.GANGS
    )


@cache
def rows():
    return {
        (block.block_id, row.number): row for crew in crews() for block in crew.blocks for row in block.rows
    }


@cache
def record(today, seed=7):
    rng = np.random.default_rng(seed)
    return season_record(crews(), "season", today=today, auditor_ids=AUDITORS, rng=rng)


def claims(marks: Iterable[Mark]) -> Counter[tuple[str, int, int]]:
    """Count, for every position, how many standing marks claim it."""
    return Counter(
        (mark.block_id, mark.row, position) for mark in marks for position in range(mark.first, mark.last + 1)
    )


def test_same_seed_gives_the_same_records_to_the_last_byte():
    again = season_record(
        crews(), "season", today=TODAYS[0], auditor_ids=AUDITORS, rng=np.random.default_rng(7)
    )
    assert again == record(TODAYS[0])


def test_another_seed_gives_other_records():
    assert record(TODAYS[0], 8).marks != record(TODAYS[0]).marks


def test_ids_are_version_7_all_different_and_carry_their_moment():
    season = record(TODAYS[0])
    both = [*season.marks, *season.withdrawals, *season.checks]
    assert len({one.id for one in both}) == len(both)
    for one in both:
        made = UUID(one.id)
        assert (made.version, made.variant) == (7, "specified in RFC 4122")
        assert made.int >> 80 == int(one.device_at.timestamp() * 1000)


def test_uuid7_matches_the_published_timestamp():
    # RFC 9562, appendix A.6: 22 February 2022 14:22:22.00 GMT-05:00 is 0x017F22E279B0
    at = datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC)
    assert uuid7(at, np.random.default_rng(1)).startswith("017f22e2-79b0-7")


def test_season_runs_from_a_monday_eight_weeks_back_to_a_friday_eight_weeks_ahead():
    for offset in range(7):
        today = TODAYS[0] + timedelta(days=offset)
        assert opens_on(today).weekday() == 0
        assert must_finish_on(today).weekday() == 4
        assert timedelta(weeks=8) <= today - opens_on(today) < timedelta(weeks=9)
        assert timedelta(weeks=8) <= must_finish_on(today) - today < timedelta(weeks=9)


@pytest.mark.parametrize("today", TODAYS)
def test_nobody_works_at_weekends_on_holidays_or_outside_the_season(today):
    season = record(today)
    days = {mark.day for mark in season.marks}
    assert all(day.weekday() < 5 and opens_on(today) <= day <= today for day in days)
    assert not days & {date(2026, 12, 25), date(2027, 1, 1)}
    weekdays = {opens_on(today) + timedelta(n) for n in range((today - opens_on(today)).days + 1)}
    lost = {day for day in weekdays if day.weekday() < 5} - days
    assert 2 <= len(lost) <= 15  # rain, frost, holidays


@pytest.mark.parametrize("today", TODAYS)
def test_the_day_worked_is_the_day_of_the_tablet_in_farm_time(today):
    for mark in record(today).marks:
        assert mark.device_at.astimezone(ZONE).date() == mark.day
        assert 7 <= mark.device_at.astimezone(ZONE).hour <= 17


@pytest.mark.parametrize("today", TODAYS)
def test_marks_lie_inside_their_rows(today):
    for mark in record(today).marks:
        assert 1 <= mark.first <= mark.last <= rows()[mark.block_id, mark.row].positions


@pytest.mark.parametrize("today", TODAYS)
def test_two_crews_claim_the_same_trees_in_exactly_one_place(today):
    season = record(today)
    twice = {place for place, count in claims(season.standing).items() if count > 1}
    told = season.overlap
    assert twice == {(told.block_id, told.row, position) for position in range(told.first, told.last + 1)}
    assert {
        mark.crew_id
        for mark in season.standing
        if (mark.block_id, mark.row) == (told.block_id, told.row) and mark.last >= told.first
    } == set(told.crew_ids)


@pytest.mark.parametrize("today", TODAYS)
def test_withdrawals_name_earlier_marks_of_the_same_crew(today):
    season = record(today)
    made = {mark.id: mark for mark in season.marks}
    assert 10 <= len(season.withdrawals) <= 60
    for one in season.withdrawals:
        assert made[one.mark_id].device_at < one.device_at
        assert made[one.mark_id].recorder_id == one.recorder_id
    assert {one.reason for one in season.withdrawals} == {"wrong row", "row not finished"}


@pytest.mark.parametrize("today", TODAYS)
def test_half_the_positions_are_pruned_and_some_rows_only_in_part(today):
    season = record(today)
    done = claims(season.standing)
    share = len(done) / sum(row.positions for row in rows().values())
    assert 0.4 <= share <= 0.6
    by_row = Counter((block_id, row) for block_id, row, _ in done)
    partly = [place for place, count in by_row.items() if count < rows()[place].positions]
    assert 1 <= len(partly) <= len(people.GANGS)
    day_ends = [m for m in season.standing if m.last - m.first + 1 < rows()[m.block_id, m.row].positions]
    assert len(day_ends) > 100


def test_crews_go_up_one_row_and_down_the_next():
    season = record(TODAYS[0])
    begun: dict[tuple[str, int], Mark] = {}
    for mark in season.standing:
        begun.setdefault((mark.block_id, mark.row), mark)
    whole = {place: row.positions for place, row in rows().items()}
    in_part = {place: mark for place, mark in begun.items() if mark.last - mark.first + 1 < whole[place]}
    for (block_id, number), mark in in_part.items():
        if number % 2:  # rows are numbered without a gap from 1, and every crew enters by row 1
            assert mark.first == 1
        else:
            assert mark.last == whole[block_id, number]
    assert len({number % 2 for _, number in in_part}) == 2


def test_one_crew_is_slow():
    done: Counter[str] = Counter()
    for mark in record(TODAYS[0]).standing:
        block = next(b for crew in crews() for b in crew.blocks if b.block_id == mark.block_id)
        # what the trees would take a crew of usual speed on ladders, in minutes
        usual = replace(people.GANGS[0], speed=1.0, method="ladder")
        done[mark.crew_id] += (mark.last - mark.first + 1) * minutes_a_tree(block.plot, usual)
    per_hand = {gang.name: done[gang.name] / (0.5 + len(gang.workers)) for gang in people.GANGS}
    slow = per_hand.pop(people.SLOW_GANG)
    assert slow < 0.75 * min(per_hand.values())


def test_pace_is_that_of_the_published_figures():
    plots = {one.plot.code: one.plot for one in laid_out()}
    usual = replace(people.GANGS[0], speed=1.0, method="ladder")
    # close plantings: 80 to 120 h/ha by hand (Mika et al. 2016, second-hand), and 4 min of brush to 11 of pruning
    close = plots["R4"]
    trees_per_ha = 10_000 / (close.row_spacing_m * close.tree_spacing_m)
    assert 80 * 15 / 11 <= minutes_a_tree(close, usual) * trees_per_ha / 60 <= 120 * 15 / 11
    # large old trees: 11 + 4 min each (New Hampshire Agr. Exp. Sta., report for 1927)
    assert 11 <= minutes_a_tree(plots["H1"], usual) <= 15
    # a platform saves 37 % in close rows and nothing in wide ones (SARE ONE12-165)
    platform = replace(usual, method="platform")
    assert minutes_a_tree(close, platform) == pytest.approx(0.63 * minutes_a_tree(close, usual))
    assert minutes_a_tree(plots["H1"], platform) == minutes_a_tree(plots["H1"], usual)


@pytest.mark.parametrize("today", TODAYS)
def test_trees_seen_while_walking_are_living_ones_pruned_before_and_none_twice(today):
    season = record(today)
    pruned_at: dict[tuple[str, int, int], datetime] = {}
    for mark in season.standing:
        for position in range(mark.first, mark.last + 1):
            pruned_at.setdefault((mark.block_id, mark.row, position), mark.device_at)
    assert 120 <= len(season.checks) <= 300
    assert not any(check.drawn for check in season.checks)  # drawn trees are those of lots
    places = [(check.block_id, check.row, check.position) for check in season.checks]
    assert len(set(places)) == len(places)
    for check, place in zip(season.checks, places, strict=True):
        assert pruned_at[place] < check.device_at
        row = rows()[place[:2]]
        assert check.position not in row.blanks | row.pollinizers


@pytest.mark.parametrize("today", TODAYS)
def test_the_closed_block_has_not_been_entered(today):
    season = record(today)
    assert season.closed_block_id in {block_id for block_id, _ in rows()}
    assert season.closed_block_id not in {mark.block_id for mark in season.marks}


def test_until_keeps_what_was_recorded_by_then():
    whole = record(TODAYS[0])
    noon = datetime(2026, 11, 25, 12, tzinfo=UTC)
    part = whole.until(noon)
    assert part.marks == tuple(mark for mark in whole.marks if mark.device_at <= noon)
    assert part.checks == tuple(check for check in whole.checks if check.device_at <= noon)
    assert len(part.marks) < len(whole.marks)
    assert part.until(noon) == part
    assert whole.until(datetime(2030, 1, 1, tzinfo=UTC)) == whole


def test_days_together_hold_every_record_once():
    whole = record(TODAYS[0])
    days = list(whole.by_day())
    assert [one for day in days for one in day.marks] == list(whole.marks)
    assert [one for day in days for one in day.withdrawals] == list(whole.withdrawals)
    assert [one for day in days for one in day.checks] == list(whole.checks)
    assert all(a.last_at < b.last_at for a, b in itertools.pairwise(days))


def test_trees_stand_where_the_rows_say():
    positions = sum(row.positions for row in rows().values())
    blanks = sum(len(row.blanks) for row in rows().values())
    assert 0.02 <= blanks / positions <= 0.03
    assert sum(row.trees for row in rows().values()) > 60_000
    assert all(not row.blanks & row.pollinizers for row in rows().values())
    counted = [row for row in rows().values() if row.counted_positions is not None]
    assert counted
    assert all(row.positions == sum(row.part_positions) - 1 for row in counted)


@pytest.mark.parametrize("today", TODAYS)
def test_every_crew_says_each_day_on_which_it_marked(today):
    """With those who came, the foreman among them, and the hours on the clock: half of them where it rained from noon."""
    found = record(today)
    said = {(one.crew_id, one.day): one for one in found.crew_days}
    assert len(said) == len(found.crew_days)
    # what is withdrawn and what a helper claims was marked all the same, by crews at work
    assert set(said) >= {(mark.crew_id, mark.day) for mark in found.standing}
    whole = {gang.name: 1 + len(gang.workers) for gang in people.GANGS}
    assert all(1 <= one.people <= whole[one.crew_id] for one in said.values())
    assert any(one.people < whole[one.crew_id] for one in said.values()), "somebody is away now and then"
    assert {one.hours for one in said.values()} == {7.5, 3.75}
    assert all(one.device_at.date() == one.day for one in said.values())
