"""The main path through the service, on each engine: file in, rows, marks, checks, and what everybody sees of it."""

import json
from datetime import timedelta
from pathlib import Path

import pytest

from orchardmap.usecases import folding
from orchardmap.usecases.planting import new_id
from small_farm import NOW, POSITIONS, ROWS, TODAY

APPLES = Path(__file__).resolve().parents[2] / "sample_geodata" / "apple_blocks_california.geojson"
PLANTING = {"row_spacing_m": 4, "tree_spacing_m": 1.5, "headland_m": 5}


def test_main_path_from_file_to_map(either, mark_json, is_problem):
    service, client = either, either.client
    with APPLES.open("rb") as file:
        told = client.post(service.at_farm("/imports"), files={"file": (APPLES.name, file)})
    assert told.status_code == 201, told.text
    preview = told.json()
    assert preview["format"]
    assert [f["kind"] for f in preview["features"]] == ["block"] * 6
    assert preview["features"][0]["geometry"]["type"] in {"Polygon", "MultiPolygon"}
    wishes = [
        {
            "index": f["index"],
            "code": f"A{f['index']}",
            "name": f["name"],
            "planting": PLANTING | {"bearing_deg": 0},
        }
        for f in preview["features"]
    ]
    planned = client.post(f"/api/imports/{preview['token']}/plan", json={"blocks": wishes}).json()["blocks"]
    assert [p["problem"] for p in planned] == [None] * 6
    assert all(p["rows"] > 0 and p["trees"] > 100 and p["lines"] and p["bearings"] for p in planned)
    overview = client.get(service.at_farm("/overview")).json()
    assert len(overview["blocks"]) == 2, "a preview takes nothing"

    # the farm lies in the Alps, the file in California: that waits for a word
    assert [place["indices"] for place in preview["places"]] == [[], [0, 1, 2, 3, 4, 5]]
    take = f"/api/imports/{preview['token']}/take"
    is_problem(client.post(take, json={"blocks": wishes}), 422)
    assert len(client.get(service.at_farm("/overview")).json()["blocks"]) == 2
    taken = client.post(take, json={"blocks": wishes, "as_placed": True})
    assert taken.status_code == 201, taken.text
    blocks = taken.json()["blocks"]
    assert [(b["code"], b["rows"], b["trees"]) for b in blocks] == [
        (p["code"], p["rows"], p["trees"]) for p in planned
    ]
    block_id = blocks[0]["id"]
    shape = client.get(f"/api/blocks/{block_id}/shape").json()
    assert len(shape["rows"]) == blocks[0]["rows"]
    row = max(shape["rows"], key=lambda one: one["p"])
    half = row["p"] // 2

    cursor = client.get(service.at_farm("/changes")).json()["cursor"]
    mark = mark_json(service.farm, block_id=block_id, row=row["n"], first=1, last=half)
    sent = {"sent_at": NOW.isoformat(), "marks": [mark, mark_json(service.farm)]}
    answer = client.post(service.at_farm("/marks"), json=sent)
    assert answer.status_code == 200, answer.text
    assert [one["outcome"] for one in answer.json()["outcomes"]] == ["taken", "taken"]
    state = client.get(f"/api/blocks/{block_id}/state").json()
    assert state["runs"] == [[row["n"], 1, half, 1, 0]]
    assert state["crews"][0]["id"] == service.farm.crews[0].id

    take_back = {
        "id": new_id(),
        "mark_id": sent["marks"][1]["id"],
        "reason": "wrong row",
        "device_at": NOW.isoformat(),
    }
    body = {"sent_at": NOW.isoformat(), "withdrawals": [take_back]}
    assert client.post(service.at_farm("/withdrawals"), json=body).json()["outcomes"][0]["outcome"] == "taken"
    marks = client.get(service.at_block("/marks")).json()["marks"]
    assert [(m["id"], m["withdrawn"], m["set_aside"]) for m in marks] == [
        (sent["marks"][1]["id"], True, None)
    ]
    assert client.get(service.at_block("/state")).json()["runs"] == []

    check = {
        "id": new_id(),
        "season_id": service.farm.season.id,
        "block_id": block_id,
        "row": row["n"],
        "position": 2,
        "auditor_id": service.farm.auditor.id,
        "day": TODAY.isoformat(),
        "verdict": "faulty",
        "drawn": True,
        "note": "stub left",
        "device_at": NOW.isoformat(),
    }
    body = {"sent_at": NOW.isoformat(), "checks": [check]}
    assert client.post(service.at_farm("/checks"), json=body).json()["outcomes"][0]["outcome"] == "taken"
    seen = client.get(f"/api/blocks/{block_id}/state").json()["checks"]
    line = [check["id"], row["n"], 2, "faulty", TODAY.isoformat(), "Auditor", "stub left", True]
    assert seen == [[*line, None, [], False, False]]

    overview = client.get(service.at_farm("/overview")).json()
    figures = overview["figures"]
    assert figures["trees"] == 2 * ROWS * POSITIONS + sum(b["trees"] for b in blocks)
    assert (figures["pruned"], figures["trees_left"]) == (half, figures["trees"] - half)
    assert (figures["checked"], figures["faulty"], figures["overlap_trees"]) == (1, 1, 0)
    mine = next(b for b in overview["blocks"] if b["id"] == block_id)
    # MIL-STD-105E, level I, AQL 4.0: any lot this small is rejected by its first faulty tree (Ac 0, Re 1)
    assert half < 90
    assert (mine["pruned"], mine["checked"], mine["verdict"]) == (half, 1, "send_back")
    west, south, east, north = mine["bbox"]
    assert west < mine["lonlat"][0] < east
    assert south < mine["lonlat"][1] < north

    progress = client.get(service.at_farm("/progress")).json()
    assert progress["days"] == [{"day": TODAY.isoformat(), "trees": half, "pruned_to_date": half}]
    assert {c["name"]: c["trees"] for c in progress["crews"]} == {"Crew A": half, "Crew B": 0, "Crew C": 0}
    changes = client.get(service.at_farm("/changes"), params={"after": cursor}).json()
    assert [c["kind"] for c in changes["changes"]] == ["mark", "mark", "withdrawal", "check"]
    assert [c["seq"] for c in changes["changes"]] == list(range(cursor + 1, cursor + 5))
    assert changes["cursor"] == overview["cursor"] == cursor + 4
    assert changes["epoch"] == overview["epoch"]
    assert folding.rebuild(service.store, service.farm.farm.id, write=False) == []


def test_every_view_answers_as_of_a_day(either, mark_json):
    service, client = either, either.client
    days = [TODAY - timedelta(days=n) for n in (9, 3, 0)]
    marks = [
        mark_json(
            service.farm,
            row=row,
            day=day.isoformat(),
            device_at=(NOW - (TODAY - day)).isoformat(),
        )
        for row, day in enumerate(days, 1)
    ]
    told = client.post(service.at_farm("/marks"), json={"sent_at": NOW.isoformat(), "marks": marks}).json()
    assert [one["outcome"] for one in told["outcomes"]] == ["taken"] * 3
    for done, day in (
        (0, days[0] - timedelta(days=1)),
        (1, days[0]),
        (2, days[1]),
        (2, days[2] - timedelta(days=1)),
        (3, days[2]),
    ):
        asked = {"day": day.isoformat()}
        overview = client.get(service.at_farm("/overview"), params=asked).json()
        assert (overview["day"], overview["figures"]["pruned"]) == (day.isoformat(), done * POSITIONS)
        progress = client.get(service.at_farm("/progress"), params=asked).json()
        assert sum(block["pruned"] for block in progress["blocks"]) == done * POSITIONS
        assert sum(crew["trees"] for crew in progress["crews"]) == done * POSITIONS
        assert (progress["days"][-1]["pruned_to_date"] if done else 0) == done * POSITIONS
        state = client.get(service.at_block("/state"), params=asked).json()
        assert state["runs"] == [[row, 1, POSITIONS, 1, 0] for row in range(1, done + 1)]
        rows = client.get(service.at_block("/rows"), params=asked).json()["features"]
        assert sum(row["properties"]["pruned"] for row in rows) == done * POSITIONS


def test_set_up_by_the_service_alone(either):
    client = either.client
    farm = client.post("/api/farms", json={"name": "  New  Ground ", "time_zone": "Europe/London"})
    assert farm.status_code == 201
    assert farm.json()["name"] == "New Ground"
    at = f"/api/farms/{farm.json()['id']}"
    crew = client.post(f"{at}/crews", json={"name": "Swifts", "method": "platform"}).json()
    made = [
        client.post(
            f"{at}/seasons", json={"name": "W", "opens_on": "2025-12-01", "must_finish_on": "2026-03-01"}
        ),
        client.post(f"{at}/people", json={"name": "Ann", "role": "foreman", "crew_id": crew["id"]}),
        client.post(f"{at}/varieties", json={"name": "Cornish Gilliflower", "habit": "tip"}),
    ]
    assert [one.status_code for one in made] == [201] * 3
    pack = client.get(at).json()
    assert pack["season"]["name"] == "W"
    assert [(c["name"], c["people"], c["method"]) for c in pack["crews"]] == [("Swifts", 1, "platform")]
    assert [(p["name"], p["crew_id"]) for p in pack["people"]] == [("Ann", crew["id"])]
    assert [(v["name"], v["habit"]) for v in pack["varieties"]] == [("Cornish Gilliflower", "tip")]
    assert pack["today"] == TODAY.isoformat()
    listed = client.get("/api/farms").json()["farms"]
    assert {one["name"] for one in listed} == {"New Ground", "Small Farm"}
    empty = client.get(f"{at}/overview").json()
    assert empty["blocks"] == []
    assert empty["figures"]["share"] == 0


def test_overlap_is_shown_once_and_held(either, mark_json):
    service, client = either, either.client
    marks = [
        mark_json(service.farm, first=1, last=60),
        mark_json(service.farm, first=51, last=105, crew_id=service.farm.crews[1].id),
    ]
    client.post(service.at_farm("/marks"), json={"sent_at": NOW.isoformat(), "marks": marks})
    state = client.get(service.at_block("/state")).json()
    assert state["runs"] == [[1, 1, 50, 1, 0], [1, 51, 60, 2, -1], [1, 61, 105, 1, 1]]
    progress = client.get(service.at_farm("/progress")).json()
    assert (progress["held"], [c["trees"] for c in progress["crews"]]) == (10, [50, 45, 0])


def test_closed_block_says_until_when_and_its_work_is_set_aside(either, mark_json):
    service, client = either, either.client
    body = {
        "starts_at": (NOW - timedelta(hours=1)).isoformat(),
        "ends_at": (NOW + timedelta(hours=4)).isoformat(),
        "reason": "spray re-entry",
    }
    assert client.post(service.at_block("/closures"), json=body).status_code == 201
    mark = mark_json(service.farm)
    told = client.post(service.at_farm("/marks"), json={"sent_at": NOW.isoformat(), "marks": [mark]}).json()
    assert told["outcomes"] == [
        {"id": mark["id"], "outcome": "set_aside", "reason": "the block was closed then"}
    ]
    # 20 January, 19:00 UTC is 20:00 in Rome
    expected = {"until": "2026-01-20T20:00+01:00", "reason": "spray re-entry"}
    assert client.get(service.at_block("/state")).json()["closed"] == expected
    overview = client.get(service.at_farm("/overview")).json()
    assert [b["closed"] for b in overview["blocks"]] == [expected, None]
    assert overview["figures"]["set_aside"] == 1
    service.clock.now = NOW + timedelta(hours=4)
    assert client.get(service.at_block("/state")).json()["closed"] is None


def test_closure_taken_back_is_listed_no_more_and_its_marks_count(either, mark_json, is_problem):
    service, client = either, either.client
    body = {
        "starts_at": "2026-01-01T00:00:00Z", "ends_at": "2026-03-01T00:00:00Z", "reason": "the wrong block",
    }  # fmt: skip
    sent = {"sent_at": NOW.isoformat(), "marks": [mark_json(service.farm)]}
    client.post(service.at_farm("/marks"), json=sent)
    made = client.post(service.at_block("/closures"), json=body).json()
    assert client.get(service.at_block("/closures")).json() == {"closures": [made]}
    assert client.get(service.at_block("/state")).json()["runs"] == []
    address = service.at_block(f"/closures/{made['id']}/end")
    is_problem(client.post(address, json={"ends_at": "2025-01-01T00:00:00Z"}), 422)
    assert client.post(address, json={"ends_at": made["starts_at"]}).status_code == 204
    assert client.get(service.at_block("/closures")).json() == {"closures": []}
    state = client.get(service.at_block("/state")).json()
    assert (state["closed"], len(state["runs"])) == (None, 1)
    is_problem(client.post(address, json={"ends_at": made["starts_at"]}), 404)


def test_counted_row_changes_trees_and_only_what_was_sent(either):
    service, client = either, either.client
    address = service.at_block("/rows/3")
    assert client.patch(address, json={"counted_positions": 100, "blanks": [2, 3]}).status_code == 204
    assert client.patch(address, json={"pollinizers": [10]}).status_code == 204
    row = client.get(service.at_block("/shape")).json()["rows"][2]
    assert (row["n"], row["p"], row["counted"], row["blanks"], row["pollinizers"]) == (
        3,
        100,
        True,
        [2, 3],
        [10],
    )
    feature = client.get(service.at_block("/rows")).json()["features"][2]
    assert (feature["properties"]["positions"], feature["properties"]["trees"]) == (100, 97)
    assert (
        client.patch(address, json={"counted_positions": None, "blanks": [], "pollinizers": []}).status_code
        == 204
    )
    row = client.get(service.at_block("/shape")).json()["rows"][2]
    assert set(row) == {"n", "p", "e", "parts"}


def test_discarded_preview_cannot_be_taken(either, is_problem):
    service, client = either, either.client
    data = json.dumps({
        "type": "FeatureCollection",
        "features": json.loads(APPLES.read_text("utf-8"))["features"][:1],
    })
    token = client.post(service.at_farm("/imports"), files={"file": ("x.json", data)}).json()["token"]
    assert client.delete(f"/api/imports/{token}").status_code == 204
    told = client.post(f"/api/imports/{token}/take", json={"blocks": []})
    is_problem(told, 404)


@pytest.mark.parametrize("outcome", ["already_there", "set_aside"])
def test_mark_sent_again(either, mark_json, outcome):
    service, client = either, either.client
    mark = mark_json(service.farm)
    again = mark if outcome == "already_there" else mark | {"last": 50}
    sent = [{"sent_at": NOW.isoformat(), "marks": [one]} for one in (mark, again)]
    answers = [client.post(service.at_farm("/marks"), json=body).json()["outcomes"][0] for body in sent]
    assert [a["outcome"] for a in answers] == ["taken", outcome]
