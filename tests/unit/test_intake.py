"""What fits a farm, decided on values alone."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from orchardmap.model.check import Check
from orchardmap.model.season import Closure, Season
from orchardmap.model.work import Mark
from orchardmap.work.identity import content_hash, corrected_at, corrected_day
from orchardmap.work.intake import SET_ASIDE, Facts, check_set_aside, mark_set_aside

NOON = datetime(2026, 1, 20, 12, tzinfo=UTC)
DAY = date(2026, 1, 20)
SEASON = Season("s", "f", "one", date(2025, 12, 1), date(2026, 3, 1))
FACTS = Facts(
    ZoneInfo("Europe/Rome"),
    {"s": SEASON},
    frozenset("c"),
    frozenset("p"),
    frozenset("b"),
    {("b", 1): 10},
    frozenset({("b", 1, 4)}),
)
MARK = Mark("m", "s", "b", 1, 1, 10, "c", DAY, "ladder", None, None, NOON)
CHECK = Check("k", "s", "b", 1, 3, "p", DAY, "meets", True, None, NOON)


def judged(mark, facts=FACTS, *, day=DAY, true_at=NOON):
    return mark_set_aside(mark, facts, day=day, true_at=true_at, today=DAY)


def test_fitting_records_are_not_set_aside():
    assert judged(MARK) is None
    assert check_set_aside(CHECK, FACTS, day=DAY, today=DAY) is None


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"season_id": "x"}, "unknown_season"),
        ({"block_id": "x"}, "unknown_block"),
        ({"row": 2}, "unknown_row"),
        ({"last": 11}, "beyond_row_end"),
        ({"crew_id": "x"}, "unknown_crew"),
        ({"return_id": "x"}, "unknown_return"),
    ],
)
def test_mark_is_set_aside_for(changes, reason):
    assert judged(replace(MARK, **changes)) == reason
    assert reason in SET_ASIDE


def test_check_on_a_blank_or_by_a_stranger_is_set_aside():
    assert check_set_aside(replace(CHECK, position=4), FACTS, day=DAY, today=DAY) == "no_tree_there"
    assert check_set_aside(replace(CHECK, auditor_id="x"), FACTS, day=DAY, today=DAY) == "unknown_person"


def test_closed_season_takes_nothing_more():
    closed = replace(FACTS, seasons={"s": replace(SEASON, closed=True)})
    assert judged(MARK, closed) == "season_closed"


def test_days_outside_the_season_so_far():
    assert judged(MARK, day=date(2025, 11, 30)) == "before_season"
    assert judged(MARK, day=DAY + timedelta(days=1)) == "later_than_today"


def test_mark_entered_later_counts_as_closed_only_if_the_whole_day_was():
    # midnight in Rome on 18 January is 23:00 UTC the day before
    whole_day = Closure(
        "x", "b", datetime(2026, 1, 17, 23, tzinfo=UTC), datetime(2026, 1, 18, 23, tzinfo=UTC), "spray"
    )
    afternoon = replace(whole_day, starts_at=datetime(2026, 1, 18, 12, tzinfo=UTC))
    worked = date(2026, 1, 18)
    assert judged(MARK, replace(FACTS, closures=[whole_day]), day=worked) == "block_closed"
    assert judged(MARK, replace(FACTS, closures=[afternoon]), day=worked) is None
    assert judged(MARK, replace(FACTS, closures=[replace(whole_day, block_id="other")]), day=worked) is None


def test_re_entry_check_value_cv8():
    """CV8 of the trade's check values (40 CFR 170.112(a)(3)): longest of 12 h and 24 h from 10 Feb 16:00 closes until 11 Feb 16:00."""
    ended = datetime(2026, 2, 10, 16, tzinfo=UTC)
    closure = Closure("x", "b", ended, ended + timedelta(hours=max(12, 24)), "spray re-entry")
    assert closure.ends_at == datetime(2026, 2, 11, 16, tzinfo=UTC)
    assert closure.holds(ended)
    assert closure.holds(closure.ends_at - timedelta(seconds=1))
    assert not closure.holds(closure.ends_at)


def test_content_hash_knows_the_moment_not_its_spelling():
    rome = replace(MARK, device_at=NOON.astimezone(ZoneInfo("Europe/Rome")))
    assert content_hash(rome) == content_hash(MARK)
    assert content_hash(replace(MARK, last=9)) != content_hash(MARK)


def test_corrected_moment_and_day():
    behind = timedelta(days=400, hours=3)
    assert corrected_at(NOON - behind, NOON - behind + timedelta(hours=1), NOON) == NOON - timedelta(hours=1)
    # a clock right to the minute moves no day, even near midnight of the farm's own zone
    rome = ZoneInfo("Europe/Rome")
    late = datetime(2026, 1, 20, 22, 59, tzinfo=UTC)
    assert corrected_day(DAY, late, late, rome) == DAY
    # nor one two minutes or a summer time wrong: the foreman's own day stands
    for wrong in (timedelta(minutes=2), timedelta(hours=-1)):
        assert corrected_day(DAY, late, late + wrong, rome) == DAY
    # yesterday's work entered today stays yesterday's
    assert corrected_day(DAY - timedelta(days=1), NOON - behind, NOON, rome) == DAY - timedelta(
        days=1
    ) + timedelta(days=400)
