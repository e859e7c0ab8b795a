"""The server's side of a tablet's queue: what an upload may say, what the answer tells, and what never goes wrong."""

import json
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchardmap.usecases import folding
from orchardmap.usecases.planting import new_id
from orchardmap_api.upcasting import WIRE_VERSION
from small_farm import NOW, TODAY, SmallFarm

ROME = ZoneInfo("Europe/Rome")


def crew_day_json(farm: Any, **changes: Any) -> dict[str, Any]:
    return {
        "id": new_id(),
        "season_id": farm.season.id,
        "crew_id": farm.crews[0].id,
        "day": TODAY.isoformat(),
        "people": 6,
        "hours": 7.5,
        "method": "ladder",
        "device_at": NOW.isoformat(),
    } | changes


def sent(kind: str, *records: Any, at: Any = NOW, **more: Any) -> dict[str, Any]:
    return {"schema": WIRE_VERSION, "sent_at": at.isoformat(), kind: list(records)} | more


def withdrawal_json(mark: dict[str, Any]) -> dict[str, Any]:
    return {"id": new_id(), "mark_id": mark["id"], "device_at": NOW.isoformat()}


def test_every_answer_tells_epoch_cursor_clock_and_skew(shared_either, mark_json):
    """A tablet 400 s slow: it is told so, and nothing that counts depends on it."""
    service = shared_either
    mark = mark_json(service.farm)
    check = {k: mark[k] for k in ("season_id", "block_id", "row", "day", "device_at")} | {
        "id": new_id(),
        "position": 1,
        "verdict": "meets",
    }
    epoch = service.client.get(service.at_farm("/overview")).json()["epoch"]
    before = 0
    for path, body in (
        ("/marks", sent("marks", mark, at=NOW - timedelta(seconds=400))),
        ("/withdrawals", sent("withdrawals", withdrawal_json(mark))),
        ("/checks", sent("checks", check)),
        ("/crew-days", sent("crew_days", crew_day_json(service.farm))),
    ):
        told = service.client.post(service.at_farm(path), json=body).json()
        assert told["outcomes"][0]["outcome"] == "taken", told
        assert (told["epoch"], told["server_at"]) == (epoch, NOW.isoformat())
        assert told["skew_s"] == (400.0 if path == "/marks" else 0.0)
        assert told["cursor"] > before
        before = told["cursor"]
    changes = service.client.get(service.at_farm("/changes")).json()
    assert (changes["epoch"], changes["server_at"], changes["cursor"]) == (epoch, NOW.isoformat(), before)
    assert changes["changes"][-1]["kind"] == "crew_day"


def test_crew_days_over_the_wire(shared_either):
    service = shared_either
    one = crew_day_json(service.farm)
    two = crew_day_json(service.farm, people=5, hours=8, replaces_id=one["id"])
    address = service.at_farm("/crew-days")
    told = service.client.post(address, json=sent("crew_days", one, two, one)).json()
    assert [o["outcome"] for o in told["outcomes"]] == ["taken", "taken", "already_there"]
    asked = {"day": TODAY.isoformat(), "crew": service.farm.crews[0].id}
    found = {c["id"]: c for c in service.client.get(address, params=asked).json()["crew_days"]}
    assert (found[one["id"]]["standing"], found[two["id"]]["standing"]) == (False, True)
    assert found[two["id"]]["person_hours"] == 40.0
    assert service.client.get(address, params={"crew": service.farm.crews[1].id}).json()["crew_days"] == []


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("people", [0, -1, 201, 1.5, "6", True, None]),
        ("hours", [0, -1, 24.01, "7", None]),
        ("method", ["tractor", None, ""]),
        ("day", ["2026-02-30", 5]),
        ("replaces_id", ["x", 7]),
    ],
)
def test_crew_day_that_cannot_be_is_refused_and_named(shared, is_problem, key, values):
    for value in values:
        body = sent("crew_days", crew_day_json(shared.farm), crew_day_json(shared.farm, **{key: value}))
        told = is_problem(shared.client.post(shared.at_farm("/crew-days"), json=body), 422)
        assert told["where"] == f"body.crew_days.1.{key}"


def tree_count_json(farm: SmallFarm, **changes: Any) -> dict[str, Any]:
    made = farm.tree_count()
    place = {"season_id": made.season_id, "block_id": made.block_id, "row": 1, "position": 1}
    when = {"day": TODAY.isoformat(), "device_at": NOW.isoformat()}
    return {"id": made.id, **place, "what": "limbs", "number": 20, **when} | changes


def check_json(farm: SmallFarm, **changes: Any) -> dict[str, Any]:
    made = farm.check()
    place = {"season_id": made.season_id, "block_id": made.block_id, "row": 1, "position": 1}
    when = {"day": TODAY.isoformat(), "device_at": NOW.isoformat()}
    return {"id": made.id, **place, "verdict": "meets", **when} | changes


def test_tree_counts_over_the_wire(service):
    """An auditor's tablet counts, an adviser reads what it says; a count is corrected by one that names it."""
    auditor, adviser = service.tablet(None), service.account("adviser")
    one = tree_count_json(service.farm, seed=7)
    two = tree_count_json(service.farm, number=22, replaces_id=one["id"])
    far = tree_count_json(service.farm, row=99)
    told = auditor.post(service.at_farm("/tree-counts"), json=sent("tree_counts", two, one, two, far)).json()
    assert [o["outcome"] for o in told["outcomes"]] == ["taken", "taken", "already_there", "set_aside"]
    found = adviser.get(service.at_block("/counts")).json()
    assert found["lines"] == [[two["id"], 1, 1, "limbs", 22, False]]
    assert [(one["what"], one["mean"], one["chosen"]) for one in found["told"]] == [("limbs", 22.0, 1)]
    (variety,) = adviser.get(service.at_farm("/counts")).json()["varieties"]
    assert [one["mean"] for one in variety["told"]] == [22.0]
    changes = adviser.get(service.at_farm("/changes")).json()["changes"]
    assert (changes[-1]["kind"], changes[-2]["block_id"]) == ("tree_count", one["block_id"])


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("lot_id", ["x", 7]),
        ("second", ["yes", 1]),
        (
            "findings",
            [
                "stubs",
                {"stubs": True},
                [["stubs"]],
                [["stubs", True, 1]],
                [[7, True]],
                [["", True]],
                [["k" * 61, True]],
                [["a\x00b", True]],
                [["stubs", "yes"]],
                [["stubs", None]],
                [["limbs", 1e7]],
                [["limbs", 3]] * 61,
            ],
        ),
    ],
)
def test_finding_that_cannot_be_is_refused_and_named(shared, is_problem, key, values):
    for value in values:
        body = sent("checks", check_json(shared.farm), check_json(shared.farm, **{key: value}))
        told = is_problem(shared.client.post(shared.at_farm("/checks"), json=body), 422)
        assert told["where"].startswith(f"body.checks.1.{key}")


@pytest.mark.parametrize(
    "changes",
    [
        {"verdict": None},
        {"verdict": None, "not_judged": "gone"},  # of no lot
        {"not_judged": "gone", "lot_id": new_id()},  # and yet a verdict
        {"verdict": None, "not_judged": "gone", "lot_id": new_id(), "findings": []},
        {"verdict": None, "not_judged": "gone", "lot_id": new_id(), "second": True},
        {"verdict": None, "not_judged": "tired", "lot_id": new_id()},
        {"verdict": None, "not_judged": "", "lot_id": new_id()},
    ],
)
def test_check_judges_a_tree_or_says_why_it_could_not_and_nothing_between(shared, is_problem, changes):
    body = sent("checks", check_json(shared.farm), check_json(shared.farm, **changes))
    told = is_problem(shared.client.post(shared.at_farm("/checks"), json=body), 422)
    assert told["where"].startswith("body.checks.1")


def test_whole_number_and_the_same_with_a_point_are_one_finding(service):
    """22 and 22.0 are one number of JSON (RFC 8259, section 6): whichever is sent again, the check is known; yes is no number."""
    one = check_json(service.farm, findings=[["limb-count", 22], ["stubs", True]])
    same = one | {"findings": [["limb-count", 22.0], ["stubs", True]]}
    other = one | {"findings": [["limb-count", 22.0], ["stubs", 1]]}
    auditor = service.tablet(None)
    told = auditor.post(service.at_farm("/checks"), json=sent("checks", one, same)).json()["outcomes"]
    assert [o["outcome"] for o in told] == ["taken", "already_there"]
    told = auditor.post(service.at_farm("/checks"), json=sent("checks", other)).json()["outcomes"]
    assert [o["outcome"] for o in told] == ["set_aside"]


@pytest.mark.parametrize(
    ("key", "values"),
    [
        ("number", [-1, 10_000, 1.5, "6", True]),
        ("what", ["apples", None, ""]),
        ("seed", [-1, 2**31, "x"]),
        ("replaces_id", ["x", 7]),
        ("position", [None, "1"]),
    ],
)
def test_tree_count_that_cannot_be_is_refused_and_named(shared, is_problem, key, values):
    for value in values:
        body = sent("tree_counts", tree_count_json(shared.farm), tree_count_json(shared.farm, **{key: value}))
        told = is_problem(shared.client.post(shared.at_farm("/tree-counts"), json=body), 422)
        assert told["where"] == f"body.tree_counts.1.{key}"


@pytest.mark.parametrize("path", ["marks", "withdrawals", "checks", "crew_days", "tree_counts"])
def test_newer_tablet_is_told_to_wait_and_nothing_is_stored(service, is_problem, mark_json, path):
    before = service.contents()
    body = {"schema": WIRE_VERSION + 1, "sent_at": "in a form of its own", path: [{"anything": "new"}]}
    answer = service.client.post(service.at_farm("/" + path.replace("_", "-")), json=body)
    told = is_problem(answer, 426)
    assert told["type"] == "urn:orchardmap:problem:newer-client"
    assert "wait for the update" in told["todo"]
    assert answer.headers["upgrade"]
    assert service.contents() == before


@pytest.mark.parametrize("version", [0, -1, "2", True, 1.5, None])
def test_wire_version_that_is_none_is_refused(shared, is_problem, version):
    body = sent("marks", schema=version)
    is_problem(shared.client.post(shared.at_farm("/marks"), json=body), 422)


def test_batch_without_a_version_is_of_the_first_one_and_known_again_under_the_second(
    shared_either, mark_json
):
    """A tablet updated between sending and hearing: the same record comes again in another wire version."""
    service = shared_either
    mark = mark_json(service.farm)
    old = {"sent_at": NOW.isoformat(), "marks": [mark]}
    for body, outcome in ((old, "taken"), (sent("marks", mark), "already_there"), (old, "already_there")):
        told = service.client.post(service.at_farm("/marks"), json=body).json()
        assert told["outcomes"][0]["outcome"] == outcome


def test_further_keys_are_kept_and_part_of_what_a_record_says(shared_either, mark_json):
    service = shared_either
    mark = mark_json(service.farm, weather={"snow": True, "words": ["Äste"]}, set_aside="x", farm_id=1)
    address = service.at_farm("/marks")
    first = service.client.post(address, json=sent("marks", mark)).json()
    assert first["outcomes"][0]["outcome"] == "taken", "a key of ours beyond the wire decides nothing"
    again = service.client.post(address, json=sent("marks", mark)).json()
    assert again["outcomes"][0]["outcome"] == "already_there"
    other = service.client.post(address, json=sent("marks", mark | {"weather": {}})).json()
    assert other["outcomes"][0]["outcome"] == "set_aside"


def nested(depth: int) -> Any:
    return {"a": nested(depth - 1)} if depth else 1


@pytest.mark.parametrize(
    "extra",
    [
        {"a": "\x00"},
        {"a": ["\ud800"]},
        {"\ud800": 1},
        {"a": {"b\x00": 1}},
        {"a": 2**53},
        {"a": -(10**30)},
        {"a": "x" * 4_100},
        {"k" * 101: 1},
        {"a": nested(4)},
        {"a": nested(500)},
        {"a": [[[[1]]]]},
        {f"k{n}": "x" * 50 for n in range(100)},
    ],
)
def test_further_keys_have_limits(shared, is_problem, mark_json, extra):
    """What one engine could not store, or no other program could read back, is refused and named by its index."""
    before = shared.contents()
    body = json.dumps(sent("marks", mark_json(shared.farm), mark_json(shared.farm, **extra)))
    answer = shared.client.post(
        shared.at_farm("/marks"), content=body, headers={"Content-Type": "application/json"}
    )
    told = is_problem(answer, 422)
    assert told["where"].startswith("body.marks.1")
    assert shared.contents() == before


def test_numbers_that_json_has_not_are_refused_in_further_keys(shared, is_problem, mark_json):
    for number in ("NaN", "Infinity", "1e999"):
        body = json.dumps(sent("marks", mark_json(shared.farm, odd="here"))).replace('"here"', number)
        answer = shared.client.post(
            shared.at_farm("/marks"), content=body, headers={"Content-Type": "application/json"}
        )
        is_problem(answer, 422)


def test_further_keys_at_their_limits_are_kept(shared_either, mark_json):
    service = shared_either
    extra = {"a": nested(3), "n": 2**53 - 1, "k" * 100: "x" * 3_800, "none": None, "share": 0.1}
    mark = mark_json(service.farm, **extra)
    told = service.client.post(service.at_farm("/marks"), json=sent("marks", mark))
    assert told.json()["outcomes"][0]["outcome"] == "taken", told.text
    with service.store.read() as conn:
        from orchardmap.store import tables

        (kept,) = conn.execute(tables.marks.select().where(tables.marks.c.id == mark["id"]))
    assert kept.extra == extra


def test_batch_with_wrong_records_names_each_and_takes_none_and_the_rest_goes_up(
    shared_either, is_problem, mark_json
):
    """All or nothing; then the tablet puts the named ones aside and sends the rest."""
    service = shared_either
    marks = [mark_json(service.farm, row=1 + n % 20) for n in range(60)]
    for wrong in (7, 23, 59):
        marks[wrong]["method"] = "tractor"
        marks[wrong]["first"] = "x"
    before = service.contents()
    told = is_problem(service.client.post(service.at_farm("/marks"), json=sent("marks", *marks)), 422)
    assert service.contents() == before
    bad = {int(one["where"].split(".")[2]) for one in told["errors"]}
    assert bad == {7, 23, 59}
    rest = [mark for n, mark in enumerate(marks) if n not in bad]
    answer = service.client.post(service.at_farm("/marks"), json=sent("marks", *rest))
    assert {one["outcome"] for one in answer.json()["outcomes"]} == {"taken"}
    assert folding.rebuild(service.store, service.farm.farm.id, write=False) == []


# between three in the night and nine in the evening, when anybody prunes; clocks minutes, hours or years wrong
at_work = st.builds(
    lambda days, minutes: NOW.replace(hour=3, minute=0) - timedelta(days=days) + timedelta(minutes=minutes),
    st.integers(1, 40),
    st.integers(0, 17 * 60),
)
wrong_clock = st.timedeltas(timedelta(days=-4000), timedelta(days=4000)) | st.timedeltas(
    timedelta(hours=-3), timedelta(hours=3)
)


@settings(max_examples=5, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(
    moments=st.lists(at_work, min_size=3, max_size=3), offsets=st.lists(wrong_clock, min_size=3, max_size=3)
)
def test_clocks_of_devices_move_no_hours_no_trees_and_no_credit(shared_either, mark_json, moments, offsets):
    """F7 and P3: three crews, each with a tablet of its own; two of them claim the same trees."""
    service, seen = shared_either, []
    for wrong in ([timedelta(0)] * 3, offsets):
        farm = service.another_farm()
        at_farm = f"/api/farms/{farm.farm.id}"
        for n, (moment, off) in enumerate(zip(moments, wrong, strict=True)):
            own = {
                "crew_id": farm.crews[n].id,
                "device_at": (moment + off).isoformat(),
                "day": (moment + off).astimezone(ROME).date().isoformat(),
            }
            first = {"row": 1, "first": 1 + 5 * n, "last": 8 + 5 * n}
            for path, body in (
                ("marks", sent("marks", mark_json(farm, **first, **own), at=NOW + off)),
                ("crew-days", sent("crew_days", crew_day_json(farm, people=n + 1, **own), at=NOW + off)),
            ):
                told = service.client.post(f"{at_farm}/{path}", json=body).json()
                assert told["outcomes"][0]["outcome"] == "taken", told
                assert abs(told["skew_s"] + off.total_seconds()) <= 0.1
        progress = service.client.get(f"{at_farm}/progress").json()
        days = service.client.get(f"{at_farm}/crew-days").json()["crew_days"]
        seen.append((
            progress["days"],
            [c["trees"] for c in progress["crews"]],
            progress["held"],
            sorted((d["day"], d["people"], d["person_hours"], d["standing"]) for d in days),
        ))
    assert seen[0] == seen[1]
    assert seen[0][2] == 6, "two overlaps of three trees are held"


def test_server_clock_that_is_set_back_loses_nothing_and_numbers_go_on(either, mark_json):
    service = either
    address, cursors = service.at_farm("/marks"), []
    for n, back in enumerate((0, 3600, 7200, 0)):
        service.clock.now = NOW - timedelta(seconds=back)
        mark = mark_json(service.farm, row=n + 1)
        told = service.client.post(address, json=sent("marks", mark, mark)).json()
        assert [o["outcome"] for o in told["outcomes"]] == ["taken", "already_there"]
        cursors.append(told["cursor"])
    assert cursors == sorted(set(cursors))
    changes = service.client.get(service.at_farm("/changes"), params={"after": cursors[0]}).json()["changes"]
    assert [c["seq"] for c in changes] == list(range(cursors[0] + 1, cursors[-1] + 1))
    assert folding.rebuild(service.store, service.farm.farm.id, write=False) == []
