"""`orchardmap calc forecast`, as typed: days and a chance, the same for the same seed, and refusals in one sentence."""

import json
from datetime import date, timedelta
from typing import Any

import pytest

WEEK = [date(2026, 1, 12) + timedelta(n) for n in range(5)]
JOB: dict[str, Any] = {
    "today": "2026-01-16",
    "must_finish": "2026-02-27",
    "calendar": {"weekmask": "1111100", "holidays": [], "hours_per_day": 8},
    "crews": [{"crew": "Ash", "people": 5}],
    "history": [
        {"day": str(day), "crew": "Ash", "variety": "Ribston", "trees": trees, "person_hours": 40}
        for day, trees in zip(WEEK, (480, 500, 460, 510, 470), strict=True)
    ],
    "remaining": [{"variety": "Ribston", "trees": 9000}],
    "expected_rate_per_h": 12,
    "seed": 1,
    "draws": 2000,
}


@pytest.fixture
def forecast(orchardmap, tmp_path):
    """The command's exit code, answer and complaint for a job."""

    def run(job):
        (tmp_path / "job.json").write_text(json.dumps(job), "utf-8")
        said = orchardmap("calc", "forecast", "job.json")
        return said.code, json.loads(said.out) if said.out else None, said.err

    return run


def test_a_regular_season_goes_on_as_it_went(forecast):
    """484 trees on each of five whole days: 9,000 more take 19 such days, and one in ten is lost."""
    code, told, complaint = forecast(JOB)
    assert (code, complaint) == (0, "")
    assert list(told) == ["p10", "p50", "p90", "chance", "straight_line"]
    assert told["straight_line"] == "2026-02-12"
    assert told["p10"] < told["p50"] < told["p90"]
    assert date(2026, 2, 10) <= date.fromisoformat(told["p50"]) <= date(2026, 2, 20)
    assert 0.5 < told["chance"] < 1
    plain = {key: value for key, value in JOB.items() if key not in {"seed", "draws", "calendar"}}
    assert forecast([JOB, JOB, plain])[1][:2] == [told, told]


def test_two_more_people_help_though_they_were_not_there(forecast):
    before, after = (forecast(JOB | {"crews": [{"crew": "Ash", "people": n}]})[1] for n in (5, 7))
    assert after["p50"] < before["p50"]
    assert after["chance"] > before["chance"]


def test_today_is_worked_unless_it_was_already(forecast):
    """Nothing but today's work is left: who has worked today goes on on Monday."""
    left = {
        "remaining": [{"variety": "Ribston", "trees": 1}],
        "calendar": JOB["calendar"] | {"lost_chance": 0},
    }
    assert forecast(JOB | left)[1]["p50"] == "2026-01-19"
    assert forecast(JOB | left | {"history": JOB["history"][:4]})[1]["p50"] == "2026-01-16"
    assert forecast(JOB | {"remaining": []})[1] | {"straight_line": None} == {
        "p10": "2026-01-16", "p50": "2026-01-16", "p90": "2026-01-16", "chance": 1.0, "straight_line": None,
    }  # fmt: skip


def test_nobody_is_never_done(forecast):
    told = forecast(JOB | {"crews": [{"crew": "Ash", "people": 0}]})[1]
    assert (told["p10"], told["p50"], told["p90"], told["chance"]) == (None, None, None, 0.0)


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"today": "16.1.2026"}, "today"),
        ({"must_finish": None}, "must_finish"),
        ({"crews": []}, "crews"),
        ({"crews": [{"crew": "Ash"}]}, "crews 1, people"),
        ({"crews": [{"crew": "Ash", "people": 1}, {"crew": "Ash", "people": 1}]}, "crews 2"),
        ({"expected_rate_per_h": 0}, "expected_rate_per_h"),
        ({"draws": 0}, "draws"),
        ({"draws": 1.5}, "draws: It is 1.5; it must be a whole number."),
        ({"seed": 0.5}, "seed: It is 0.5; it must be a whole number."),
        ({"today": True}, "today: It is True; it must be a day such as"),
        ({"draws": 100_000, "remaining": [{"variety": str(n), "trees": 9} for n in range(300)]}, "draws: 100000 of 300"),
        ({"remaining": [{"variety": str(n), "trees": 9} for n in range(2001)]}, "remaining: 2001 pairs"),
        ({"history": [JOB["history"][0] | {"person_hours": 1e-300}]}, "history 1: 480 trees in 1e-300 person-hours"),
        ({"history": [JOB["history"][0] | {"trees": 1e-9}]}, "history 1: 1e-09 trees"),
        ({"calendar": {"weekmask": "11111"}}, "calendar, weekmask"),
        ({"calendar": {"holidays": ["soon"]}}, "holidays"),
        ({"calendar": {"lost_chance": [0.1]}}, "calendar, lost_chance"),
        ({"history": [JOB["history"][0] | {"day": "2026-01-17"}]}, "history 1, day"),
        ({"history": [JOB["history"][0] | {"person_hours": 0}]}, "history 1"),
        ({"history": "none"}, "history"),
        ({"remaining": [{"variety": "Ribston", "trees": -1}]}, "remaining 1, trees"),
        ({"remaining": [{"tree": 1}]}, "remaining 1, tree"),
        ({"peeple": 3}, "peeple"),
    ],
)  # fmt: skip
def test_refusals_name_the_place(forecast, changed, where):
    code, told, complaint = forecast(JOB | changed)
    assert (code, told) == (1, None)
    assert complaint.startswith("orchardmap: ")
    assert where in complaint
    assert "Traceback" not in complaint
