"""What the service makes of a lot's checks equals a plain model of the rules, in whatever order, batches and copies they arrive.

P8 of design 06b for checks: the model knows nothing of SQL or batches. Which trees stand in for others is the witness's word
(`tests/support/stand_in_vectors.py`).
"""

from typing import Any

from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

import stand_in_vectors
from orchardmap.usecases.planting import new_id
from orchardmap_api.upcasting import WIRE_VERSION
from small_farm import NOW, TODAY, SmallFarm
from thorough import tries

IDS = [f"00000000-0000-7000-8000-00000000000{n}" for n in range(10)]
WORDS = ["gone", "not_pruned", "unreachable", "other"]

SAID = ["meets", "meets", "minor", "faulty", *WORDS]
# one record of each of seven trees, then more of ten ids: repeats, contradictions, and trees that one judges and another cannot
# are the rule
first = st.lists(st.sampled_from(SAID), min_size=7, max_size=7).map(
    lambda said: [(at, at, word) for at, word in enumerate(said)]
)
more = st.lists(st.tuples(st.integers(0, 9), st.integers(0, 6), st.sampled_from(SAID)), max_size=3)
uploads = st.tuples(
    st.permutations(range(7)),
    first,
    st.lists(st.tuples(more, st.sampled_from(["once", "answer lost"])), max_size=3),
).map(
    lambda told: (
        [([told[1][at]], "once") for at in told[0][:3]]
        + [([told[1][at] for at in told[0][3:]], "once"), *told[2]]
    )
)


def drawn_lot(service: Any, farm: SmallFarm) -> dict[str, Any]:
    """A lot of a row, with three further trees."""
    mark = {
        "id": new_id(), "season_id": farm.season.id, "block_id": farm.blocks[0].id, "row": 1, "first": 1, "last": 105,
        "crew_id": farm.crews[0].id, "day": TODAY.isoformat(), "method": "ladder", "device_at": NOW.isoformat(),
    }  # fmt: skip
    at = f"/api/farms/{farm.farm.id}"
    marked = service.client.post(f"{at}/marks", json={"sent_at": NOW.isoformat(), "marks": [mark]})
    assert marked.json()["outcomes"][0]["outcome"] == "taken"
    plan = {"kind": "attributes", "level": "I", "aql": 4.0}
    asked = {"id": new_id(), "block_id": farm.blocks[0].id, "plan": plan}
    answer = service.client.post(f"{at}/lots", json=asked)
    assert answer.status_code == 201, answer.text
    lot: dict[str, Any] = answer.json()
    assert (lot["n"], len(lot["reserve"])) == (len(lot["trees"]), 3)
    return lot


def as_json(farm: SmallFarm, lot: dict[str, Any], one: tuple[str, list[int], str]) -> dict[str, Any]:
    check_id, (row, position), said = one
    told = {"not_judged": said} if said in WORDS else {"verdict": said}
    return {
        "id": check_id, "season_id": farm.season.id, "block_id": farm.blocks[0].id, "row": row, "position": position,
        "day": TODAY.isoformat(), "drawn": True, "device_at": NOW.isoformat(), "lot_id": lot["id"], **told,
    }  # fmt: skip


def modelled(lot: dict[str, Any], said: list[tuple[str, list[int], str]]) -> dict[str, Any]:
    """The rules: an id with two contents counts for nothing; of a tree's checks the last one, and of its words."""
    contents: dict[str, set[tuple[int, int, str]]] = {}
    for check_id, (row, position), word in said:
        contents.setdefault(check_id, set()).add((row, position, word))
    standing = [
        (check_id, *next(iter(found))) for check_id, found in sorted(contents.items()) if len(found) == 1
    ]
    checks: dict[tuple[int, int], str] = {}
    words: dict[tuple[int, int], str] = {}
    for _, row, position, word in standing:  # all of one moment: the greatest id is the last
        (words if word in WORDS else checks)[row, position] = word
    case = {
        "lot": lot | {"trees": [[one["row"], one["position"], False] for one in lot["trees"]]},
        "checks": [[*tree, verdict] for tree, verdict in checks.items()],
        "not_judged": [[*tree, word] for tree, word in words.items()],
        "no_tree": [],
    }
    return stand_in_vectors.expected(case)


@settings(
    max_examples=tries(5), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
@given(told=uploads)
def test_a_lot_equals_the_model(shared_either, told):
    service = shared_either
    farm = service.another_farm()
    lot = drawn_lot(service, farm)
    planned = [[one["row"], one["position"]] for one in lot["trees"]]
    places = planned[:4] + lot["reserve"]
    batches = [([(new_id(), place, "meets") for place in planned[4:]], "once")]
    batches += [([(IDS[n], places[at], word) for n, at, word in batch], fate) for batch, fate in told]
    for batch, fate in batches:
        body = {"schema": WIRE_VERSION, "sent_at": NOW.isoformat()}
        body |= {"checks": [as_json(farm, lot, one) for one in batch]}
        for _ in range(2 if fate == "answer lost" else 1):
            answer = service.client.post(f"/api/farms/{farm.farm.id}/checks", json=body)
            assert answer.status_code == 200, answer.text
    expected = modelled(lot, [one for batch, _ in batches for one in batch])
    found = service.client.get(f"/api/lots/{lot['id']}").json()
    event(f"{found['verdict']}, {len(expected['called'])} stand in")
    assert {name: found[name] for name in ("verdict", "checked", "faulty")} == {
        name: expected[name] for name in ("verdict", "checked", "faulty")
    }
    assert [
        [one["row"], one["position"]]
        for one in found["trees"]
        if one["stands_in"] and one["not_judged"] is None
    ] == expected["called"]
    assert [
        [one["row"], one["position"], one["not_judged"]["reason"]]
        for one in found["trees"]
        if one["not_judged"]
    ] == expected["left_out"]


def test_the_comparison_can_fail():
    lot = {
        "n": 1,
        "accept": 0,
        "reject": 1,
        "lot_trees": 9,
        "trees": [{"row": 1, "position": 1}],
        "reserve": [[1, 2]],
    }
    twice = [(IDS[0], [1, 1], "gone"), (IDS[0], [1, 1], "other")]
    assert modelled(lot, twice)["left_out"] == []
    assert modelled(lot, twice[:1])["called"] == [[1, 2]]
