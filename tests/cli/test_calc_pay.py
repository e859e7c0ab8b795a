"""`orchardmap calc pay`, as typed: the help's own example, every key, answers whole, refusals in one sentence."""

import json
import re

import pytest

from orchardmap.cli.calculating_pay import calc_pay
from orchardmap.pay.terms_json import TERM_KEYS

MONDAY, TUESDAY, SUNDAY = "2026-01-12", "2026-01-13", "2026-01-18"
TREES = {"day": MONDAY, "crew": "A", "trees": 220}
ANA = {"day": MONDAY, "crew": "A", "person": "Ana", "hours": 8}
JOB = {"rates": [{"per": "tree", "rate": 0.5}], "trees": [TREES], "hours": [ANA]}
MARK = {"day": MONDAY, "crew": "A", "block": "H1", "row": 1, "first": 1, "last": 6}
ROW = {"block": "H1", "row": 1, "positions": 10, "blanks": [2], "pollinizers": [3]}
MARKED = JOB | {"trees": None, "marks": [MARK], "rows": [ROW]}


@pytest.fixture
def calc(orchardmap, tmp_path):
    """A command's exit code, answer and complaint for a job."""

    def run(job):
        (tmp_path / "job.json").write_text(job if isinstance(job, str) else json.dumps(job), "utf-8")
        said = orchardmap("calc", "pay", "job.json")
        return said.code, json.loads(said.out) if said.out else None, said.err

    return run


def example() -> str:
    return re.findall(r"A job: (\{.*\})", calc_pay.__doc__ or "")[0]  # type: ignore[no-any-return]


def test_the_example_of_the_help_is_answered_whole(calc):
    """220 trees at 0.50, 8 hours to 7.5; 14 an hour is more: 112.00 and 105.00."""
    code, told, complaint = calc(example())
    assert (code, complaint) == (0, "")
    assert list(told) == ["currency", "totals", "people", "crews", "held", "notices"]
    assert (
        told["totals"] | {"piece_pay": 110.0, "top_up": 107.0, "pay": 217.0, "trees_done": 220}
        == told["totals"]
    )
    ana, ben = told["people"]
    assert [(one["person"], one["piece_pay"], one["top_up"], one["pay"]) for one in (ana, ben)] == [
        ("Ana", 56.77, 55.23, 112.0), ("Ben", 53.23, 51.77, 105.0),
    ]  # fmt: skip
    assert (
        ana["days"][0] | {"floor": 112.0, "floor_h": 8.0, "floor_earned": 56.77, "pay": 112.0}
        == ana["days"][0]
    )
    assert ana["lines"][0] == {
        "day": MONDAY, "kind": "piece_pay", "crew": "A", "hours": 8.0, "rate": 0.5, "crew_trees": 220, "crew_hours": 15.5,
        "crew_amount": 110.0, "amount": 56.77,
    }  # fmt: skip
    assert (told["crews"][0]["crew"], told["crews"][0]["pay"]) == ("A", 217.0)


def test_the_help_names_every_key_and_that_the_law_decides():
    help_text = calc_pay.__doc__ or ""
    keys = {
        *TERM_KEYS,
        "trees",
        "marks",
        "rows",
        "settlements",
        "hours",
        "accepted",
        "rest_minutes",
        "people",
        "wage",
        "factor",
    }
    assert [key for key in sorted(keys) if f'"{key}"' not in help_text and f'"{key}":' not in help_text] == []
    assert "Local labour law decides" in help_text


def test_a_list_of_jobs_gives_a_list_of_answers(calc):
    one = calc(JOB)[1]
    assert calc([JOB, JOB])[1] == [one, one]


def test_the_us_example_comes_out_to_the_cent(calc):
    """29 CFR 778.111(a), as in tests/published: 575.30 for the week, at a regular rate of 10.46."""
    days = [f"2026-01-{day}" for day in range(12, 17)]
    _, told, _ = calc({
        "currency": "USD", "rates": [{"per": "tree", "rate": 1}], "overtime_after_h_per_week": 40, "overtime_premium": 0.5,
        "trees": [{"day": days[0], "crew": "A", "trees": 491}],
        "hours": [{"day": day, "crew": "A", "person": "Ana", "hours": 9.2} for day in days]
        + [{"day": days[0], "crew": "A", "person": "Ana", "hours": 4, "rate": 8}],
    })  # fmt: skip
    (week,) = told["people"][0]["weeks"]
    assert week | {"regular_rate": 10.46, "overtime_h": 10.0, "overtime_premium": 52.3, "pay": 575.3} == week
    assert told["totals"] | {"piece_pay": 491.0, "other_pay": 32.0, "pay": 575.3} == told["totals"]


def test_a_fair_piece_rate_is_a_job_of_its_own(calc):
    """HMRC NMWM03140 and GOV.UK, as in tests/published."""
    jobs = [
        {"wage": 5.05, "average_trees": 10, "factor": 1.2},
        {"wage": 6.31, "average_trees": 12, "factor": 1.2},
    ]
    assert calc(jobs)[1] == [
        {"divisor": 8.333333, "rate": 0.606, "paid_rate": 0.61}, {"divisor": 10.0, "rate": 0.631, "paid_rate": 0.64},
    ]  # fmt: skip


def test_marks_are_counted_tree_by_tree(calc):
    """A says 1 to 6, B 6 to 9; 2 is a blank, 3 a pollinizer: A has 3, B 3, the sixth is held until it is settled."""
    job = MARKED | {
        "marks": [MARK, MARK | {"crew": "B", "first": 6, "last": 9}],
        "hours": [ANA, ANA | {"crew": "B"}],
    }
    _, told, _ = calc(job)
    assert (
        told["totals"] | {"trees_done": 7, "trees_credited": 6, "trees_held": 1, "pay": 3.0} == told["totals"]
    )
    assert told["held"] == [
        {"block": "H1", "row": 1, "first": 6, "last": 6, "trees": 1, "crews": ["A", "B"], "days": [MONDAY]}
    ]
    word = {"block": "H1", "row": 1, "first": 1, "last": 10, "crew": "B"}
    _, settled, _ = calc(job | {"settlements": [word]})
    assert settled["totals"] | {"trees_done": 7, "trees_credited": 7, "trees_held": 0} == settled["totals"]
    _, nobody, _ = calc(job | {"settlements": [word | {"crew": None}]})
    assert (
        nobody["totals"] | {"trees_done": 7, "trees_credited": 0, "trees_for_nobody": 7} == nobody["totals"]
    )


def test_held_trees_are_told_and_not_paid(calc):
    """Beside credited ones, or alone."""
    _, told, _ = calc(JOB | {"trees": [TREES | {"held": 7}, {"day": TUESDAY, "crew": "A", "held": 5}]})
    assert (
        told["totals"] | {"trees_done": 232, "trees_credited": 220, "trees_held": 12, "pay": 110.0}
        == told["totals"]
    )
    assert [one["trees"] for one in told["held"]] == [7, 5]
    assert told["crews"][0]["trees_held"] == 12


def test_the_order_of_a_job_changes_nothing(calc):
    marks = [MARK, MARK | {"day": TUESDAY, "method": "ladder"}, MARK | {"crew": "B", "first": 7, "last": 9}]
    hours = [
        ANA | {"crew": "B", "person": "Cem"},
        ANA,
        ANA | {"person": "Ben", "hours": 7},
        ANA | {"day": TUESDAY},
    ]
    job = MARKED | {"marks": marks, "hours": hours}
    assert calc(job)[1] == calc(job | {"marks": marks[::-1] + marks, "hours": hours[::-1]})[1]


def test_a_period_pays_its_days_only_and_tells_of_weeks_that_it_cuts(calc):
    """Trees marked before it are paid no second time within it."""
    again = MARKED | {
        "marks": [MARK, MARK | {"day": TUESDAY}],
        "hours": [ANA, ANA | {"day": TUESDAY}],
        "minimum_wage": 1,
    }
    _, told, _ = calc(again | {"first": TUESDAY, "last": SUNDAY, "floor_period": "week"})
    assert (
        told["totals"] | {"trees_done": 0, "piece_pay": 0.0, "unshared": 0.0, "top_up": 8.0} == told["totals"]
    )
    assert next(one for one in told["notices"] if "week_from" in one)["week_from"] == MONDAY
    _, whole, _ = calc(again | {"first": MONDAY, "last": SUNDAY, "floor_period": "week"})
    assert not [one for one in whole["notices"] if "week_from" in one]


def test_numbers_are_taken_as_they_were_typed(calc):
    """Text and number alike: 0.1 three times is 0.3, and 0.285 a tree is no 0.28499."""
    for rate in (0.285, "0.285"):
        assert calc(JOB | {"rates": [{"per": "tree", "rate": rate}], "trees": [TREES | {"trees": 1}]})[1]["totals"]["pay"] == 0.29  # fmt: skip


def test_a_head_count_stands_for_people(calc):
    _, told, _ = calc(JOB | {"hours": [{"day": MONDAY, "crew": "A", "people": 3, "hours": 8}]})
    assert [(one["person"], one["pay"]) for one in told["people"]] == [
        ("A 1", 36.67),
        ("A 2", 36.66),
        ("A 3", 36.67),
    ]


def test_what_a_crew_without_hours_earned_is_told_with_that_crew(calc):
    """B pruned 10 trees and nobody's hours are known: 5.00 that nobody is paid."""
    _, told, _ = calc(JOB | {"trees": [TREES, TREES | {"crew": "B", "trees": 10}]})
    assert [(one["crew"], one["pay"], one["unshared"]) for one in told["crews"]] == [
        ("A", 110.0, 0.0),
        ("B", 0.0, 5.0),
    ]
    assert (told["totals"]["pay"], told["totals"]["unshared"]) == (110.0, 5.0)
    assert [one["crew"] for one in told["notices"]] == ["B"]


def test_an_empty_job_pays_nobody(calc):
    assert calc({})[1]["totals"]["pay"] == 0.0


@pytest.mark.parametrize(
    ("job", "says"),
    [
        ([JOB, JOB | {"tress": []}], "job 2, tress: It is not a key of such a job. Known keys: "),
        (7, "It is not a job, nor a list of them."),
        ([7], "job 1: It must be an object"),
        (JOB | {"trees": TREES}, "trees: It must be a list"),
        (JOB | {"trees": [TREES, {"day": MONDAY, "trees": 2}]}, "trees 2, crew: It is missing. Give a name."),
        (JOB | {"trees": [TREES | {"trees": -1}]}, "trees 1, trees: It is -1. Give 0 to 1,000,000,000."),
        (JOB | {"trees": [TREES | {"trees": 2.5}]}, "trees 1, trees: It is 2.5. Give a whole number."),
        (JOB | {"trees": [TREES | {"day": "12.1.2026"}]}, "trees 1, day: It is '12.1.2026'. Give a day such as 2026-01-31."),
        (JOB | {"trees": [TREES | {"method": "stilts"}]}, "trees 1, method: It is 'stilts'. Give one of ladder, platform, ground."),
        (JOB | {"hours": [ANA | {"people": 3}]}, "hours 1, person: Give either person or people."),
        (JOB | {"hours": [ANA | {"person": " "}]}, "hours 1, person: It is no name."),
        (JOB | {"hours": [ANA | {"hours": "eight"}]}, "hours 1, hours: It is 'eight'. Give a number such as 0.45."),
        (JOB | {"hours": [ANA | {"hours": True}]}, "hours 1, hours: It is True. Give a number."),
        (JOB | {"hours": [ANA, ANA | {"hours": 17}]}, "Ana, 2026-01-12: Hours and rest come to 25 h in one day."),
        (JOB | {"rates": [{"per": "tree", "rate": 1, "variety": "Gala"}]}, "rates: No rate holds for trees of no named variety"),
        (JOB | {"rates": JOB["rates"] * 2}, "rate 2: Rates 1 and 2 are both for every variety, every method, and share days"),
        (JOB | {"rates": [{"per": "tree", "rate": 1, "first": SUNDAY, "last": MONDAY}]}, "rates 1, last: It would end on"),
        (JOB | {"minimum_wage": [{"per_hour": 9, "first": SUNDAY}]}, "minimum_wage: No minimum wage holds on 2026-01-12."),
        (JOB | {"minimum_wage": [{"per_hour": 9}, {"per_hour": 10, "first": SUNDAY}]}, "minimum wage 2: Minimum wages 1 and 2 share days"),
        (JOB | {"overtime_after_h_per_week": 40}, "overtime_premium: It is missing."),
        (JOB | {"rounding_step": 0}, "rounding_step: It is 0. Give a step above 0"),
        (JOB | {"minor_digits": 9}, "minor_digits: It is 9."),
        (JOB | {"rounding_step": "0.003"}, "rounding_step: It is 0.003, and the smallest coin is 0.01."),
        (JOB | {"rates": [{"per": "tree", "rate": "\u0663"}]}, "rates 1, rate: It is '\u0663'."),
        (JOB | {"rates": [{"per": "tree", "rate": 1, "first": "soon"}]}, "rates 1, first: It is 'soon'."),
        (
            JOB | {"settlements": [{"block": "H9", "row": 1, "first": 1, "last": 2, "crew": None}]},
            "settlements 1, row: Row 1 of block H9 is not among the rows.",
        ),
        (JOB | {"returns_paid": "no"}, "returns_paid: It is 'no'. Give true or false."),
        (JOB | {"first": SUNDAY, "last": MONDAY}, "last: It is 2026-01-12, before the first day."),
        (MARKED | {"rows": []}, "marks 1, row: Row 1 of block H1 is not among the rows. Add it to rows."),
        (MARKED | {"rows": [ROW, ROW]}, "rows 2, row: This row is given twice."),
        (MARKED | {"marks": [MARK | {"first": 7}]}, "marks 1, first: It runs from 7 to 6."),
        ({"wage": 5, "average_trees": 0, "factor": 1.2}, "average_trees: It is 0. Give more than 0."),
        ({"wage": 5, "factor": 1.2}, "average_trees: It is missing."),
        ('{"hours": [{"hours": NaN, "day": "2026-01-12", "crew": "A", "person": "Ana"}]}', "hours 1, hours: It is nan."),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_said_with_its_place(calc, job, says):
    code, told, complaint = calc(job)
    assert (code, told) == (1, None)
    assert complaint.startswith(f"orchardmap: {says}")
    assert "Traceback" not in complaint
