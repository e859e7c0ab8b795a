"""Changes of the ground on both engines: what is read afterwards is what was decided, indexes and folds included, and it goes back whole."""

import pytest

from orchardmap.geometry.block_edits import JoinBlocks, ShiftBlock, SplitBlock
from orchardmap.geometry.ground_changes import Edit
from orchardmap.geometry.row_edits import CountRow, DropRows, JoinRows, NumberRows, SplitRow, TurnRows
from orchardmap.model.orchard import Block
from orchardmap.store import orchard
from orchardmap.usecases import blocks, counting, ground_changing, recording
from orchardmap.usecases.folding import rebuild
from orchardmap.usecases.ground_changing import Wish
from orchardmap.usecases.ground_telling import ground_version
from orchardmap.usecases.planting import new_id
from small_farm import NOW, ROWS, small_farm


@pytest.fixture
def farm(shared_store):
    return small_farm(shared_store, new_id())


def ground(store, farm):
    """Every block of the farm with its rows, as they are kept."""
    with store.read() as conn:
        found = orchard.blocks(conn, farm.farm.id)
        rows = orchard.rows_of_blocks(conn, [block.id for block in found])
    return {block.id: (block, rows[block.id]) for block in found}


def take(store, farm, *edits: Edit):
    seen = {key: ground_version(block) for key, (block, _) in ground(store, farm).items()}
    wish = Wish(edits, seen, new_id())
    ground_changing.take(store, farm_id=farm.farm.id, wish=wish, actor="shell", may_touch_work=True, now=NOW)
    return wish.id


def take_back(store, farm, change_id):
    wish = ground_changing.back_wish(store, farm_id=farm.farm.id, change_id=change_id, made_id=new_id())
    ground_changing.take(store, farm_id=farm.farm.id, wish=wish, actor="shell", may_touch_work=True, now=NOW)


def test_every_edit_is_kept_as_it_was_decided_and_goes_back_to_the_last_bit(shared_store, farm):
    """Numbers that change places, cut and joined rows and blocks: rows, boxes, versions and folds agree after each, and after each step back."""
    a, b = (block.id for block in farm.blocks)
    record = [farm.mark(7, 1, 30)]
    recording.record_marks(shared_store, farm_id=farm.farm.id, marks=record, sent_at=NOW, now=NOW)
    made = Block(new_id(), "", "half", "half", None, None, None, 0.0)
    steps: list[list[Edit]] = [
        [NumberRows(a, {1: 2, 2: 1}), TurnRows(a, (3,)), DropRows(a, (25,))],
        [SplitRow(a, 4, 50), JoinRows(a, 5, 6), CountRow(a, 7, 103, (2,), (9,))],
        [SplitBlock(b, ((11.29, 46.5), (11.31, 46.5)), made)],
        [ShiftBlock(made.id, 3.0, -2.0)],
        [JoinBlocks(b, made.id)],
    ]
    shapes = [ground(shared_store, farm)]
    taken = []
    for edits in steps:
        taken.append(take(shared_store, farm, *edits))
        shapes.append(ground(shared_store, farm))
        assert rebuild(shared_store, farm.farm.id, write=False) == []
        for block, rows in shapes[-1].values():
            assert block.shape_version == counting.shape_version(block, rows)
            west, south, east, north = rows[0].line.bounds
            near = blocks.rows_in_box(shared_store, farm.farm.id, (west, south, east, north))
            assert (block.id, rows[0].number) in near
    assert len(shapes[-1][b][1]) == 2 * ROWS
    for change in reversed(taken):
        assert ground(shared_store, farm) == shapes.pop()
        take_back(shared_store, farm, change)
    assert ground(shared_store, farm) == shapes.pop()
    assert rebuild(shared_store, farm.farm.id, write=False) == []
