"""A tablet was out while the ground was changed: what it recorded lands on the trees that were meant, or waits for the manager; on no others.

The witness is not the program's own tracing: every tree that a record names is known by where it stood when the tablet left.
"""

from datetime import timedelta

import numpy as np
import pytest

from orchardmap.geometry.frame import local_xy_m
from orchardmap.geometry.positions import position_lonlat
from orchardmap.store import orchard
from orchardmap.usecases.planting import new_id
from signing import manages_too
from small_farm import NOW, POSITIONS, ROWS, TODAY

OUT = (1, 2, 7, 24, 25)
"""Rows that the tablet works in while it is out: their first 30 trees, and all of them."""
ALL = {(row, last) for row in OUT for last in (30, POSITIONS)}
SHIFT_M = 1.0
"""A cut draws trees beside it off by half a spacing at most."""


def but(*rows):
    """All that was recorded but in these rows."""
    return {(row, last) for row, last in ALL if row not in rows}


def wishes(block, other):
    """Changes of the ground, each as it would be taken behind the tablet's back, and what of (row, last tree) still fits."""
    half = new_id()
    return {
        "nothing": ([], ALL),
        "renumbered": ([{"kind": "number-rows", "numbers": [[n, ROWS + 1 - n] for n in range(1, ROWS + 1)]}], set()),
        "two rows change places": ([{"kind": "number-rows", "numbers": [[1, 2], [2, 1]]}], but(1, 2)),
        "turned": ([{"kind": "turn-rows", "rows": [7]}], but(7) | {(7, POSITIONS)}),
        "turned and counted anew": (
            [
                {"kind": "turn-rows", "rows": [7]},
                {"kind": "count-row", "row": 7, "counted_positions": 107, "blanks": [], "pollinizers": []},
            ],
            but(7),
        ),
        "cut": ([{"kind": "split-row", "row": 7, "after": 40}], but(7) | {(7, 30)}),
        "joined": ([{"kind": "join-rows", "row": 1, "second": 2}], but(2)),
        "taken away, and another row gets the number": (
            [{"kind": "drop-rows", "rows": [2]}, {"kind": "number-rows", "numbers": [[1, 2]]}],
            but(1, 2),
        ),
        "the block is cut": (
            [{"kind": "split-block", "cut": [[11.3, 46.49], [11.3, 46.51]], "made": half, "code": "E", "name": "E"}],
            but(24, 25),
        ),
        "the block is joined to another": ([{"kind": "join-blocks", "block": other, "other": block}], set()),
        "surveyed again, then two rows numbered by the file": (
            [{"kind": "lay-block", "planting": None}, {"kind": "number-rows", "numbers": [[24, 26], [25, 24]]}],
            but(24, 25),
        ),
        "counted anew, blanks marked": (
            [{"kind": "count-row", "row": 7, "counted_positions": 105, "blanks": [5], "pollinizers": []}],
            ALL,
        ),
    }  # fmt: skip


@pytest.fixture
def out(service):
    """`out()` makes a farm of its own and a tablet that took its block along: farm, tablet, and where every tree stands."""

    def made():
        farm = service.another_farm()
        tablet = service.tablet(0, farm)
        (pack,) = tablet.get(f"/api/farms/{farm.farm.id}/packs", params={"block": farm.blocks[0].id}).json()[
            "blocks"
        ]
        return farm, tablet, pack["shape"]["ground"]

    manages_too(service.store, "manager", service.farm.farm.id, now=NOW)
    return made


def rows_of(service, farm):
    with service.store.read() as conn:
        found = orchard.rows_of_blocks(conn, [block.id for block in orchard.blocks(conn, farm.farm.id)])
    return {(row.block_id, row.number): row for rows in found.values() for row in rows}


def take(service, farm, edits, **body):
    blocks = {one.id for one in farm.blocks}
    seen = {}
    for key in blocks:
        answer = service.client.get(f"/api/blocks/{key}/ground")
        if answer.status_code == 200:
            seen[key] = answer.json()["version"]
    planting = service.client.get(f"/api/blocks/{farm.blocks[0].id}/ground").json()["planting"]
    told = [{"block": farm.blocks[0].id, **one} for one in edits]
    for one in told:
        if one["kind"] == "lay-block":
            one["planting"] = planting
    change = {"id": new_id(), "edits": told, "seen": seen} | body
    answer = service.client.post(f"/api/farms/{farm.farm.id}/ground-changes", json=change)
    assert answer.status_code == 201, answer.text
    return change["id"]


def record(of, **place):
    """A record as a tablet sends it."""
    made = {
        "id": new_id(),
        "season_id": of.season.id,
        "block_id": of.blocks[0].id,
        "device_at": NOW.isoformat(),
    }
    return made | {"day": TODAY.isoformat()} | place


def mark(farm, row, first, last, **more):
    return record(farm, row=row, first=first, last=last, crew_id=farm.crews[0].id, method="ladder", **more)


def send(client, farm, kind, records):
    body = {"schema": 7, "sent_at": NOW.isoformat(), kind: records}
    answer = client.post(f"/api/farms/{farm.farm.id}/{kind.replace('_', '-')}", json=body)
    assert answer.status_code == 200, answer.text
    return {one["id"]: one["outcome"] for one in answer.json()["outcomes"]}


def spots(row, positions):
    """Where trees stand, metres."""
    return local_xy_m(position_lonlat(row, sorted(positions)), np.array((11.3, 46.5)))


def pruned(service, farm):
    """Every position that counts as pruned, as (block, row, position)."""
    found = set()
    for key in {key for key, _ in rows_of(service, farm)}:
        runs = service.client.get(f"/api/blocks/{key}/state").json()["runs"]
        found |= {(key, row, p) for row, first, last, *_ in runs for p in range(first, last + 1)}
    return found


def test_what_a_tablet_recorded_before_the_rows_were_changed_never_lands_on_other_trees(service, out):
    """Twelve changes of the ground behind a tablet's back: each mark is on the trees where they stood, or set aside; nothing is lost."""
    for name in wishes("", ""):
        farm, tablet, ground = out()
        edits, fitting = wishes(farm.blocks[0].id, farm.blocks[1].id)[name]
        before = rows_of(service, farm)
        if edits:
            take(service, farm, edits)
        sent = [mark(farm, row, 1, last, ground=ground) for row, last in sorted(ALL)]
        fates = send(tablet, farm, "marks", sent)
        fitted = {(one["row"], one["last"]) for one in sent if fates[one["id"]] == "taken"}
        assert fitted == fitting, name
        after = rows_of(service, farm)
        old = {row: max(last for r, last in fitting if r == row) for row, _ in fitting}
        spans = [spots(before[farm.blocks[0].id, row], range(1, last + 1)) for row, last in old.items()]
        meant = np.concatenate([np.empty((0, 2)), *spans])
        landed = pruned(service, farm)
        assert len(landed) == len(meant), name
        for block, row, position in sorted(landed)[::7]:
            (spot,) = spots(after[block, row], [position])
            assert np.hypot(*(meant - spot).T).min() <= SHIFT_M, (name, row, position)
        waiting = service.client.get(f"/api/farms/{farm.farm.id}/matters").json()["set_aside"]
        assert {one["id"] for one in waiting} == {
            one["id"] for one in sent if fates[one["id"]] == "set_aside"
        }
        assert {v["reason_code"] for one in waiting for v in one["versions"]} <= {"other_ground"}, name


def test_checks_and_counted_trees_of_an_earlier_ground_wait_too(service, out):
    """Rows 1 and 2 change places: a check and a counted tree of row 1 wait, those of row 7 count."""
    farm, _, ground = out()
    auditor = service.tablet(None, farm)
    take(service, farm, [{"kind": "number-rows", "numbers": [[1, 2], [2, 1]]}])
    checks = [record(farm, row=row, position=3, verdict="meets", ground=ground) for row in (1, 7)]
    counts = [record(farm, row=row, position=3, what="limbs", number=9, ground=ground) for row in (1, 7)]
    for kind, records in (("checks", checks), ("tree_counts", counts)):
        assert list(send(auditor, farm, kind, records).values()) == ["set_aside", "taken"], kind
    waiting = service.client.get(f"/api/farms/{farm.farm.id}/matters").json()["set_aside"]
    told = {one["kind"]: one["versions"][0] for one in waiting}
    assert {kind: one["now_at"] for kind, one in told.items()} == {
        kind: {"block_id": farm.blocks[0].id, "row": 2, "first": 3, "last": 3}
        for kind in ("check", "tree_count")
    }


def test_the_manager_is_told_where_the_trees_are_now_and_the_step_back_lets_the_mark_count(service, out):
    """Row 7 is turned and numbered 70: the mark on its first 30 trees is on the last 30 of row 70; taken back, it counts by itself."""
    farm, tablet, ground = out()
    edits = [{"kind": "turn-rows", "rows": [7]}, {"kind": "number-rows", "numbers": [[7, 70]]}]
    change = take(service, farm, edits)
    sent = mark(farm, 7, 1, 30, ground=ground)
    assert send(tablet, farm, "marks", [sent]) == {sent["id"]: "set_aside"}
    (waiting,) = service.client.get(f"/api/farms/{farm.farm.id}/matters").json()["set_aside"]
    (version,) = waiting["versions"]
    assert version["now_at"] == {
        "block_id": farm.blocks[0].id, "row": 70, "first": POSITIONS - 29, "last": POSITIONS,
    }  # fmt: skip
    assert not version["can_count"], "no row 7 is there"
    take(service, farm, [], undoes=change, seen={})
    assert service.client.get(f"/api/farms/{farm.farm.id}/matters").json()["set_aside"] == []
    assert len(pruned(service, farm)) == 30
    gone = take(service, farm, [{"kind": "drop-rows", "rows": [9]}])
    late = mark(farm, 9, 1, 30, ground=ground)
    assert send(tablet, farm, "marks", [late]) == {late["id"]: "set_aside"}
    take(service, farm, [], undoes=gone, seen={})
    assert len(pruned(service, farm)) == 60, "row 9 is there again, and its trees are the same"


def test_a_tablet_that_fetched_the_changed_block_records_on_it_as_on_any_other(service, out):
    """After the change its pack names the new ground: what is recorded there counts, and keeps the change from being taken back."""
    farm, tablet, old = out()
    change = take(service, farm, [{"kind": "number-rows", "numbers": [[1, 2], [2, 1]]}])
    address = f"/api/farms/{farm.farm.id}/packs"
    (pack,) = tablet.get(address, params={"block": farm.blocks[0].id}).json()["blocks"]
    assert pack["shape"]["ground"] == change != old
    shape = tablet.get(f"/api/blocks/{farm.blocks[0].id}/shape").json()
    assert shape == pack["shape"]
    sent = mark(farm, 1, 1, 30, ground=change)
    assert send(tablet, farm, "marks", [sent]) == {sent["id"]: "taken"}


def test_a_number_that_no_row_had_then_is_no_row_that_has_it_now(service, out):
    """By an old label a tablet marks row 30, which is not there yet; a new row of that number is other trees."""
    farm, tablet, ground = out()
    parts = service.client.get(f"/api/blocks/{farm.blocks[0].id}/ground").json()["rows"][-1]["parts"]
    beside = [[[lon + 5.2e-5, lat] for lon, lat in part] for part in parts]
    take(service, farm, [{"kind": "add-row", "parts": beside, "number": 30}])
    sent = mark(farm, 30, 1, 30, ground=ground)
    assert send(tablet, farm, "marks", [sent]) == {sent["id"]: "set_aside"}
    assert pruned(service, farm) == set()


def test_a_record_that_names_no_ground_is_judged_by_when_it_was_made(service, out):
    """Rows 1 and 2 change places at three: what an older page recorded at two waits, what it recorded at four counts; row 7 is the same."""
    farm, tablet, _ = out()
    take(service, farm, [{"kind": "number-rows", "numbers": [[1, 2], [2, 1]]}])
    service.clock.now = NOW + timedelta(hours=2)
    fates = []
    for row, hours in ((1, -1), (1, 1), (7, -1)):
        sent = mark(farm, row, 1, 30) | {"device_at": (NOW + timedelta(hours=hours)).isoformat()}
        body = {"schema": 6, "sent_at": service.clock.now.isoformat(), "marks": [sent]}
        answer = tablet.post(f"/api/farms/{farm.farm.id}/marks", json=body).json()
        fates.append(answer["outcomes"][0]["outcome"])
    assert fates == ["set_aside", "taken", "taken"]


def test_a_ground_that_is_not_known_here_is_asked_about(service, out):
    """The database was put back to before a change that a tablet had fetched: nobody knows which rows those were, so the manager is asked."""
    farm, tablet, _ = out()
    sent = mark(farm, 7, 1, 30, ground=new_id())
    assert send(tablet, farm, "marks", [sent]) == {sent["id"]: "set_aside"}
    (waiting,) = service.client.get(f"/api/farms/{farm.farm.id}/matters").json()["set_aside"]
    (version,) = waiting["versions"]
    assert (version["reason_code"], version["now_at"], version["can_count"]) == ("other_ground", None, True)


def test_checks_and_counts_beyond_the_end_count_once_the_row_is_counted_longer(service):
    """An auditor looked at tree 107 where the rule has 105: counted so, by either way of counting, the check and the count stand."""
    farm = service.farm
    auditor = service.tablet(None)
    checks = [record(farm, row=row, position=107, verdict="meets") for row in (7, 8)]
    counts = [record(farm, row=row, position=107, what="limbs", number=9) for row in (7, 8)]
    for kind, records in (("checks", checks), ("tree_counts", counts)):
        assert set(send(auditor, farm, kind, records).values()) == {"set_aside"}
    take(
        service,
        farm,
        [{"kind": "count-row", "row": 7, "counted_positions": 107, "blanks": [], "pollinizers": []}],
    )
    answer = service.client.patch(service.at_block("/rows/8"), json={"counted_positions": 107})
    assert answer.status_code < 300, answer.text
    assert service.client.get(service.at_farm("/matters")).json()["set_aside"] == []
    assert len(service.client.get(service.at_block("/state")).json()["checks"]) == 2
    assert len(service.client.get(service.at_block("/counts")).json()["lines"]) == 2
