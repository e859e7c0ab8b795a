"""Editing the ground over the service: what is previewed is what is taken, whole or not at all, and recorded work keeps its trees."""

import json

import pytest
from fastapi.testclient import TestClient
from hypothesis import given, settings
from hypothesis import strategies as st

from orchardmap.store import audit, log
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.recording import record_checks, record_marks
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings
from signing import bearer_token, forget_confirmation
from small_farm import NOW, POSITIONS, ROWS


def edits_of(service, *edits, number=0):
    """A change of one block, as its page sends it."""
    version = service.client.get(service.at_block("/ground", number)).json()["version"]
    block = service.farm.blocks[number].id
    return {"id": new_id(), "edits": [{"block": block, **one} for one in edits], "seen": {block: version}}


def preview(service, body):
    answer = service.client.post(service.at_farm("/ground-changes/preview"), json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def take(service, body):
    answer = service.client.post(service.at_farm("/ground-changes"), json=body)
    assert answer.status_code == 201, answer.text
    return answer.json()


def rows_of(service, number=0):
    return {
        row["number"]: row for row in service.client.get(service.at_block("/ground", number)).json()["rows"]
    }


def mark(service, row, first=1, last=POSITIONS):
    made = [service.farm.mark(row, first, last)]
    record_marks(service.store, farm_id=service.farm.farm.id, marks=made, sent_at=NOW, now=NOW)


def test_what_is_previewed_is_what_is_taken_and_the_step_back_gives_all_of_it_back(service):
    """Rows leave, are split, turned, renumbered and counted in one change; the preview tells each, and taking back gives the same shape."""
    before = rows_of(service)
    old = service.client.get(service.at_block("/ground")).json()["version"]
    change = edits_of(
        service,
        {"kind": "drop-rows", "rows": [24, 25]},
        {"kind": "count-row", "row": 7, "counted_positions": 39, "blanks": [3, 4], "pollinizers": [10]},
        {"kind": "split-row", "row": 3, "after": 40},
        {"kind": "turn-rows", "rows": [5]},
    )
    told = preview(service, change)
    assert told["can_be_taken"]
    assert not told["touches_work"]
    assert told["problems"] == []
    by_row = {one["was"][1]: one for one in told["rows"] if one["was"]}
    assert {n for n, one in by_row.items() if one["now"] is None} == {24, 25}
    assert (by_row[7]["trees_before"], by_row[7]["trees"], by_row[7]["blanks"]) == (POSITIONS, 36, 2)
    assert by_row[3]["trees"] == 40
    assert by_row[5]["turned"]
    assert rows_of(service) == before, "a preview takes nothing"
    taken = take(service, change)
    block = service.farm.blocks[0].id
    after = service.client.get(service.at_block("/ground")).json()
    assert after["version"] == taken["versions"][block] != old
    assert after["rows"] == told["blocks"][0]["ground"]["rows"]
    assert take(service, change) == taken, "a repeat is answered as the first was"
    (kept,) = service.client.get(service.at_farm("/ground-changes")).json()["changes"]
    assert (kept["is_last"], kept["blocks"][0]["after"]["rows"]) == (True, ROWS - 1)
    back = {"id": new_id(), "undoes": kept["id"]}
    assert preview(service, back)["can_be_taken"]
    assert take(service, back)["versions"][block] == old
    assert rows_of(service) == before


def test_tablets_hear_of_a_changed_block_and_read_the_new_rows(service):
    """A change is one of the farm's numbered changes, and the pack and shape are the new ones."""
    tablet = service.tablet(0)
    cursor = tablet.get(service.at_farm("/changes")).json()["cursor"]
    take(service, edits_of(service, {"kind": "drop-rows", "rows": [25]}))
    heard = tablet.get(service.at_farm("/changes"), params={"after": cursor}).json()["changes"]
    block = service.farm.blocks[0].id
    assert {(one["kind"], one["block_id"]) for one in heard} >= {("block", block)}
    (pack,) = tablet.get(service.at_farm("/packs"), params={"block": block}).json()["blocks"]
    assert [row["n"] for row in pack["shape"]["rows"]] == list(range(1, ROWS))


@pytest.mark.parametrize(
    ("edit", "code"),
    [
        ({"kind": "drop-rows", "rows": [7]}, "leaves"),
        ({"kind": "number-rows", "numbers": [[7, 70]]}, "renumbered"),
        ({"kind": "turn-rows", "rows": [7]}, "turned"),
        ({"kind": "split-row", "row": 7, "after": 20}, "cut"),
        ({"kind": "join-rows", "row": 6, "second": 7}, "leaves"),
        ({"kind": "drop-block"}, "leaves"),
    ],
)
def test_an_edit_that_would_lose_or_move_marks_is_refused_with_its_reason(service, is_problem, edit, code):
    """Row 7 was pruned up to tree 30: what would make its marks mean other trees is listed in the preview, and not taken."""
    mark(service, 7, 1, 30)
    change = edits_of(service, edit)
    told = preview(service, change)
    hindering = [one for one in told["problems"] if one["hinders"]]
    assert [(one["code"], one["row"], one["marks"]) for one in hindering] == [(code, 7, 1)]
    assert not told["can_be_taken"]
    before = service.contents()
    problem = is_problem(service.client.post(service.at_farm("/ground-changes"), json=change), 409)
    assert "row 7" in problem["where"]
    assert service.contents() == before


def test_what_leaves_marks_where_they_are_is_taken_in_a_marked_row_and_asks_for_the_password(service):
    """A row marked up to tree 30 may be cut behind it, and counted anew; whoever gave no password lately is asked for it, then it is taken."""
    mark(service, 7, 1, 30)
    change = edits_of(
        service,
        {"kind": "split-row", "row": 7, "after": 60},
        {"kind": "count-row", "row": 7, "counted_positions": 58, "blanks": [], "pollinizers": []},
    )
    assert preview(service, change)["touches_work"]
    stale = service.account("manager")
    forget_confirmation(service.store, bearer_token(stale), now=NOW)
    answer = stale.post(service.at_farm("/ground-changes"), json=change)
    assert (answer.status_code, answer.json()["type"]) == (403, "urn:orchardmap:problem:no-password")
    of_nobody = edits_of(service, {"kind": "split-row", "row": 9, "after": 60})
    assert stale.post(service.at_farm("/ground-changes"), json=of_nobody).status_code == 201
    take(
        service, change | {"seen": {key: take(service, of_nobody)["versions"][key] for key in change["seen"]}}
    )
    state = service.client.get(service.at_block("/state")).json()
    assert [run[:3] for run in state["runs"]] == [[7, 1, 30]]
    assert rows_of(service)[7]["marks"] == 1


def test_trees_beyond_a_new_end_are_told_and_the_mark_is_kept(service):
    """Counting a pruned row shorter is a better count of it: the preview says how far marks reach, and the row counts as many as stand there."""
    mark(service, 7)
    change = edits_of(
        service, {"kind": "count-row", "row": 7, "counted_positions": 103, "blanks": [], "pollinizers": []}
    )
    told = preview(service, change)
    assert [(one["code"], one["row"], one["position"]) for one in told["problems"]] == [("beyond", 7, 103)]
    assert told["can_be_taken"]
    take(service, change)
    assert [run[:3] for run in service.client.get(service.at_block("/state")).json()["runs"]] == [[7, 1, 103]]


def test_what_a_better_count_or_line_does_to_records_is_told_first_and_hinders_nothing(service, is_problem):
    """A checked tree that becomes a blank, one beyond the new end, and a first end four metres farther out are told, each with its row."""
    mark(service, 7)
    checks = [service.farm.check(7, position) for position in (5, 50, POSITIONS)]
    record_checks(service.store, farm_id=service.farm.farm.id, checks=checks, sent_at=NOW, now=NOW)
    (line,) = rows_of(service)[7]["parts"]
    longer = [[line[0], [line[1][0], line[1][1]]]]
    longer[0][0] = [line[0][0], line[0][1] - 4.0 / 111_180]
    count = {"kind": "count-row", "row": 7, "counted_positions": 103, "blanks": [5], "pollinizers": []}
    told = preview(service, edits_of(service, {"kind": "move-row", "row": 7, "parts": longer}, count))
    found = {one["code"]: one for one in told["problems"]}
    assert set(found) == {"beyond", "no_tree", "first_end"}
    assert found["no_tree"]["others"] == 2
    assert found["first_end"]["metres"] == pytest.approx(4.0, abs=0.1)
    assert (found["first_end"]["marks"], told["can_be_taken"]) == (1, True)
    moved = preview(service, edits_of(service, {"kind": "shift-block", "east_m": 3.0, "north_m": 3.0}))
    assert moved["problems"] == [], "trees go with a block that is moved"
    against = edits_of(service, {"kind": "move-row", "row": 9, "parts": [longer[0][::-1]]})
    problem = is_problem(service.client.post(service.at_farm("/ground-changes/preview"), json=against), 422)
    assert "begin at its other end" in problem["detail"]


def test_rows_laid_across_the_old_ones_are_other_rows(service):
    """Row 13 was pruned; laid anew 30 degrees otherwise, rows cross it and none is it: the marks would be lost, which is not possible."""
    mark(service, 13)
    planting = service.client.get(service.at_block("/ground")).json()["planting"]
    across = {"kind": "lay-block", "planting": planting | {"bearing_deg": 30.0}}
    told = preview(service, edits_of(service, across))
    assert [(one["code"], one["row"]) for one in told["problems"]] == [("leaves", 13)]
    assert [one for one in told["rows"] if one["now"] and one["was"]] == []


def test_a_survey_that_may_be_off_by_a_row_and_ground_drawn_elsewhere_are_told(service):
    """Rows 1.5 m (of 4) beside the old ones, an outline off the rows, a block drawn over another: each is said before it is taken."""
    planting = service.client.get(service.at_block("/ground")).json()["planting"]
    beside = {"kind": "lay-block", "planting": planting | {"first_row_offset_m": 4.0}}
    told = preview(service, edits_of(service, beside))
    assert [(one["code"], one["metres"]) for one in told["problems"]] == [("shifted", 1.5)]
    same = preview(service, edits_of(service, {**beside, "planting": planting | {"tree_spacing_m": 2.0}}))
    assert [one["code"] for one in same["problems"]] == []
    skewed = preview(service, edits_of(service, {**beside, "planting": planting | {"bearing_deg": 4.0}}))
    assert {one["code"]: one["metres"] for one in skewed["problems"]}["skewed"] == pytest.approx(4.0, abs=0.2)
    ring = [[11.3, 46.4991], [11.3006, 46.4991], [11.3006, 46.5009], [11.3, 46.5009], [11.3, 46.4991]]
    half = {"type": "Polygon", "coordinates": [ring]}
    told = preview(service, edits_of(service, {"kind": "draw-outline", "outline": half}))
    (one,) = told["problems"]
    assert one["code"] == "outside"
    assert one["others"] in {12, 13}
    new = {
        "kind": "new-block",
        "block": new_id(),
        "code": "N",
        "name": "N",
        "outline": half,
        "planting": planting,
    }
    told = preview(service, {"id": new_id(), "edits": [new]})
    blocks = {one["other"] for one in told["problems"] if one["code"] == "overlaps"}
    assert blocks == {block.id for block in service.farm.blocks}, "both lie on the same ground in this farm"


def test_what_was_marked_since_keeps_a_change_from_being_taken_back(service, is_problem):
    """Row 25 becomes 26 and is pruned: taking the new number back would lose the mark, and is refused."""
    change = edits_of(service, {"kind": "number-rows", "numbers": [[25, 26]]})
    take(service, change)
    mark(service, 26)
    back = {"id": new_id(), "undoes": change["id"]}
    told = preview(service, back)
    assert [(one["code"], one["row"]) for one in told["problems"]] == [("renumbered", 26)]
    is_problem(service.client.post(service.at_farm("/ground-changes"), json=back), 409)


def test_a_number_that_was_ever_marked_is_not_given_to_other_trees(service):
    """A tablet marked row 30, which is not there: a new row of that number would seem pruned, so it is refused."""
    mark(service, 30)
    parts = rows_of(service)[25]["parts"]
    told = preview(service, edits_of(service, {"kind": "add-row", "parts": parts, "number": 30}))
    assert [(one["code"], one["row"]) for one in told["problems"]] == [("number_used", 30)]


def test_a_mark_that_came_while_its_row_was_away_counts_once_the_row_is_back(service):
    """Row 25 is taken away, a tablet that was out sends a mark for it, the change is taken back: the mark counts, nobody need speak of it."""
    change = edits_of(service, {"kind": "drop-rows", "rows": [25]})
    take(service, change)
    mark(service, 25)
    (kept,) = service.client.get(service.at_block("/marks")).json()["marks"]
    assert kept["set_aside"] == "the block has no row of that number"
    take(service, {"id": new_id(), "undoes": change["id"]})
    (kept,) = service.client.get(service.at_block("/marks")).json()["marks"]
    assert kept["set_aside"] is None
    state = service.client.get(service.at_block("/state")).json()
    assert [run[:3] for run in state["runs"]] == [[25, 1, POSITIONS]]


def test_a_mark_beyond_the_row_s_end_counts_once_the_row_is_counted_longer(service):
    """A crew pruned 107 trees where the rule has 105: counted so, its mark counts to the last tree."""
    mark(service, 7, 1, POSITIONS + 2)
    assert service.client.get(service.at_block("/state")).json()["runs"] == []
    counted = {"kind": "count-row", "row": 7, "counted_positions": 107, "blanks": [], "pollinizers": []}
    take(service, edits_of(service, counted))
    assert [run[:3] for run in service.client.get(service.at_block("/state")).json()["runs"]] == [[7, 1, 107]]


def test_of_two_managers_at_once_the_slower_one_is_told(service, is_problem):
    """A change is of the shape that was looked at: another one since then answers 409 and takes nothing."""
    first = edits_of(service, {"kind": "drop-rows", "rows": [25]})
    second = edits_of(service, {"kind": "drop-rows", "rows": [24]})
    take(service, first)
    for path in ("/ground-changes/preview", "/ground-changes"):
        problem = is_problem(service.client.post(service.at_farm(path), json=second), 409)
        assert "since you opened it" in problem["detail"]
    assert sorted(rows_of(service)) == list(range(1, ROWS))
    is_problem(
        service.client.post(service.at_farm("/ground-changes"), json=second | {"id": new_id(), "seen": {}}),
        409,
    )


def test_blocks_are_drawn_cut_and_joined(service):
    """A drawn block gets rows; cut across its rows it is two blocks with the same trees, joined again one; taken back step by step."""
    made, half = new_id(), new_id()
    outline = {
        "type": "Polygon",
        "coordinates": [
            [[11.302, 46.499], [11.303, 46.499], [11.303, 46.5], [11.302, 46.5], [11.302, 46.499]]
        ],
    }
    numbers = {"row_spacing_m": 4.0, "tree_spacing_m": 2.0, "end_offset_m": 1.0, "first_row_offset_m": 2.0}
    new = {
        "kind": "new-block",
        "block": made,
        "code": "N",
        "name": "New",
        "outline": outline,
        "planting": numbers,
    }
    told = preview(service, {"id": new_id(), "edits": [new]})
    (block,) = told["blocks"]
    trees = block["after"]["trees"]
    assert block["before"] is None
    assert trees > 500
    first = {"id": new_id(), "edits": [new]}
    version = take(service, first)["versions"][made]
    cut = {
        "kind": "split-block",
        "block": made,
        "cut": [[11.3, 46.4995], [11.31, 46.4995]],
        "made": half,
        "code": "N2",
        "name": "New, north",
    }
    second = {"id": new_id(), "edits": [cut], "seen": {made: version}}
    told = preview(service, second)
    assert sum(one["after"]["trees"] for one in told["blocks"]) == trees
    assert sum(one["after"]["area_ha"] for one in told["blocks"]) == pytest.approx(
        block["after"]["area_ha"], abs=2e-4
    )
    versions = take(service, second)["versions"]
    joined = {"kind": "join-blocks", "block": made, "other": half}
    third = {"id": new_id(), "edits": [joined], "seen": versions}
    (told_into,) = [one for one in preview(service, third)["blocks"] if one["id"] == made]
    assert told_into["after"]["trees"] == trees
    take(service, third)
    for change in (third, second, first):
        take(service, {"id": new_id(), "undoes": change["id"]})
    codes = [
        one["properties"]["code"] for one in service.client.get(service.at_farm("/blocks")).json()["features"]
    ]
    assert sorted(codes) == sorted(block.code for block in service.farm.blocks)


def test_a_block_surveyed_again_keeps_its_rows_by_place(service):
    """One row was missing in the west: laid anew it gets a new number, all others keep theirs, with marks and blanks."""
    mark(service, 7, 1, 30)
    ground = service.client.get(service.at_block("/ground")).json()
    first = edits_of(
        service,
        {"kind": "drop-rows", "rows": [1]},
        {"kind": "count-row", "row": 9, "counted_positions": None, "blanks": [5], "pollinizers": []},
    )
    take(service, first)
    again = edits_of(service, {"kind": "lay-block", "planting": ground["planting"] | {"bearing_deg": 180.0}})
    told = preview(service, again)
    assert told["can_be_taken"], told["problems"]
    take(service, again)
    after = rows_of(service)
    assert sorted(after) == [*range(2, ROWS + 1), ROWS + 1]
    assert (after[7]["marks"], after[9]["blanks"]) == (1, [5])
    for number in range(2, ROWS + 1):
        old = next(row for row in ground["rows"] if row["number"] == number)
        assert after[number]["parts"][0][0] == pytest.approx(old["parts"][0][0], abs=1.5e-5), (
            "a metre at most, the same end first"
        )


def test_a_block_surveyed_again_by_a_file_of_rows_is_matched_by_place(service, is_problem):
    """A surveyor's lines, in another order, one row longer than before and one more: each is the row that it lies on."""
    old = rows_of(service)
    lines = [
        [*part[:1], [part[-1][0], part[-1][1] + 2e-5]] for part in (old[n]["parts"][0] for n in (3, 1, 2))
    ]
    east = [[lon + 5.2e-5, lat] for lon, lat in old[1]["parts"][0]]  # a row spacing to the east of row 1
    features = [
        {"type": "Feature", "properties": {}, "geometry": {"type": "LineString", "coordinates": line}}
        for line in (*lines, list(reversed(east)))
    ]
    data = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    file = {"file": ("again.geojson", data)}
    found = service.client.post(service.at_farm("/imports"), files=file).json()
    planting = service.client.get(service.at_block("/ground")).json()["planting"]
    lay = {
        "kind": "lay-block",
        "planting": planting,
        "survey": {"token": found["token"], "rows": [0, 1, 2, 3]},
    }
    told = preview(service, edits_of(service, lay))
    by_row = {tuple(one["now"])[1]: one for one in told["rows"] if one["now"]}
    assert sorted(by_row) == [1, 2, 3, ROWS + 1]
    assert [by_row[n]["was"][1] for n in (1, 2, 3)] == [1, 2, 3]
    assert by_row[1]["moved_m"] == pytest.approx(2.2, abs=0.1)
    assert sum(one["now"] is None for one in told["rows"]) == ROWS - 3
    # far from every row: all leave, and the new ones have the numbers of the file
    far = [
        {
            "type": "Feature",
            "properties": {"row": 3 + n},
            "geometry": {"type": "LineString", "coordinates": [[x + 0.002, y] for x, y in line]},
        }
        for n, line in enumerate((*lines, east))
    ]
    data = json.dumps({"type": "FeatureCollection", "features": far}).encode()
    found = service.client.post(service.at_farm("/imports"), files={"file": ("far.geojson", data)}).json()
    told = preview(
        service, edits_of(service, {**lay, "survey": {"token": found["token"], "rows": [0, 1, 2, 3]}})
    )
    assert [row["number"] for row in told["blocks"][0]["ground"]["rows"]] == [3, 4, 5, 6]
    other = service.another_farm()
    body = edits_of(service, lay) | {"edits": [{**lay, "block": other.blocks[0].id}], "seen": {}}
    is_problem(service.client.post(f"/api/farms/{other.farm.id}/ground-changes/preview", json=body), 404)


def test_a_block_that_something_names_does_not_leave(service):
    """A block with a closure of its own stays; one that nothing names leaves with its place in the queue."""
    span = {"starts_at": "2026-01-20T15:00:00Z", "ends_at": "2026-01-21T15:00:00Z"}
    service.client.post(service.at_block("/closures"), json=span | {"reason": "spray"})
    told = preview(service, edits_of(service, {"kind": "drop-block"}))
    assert told["leaving"] == [{"id": service.farm.blocks[0].id, "named": ["closure"]}]
    assert not told["can_be_taken"]
    board = service.client.post(service.at_farm("/queue-proposals")).json()
    saved = {name: board[name] for name in ("queues", "open", "own_first", "revision")}
    assert service.client.put(service.at_farm("/queues"), json=saved).status_code == 200
    take(service, edits_of(service, {"kind": "drop-block"}, number=1))
    told = service.client.get(service.at_farm("/overview")).json()["blocks"]
    assert [one["id"] for one in told] == [service.farm.blocks[0].id]
    assert service.client.get(service.at_farm("/queues")).status_code == 200


def test_a_block_gets_another_code_and_variety_and_never_one_that_is_taken_or_foreign(service, is_problem):
    """Code, name and variety change with the rows where they are; another block's code and another farm's variety are refused."""
    variety = service.client.post(service.at_farm("/varieties"), json={"name": "Quince Pippin"}).json()["id"]
    wish = {"kind": "name-block", "code": "NEW", "name": "New name", "variety_id": variety}
    change = edits_of(service, wish)
    before = rows_of(service)
    same_time = edits_of(service, {**wish, "code": "OTHER"})
    take(service, change)
    is_problem(service.client.post(service.at_farm("/ground-changes"), json=same_time), 409)
    ground = service.client.get(service.at_block("/ground")).json()
    assert (ground["code"], ground["name"], ground["variety_id"]) == ("NEW", "New name", variety)
    assert rows_of(service) == before
    taken = {**wish, "code": service.farm.blocks[1].code}
    address = service.at_farm("/ground-changes")
    is_problem(service.client.post(address, json=edits_of(service, taken)), 409)
    foreign = {**wish, "variety_id": new_id()}
    is_problem(service.client.post(address, json=edits_of(service, foreign)), 404)
    later = edits_of(service, {**wish, "code": "NEWER"})
    take(service, later)
    back = {"id": new_id(), "undoes": change["id"]}
    is_problem(service.client.post(address, json=back), 409)  # the later one stands upon it
    for one in (later, change):
        take(service, {"id": new_id(), "undoes": one["id"]})
    assert service.client.get(service.at_block("/ground")).json()["code"] == service.farm.blocks[0].code


def test_the_audit_log_says_who_changed_the_ground(service):
    """One entry a change, with numbers and no name."""
    take(service, edits_of(service, {"kind": "drop-rows", "rows": [25]}))
    with service.store.read() as conn:
        entry = list(audit.entries(conn))[-1]
        assert log.cursor(conn, service.farm.farm.id) > 0
    assert (entry.what, entry.detail) == ("ground_changed", {"number": 1, "blocks": 1, "rows": 1})


@settings(max_examples=40, deadline=None)
@given(
    body=st.recursive(
        st.one_of(
            st.none(),
            st.booleans(),
            st.integers(-3, 30),
            st.floats(allow_nan=False, allow_infinity=False),
            st.text(max_size=5),
        ),
        lambda inner: st.one_of(
            st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=5), inner, max_size=3)
        ),
        max_leaves=5,
    ),
    kind=st.sampled_from([
        "move-row",
        "add-row",
        "draw-outline",
        "lay-block",
        "split-block",
        "number-rows",
        "new-block",
    ]),
)
def test_nonsense_is_answered_with_a_problem(shared, body, kind):
    """Whatever is sent as an edit, the answer is a problem document or a preview, never a failure of the service."""
    edit = {"kind": kind, "block": shared.farm.blocks[0].id, "parts": body, "outline": body, "row": 1}
    answer = shared.client.post(
        shared.at_farm("/ground-changes/preview"),
        json={
            "id": new_id(),
            "edits": [edit, {"kind": kind, "block": edit["block"], "cut": body, "numbers": body}],
        },
    )
    assert answer.status_code in {404, 409, 422}


def test_tiles_of_the_setting_may_be_drawn_under_the_plan_and_nothing_else(shared):
    """Where no tile address is set the pages take pictures from here alone; with one, from its host too, and the page is told of it."""
    assert shared.client.get(shared.at_farm("/ground-changes")).json()["tiles"] is None
    for address, pictures in (
        ("", ""),
        ("https://{s}.tiles.example/{z}/{x}/{y}.png", " https://*.tiles.example"),
    ):
        app = create_app(Settings(database_url="sqlite:///never-opened.sqlite", tile_url=address))
        policy = (
            TestClient(app, base_url="http://localhost").get("/nothing").headers["Content-Security-Policy"]
        )
        assert f"img-src 'self' data:{pictures};" in policy
