"""P8 to P10 of design 06b: what the service makes of any uploads equals a plain model of the rules, on each engine.

The model knows nothing of SQL, numpy or batches: which records count, then which crews claim each position.
"""

from collections import defaultdict
from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from orchardmap.usecases import folding
from small_farm import NOW, POSITIONS, TODAY, SmallFarm
from thorough import tries

IDS = [f"00000000-0000-7000-8000-00000000000{n}" for n in range(10)]
WITHDRAWALS = [f"00000000-0000-7000-9000-00000000000{n}" for n in range(4)]
ROME = ZoneInfo("Europe/Rome")
END = POSITIONS  # some marks run beyond it

# ten ids, two rows, three crews, short stretches: twins, repeats and contradictions are the rule
mark = st.tuples(
    st.sampled_from(range(10)),
    st.integers(1, 2),
    st.sampled_from([1, 3, 5, END - 2]),
    st.integers(0, 4),
    st.integers(0, 2),
)
take_back = st.tuples(st.sampled_from(range(4)), st.sampled_from(range(10)))
upload = st.one_of(st.lists(mark, min_size=1, max_size=4), st.lists(take_back, min_size=1, max_size=2))


@st.composite
def uploads(draw: st.DrawFn) -> list[tuple[list[Any], str]]:
    """Uploads, and now and then a manager's word on the stretch of some mark: row, first, length, crew or nobody (3), the mark overlooked or -1, id."""
    told: list[tuple[Any, str]] = draw(
        st.lists(st.tuples(upload, st.sampled_from(["once", "answer lost"])), min_size=1, max_size=7)
    )
    marks = [record for batch, _ in told for record in batch if len(record) == 5]
    for number in range(draw(st.integers(0, 3)) if marks else 0):
        _, row, first, length, _ = draw(st.sampled_from(marks))
        overlooked = draw(st.sampled_from([-1, -1, -1, *range(10)]))
        word = (
            row,
            first,
            min(length, END - first),
            draw(st.integers(0, 3)),
            overlooked,
            f"00000000-0000-7000-a000-00000000000{number}",
        )
        told.insert(draw(st.integers(1, len(told))), ([word], "once"))
    return told


def modelled(told: list[tuple[Any, str]], words: list[Any]) -> dict[int, list[list[int]]]:
    """Runs of each row as [first, last, kind, crew], by the rules of design 03; `words` as the service took them, in order."""
    marks: dict[int, set[Any]] = defaultdict(set)
    back: dict[int, set[int]] = defaultdict(set)
    for batch, _ in told:
        for record in batch:
            if len(record) == 5:
                marks[record[0]].add(record[1:])
            elif len(record) == 2:
                back[record[0]].add(record[1])
    taken_back = {next(iter(named)) for named in back.values() if len(named) == 1}
    claims: dict[tuple[int, int], set[tuple[int, int]]] = defaultdict(set)
    for number, versions in marks.items():
        ((row, first, length, crew), *others) = versions
        if others or number in taken_back or first + length > END:
            continue  # contradicts itself, was withdrawn, or is set aside
        for position in range(first, first + length + 1):
            claims[row, position].add((number, crew))
    found: dict[int, list[list[int]]] = {1: [], 2: []}
    for (row, position), claimed in sorted(claims.items()):
        crews = {crew for _, crew in claimed}
        kind, crew = (2, -1) if len(crews) > 1 else (1, next(iter(crews)))
        for of_row, first, length, credited, seen in words:  # the last one that covers it holds
            if of_row == row and first <= position <= first + length:
                knew = {IDS[number] for number, _ in claimed} <= seen
                kind, crew = (1, -1 if credited == 3 else credited) if knew else (2, -1)
        runs = found[row]
        # two overlaps that touch may be of different crews: the service may keep them apart
        if runs and runs[-1][1] == position - 1 and runs[-1][2:] == [kind, crew]:
            runs[-1][1] = position
        else:
            runs.append([position, position, kind, crew])
    return found


def joined(runs: list[list[int]]) -> dict[int, list[list[int]]]:
    """The service's runs by row, runs that touch and say the same made one."""
    found: dict[int, list[list[int]]] = {1: [], 2: []}
    for row, first, last, kind, crew in sorted(runs):
        mine = found[row]
        if mine and mine[-1][1] == first - 1 and mine[-1][2:] == [kind, crew]:
            mine[-1][1] = last
        else:
            mine.append([first, last, kind, crew])
    return found


def as_json(farm: SmallFarm, record: Any) -> dict[str, Any]:
    at = (NOW - timedelta(hours=1)).isoformat()
    if len(record) == 2:
        return {"id": WITHDRAWALS[record[0]], "mark_id": IDS[record[1]], "device_at": at}
    number, row, first, length, crew = record
    return {
        "id": IDS[number],
        "season_id": farm.season.id,
        "block_id": farm.blocks[0].id,
        "row": row,
        "first": first,
        "last": first + length,
        "crew_id": farm.crews[crew].id,
        "day": TODAY.isoformat(),
        "method": "ladder",
        "device_at": at,
    }


def spoken(service: Any, farm: SmallFarm, said: Any) -> list[Any]:
    """Hand in a manager's word, twice; the service refuses one on a stretch that no mark reaches, and that alone.

    It names the marks of the block that are here (the service refuses any other), but for the one overlooked.
    """
    row, first, length, crew, overlooked, settlement_id = said
    here = {m["id"] for m in service.client.get(f"/api/blocks/{farm.blocks[0].id}/marks").json()["marks"]}
    seen = {mark_id for number, mark_id in enumerate(IDS) if number != overlooked and mark_id in here} or here
    body = {
        "id": settlement_id,
        "stretch": {
            "season_id": farm.season.id, "block_id": farm.blocks[0].id, "row": row, "first": first, "last": first + length,
            "credited_crew_id": None if crew == 3 else farm.crews[crew].id,
        },
        "seen": sorted(seen),
    }  # fmt: skip
    runs = service.client.get(f"/api/blocks/{farm.blocks[0].id}/state").json()["runs"]
    reached = any(r == row and a <= first + length and first <= b for r, a, b, _, _ in runs)
    for status in (201, 200) if reached else (422, 422):
        answer = service.client.post(f"/api/farms/{farm.farm.id}/settlements", json=body)
        assert answer.status_code == status, answer.text
    return [(row, first, length, crew, seen)] if reached else []


@settings(
    max_examples=tries(10), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
@given(told=uploads())
def test_service_equals_the_model(shared_either, told):
    service = shared_either
    farm = service.another_farm()
    at = f"/api/farms/{farm.farm.id}"
    acknowledged: set[str] = set()
    words = []
    for batch, fate in told:
        if len(batch[0]) == 6:
            words += spoken(service, farm, batch[0])
            continue
        kind = "marks" if len(batch[0]) == 5 else "withdrawals"
        body: dict[str, Any] = {"sent_at": NOW.isoformat(), kind: [as_json(farm, record) for record in batch]}
        for _ in range(2 if fate == "answer lost" else 1):
            answer = service.client.post(f"{at}/{kind}", json=body)
            assert answer.status_code == 200, answer.text
            assert [o["id"] for o in answer.json()["outcomes"]] == [r["id"] for r in body[kind]]
            acknowledged |= {o["id"] for o in answer.json()["outcomes"]}
    event(f"{len(words)} settlements on marks")
    expected = modelled(told, words)
    state = service.client.get(f"/api/blocks/{farm.blocks[0].id}/state").json()
    assert joined(state["runs"]) == expected
    kept = {m["id"] for m in service.client.get(f"/api/blocks/{farm.blocks[0].id}/marks").json()["marks"]}
    assert acknowledged & set(IDS) == kept, "an acknowledged mark must be there, counted or not"
    # P4: what the crews are credited with and what is held is what is done
    progress = service.client.get(f"{at}/progress").json()
    done = sum(last - first + 1 for runs in expected.values() for first, last, _, _ in runs)
    credited = sum(c["trees"] for c in progress["crews"]) + progress["credited_to_nobody"]
    assert credited + progress["held"] == done
    assert sum(b["pruned"] for b in progress["blocks"]) == done
    assert folding.rebuild(service.store, farm.farm.id, write=False) == []


@settings(
    max_examples=tries(6), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
@given(
    offsets=st.lists(st.timedeltas(timedelta(days=-4000), timedelta(days=4000)), min_size=3, max_size=3),
    hours=st.lists(st.integers(0, 40 * 24), min_size=3, max_size=3),
)
def test_clocks_of_devices_change_nothing(shared_either, offsets, hours):
    """P3: three devices, each with a clock of its own that is wrong by years; days, trees and crews stay what they are."""
    service, seen = shared_either, []
    for wrong in ([timedelta(0)] * 3, offsets):
        farm = service.another_farm()
        for number, (off, ago) in enumerate(zip(wrong, hours, strict=True)):
            at = NOW - timedelta(hours=ago)
            body = as_json(farm, (number, 1 + number % 2, 1, 9, number))
            body |= {
                "device_at": (at + off).isoformat(),
                "day": (at + off).astimezone(ROME).date().isoformat(),
            }
            sent = {"sent_at": (NOW + off).isoformat(), "marks": [body]}
            answer = service.client.post(f"/api/farms/{farm.farm.id}/marks", json=sent)
            assert answer.status_code == 200, answer.text
            assert answer.json()["outcomes"][0]["outcome"] == "taken", answer.text
        progress = service.client.get(f"/api/farms/{farm.farm.id}/progress").json()
        runs = service.client.get(f"/api/blocks/{farm.blocks[0].id}/state").json()["runs"]
        seen.append((progress["days"], [c["trees"] for c in progress["crews"]], runs))
    assert seen[0] == seen[1]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda runs: [[r, a, max(a, b - 1), k, c] for r, a, b, k, c in runs],
        lambda runs: [[r, a, b, 1, 0] for r, a, b, k, c in runs],
        lambda runs: runs[1:],
    ],
)
def test_the_comparison_can_fail(wrong):
    right = [[1, 1, 4, 1, 0], [1, 5, 6, 2, -1], [2, 3, 3, 1, 1]]
    assert joined(wrong(right)) != joined(right)
