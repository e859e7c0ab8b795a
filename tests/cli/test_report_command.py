"""`orchardmap report`: what is said of a season in the shell, before there is one, behind its day, and finished."""

import json
from datetime import UTC, date, datetime, timedelta

import pytest

from orchardmap.cli.season_report import report_lines
from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.queue import BlockTerms, Queues
from orchardmap.model.work import CrewDay
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import planting, recording, working_time
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.giving_out import save_queues, set_terms
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.report_words import cost_lines, progress_lines
from orchardmap.usecases.season_report import season_report
from small_farm import NOW, ROWS, TODAY, small_farm


@pytest.fixture
def store(tmp_path):
    made = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    yield made
    made.close()


def worked(store, rows_a_day):
    """So many rows on each of the last three days, by four people in eight hours."""
    farm = small_farm(store)
    working_time.save_calendar(
        store,
        farm_id=farm.farm.id,
        season_id=farm.season.id,
        calendar=SeasonCalendar(expected_pace=6.0, respects_daylight=False),
        now=NOW,
    )
    every = [(block.id, row) for block in farm.blocks for row in range(1, ROWS + 1)]
    for at in range(3):
        day = TODAY - timedelta(6 - at)
        marks = [
            farm.mark(row, block_id=block, day=day)
            for block, row in every[at * rows_a_day : (at + 1) * rows_a_day]
        ]
        recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)
        said = CrewDay(new_id(), farm.season.id, farm.crews[0].id, day, 4, 8.0, "ladder", None, None, NOW)
        record_crew_days(store, farm_id=farm.farm.id, crew_days=[said], sent_at=NOW, now=NOW)
    return farm


def lines(store, farm, now=NOW):
    return report_lines(season_report(store, farm.farm.id, day=None, now=now))


def test_a_season_that_is_behind_is_told_with_what_it_is_short_of(store):
    farm = worked(store, 1)
    said = "\n".join(lines(store, farm))
    assert "In time less than once in 100. Short by " in said
    late = "\n".join(lines(store, farm, NOW + timedelta(days=60)))
    assert "  That day is over, and trees are left." in late
    assert "In time" not in late
    assert "Small Farm, 2025/26: 20 January 2026" in said
    assert "315 of 5,250 trees pruned (6\N{NO-BREAK SPACE}%), 4,935 left; 3 of 50 rows finished." in said
    assert "105 trees a day on the last 3 days worked." in said
    assert "134 a day are needed on the 37 working days left." in said
    assert "Must be finished on 11 March 2026." in said
    assert "Short by " in said
    assert "people for 9 times in 10." in said
    assert said.index("Likely by ") < said.index("1 in 10 by ") < said.index("9 in 10 by ")
    assert "Crew A  Irish Peach  ladder  3." in said
    assert "Crew A  315 trees  4 people" in said
    assert "Lots" not in said, "no lot was drawn"
    assert "Cost" not in said, "no rule of pay was entered"


def test_one_day_and_one_tree_are_told_as_one(store):
    told = season_report(store, worked(store, 1).farm.id, day=None, now=NOW)
    one = told["figures"] | {"recent_days": 1, "recent_per_day": 228, "working_days_left": 1}
    said = "\n".join(progress_lines(told | {"figures": one, "held": 1}, "en"))
    assert "228 trees on the one day worked so far." in said
    assert "needed on the one working day left." in said
    assert "1 tree is claimed by two crews" in said
    assert "1 days" not in said


def test_blocks_are_told_with_whose_they_are_and_whether_they_are_late_as_on_the_screens(store):
    farm = worked(store, 1)
    first, second = farm.blocks
    plan = Queues(by_crew={farm.crews[0].id: (second.id,)})
    save_queues(store, farm_id=farm.farm.id, wanted=plan, now=NOW)
    terms = BlockTerms(must_finish_on=TODAY + timedelta(1))
    set_terms(store, block_id=second.id, terms=terms, now=NOW)
    said = lines(store, farm)
    at = said.index("Blocks, in the order in which they are worked")
    assert said[at + 1].split()[:5] == [second.code, "Crew", "A", "2,625", "left"]
    assert said[at + 1].endswith("late for 21 January 2026"), "its own day counts"
    assert said[at + 2].split()[:6] == [first.code, "whoever", "is", "free", "2,310", "left"]


def test_what_the_season_cost_so_far_is_told_beside_the_budget():
    cost = {
        "credited": 1000, "currency": "XTS", "cost": "1234.50", "cost_per_tree": "1.23", "expected": "6000.00",
        "budget": {"whole": "5000.00"}, "is_whole": False,
    }  # fmt: skip
    said = list(cost_lines(cost, "en"))
    assert said[0] == "XTS 1,234.50 for 1,000 trees whose pay is known, XTS 1.23 a tree."
    assert (
        said[1]
        == "The season comes to XTS 6,000.00, each tree left at what its block, variety or rate costs."
    )
    assert said[2] == "The budget is XTS 5,000.00."
    assert said[3].startswith("Something is missing")
    assert list(cost_lines(cost | {"expected": None}, "en"))[1] == said[2], (
        "of trees left nothing may say what they cost"
    )
    assert (
        list(cost_lines({"credited": None} | {"currency": None}, "en")) == list(cost_lines(None, "en")) == []
    )


def test_a_finished_season_is_told_by_its_day(store):
    said = lines(store, worked(store, 17))
    assert "  Finished on 16 January 2026." in said
    assert not [line for line in said if "Likely" in line or "Short" in line]


def test_crews_that_left_and_how_earlier_evenings_came_out_are_told(store):
    told = season_report(store, worked(store, 1).farm.id, day=None, now=NOW)
    more = {"gone": [{"crew": "Crew B", "last_day": "2026-01-08"}], "scored": {"issued": 9, "inside": 7}}
    said = report_lines(told | {"forecast": told["forecast"] | more})
    assert "  Crew B was there last on 8 January 2026, and is not reckoned with." in said
    assert [line for line in said if line.startswith("  7 of 9 earlier evenings' intervals")]


def test_what_is_missing_for_a_forecast_is_asked_for(store):
    farm = small_farm(store)
    said = "\n".join(lines(store, farm))
    assert "Missing: the pace that the farm expects, in trees per person-hour (calendar)." in said
    assert "Missing: how many people prune" in said


def test_the_command_prints_the_same_as_text_and_as_json(store, orchardmap, tmp_path):
    farm, url = worked(store, 1), sqlite_url(tmp_path / "farm.sqlite")
    day = date(2026, 1, 16)
    told = season_report(store, farm.farm.id, day=day, now=datetime.now(UTC))
    said = orchardmap("report", "--day", "2026-01-16", "--database", url)
    assert (said.code, said.out.splitlines()) == (0, report_lines(told))
    found = json.loads(orchardmap("report", "--json", "--day", "2026-01-16", "--database", url).out)
    assert found == json.loads(json.dumps(told))
    assert found["lots"] is None, "as of a day that is over lots are not told"
    ahead = orchardmap("report", "--day", "2126-01-16", "--database", url)
    assert (ahead.code, "2126-01-16 has not come yet" in ahead.err) == (1, True)
    planting.create_farm(store, name="Other", time_zone="UTC", now=NOW)
    said = orchardmap("report", "--database", str(tmp_path / "farm.sqlite"))
    assert (said.code, said.out) == (1, "")
    assert "--database: that is no address of a database. Write sqlite:///FILE" in said.err
    said = orchardmap("report", "--farm", "Other", "--database", url)
    assert "Other, no season yet" in said.out
    assert "Missing: a season that is open (Set-up)." in said.out
