"""The forecast of a season from what is recorded, on both engines: what enters it, what does not, and as of which day."""

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.calendar import CrewStrength, DayOff, SeasonCalendar
from orchardmap.model.queue import BlockTerms, Queues
from orchardmap.model.work import CrewDay, RecordSettlement, StretchSettlement
from orchardmap.usecases import closing, planting, recording, settling, working_time
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.giving_out import save_queues, set_terms
from orchardmap.usecases.glance import overview
from orchardmap.usecases.plan_forecast import plan_forecast
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.queue_board import proposed_queues, read_queues
from orchardmap.usecases.season_ahead import season_ahead
from orchardmap.usecases.season_records import season_records
from orchardmap.usecases.what_if import Case, NewCrew, what_if
from orchardmap.work.identity import content_hash
from small_farm import NOW, POSITIONS, ROWS, TODAY, small_farm, withdrawal

TREES = 2 * ROWS * POSITIONS
CALENDAR = SeasonCalendar(expected_pace=6.0, respects_daylight=False)
DAYS = [date(2026, 1, day) for day in (12, 13, 14, 15, 16, 19)]
"""Worked before TODAY, a Tuesday; the next working day after the last is TODAY itself."""


@pytest.fixture
def farm(shared_store):
    return small_farm(shared_store, new_id())


def save(store, farm, calendar=CALENDAR):
    working_time.save_calendar(
        store, farm_id=farm.farm.id, season_id=farm.season.id, calendar=calendar, now=NOW
    )


def mark(store, farm, *marks, now=NOW):
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=now, now=now)


def crew_day(farm, day, people=4, hours=8.0, *, crew=0, method="ladder", **changes):
    made = CrewDay(new_id(), farm.season.id, farm.crews[crew].id, day, people, hours, method, None, None, NOW)
    return replace(made, **changes)


def say(store, farm, *found, now=NOW):
    record_crew_days(store, farm_id=farm.farm.id, crew_days=found, sent_at=now, now=now)


def work(store, farm, days=DAYS, *, crew=0, first_row=1):
    """Two rows a day by four people in eight hours: 210 trees in 32 hours."""
    rows = [(day, first_row + 2 * at + more) for at, day in enumerate(days) for more in (0, 1)]
    mark(store, farm, *(farm.mark(row, crew=crew, day=day) for day, row in rows))
    say(store, farm, *(crew_day(farm, day, crew=crew) for day in days))


def told(store, farm, day=None, now=NOW):
    return forecast(store, farm.farm.id, day=day, now=now)


def records(store, farm):
    with store.read() as conn:
        return season_records(conn, farm.farm, farm.season)


def test_what_must_be_said_first_is_named_and_nothing_is_guessed(shared_store):
    empty = planting.create_farm(shared_store, name=new_id(), time_zone="Europe/Rome", now=NOW)
    assert forecast(shared_store, empty.id, day=None, now=NOW)["missing"] == ["season"]
    planting.add_season(
        shared_store, farm_id=empty.id, name="a", opens_on=TODAY, must_finish_on=TODAY + timedelta(30)
    )
    found = forecast(shared_store, empty.id, day=None, now=NOW)
    assert found["missing"] == ["blocks", "expected_pace", "crews"]
    farm = small_farm(shared_store, new_id())
    assert told(shared_store, farm)["missing"] == ["expected_pace", "crews"]
    save(shared_store, farm, replace(CALENDAR, expected_pace=None))
    say(shared_store, farm, crew_day(farm, DAYS[0]))
    found = told(shared_store, farm)
    assert found["missing"] == ["expected_pace"]
    assert (found["trees"], found["trees_left"]) == (TREES, TREES)
    for name in ("finish", "chance", "straight_line", "short_people", "scored"):
        assert found[name] is None
    assert found["fan"] == found["earlier"] == found["blocks"] == found["paces"] == []
    save(shared_store, farm)
    assert told(shared_store, farm)["missing"] == []


def test_a_forecast_holds_what_was_done_and_what_is_left(shared_store, farm):
    work(shared_store, farm)
    save(shared_store, farm)
    found = told(shared_store, farm)
    done = len(DAYS) * 2 * POSITIONS
    assert (found["pruned"], found["trees_left"]) == (done, TREES - done)
    assert found["burnup"] == [(day.isoformat(), 210 * (at + 1)) for at, day in enumerate(DAYS)]
    assert found["must_finish_on"] == "2026-03-11"
    finish = found["finish"]
    assert TODAY.isoformat() < finish["p10"] < finish["p50"] < finish["p90"]
    # 3,990 trees at 210 a day: 19 working days from today on
    assert found["straight_line"] == "2026-02-13"
    assert found["fan"][0] == [DAYS[-1].isoformat(), done, done, done]
    assert found["fan"][1][0] == TODAY.isoformat()
    assert all(low <= likely <= high <= TREES for _, low, likely, high in found["fan"])
    assert found["fan"][-1][0] >= finish["p90"]
    (pace,) = found["paces"]
    assert (pace["crew_id"], pace["variety_id"], pace["method"], pace["days"]) == (
        farm.crews[0].id,
        farm.blocks[0].variety_id,
        "ladder",
        6,
    )
    assert pace["low"] < pace["trees_per_h"] < pace["high"]
    assert pace["trees_per_h"] == pytest.approx(210 / 32, rel=0.03)
    assert found["crews"] == [{"crew_id": farm.crews[0].id, "people": 4, "method": "ladder"}]
    blocks = {one["block_id"]: one for one in found["blocks"]}
    assert set(blocks) == {block.id for block in farm.blocks}
    first, second = (blocks[block.id]["p50"] for block in farm.blocks)
    assert first < second == finish["p50"], "the block that was begun comes first"
    assert told(shared_store, farm) == told(shared_store, farm, TODAY + timedelta(9)) == found


def test_today_enters_once_every_crew_that_marked_has_said_its_crew_day(shared_store, farm):
    """Until then the forecast is this morning's, however many trees are marked by noon."""
    work(shared_store, farm)
    work(shared_store, farm, crew=1, first_row=13)
    save(shared_store, farm)
    morning = told(shared_store, farm)
    mark(shared_store, farm, farm.mark(1, block_id=farm.blocks[1].id))
    mark(shared_store, farm, farm.mark(2, crew=1, block_id=farm.blocks[1].id))
    noon = told(shared_store, farm)
    assert noon["pruned"] == morning["pruned"] + 210
    assert (noon["finish"], noon["fan"]) == (morning["finish"], morning["fan"])
    say(shared_store, farm, crew_day(farm, TODAY))
    assert told(shared_store, farm)["fan"] == morning["fan"]
    say(shared_store, farm, crew_day(farm, TODAY, crew=1))
    evening = told(shared_store, farm)
    assert evening["fan"][0] == [TODAY.isoformat(), *[noon["pruned"]] * 3]
    assert evening["fan"][1][0] == (TODAY + timedelta(1)).isoformat()


def test_a_forecast_of_an_earlier_day_is_the_one_of_that_evening(shared_store, farm):
    """Worked out again from the records, so what was told then and what is told now are one."""
    work(shared_store, farm, DAYS[:4])
    save(shared_store, farm)
    then = told(shared_store, farm, DAYS[3], now=datetime(2026, 1, 15, 22, tzinfo=UTC))
    work(shared_store, farm, DAYS[4:], first_row=9)
    now = told(shared_store, farm, DAYS[3])
    assert {name for name in then if then[name] != now[name]} == set()
    later = told(shared_store, farm)
    drift = {one[0]: one[1:] for one in later["earlier"]}
    assert list(drift) == [day.isoformat() for day in DAYS[:-1]]
    assert later["earlier"][:3] == then["earlier"], "nothing that came later is in them"
    # the drift is drawn fewer times and without queues: a working day or two beside it
    p50, was = (date.fromisoformat(one) for one in (drift[DAYS[3].isoformat()][1], then["finish"]["p50"]))
    assert abs((p50 - was).days) <= 4
    assert later["scored"] == {"issued": 1, "inside": 1}, "only the first evening lies five working days back"


def test_days_of_which_nobody_said_the_hours_are_listed_and_count_as_worked(shared_store, farm):
    work(shared_store, farm)
    save(shared_store, farm)
    before = told(shared_store, farm)
    assert before["without_hours"] == []
    forgotten = [farm.mark(20, 1, 50, crew=1, day=DAYS[2]), farm.mark(20, 51, 60, crew=1, day=DAYS[2])]
    mark(shared_store, farm, *forgotten, farm.mark(21, crew=1, day=TODAY))
    found = told(shared_store, farm)
    assert found["without_hours"] == [{"crew_id": farm.crews[1].id, "day": "2026-01-14", "trees": 60}]
    assert found["paces"] == before["paces"]
    say(shared_store, farm, crew_day(farm, DAYS[2], 2, crew=1))
    assert told(shared_store, farm)["without_hours"] == []


def test_each_tree_is_one_crews_and_a_managers_word_decides_between_two(shared_store, farm):
    """Two crews on one day share what both claim; the earlier day counts otherwise; settled is settled."""
    a, b = (crew.id for crew in farm.crews[:2])
    both = farm.mark(1, 1, 60, day=DAYS[0]), farm.mark(1, 51, 90, crew=1, day=DAYS[0])
    late = farm.mark(2, 1, 50, day=DAYS[1]), farm.mark(2, 41, 80, crew=1, day=DAYS[0])
    mark(shared_store, farm, *both, *late)

    def credited():
        found: Counter[tuple[date, str]] = Counter()
        for day, of in records(shared_store, farm).credited.items():
            for work_, trees in of.items():
                found[day, work_.crew] += trees
        return dict(found)

    assert credited() == {(DAYS[0], a): 55.0, (DAYS[0], b): 35.0 + 40.0, (DAYS[1], a): 40.0}
    pruned = records(shared_store, farm).pruned
    assert {day: sum(of.values()) for day, of in pruned.items()} == {DAYS[0]: 130, DAYS[1]: 40}
    for row, pair, first, last, crew in ((1, both, 51, 60, None), (2, late, 41, 50, a)):
        seen = frozenset(content_hash(one) for one in pair)
        word = StretchSettlement(new_id(), 0, farm.season.id, farm.blocks[0].id, row, first, last, crew, seen)
        settling.settle(shared_store, farm_id=farm.farm.id, said=word, settled_by=None, now=NOW)
    assert credited() == {(DAYS[0], a): 50.0, (DAYS[0], b): 30.0 + 30.0, (DAYS[1], a): 50.0}
    # when trees were pruned is not changed by whom they are told for
    assert records(shared_store, farm).pruned == pruned


def test_what_does_not_stand_enters_no_forecast(shared_store, farm):
    """A withdrawn mark, a crew-day that was corrected, one left out by a manager, one of another season."""
    work(shared_store, farm)
    save(shared_store, farm)
    before = told(shared_store, farm)
    slip = farm.mark(20, day=DAYS[0])
    mark(shared_store, farm, slip)
    wrong, double = crew_day(farm, DAYS[1], 40, crew=1), crew_day(farm, DAYS[0], 40)
    say(shared_store, farm, wrong, crew_day(farm, DAYS[1], 4, crew=1, replaces_id=wrong.id), double)
    assert told(shared_store, farm)["pruned"] == before["pruned"] + POSITIONS
    recording.record_withdrawals(
        shared_store, farm_id=farm.farm.id, withdrawals=[withdrawal(slip)], sent_at=NOW, now=NOW
    )
    seen = frozenset((content_hash(double),))
    word = RecordSettlement(new_id(), 0, "crew_day", double.id, None, seen)
    settling.settle(shared_store, farm_id=farm.farm.id, said=word, settled_by=None, now=NOW)
    after = told(shared_store, farm)
    assert after["paces"] == before["paces"]
    hours = records(shared_store, farm).hours
    assert sorted((one.day, one.people) for one in hours) == sorted([
        *((day, 4) for day in DAYS),
        (DAYS[1], 4),
    ])


def test_people_said_for_days_ahead_count_instead_of_those_of_the_last_crew_day(shared_store, farm):
    work(shared_store, farm)
    save(shared_store, farm)
    before = told(shared_store, farm)

    def strengthen(*spans):
        made = [CrewStrength(farm.crews[crew].id, a, b, people) for crew, a, b, people in spans]
        working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=made, now=NOW)
        return told(shared_store, farm)["finish"]["p50"]

    far = TODAY + timedelta(300)
    assert strengthen((0, TODAY, far, 4)) == before["finish"]["p50"], "as many as there are: nothing changes"
    more = strengthen((0, TODAY, far, 8))
    assert more < before["finish"]["p50"]
    # a crew that nobody has seen yet is thought as fast as crews are
    assert more <= strengthen((1, TODAY, far, 4)) < before["finish"]["p50"]
    assert strengthen((0, TODAY, TODAY + timedelta(13), 0)) > before["finish"]["p50"], "away for a fortnight"


def test_a_crew_is_as_large_as_on_the_fullest_of_its_last_five_days(shared_store, farm):
    """One who is away today is a day's absence, which days to come have too; who stays away for a week is gone."""
    work(shared_store, farm, DAYS[:3])
    mark(shared_store, farm, *(farm.mark(row, day=DAYS[row - 4]) for row in (7, 8, 9)))
    save(shared_store, farm)
    for day in DAYS[3:]:
        say(shared_store, farm, crew_day(farm, day, 3))

    def whole(evening):
        season = season_ahead(records(shared_store, farm), evening).season
        assert season is not None
        (size,) = season.people.values()
        return size, season.history[-1].full_person_hours

    assert whole(DAYS[2]) == (4, 32.0)
    assert whole(DAYS[5]) == (4, 32.0)
    for n in (1, 2):
        day = TODAY + timedelta(n)
        later = NOW + timedelta(n)
        mark(shared_store, farm, farm.mark(10 + n, day=day), now=later)
        say(shared_store, farm, crew_day(farm, day, 3), now=later)
    assert whole(TODAY + timedelta(1)) == (4, 32.0)
    assert whole(TODAY + timedelta(2)) == (3, 24.0)


def test_a_crew_that_the_others_work_five_days_without_has_left(shared_store, farm):
    """As the forecast and the plan tell it; a span that says it is away, or comes back, keeps it."""
    here, gone = (crew.id for crew in farm.crews[:2])
    work(shared_store, farm)
    work(shared_store, farm, DAYS[:1], crew=1, first_row=13)
    save(shared_store, farm)

    def there(day=None):
        found = told(shared_store, farm, day)
        return {one["crew_id"] for one in found["crews"]}, found["gone"]

    assert there(DAYS[4]) == ({here, gone}, [])
    assert there() == ({here}, [{"crew_id": gone, "last_day": DAYS[0].isoformat()}])
    board = read_queues(shared_store, farm.farm.id, now=NOW)["crews"]
    assert {one["crew_id"]: one["people"] for one in board if one["crew_id"] in {here, gone}} == {
        here: 4,
        gone: 0,
    }
    for first, people, reckoned in ((DAYS[2], 0, {here, gone}), (TODAY + timedelta(7), 6, {here, gone})):
        span = CrewStrength(gone, first, first + timedelta(2), people)
        working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=[span], now=NOW)
        assert there() == (reckoned, [])


def test_the_straight_line_holds_the_trees_of_days_without_hours(shared_store, farm):
    """As many a day as were pruned, whoever forgot to say the hours of one."""
    work(shared_store, farm)
    save(shared_store, farm)
    line = told(shared_store, farm)["straight_line"]
    mark(shared_store, farm, *(farm.mark(row, crew=1, day=DAYS[2]) for row in (20, 21)))
    found = told(shared_store, farm)
    assert found["without_hours"]
    # 1,470 trees in 6 days, 3,780 left: 16 days instead of 19
    assert (line, found["straight_line"]) == ("2026-02-13", "2026-02-10")


def test_the_calendar_moves_the_forecast_at_once(shared_store, farm):
    work(shared_store, farm)
    save(shared_store, farm)
    before = told(shared_store, farm)
    save(shared_store, farm, replace(CALENDAR, weekdays="1111110"))
    six_days = told(shared_store, farm)
    assert six_days["finish"]["p50"] < before["finish"]["p50"]
    save(shared_store, farm, replace(CALENDAR, respects_daylight=True, hours_per_day=12.0))
    by_light = told(shared_store, farm)
    save(shared_store, farm, replace(CALENDAR, hours_per_day=12.0))
    assert told(shared_store, farm)["finish"]["p50"] <= by_light["finish"]["p50"]


def test_saturdays_from_now_on_make_no_lost_days_of_those_before(shared_store, farm):
    """Three weeks from Monday to Friday, and Monday the 19th lost; six days a week from then on finish a sixth sooner, asked or saved."""
    days = [date(2025, 12, 29) + timedelta(7 * week + n) for week in range(3) for n in range(5)]
    assert {day.weekday() for day in days} == set(range(5))
    half = [(day, row) for row, day in enumerate(days, 1)]
    mark(shared_store, farm, *(farm.mark(row, day=day) for day, row in half))
    say(shared_store, farm, *(crew_day(farm, day) for day in days))
    save(shared_store, farm)
    now = told(shared_store, farm)
    asked = what_if(shared_store, farm.farm.id, [Case(weekdays="1111110")], certainty=0.9, now=NOW)
    save(shared_store, farm, replace(CALENDAR, weekdays="1111110"))
    saved = told(shared_store, farm)

    def length(finish, share):
        return (date.fromisoformat(finish[share]) - days[-1]).days

    six = asked["cases"][0]
    assert six["finish"] == saved["finish"]
    assert six["chance"] == saved["chance"]
    for share in ("p10", "p50", "p90"):
        assert length(six["finish"], share) == pytest.approx(length(now["finish"], share) * 5 / 6, abs=3)


def test_what_if_meets_the_same_seasons_and_stores_nothing(shared_store, farm):
    work(shared_store, farm)
    save(shared_store, farm)
    now = told(shared_store, farm)
    crew = farm.crews[0].id
    cases = [
        Case(),
        Case(people={crew: 4}),
        Case(crews=(NewCrew(4),)),
        Case(weekdays="1111111"),
        Case(lost_days=5),
        Case(hours_per_day=4.0),
        Case(people={crew: -9}),
        Case(methods={crew: "platform"}),
        Case(methods={crew: "platform"}, ratios={"platform": 1.6}),
    ]
    found = what_if(shared_store, farm.farm.id, cases, certainty=0.9, now=NOW)
    same = {name: now[name] for name in ("finish", "chance", "short_people")}
    assert found["now"] == found["cases"][0] == same | {"sure_by": now["finish"]["p90"]}
    p50 = [one["finish"]["p50"] for one in found["cases"]]
    assert p50[1] <= p50[2] < p50[0], "four more of a crew that is known, or of one that nobody has seen"
    assert p50[3] < p50[0]
    assert p50[4] == (date.fromisoformat(p50[0]) + timedelta(7)).isoformat(), "five working days later"
    assert p50[5] > p50[0]
    assert found["cases"][6]["finish"] == {"p10": None, "p50": None, "p90": None}
    # nobody has seen this crew on a platform: it may be faster or slower, and less is known
    assert found["cases"][7]["finish"]["p90"] > now["finish"]["p90"]
    assert p50[8] < p50[7], "unless somebody says that platforms are faster"
    assert told(shared_store, farm) == now
    for case in [found["now"], *found["cases"]]:
        assert (case["short_people"] == 0) == (case["chance"] >= 0.9)


def test_people_needed_do_make_it_and_one_fewer_does_not(shared_store, farm):
    """Four people are too few for six weeks; as one crew more of so many people it is made, nine times in ten."""
    work(shared_store, farm, DAYS[:2])
    save(shared_store, farm, replace(CALENDAR, hours_per_day=5.0))
    short = told(shared_store, farm)["short_people"]
    assert short is not None
    assert short > 1
    found = what_if(
        shared_store,
        farm.farm.id,
        [Case(crews=(NewCrew(short - 1),)), Case(crews=(NewCrew(short),))],
        certainty=0.9,
        now=NOW,
    )
    fewer, enough = (one["chance"] for one in found["cases"])
    assert found["now"]["chance"] <= fewer
    assert fewer < 0.9 <= enough


@pytest.mark.parametrize(
    ("case", "where"),
    [
        (Case(weekdays="0000000"), "case 1, weekdays"),
        (Case(hours_per_day=0.0), "case 1, hours_per_day"),
        (Case(lost_days=-1), "case 1, lost_days"),
        (Case(lost_days=251), "case 1, lost_days"),
        (Case(ratios={"platform": 0.05}), "case 1, ratios"),
        (Case(crews=(NewCrew(1001),)), "case 1, people"),
    ],
)
def test_a_case_that_cannot_be_is_refused_by_its_field(shared_store, farm, case, where):
    with pytest.raises(InputError) as refused:
        what_if(shared_store, farm.farm.id, [case], certainty=0.9, now=NOW)
    assert refused.value.where == where
    other = small_farm(shared_store, new_id())
    for foreign in (Case(people={other.crews[0].id: 1}), Case(methods={other.crews[0].id: "ladder"})):
        with pytest.raises(UnknownError, match="no such crew"):
            what_if(shared_store, farm.farm.id, [foreign], certainty=0.9, now=NOW)


def test_where_nothing_can_be_forecast_what_if_says_why(shared_store, farm):
    found = what_if(shared_store, farm.farm.id, [Case(lost_days=5)], certainty=0.9, now=NOW)
    assert found == {"missing": ["expected_pace", "crews"], "now": None, "cases": []}


def test_a_finished_season_tells_the_day_of_its_last_tree(shared_store, farm):
    work(shared_store, farm, DAYS[:5])
    every = [(block.id, row) for block in farm.blocks for row in range(1, ROWS + 1)]
    mark(shared_store, farm, *(farm.mark(row, block_id=block, day=DAYS[5]) for block, row in every))
    save(shared_store, farm)
    # on the evening of the last tree nobody has said the hours yet: it is finished all the same
    evening = told(shared_store, farm, now=datetime(2026, 1, 19, 20, tzinfo=UTC))
    assert (evening["day"], evening["trees_left"]) == (DAYS[5].isoformat(), 0)
    assert evening["finish"] == dict.fromkeys(("p10", "p50", "p90"), DAYS[5].isoformat())
    say(shared_store, farm, crew_day(farm, DAYS[5]))
    found = told(shared_store, farm)
    assert (found["trees_left"], found["blocks"], found["fan"]) == (0, [], [])
    assert found["finish"] == dict.fromkeys(("p10", "p50", "p90"), DAYS[5].isoformat())
    assert (found["chance"], found["short_people"], found["straight_line"]) == (1.0, 0, None)
    assert [one[0] for one in found["earlier"]] == [day.isoformat() for day in DAYS[:5]]
    assert found["scored"] is not None
    assert found["scored"]["issued"] == 1, "held against the day of the last tree"


def test_a_closed_block_waits_and_another_is_pruned_first(shared_store, farm):
    work(shared_store, farm)
    save(shared_store, farm)
    span = NOW, NOW + timedelta(days=60)
    before = told(shared_store, farm)
    closing.close_block(shared_store, block_id=farm.blocks[0].id, span=span, reason="felling", now=NOW)
    found = told(shared_store, farm)
    closed, other = ({one["block_id"]: one for one in found["blocks"]}[block.id] for block in farm.blocks)
    assert other["p50"] < span[1].date().isoformat() < closed["p10"]
    assert found["finish"]["p50"] > before["finish"]["p50"]


def test_the_overview_counts_the_working_days_of_the_farms_own_calendar(shared_store, farm):
    """From Tuesday 20 January to Wednesday 11 March: 37 days from Monday to Friday, 44 with Saturdays, less a day off."""

    def figures():
        found = overview(shared_store, farm.farm.id, day=None, now=NOW)["figures"]
        return found["working_days_left"], found["needed_per_day"]

    assert figures() == (37, -(-TREES // 37))
    save(shared_store, farm, replace(CALENDAR, weekdays="1111110", days_off=(DayOff(date(2026, 2, 2), ""),)))
    assert figures() == (43, -(-TREES // 43))


def test_blocks_are_forecast_in_the_order_in_which_they_are_given_out(shared_store, farm):
    """Each crew its own first; what a crew without people was given is anybody's, at the end."""
    work(shared_store, farm, DAYS[:2])
    work(shared_store, farm, DAYS[:2], crew=1, first_row=13)
    save(shared_store, farm)
    a, b, nobody_yet = (crew.id for crew in farm.crews)
    one, two = (block.id for block in farm.blocks)

    def given(revision, **queues):
        kept = told(shared_store, farm)
        wanted = Queues(revision, **queues)
        save_queues(shared_store, farm_id=farm.farm.id, wanted=wanted, now=NOW)
        found = told(shared_store, farm)
        assert found["blocks"] != kept["blocks"], "a saved queue is heard at once"
        return [(block["block_id"], block["crew_id"], block["p50"]) for block in found["blocks"]]

    (first, _, early), (second, _, late) = given(0, open=(two, one))
    assert (first, second) == (two, one)
    assert early < late
    assert [found[:2] for found in given(1, by_crew={b: (one,), a: (two,)})] == [
        pair for _, pair in sorted([(a, (two, a)), (b, (one, b))])
    ]
    assert [found[:2] for found in given(2, by_crew={nobody_yet: (one,)}, open=(two,))] == [
        (two, None),
        (one, None),
    ]
    own_day = TODAY + timedelta(3)
    set_terms(shared_store, block_id=one, terms=BlockTerms(must_finish_on=own_day), now=NOW)
    found = {block["block_id"]: block for block in told(shared_store, farm)["blocks"]}
    assert found[one]["chance"] == 0.0 < found[two]["chance"]
    assert [found[block]["must_finish_on"] for block in (one, two)] == [
        own_day.isoformat(),
        farm.season.must_finish_on.isoformat(),
    ]


def test_a_plan_that_is_not_saved_is_told_what_the_forecast_says_once_it_is(shared_store, farm):
    """The board draws its bars by this: it may not say another day than the screen of the forecast, before or after saving."""
    work(shared_store, farm, DAYS[:2])
    work(shared_store, farm, DAYS[:2], crew=1, first_row=13)
    plan = Queues(by_crew={farm.crews[0].id: (farm.blocks[1].id,)}, open=(farm.blocks[0].id,))

    def of_plan(wanted=plan):
        return plan_forecast(shared_store, farm.farm.id, wanted, now=NOW)

    def of_forecast():
        found = told(shared_store, farm)
        days = {b["block_id"]: {name: b[name] for name in ("p10", "p50", "p90")} for b in found["blocks"]}
        return {name: found[name] for name in ("missing", "finish", "chance")} | {"blocks": days}

    assert of_plan() == {"missing": ["expected_pace"], "finish": None, "chance": None, "blocks": {}}
    save(shared_store, farm)
    nobody = Queues(open=tuple(block.id for block in farm.blocks))
    assert of_plan(nobody) == of_forecast()
    thought = of_plan()
    assert thought != of_forecast()
    save_queues(shared_store, farm_id=farm.farm.id, wanted=plan, now=NOW)
    assert thought == of_forecast() == of_plan()
    with pytest.raises(UnknownError, match="no such block"):
        of_plan(Queues(open=(new_id(),)))


def test_the_board_and_the_proposal_reckon_with_the_people_of_the_forecast_and_when_they_are_there(
    shared_store, farm
):
    """One is ill on the last day, another crew is away until Thursday: neither makes board and forecast differ."""
    save(shared_store, farm)
    for crew in (0, 1):
        work(shared_store, farm, DAYS[:2], crew=crew, first_row=1 + 12 * crew)
        say(shared_store, farm, crew_day(farm, DAYS[2], people=3, crew=crew))
    away = CrewStrength(farm.crews[1].id, TODAY, TODAY + timedelta(1), 0)
    working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=[away], now=NOW)
    known = {one["crew_id"]: one["people"] for one in told(shared_store, farm)["crews"]}
    assert [known[crew.id] for crew in farm.crews[:2]] == [4, 0]
    board = read_queues(shared_store, farm.farm.id, now=NOW)
    people = {one["crew_id"]: one["people"] for one in board["crews"]}
    assert [people[crew.id] for crew in farm.crews[:2]] == [4, 4]
    found = proposed_queues(shared_store, farm.farm.id, language="en", now=NOW)
    (queue,) = (one["blocks"] for one in found["queues"] if one["crew_id"] == farm.crews[1].id)
    assert queue, "who is away for two days has a share of the season"
    assert "the crew is there from 22 January 2026 on" in found["words"][queue[0]]
