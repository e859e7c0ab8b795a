"""What the overview tells beside its figures: what the day asks for, and the forecast of some blocks. On both engines."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from orchardmap.errors import UnknownError
from orchardmap.model.calendar import CrewStrength, SeasonCalendar
from orchardmap.model.people import Sender
from orchardmap.model.queue import Queues
from orchardmap.store import briefs as brief_store
from orchardmap.store import farm as farm_store
from orchardmap.usecases import (
    brief_publishing,
    briefing,
    closing,
    forecasting,
    giving_out,
    glance,
    lot_reading,
    pay_cost,
    pay_rules,
    planting,
    recording,
    working_time,
)
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.moments import current_season
from orchardmap.usecases.needs_today import needs_today
from orchardmap.usecases.part_forecast import part_forecast
from orchardmap.usecases.pay_rules import Doer
from orchardmap.usecases.planting import BlockPlan, new_id
from orchardmap.usecases.warming import Warming
from small_farm import NOW, OUTLINE, PLANTING, TODAY, small_farm

ROME = ZoneInfo("Europe/Rome")
AFTERNOON = datetime.combine(TODAY, time(15), ROME).astimezone(UTC)  # a Tuesday


def hand_in(store, farm, *marks):
    recording.record_marks(
        store, farm_id=farm.farm.id, marks=list(marks), sent_at=NOW, now=NOW, sender=Sender(None)
    )


def silent(store, farm, now=AFTERNOON):
    names = {crew.id: crew.name for crew in farm.crews}
    return [
        (names[one["crew_id"]], one["last_day"])
        for one in needs_today(store, farm.farm.id, now=now)["silent"]
    ]


class TestCrewsThatNothingWasHeardFrom:
    def test_who_worked_lately_and_marked_nothing_by_noon(self, store):
        """A worked yesterday, B today; C never marked anything, so nobody waits for it."""
        farm = small_farm(store)
        yesterday = TODAY - timedelta(days=1)
        hand_in(
            store,
            farm,
            farm.mark(1, day=yesterday),
            farm.mark(2, day=yesterday, crew=1),
            farm.mark(3, crew=1),
        )
        assert silent(store, farm) == [("Crew A", yesterday.isoformat())]
        morning = datetime.combine(TODAY, time(11, 59), ROME).astimezone(UTC)
        assert silent(store, farm, morning) == []
        sunday = AFTERNOON + timedelta(days=5)
        assert silent(store, farm, sunday) == []

    def test_nobody_waits_for_a_crew_that_is_said_to_be_away_or_has_left(self, store):
        farm = small_farm(store)
        days = [TODAY - timedelta(days=n) for n in range(1, 7)]
        hand_in(
            store,
            farm,
            farm.mark(1, day=days[5], crew=2),
            *(farm.mark(n + 2, day=day) for n, day in enumerate(days)),
        )
        # crew C's day is the sixth from last
        assert silent(store, farm) == [("Crew A", days[0].isoformat())]
        away = CrewStrength(farm.crews[0].id, TODAY, TODAY, 0)
        working_time.save_strengths(store, farm_id=farm.farm.id, strengths=[away], now=NOW)
        assert silent(store, farm) == []


class TestSeasonThatIsOver:
    """A season ends with its must-finish day or, where work goes on late, with the last mark; until then crews are waited for."""

    @staticmethod
    def told(store, farm, day):
        now = datetime.combine(day, time(15), ROME).astimezone(UTC)
        figures = glance.overview(store, farm.farm.id, day=None, now=now)["figures"]
        needs = needs_today(store, farm.farm.id, now=now)
        return figures["season_ended_on"], len(needs["silent"]), len(needs["unbriefed"])

    def test_where_trees_are_left_crews_are_waited_for_until_two_weeks_after_the_last_mark(self, store):
        """Tuesday 20 January is its must-finish day; 29 January the last mark."""
        farm = small_farm(store)
        must, last = date(2026, 1, 20), date(2026, 1, 29)
        planting.add_season(
            store, farm_id=farm.farm.id, name="Late", opens_on=date(2025, 12, 10), must_finish_on=must
        )
        with store.read() as conn:
            late = current_season(farm_store.seasons(conn, farm.farm.id), must)
        assert late is not None
        marks = [
            farm.mark(1, season_id=late.id, day=date(2026, 1, 19)),
            farm.mark(2, season_id=late.id, day=last, device_at=datetime(2026, 1, 29, 12, tzinfo=UTC)),
        ]
        at = datetime(2026, 1, 29, 15, tzinfo=UTC)
        recording.record_marks(
            store, farm_id=farm.farm.id, marks=marks, sent_at=at, now=at, sender=Sender(None)
        )
        assert self.told(store, farm, date(2026, 2, 12)) == (None, 1, 1)
        assert self.told(store, farm, date(2026, 2, 13)) == ("2026-01-29", 0, 0)
        assert self.told(store, farm, date(2026, 11, 27)) == ("2026-01-29", 0, 0)
        # as of a day before, it had not ended yet
        then = glance.overview(store, farm.farm.id, day=must, now=NOW + timedelta(days=200))
        assert then["figures"]["season_ended_on"] is None

    def test_where_no_tree_is_left_nobody_is_waited_for_and_it_is_over_after_its_last_day(self, store):
        farm = small_farm(store)
        yesterday = TODAY - timedelta(days=1)
        rows = range(1, 26)
        hand_in(
            store,
            farm,
            *(farm.mark(row, day=yesterday, block_id=block.id) for block in farm.blocks for row in rows),
        )
        must = farm.season.must_finish_on
        assert self.told(store, farm, TODAY) == (None, 0, 0)
        assert self.told(store, farm, must) == (None, 0, 0)
        assert self.told(store, farm, must + timedelta(days=1)) == (must.isoformat(), 0, 0)


def test_closures_that_begin_or_end_within_a_week_stand_in_the_order_of_what_happens(store):
    farm = small_farm(store)
    hour = timedelta(hours=1)
    spans = [
        (0, "ends soon", NOW - hour, NOW + 2 * hour),
        (1, "to come", NOW + hour, NOW + timedelta(days=9)),
        (1, "far", NOW + timedelta(days=8), NOW + timedelta(days=10)),
        (0, "past", NOW - 3 * hour, NOW - 2 * hour),
    ]
    for block, reason, begin, end in spans:
        closing.close_block(
            store,
            block_id=farm.blocks[block].id,
            span=(begin, end),
            reason=reason,
            now=NOW - timedelta(days=1),
        )
    told = needs_today(store, farm.farm.id, now=NOW)["closures"]
    assert [(one["block_code"], one["turn"], one["reason"]) for one in told] == [
        ("K2", "begins", "to come"),
        ("K1", "ends", "ends soon"),
    ]
    assert datetime.fromisoformat(told[0]["at"]) == NOW + hour


def test_blocks_pruned_without_a_published_brief_are_told_until_there_is_one_or_they_are_done(store):
    """A draft tells a crew nothing: only what was published holds."""

    def told():
        return [one["block_code"] for one in needs_today(store, farm.farm.id, now=NOW)["unbriefed"]]

    farm = small_farm(store)
    first, second = farm.blocks
    assert told() == []
    hand_in(store, farm, farm.mark(1))
    assert told() == [first.code]
    subject = BriefSubject(farm.season.id, variety_id=first.variety_id)
    brief = briefing.make_brief(
        store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    assert told() == [first.code]
    with store.read() as conn:
        revision = brief_store.draft(conn, brief.id).revision
    brief_publishing.publish(
        store, farm_id=farm.farm.id, brief_id=brief.id, revision=revision, by=None, now=NOW
    )
    assert told() == []
    hand_in(store, farm, farm.mark(1, block_id=second.id))
    assert told() == ([] if second.variety_id == first.variety_id else [second.code])


@pytest.fixture
def forecast_farm(store):
    """A block more, of another variety, and a pace that is known: something can be forecast."""
    farm = small_farm(store)
    other = planting.add_variety(store, farm_id=farm.farm.id, name="Lord Derby", habit="spur")
    (late,) = planting.plant_blocks(
        store, farm_id=farm.farm.id, plans=[BlockPlan("K3", "", other.id, OUTLINE, PLANTING)]
    )
    calendar = SeasonCalendar(expected_pace=12.0)
    working_time.save_calendar(
        store, farm_id=farm.farm.id, season_id=farm.season.id, calendar=calendar, now=NOW
    )
    people = [CrewStrength(crew.id, TODAY, TODAY + timedelta(days=300), 4) for crew in farm.crews]
    working_time.save_strengths(store, farm_id=farm.farm.id, strengths=people, now=NOW)
    hand_in(store, farm, *(farm.mark(row, day=TODAY - timedelta(days=1)) for row in range(1, 6)))
    return farm, other, late


class TestForecastOfSomeBlocks:
    def test_a_variety_is_done_no_later_than_the_farm_and_its_trees_are_its_own(self, store, forecast_farm):
        farm, other, late = forecast_farm
        asked: dict[str, Any] = {"day": None, "crew_id": None, "now": NOW}
        whole = forecasting.forecast(store, farm.farm.id, day=None, now=NOW)
        parts = [
            part_forecast(store, farm.farm.id, variety_id=variety, **asked)
            for variety in (farm.blocks[0].variety_id, other.id)
        ]
        assert [part["blocks"] for part in parts] == [2, 1]
        for name in ("trees", "pruned", "trees_left"):
            assert sum(part[name] for part in parts) == whole[name]
        assert max(part["finish"]["p50"] for part in parts) <= whole["finish"]["p50"]
        assert {one["block_id"]: one["p90"] for one in whole["blocks"]}[late.id] == parts[1]["finish"]["p90"]
        assert parts[0]["burnup"] == whole["burnup"]
        assert (parts[1]["burnup"], parts[1]["fan"][0][1:]) == ([], [0, 0, 0])
        everything = part_forecast(store, farm.farm.id, variety_id=None, **asked)
        assert (everything["finish"], everything["fan"]) == (whole["finish"], whole["fan"])

    def test_a_crew_is_told_of_what_it_was_given(self, store, forecast_farm):
        farm, other, late = forecast_farm
        crew = farm.crews[0].id
        asked: dict[str, Any] = {"day": None, "now": NOW, "crew_id": crew}
        nothing = part_forecast(store, farm.farm.id, variety_id=None, **asked)
        assert (nothing["blocks"], nothing["finish"], nothing["fan"]) == (0, None, [])
        giving_out.save_queues(store, farm_id=farm.farm.id, wanted=Queues(0, {crew: (late.id,)}), now=NOW)
        told = part_forecast(store, farm.farm.id, variety_id=other.id, **asked)
        assert (told["blocks"], told["trees"]) == (1, told["trees_left"])
        assert told["finish"]["p50"]

    def test_what_the_farm_does_not_have_is_unknown(self, store, forecast_farm):
        farm, _, _ = forecast_farm
        for asked in ({"variety_id": new_id(), "crew_id": None}, {"variety_id": None, "crew_id": new_id()}):
            with pytest.raises(UnknownError):
                part_forecast(store, farm.farm.id, day=None, now=NOW, **asked)


class TestWhatIsRemembered:
    """An overview is worked out once, and told anew whenever anything in it would be another."""

    def test_a_closure_begins_and_ends_though_nothing_changes(self, store):
        farm = small_farm(store)
        closing.close_block(
            store,
            block_id=farm.blocks[0].id,
            span=(NOW + timedelta(hours=1), NOW + timedelta(hours=2)),
            reason="spray",
            now=NOW,
        )

        def closed(later):
            told = glance.overview(store, farm.farm.id, day=None, now=NOW + later)
            return [one["closed"] and one["closed"]["reason"] for one in told["blocks"]]

        times = [timedelta(0), timedelta(minutes=59), timedelta(minutes=61), timedelta(minutes=121)]
        assert [closed(later) for later in times] == [
            [None, None],
            [None, None],
            ["spray", None],
            [None, None],
        ]

    def test_within_the_day_it_is_worked_out_once(self, store, monkeypatch):
        farm = small_farm(store)
        first = glance.overview(store, farm.farm.id, day=None, now=NOW)
        monkeypatch.setattr(glance, "overview_json", None)  # whoever works it out again fails
        assert glance.overview(store, farm.farm.id, day=None, now=NOW + timedelta(minutes=30)) == first

    def test_lots_and_cost_are_told_anew_after_each_change(self, store):
        """A mark and a rule of pay: each is in the next answer."""
        farm = small_farm(store)

        def told():
            lots = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)
            cost = pay_cost.cost_json(store, farm.farm.id, now=NOW)
            return sum(one["trees"] for one in lots["wanting"]), cost.get("left_out"), cost["currency"]

        def pay(revision, currency):
            rules = {"currency": currency, "rates": [{"per": "tree", "rate": "2"}]}
            by = Doer(None, "shell", NOW)
            pay_rules.save_rules(store, farm_id=farm.farm.id, rules=rules, revision=revision, by=by)

        pay(0, "EUR")
        assert told() == (0, 0, "EUR")
        hand_in(store, farm, farm.mark(1, 1, 10))
        assert told() == (10, 10, "EUR")
        pay(1, "CHF")
        hand_in(store, farm, farm.mark(2, 1, 5))
        assert told() == (15, 15, "CHF")

    def test_after_a_start_it_is_worked_out_before_anybody_asks(self, store, monkeypatch):
        farm = small_farm(store)
        warming = Warming(store, clock=lambda: NOW)
        warming.start()
        warming.join()
        monkeypatch.setattr(glance, "overview_json", None)
        told = glance.overview(store, farm.farm.id, day=None, now=NOW + timedelta(minutes=1))
        assert told["farm_id"] == farm.farm.id
