"""What fits a farm, decided on values alone."""

from dataclasses import asdict, replace
from datetime import UTC, date, datetime, time, timedelta
from types import SimpleNamespace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.model.check import Check
from orchardmap.model.season import Closure, Season
from orchardmap.model.work import CrewDay, Mark, Withdrawal
from orchardmap.work.acceptance import hindrance
from orchardmap.work.identity import content_hash, corrected_at, corrected_day
from orchardmap.work.intake import (
    SET_ASIDE,
    Facts,
    LotPlace,
    check_set_aside,
    crew_day_set_aside,
    mark_set_aside,
    withdrawal_set_aside,
)
from orchardmap.work.speaking import judged_by_senders

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
        ({"recorder_id": "x"}, "unknown_person"),
        ({"return_id": "x"}, "unknown_return"),
    ],
)
def test_mark_is_set_aside_for(changes, reason):
    assert judged(replace(MARK, **changes)) == reason
    assert reason in SET_ASIDE


def test_mark_answers_a_return_of_its_own_season_and_block_that_stands_and_no_manager_can_let_another_count():
    facts = replace(FACTS, returns=frozenset({("r", "s", "b"), ("far", "s", "x"), ("old", "t", "b")}))
    assert judged(replace(MARK, return_id="r"), facts) is None
    for name in ("far", "old", "gone"):
        mark = replace(MARK, return_id=name)
        assert judged(mark, facts) == "unknown_return"
        kept = SimpleNamespace(**asdict(mark), set_aside="season_closed")
        assert hindrance("mark", kept, facts) == "unknown_return"


def test_check_on_a_blank_or_by_a_stranger_is_set_aside():
    assert check_set_aside(replace(CHECK, position=4), FACTS, day=DAY, today=DAY) == "no_tree_there"
    assert check_set_aside(replace(CHECK, auditor_id="x"), FACTS, day=DAY, today=DAY) == "unknown_person"


IN_LOTS = replace(
    FACTS,
    lots={
        "l": LotPlace("s", "b", frozenset({(1, 3), (1, 4)})),
        "far": LotPlace("s", "x", frozenset({(1, 3)})),
        "old": LotPlace("before", "b", frozenset({(1, 3)})),
    },
)


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({}, None),
        ({"lot_id": "l"}, None),
        ({"lot_id": "l", "drawn": False}, None),  # an extra tree of the draw
        ({"lot_id": "l", "second": True}, None),
        ({"lot_id": "nobody's"}, "unknown_lot"),
        ({"lot_id": "far"}, "unknown_lot"),
        (
            {"lot_id": "old"},
            "unknown_lot",
        ),  # of another season: it would judge nothing, and count for weak areas
        ({"lot_id": "l", "position": 5}, "not_in_lot"),
        ({"lot_id": "l", "position": 4}, "no_tree_there"),  # drawn, and found to be a blank since
        ({"lot_id": "l", "position": 4, "verdict": None, "not_judged": "gone"}, None),
        ({"lot_id": "l", "position": 5, "verdict": None, "not_judged": "gone"}, "not_in_lot"),
        ({"lot_id": "nobody's", "row": 9}, "unknown_row"),
    ],
)
def test_check_of_a_lot_is_of_its_block_and_of_a_tree_that_it_drew(changes, reason):
    assert check_set_aside(replace(CHECK, **changes), IN_LOTS, day=DAY, today=DAY) == reason


def test_lot_that_is_not_there_cannot_be_waved_through():
    """A manager who accepts the day, or a tablet that was let go, must not thereby accept a tree for no lot."""
    stray = replace(CHECK, lot_id="nobody's", device_id="gone")
    facts = replace(IN_LOTS, revoked_devices=frozenset({"gone"}))
    assert check_set_aside(stray, facts, day=DAY + timedelta(days=1), today=DAY) == "unknown_lot"
    for lot_id, position, told in (
        ("nobody's", 3, "unknown_lot"),
        ("l", 5, "not_in_lot"),
        ("l", 3, None),
        (None, 5, None),
    ):
        kept = SimpleNamespace(
            **asdict(replace(CHECK, lot_id=lot_id, position=position)), set_aside="season_closed"
        )
        assert hindrance("check", kept, facts) == told
        assert hindrance("check", kept, replace(facts, lots={})) == ("unknown_lot" if lot_id else None)


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


HANDS = replace(FACTS, crews=frozenset("cd"), revoked_devices=frozenset({"gone"}))
CREW_DAY = CrewDay("w", "s", "c", DAY, 6, 7.5, "ladder", "p", None, NOON)


@pytest.mark.parametrize(
    ("reason", "scopes", "crews", "told"),
    [
        (None, {"c"}, {"c"}, None), (None, {None}, {"d"}, None), (None, {"c"}, {"d"}, "other_crew"), (None, {"c", "d"}, {"d"}, None),
        (None, {"c", None}, {"d"}, None), (None, {"c"}, set(), None), (None, {"c"}, {"c", "d"}, "other_crew"),
        (None, {"c", "d"}, {"c", "d"}, None), ("unknown_crew", {"c"}, {"x"}, "unknown_crew"),
    ],
)  # fmt: skip
def test_a_crews_tablet_speaks_for_its_own_crew_and_a_manager_for_any(reason, scopes, crews, told):
    assert judged_by_senders(reason, scopes, crews) == told


def test_what_a_tablet_made_that_was_let_go_waits_for_a_manager():
    assert judged(replace(MARK, device_id="gone"), HANDS) == "device_revoked"
    assert judged(replace(MARK, device_id="tablet"), HANDS) is None
    assert check_set_aside(replace(CHECK, device_id="gone"), HANDS, day=DAY, today=DAY) == "device_revoked"
    assert withdrawal_set_aside(Withdrawal("w", "m", None, "gone", NOON), HANDS) == "device_revoked"
    assert withdrawal_set_aside(Withdrawal("w", "m", None, "tablet", NOON), HANDS) is None
    assert (
        crew_day_set_aside(replace(CREW_DAY, device_id="gone"), HANDS, day=DAY, today=DAY) == "device_revoked"
    )


def test_what_can_never_count_is_said_before_what_a_manager_can_wave_through():
    """A manager who accepts a tablet that was let go must not thereby accept a row that is not there."""
    assert judged(replace(MARK, row=9, device_id="gone"), HANDS) == "unknown_row"
    late = judged(replace(MARK, device_id="gone"), HANDS, day=DAY + timedelta(days=1))
    assert late == "later_than_today"


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({}, None),
        ({"season_id": "x"}, "unknown_season"),
        ({"crew_id": "x"}, "unknown_crew"),
        ({"recorder_id": "x"}, "unknown_person"),
    ],
)
def test_crew_day_is_set_aside_for(changes, reason):
    assert crew_day_set_aside(replace(CREW_DAY, **changes), FACTS, day=DAY, today=DAY) == reason


def test_crew_day_outside_the_season_so_far():
    closed = replace(FACTS, seasons={"s": replace(SEASON, closed=True)})
    assert crew_day_set_aside(CREW_DAY, closed, day=DAY, today=DAY) == "season_closed"
    ahead = crew_day_set_aside(CREW_DAY, FACTS, day=DAY + timedelta(days=1), today=DAY)
    assert ahead == "later_than_today"
    assert crew_day_set_aside(CREW_DAY, FACTS, day=date(2025, 11, 30), today=DAY) == "before_season"


def test_content_hashes_of_version_0_1_stay_what_they_were():
    """Computed by orchardmap 0.1.0: a record that was taken then must be known again when it is sent again."""
    at = datetime(2026, 1, 20, 12, 34, 56, 789000, tzinfo=UTC)
    i = "019c0000-0000-7000-8000-0000000000"
    mark = Mark(i + "01", i + "02", i + "03", 1, 1, 10, i + "04", DAY, "ladder", None, "tablet", at)
    back = Withdrawal(i + "05", i + "01", i + "06", None, at, "wrong row")
    check = Check(i + "07", i + "02", i + "03", 1, 3, i + "08", DAY, "minor", True, None, at, "Äste")
    assert [content_hash(one) for one in (mark, back, check)] == [
        "848b85393eeef42cd05463ebc94f23c9e2c35120ab4d4f54b3535e4a3dd2ad27",
        "9510858f2a5b2371983a96f4668dae9c95a6591c2f38134d41c55bc7a5228b1b",
        "98309da027b9f6ce02625523befe4f9337dc3d8fe3a96362064ed207ce49ea4d",
    ]
    said_more = replace(mark, extra={"weather": {"snow": True}, "gloves": 2})
    assert content_hash(said_more) != content_hash(mark)
    assert content_hash(said_more) == content_hash(
        replace(mark, extra={"gloves": 2, "weather": {"snow": True}})
    )


def test_lot_findings_second_look_and_why_none_are_of_the_content_where_there_are_any():
    """So a check without them is known again when it is sent under a newer version, and none of the four can be changed unseen."""
    findings = (("limb-count", 22.0), ("stubs", True))
    said = [
        CHECK,
        replace(CHECK, lot_id="l"),
        replace(CHECK, findings=findings),
        replace(CHECK, findings=()),
        replace(CHECK, findings=(("limb-count", 22.0), ("stubs", False))),
        replace(CHECK, findings=(("limb-count", 23.0), ("stubs", True))),
        replace(CHECK, second=True),
        replace(CHECK, second=False),
        replace(CHECK, verdict=None, not_judged="gone"),
        replace(CHECK, verdict=None, not_judged="other"),
    ]
    assert len({content_hash(one) for one in said}) == len(said)


def test_content_hash_knows_the_moment_not_its_spelling():
    rome = replace(MARK, device_at=NOON.astimezone(ZoneInfo("Europe/Rome")))
    assert content_hash(rome) == content_hash(MARK)
    assert content_hash(replace(MARK, last=9)) != content_hash(MARK)


def test_corrected_moment_and_day():
    assert corrected_at(NOON + timedelta(days=60), NOON, NOON) == NOON, "a clock put back before the upload"
    behind = timedelta(days=400, hours=3)
    assert corrected_at(NOON - behind, NOON - behind + timedelta(hours=1), NOON) == NOON - timedelta(hours=1)
    rome = ZoneInfo("Europe/Rome")

    def day_of(day, device_at, true_at, today=DAY):
        return corrected_day(day, device_at, true_at, zone=rome, today=today)

    # a clock right to a few minutes moves no day, even near midnight of the farm's own zone
    late = datetime(2026, 1, 20, 22, 59, tzinfo=UTC)
    assert day_of(DAY, late, late) == DAY
    assert day_of(DAY, late, late + timedelta(minutes=5)) == DAY
    assert day_of(DAY, late, late + timedelta(minutes=6)) == DAY + timedelta(days=1)
    # and its own today is not "not come yet" because of them; a day picked ahead is
    next_day = DAY + timedelta(days=1)
    assert day_of(next_day, late + timedelta(minutes=2), late) == DAY
    assert day_of(next_day, late + timedelta(minutes=2), late, today=next_day) == next_day
    assert day_of(next_day, late, late) == next_day
    # yesterday's work entered today stays yesterday's
    yesterday = DAY - timedelta(days=1)
    assert day_of(yesterday, NOON - behind, NOON) == yesterday + timedelta(days=400)


@given(
    st.integers(-10, 10) | st.integers(-720, 720), st.integers(-10, 10) | st.integers(-180, 180) | st.integers(-86400, 86400),
    st.integers(0, 7), st.integers(0, 600),
    st.sampled_from(["Europe/Rome", "Pacific/Auckland", "America/Los_Angeles"]),
)  # fmt: skip
def test_day_worked_is_the_true_one_whatever_a_steady_clock_says(minutes, wrong_by, days_ago, waited, zone):
    """P3: by minutes, hours or days, around midnight, and for work entered later. Up to five minutes may leave the device's day."""
    zone, off = ZoneInfo(zone), timedelta(minutes=wrong_by)
    true_at = datetime.combine(DAY, time(), tzinfo=zone).astimezone(UTC) + timedelta(minutes=minutes)
    device_at = true_at + off
    received = true_at + timedelta(minutes=waited)
    ago = timedelta(days=days_ago)
    found = corrected_at(device_at, received + off, received)
    assert found == true_at
    today = received.astimezone(zone).date()
    entered = device_at.astimezone(zone).date() - ago
    day = corrected_day(entered, device_at, found, zone=zone, today=today)
    true_day, device_day = (at.astimezone(zone).date() - ago for at in (true_at, device_at))
    if abs(wrong_by) > 5:
        assert day == true_day
    else:
        assert day in {true_day, device_day}
    assert days_ago > 0 or day <= today, "set aside for a clock alone"
