"""Many at once, on both engines: the same records, the same code, the same row; each change once, none lost, no lock error."""

import threading
from collections.abc import Callable
from typing import Any

import pytest

from orchardmap.errors import ConflictError, StoreError
from orchardmap.store import orchard, row_tables, sqlite_files
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import folding, planting, recording
from orchardmap.usecases.planting import BlockPlan
from small_farm import NOW, OUTLINE, PLANTING, small_farm, withdrawal


def at_once(*jobs: Callable[[], Any]) -> list[Any]:
    """Run the jobs together and return what each gave, an error included."""
    start, found = threading.Barrier(len(jobs)), list[Any]([None]) * len(jobs)

    def run(number: int, job: Callable[[], Any]) -> None:
        start.wait()
        try:
            found[number] = job()
        except Exception as error:
            found[number] = error

    threads = [threading.Thread(target=run, args=(n, job)) for n, job in enumerate(jobs)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
        assert not thread.is_alive()
    return found


def test_same_marks_sent_by_several_at_once_are_taken_once(store):
    """A lost answer makes a tablet send again while the first upload is still under way."""
    farm = small_farm(store)
    marks = [farm.mark(row, 1, 50) for row in range(1, 11)]

    def send() -> list[str]:
        told = recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)
        return [receipt.outcome for receipt in told]

    outcomes = at_once(*[send] * 6)
    for told in zip(*outcomes, strict=True):
        assert sorted(told) == ["already_there"] * 5 + ["taken"]
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_marks_and_their_withdrawals_sent_at_once_leave_nothing_standing(store):
    farm = small_farm(store)
    marks = [farm.mark(row) for row in range(1, 9)]

    def send(mark):
        return lambda: recording.record_marks(store, farm_id=farm.farm.id, marks=[mark], sent_at=NOW, now=NOW)

    def take_back(mark):
        return lambda: recording.record_withdrawals(
            store, farm_id=farm.farm.id, withdrawals=[withdrawal(mark)], sent_at=NOW, now=NOW
        )

    found = at_once(*map(send, marks), *map(take_back, marks))
    assert [receipts[0].outcome for receipts in found] == ["taken"] * 16
    with store.read() as conn:
        ids = [block.id for block in farm.blocks]
        assert folding.states_on(conn, farm.season.id, ids, None) == []
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_one_code_taken_by_several_at_once_is_one_block(store):
    farm = small_farm(store)
    plans = [BlockPlan("K9", "", None, OUTLINE, PLANTING)]
    found = at_once(*[lambda: planting.plant_blocks(store, farm_id=farm.farm.id, plans=plans)] * 4)
    assert sum(isinstance(one, list) for one in found) == 1
    assert sum(isinstance(one, ConflictError) for one in found) == 3, found
    with store.read() as conn:
        assert [block.code for block in orchard.blocks(conn, farm.farm.id)] == ["K1", "K2", "K9"]


def test_one_name_taken_by_several_at_once_is_one_farm(store):
    found = at_once(*[lambda: planting.create_farm(store, name="One", time_zone="UTC", now=NOW)] * 4)
    assert sum(isinstance(one, ConflictError) for one in found) == 3, found


def test_two_people_counting_one_row_lose_nothing_of_each_other(store):
    """One counts blanks while the other counts pollinizers: what was not sent must stay as it is at that moment."""
    farm = small_farm(store)
    block_id = farm.blocks[0].id

    def count(changes: dict[str, list[int]]) -> Callable[[], None]:
        return lambda: planting.recount_row(store, block_id=block_id, row=1, changes=changes, now=NOW)

    for turn in range(1, 16):
        assert at_once(count({"blanks": [turn]}), count({"pollinizers": [50 + turn]})) == [None, None]
        with store.read() as conn:
            row = orchard.rows(conn, block_id)[0]
        assert (set(row.blanks), set(row.pollinizers)) == ({turn}, {50 + turn})


def test_reader_sees_one_moment_while_others_write(store):
    """A view is put together from several queries: they must speak of the same moment."""
    farm = small_farm(store)
    with store.read() as conn:
        before = row_tables.block_trees(conn, farm.farm.id)
        planting.count_row(store, block_id=farm.blocks[0].id, row=1, counted_positions=10)
        assert row_tables.block_trees(conn, farm.farm.id) == before
    with store.read() as conn:
        assert row_tables.block_trees(conn, farm.farm.id) != before


def test_network_folder_is_refused_before_anything_is_made(tmp_path, monkeypatch):
    monkeypatch.setattr(sqlite_files, "network_file_system", lambda path, mounts: "nfs4")
    with pytest.raises(StoreError, match="nfs4"):
        open_store(sqlite_url(tmp_path / "farm.sqlite"))
    assert list(tmp_path.iterdir()) == []
