"""What a tablet takes along: the same as the screens fetch one by one, of one moment, in few queries."""

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import event, insert

from orchardmap.store import tables
from orchardmap.usecases import planting
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm

NOBODY = "00000000-0000-7000-8000-000000000000"


@pytest.fixture
def worked(either, mark_json):
    """Both blocks with marks of two crews, an overlap, a withdrawal, a check by a named auditor, a blank."""
    service = either
    second = service.farm.blocks[1].id
    marks = [
        mark_json(service.farm, row=1, first=1, last=50),
        mark_json(service.farm, row=1, first=40, last=105, crew_id=service.farm.crews[1].id),
        mark_json(service.farm, row=2),
        mark_json(service.farm, row=99),
        mark_json(service.farm, row=3, block_id=second),
    ]
    body = {"sent_at": NOW.isoformat(), "marks": marks}
    assert service.client.post(service.at_farm("/marks"), json=body).status_code == 200
    back = {"id": new_id(), "mark_id": marks[2]["id"], "device_at": NOW.isoformat()}
    body = {"sent_at": NOW.isoformat(), "withdrawals": [back]}
    assert service.client.post(service.at_farm("/withdrawals"), json=body).status_code == 200
    check = {k: marks[0][k] for k in ("season_id", "block_id", "row", "day", "device_at")} | {
        "id": new_id(), "position": 3, "verdict": "minor", "drawn": True, "auditor_id": service.farm.auditor.id,
    }  # fmt: skip
    body = {"sent_at": NOW.isoformat(), "checks": [check]}
    assert service.client.post(service.at_farm("/checks"), json=body).status_code == 200
    service.client.patch(service.at_block("/rows/3", 1), json={"blanks": [4, 5]})
    return service, marks


def pack(service: Any, *ids: str) -> Any:
    return service.client.get(service.at_farm("/packs"), params={"block": list(ids)})


def folded(log: dict[str, Any]) -> dict[int, list[tuple[int, int]]]:
    """Positions that the log's marks claim, by row, joined: by a plain model of its own."""
    claims: dict[tuple[int, int], set[int]] = {}
    for _, row, first, last, crew, _ in log["marks"]:
        for position in range(first, last + 1):
            claims.setdefault((row, position), set()).add(crew)
    found: dict[int, list[tuple[int, int]]] = {}
    for (row, position), crews in sorted(claims.items()):
        found.setdefault(row, []).append((position, next(iter(crews)) if len(crews) == 1 else -1))
    return found


def test_pack_holds_what_the_screens_fetch_and_its_log_folds_to_its_state(worked):
    service, marks = worked
    ids = [service.farm.blocks[1].id, service.farm.blocks[0].id]
    told = pack(service, *ids, ids[0]).json()
    overview = service.client.get(service.at_farm("/overview")).json()
    assert (told["epoch"], told["cursor"], told["made_at"]) == (
        overview["epoch"], overview["cursor"], NOW.isoformat(),
    )  # fmt: skip
    assert [one["summary"]["id"] for one in told["blocks"]] == ids, "in the order asked for, each once"
    for one in told["blocks"]:
        block_id = one["summary"]["id"]
        assert one["summary"] in overview["blocks"]
        assert one["shape"] == service.client.get(f"/api/blocks/{block_id}/shape").json()
        assert one["log"] == service.client.get(f"/api/blocks/{block_id}/log").json()
        state = service.client.get(f"/api/blocks/{block_id}/state").json()
        for check in state["checks"]:
            assert check[5] == "Auditor"
            check[5] = ""
        assert one["state"] == state, "the same, but nobody's name: it is kept in a browser"
        runs: dict[int, list[tuple[int, int]]] = {}
        for row, first, last, _, crew in one["state"]["runs"]:
            runs.setdefault(row, []).extend((position, crew) for position in range(first, last + 1))
        assert folded(one["log"]) == runs
    log = told["blocks"][1]["log"]
    assert [m[0] for m in log["marks"]] == sorted(m["id"] for m in marks[:2]), (
        "neither withdrawn nor set aside"
    )
    assert log["marks"][0] == [min(m["id"] for m in marks[:2]), *log["marks"][0][1:5], TODAY.isoformat()]
    assert (log["settlements"], log["season_id"]) == ([], service.farm.season.id)


def test_log_tells_settlements_in_their_order(worked):
    service, marks = worked
    farm = service.farm
    one = {
        "farm_id": farm.farm.id, "season_id": farm.season.id, "block_id": farm.blocks[0].id, "row": 1, "first": 40,
        "note": "", "settled_at": NOW,
    }  # fmt: skip
    seen = sorted([marks[1]["id"], marks[0]["id"]])
    ids = [new_id(), new_id()]
    with service.store.write() as conn:
        conn.execute(insert(tables.settlements).values(**one, id=ids[0], number=2, last=50, seen=[]))
        conn.execute(
            insert(tables.settlements).values(
                **one, id=ids[1], number=1, last=45, credited_crew_id=farm.crews[1].id, seen=seen
            )
        )
    log = service.client.get(service.at_block("/log")).json()
    assert log["settlements"] == [
        [1, ids[1], 1, 40, 45, 1, seen],
        [2, ids[0], 1, 40, 50, -1, []],
    ]
    assert service.client.get(service.at_block("/log", 1)).json()["settlements"] == []


def test_season_over_leaves_its_marks_behind(worked):
    service, _ = worked
    planting.add_season(
        service.store,
        farm_id=service.farm.farm.id,
        name="next",
        opens_on=TODAY,
        must_finish_on=TODAY + timedelta(days=90),
    )
    assert service.client.get(service.at_block("/log")).json()["marks"] == []


def test_pack_of_what_is_not_there(either, is_problem):
    """Another farm's block and one that is nobody's are told apart by nothing but the id."""
    service = either
    foreign = small_farm(service.store, "Next Door").blocks[0].id
    own = service.farm.blocks[0].id
    answers = [is_problem(pack(service, own, one), 404) for one in (NOBODY, foreign)]
    assert {**answers[0], "where": ""} == {**answers[1], "where": ""}
    is_problem(pack(service, *[own] * 101), 422)
    is_problem(pack(service), 422)
    is_problem(pack(service, "x"), 422)


def test_as_many_queries_for_two_blocks_as_for_one(worked):
    service, _ = worked
    counted: list[str] = []
    event.listen(service.store._reader, "before_cursor_execute", lambda *told: counted.append(told[2]))
    ids = [block.id for block in service.farm.blocks]
    assert pack(service, *ids).status_code == 200
    counted.clear()  # what is remembered of weak areas is remembered now
    assert pack(service, ids[0]).status_code == 200
    for_one = len(counted)
    assert pack(service, *ids).status_code == 200
    assert len(counted) - for_one == for_one > 5
