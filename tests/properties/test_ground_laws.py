"""Laws of editing the ground: a step back gives back the same ground, trees are neither lost nor made, and no record comes to mean another tree.

The witness of the last is not the program's own book-keeping: before the edits every tree is marked by where it stands, and afterwards
the tree that a record names must stand there still.
"""

import json
from dataclasses import replace

import numpy as np
import shapely
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiLineString, Polygon

from orchardmap.errors import OrchardmapError
from orchardmap.geometry.block_edits import (
    DrawOutline,
    DropBlock,
    JoinBlocks,
    LayBlock,
    NewBlock,
    ShiftBlock,
    SplitBlock,
)
from orchardmap.geometry.frame import local_xy_m, lonlat_deg
from orchardmap.geometry.geodesy import line_lengths_m
from orchardmap.geometry.ground import BlockGround, Ground, ground_of
from orchardmap.geometry.ground_changes import (
    Edit,
    applied,
    put_back,
    row_changes,
    touched,
)
from orchardmap.geometry.ground_problems import RowUse, problems
from orchardmap.geometry.ground_tracing import Trees, traced
from orchardmap.geometry.laying import laid_rows
from orchardmap.geometry.positions import position_lonlat
from orchardmap.geometry.row_edits import (
    AddRow,
    CountRow,
    DropRows,
    JoinRows,
    MoveRow,
    NumberRows,
    SplitRow,
    TurnRows,
)
from orchardmap.model.orchard import Block, Planting
from orchardmap.usecases.ground_json import put_back_json
from orchardmap.usecases.ground_moves import row_step

ORIGIN = np.array((11.3, 46.5))
PLANTING = Planting(
    bearing_deg=0.0, row_spacing_m=4.0, tree_spacing_m=2.0, end_offset_m=1.0, first_row_offset_m=2.0
)


def square(west_m: float, south_m: float, width_m: float, height_m: float) -> Polygon:
    corners = [
        (west_m, south_m),
        (west_m + width_m, south_m),
        (west_m + width_m, south_m + height_m),
        (west_m, south_m + height_m),
    ]
    return Polygon(lonlat_deg(np.array(corners), ORIGIN))


def line(*xy_m: tuple[float, float]) -> MultiLineString:
    return MultiLineString([lonlat_deg(np.array(xy_m), ORIGIN).tolist()])


def farm() -> dict[str, BlockGround]:
    """Two blocks side by side: five rows of 20 trees each; one row was counted, some places are blanks."""
    blocks = [
        Block(
            key,
            "farm",
            key.upper(),
            key,
            None,
            square(west, 0.0, 20.0, 40.0),
            PLANTING,
            0.08,
            shape_version="v1",
        )
        for key, west in (("a", 0.0), ("b", 24.0))
    ]
    rows = {block.id: laid_rows(block.outline, PLANTING, block_id=block.id) for block in blocks}
    rows["a"][1] = replace(
        rows["a"][1], counted_positions=19, blanks=frozenset({3}), pollinizers=frozenset({10})
    )
    rows["b"][0] = replace(rows["b"][0], blanks=frozenset({1, 20}))
    return ground_of(blocks, rows)


BLOCK = st.sampled_from(["a", "b"])
NUMBER = st.integers(1, 6)
METRE = st.integers(-10, 50).map(float)
POINT = st.tuples(METRE, METRE)


def lonlat(xy_m: tuple[float, float]) -> tuple[float, float]:
    lon, lat = lonlat_deg(np.array(xy_m), ORIGIN).tolist()
    return lon, lat


STILL_EDITS: st.SearchStrategy[Edit] = st.one_of(
    st.builds(DropRows, BLOCK, st.sets(NUMBER, min_size=1, max_size=2).map(tuple)),
    st.builds(NumberRows, BLOCK, st.dictionaries(NUMBER, st.integers(1, 9), min_size=1, max_size=3)),
    st.builds(SplitRow, BLOCK, NUMBER, st.integers(1, 20)),
    st.builds(JoinRows, BLOCK, NUMBER, NUMBER),
    st.builds(TurnRows, BLOCK, st.sets(NUMBER, min_size=1, max_size=2).map(tuple)),
    st.builds(
        lambda block, points, other: SplitBlock(
            block,
            (lonlat(points[0]), lonlat(points[1])),
            Block(f"{block}-2", "", f"{block}2", "half", None, None, None, 0.0),
            other_side=other,
        ),
        BLOCK,
        st.tuples(POINT, POINT),
        st.booleans(),
    ),
    st.sampled_from([JoinBlocks("a", "b"), JoinBlocks("b", "a"), DropBlock("a")]),
)
"""Edits that leave every tree where it stands."""
EDITS: st.SearchStrategy[Edit] = st.one_of(
    STILL_EDITS,
    st.builds(CountRow, BLOCK, NUMBER, st.sampled_from([None, 0, 18, 22]), st.just((2, 5)), st.just((7,))),
    st.builds(lambda b, n, p, q: MoveRow(b, n, line(p, q)), BLOCK, NUMBER, POINT, POINT),
    st.builds(lambda b, p, q: AddRow(b, line(p, q)), BLOCK, POINT, POINT),
    st.builds(ShiftBlock, BLOCK, METRE, METRE),
    st.builds(
        lambda block, width, bearing: LayBlock(
            block, square(0.0, 0.0, width, 40.0), replace(PLANTING, bearing_deg=bearing)
        ),
        BLOCK,
        st.sampled_from([12.0, 20.0, 26.0]),
        st.sampled_from([0.0, 180.0, 90.0]),
    ),
    st.just(DrawOutline("a", square(0.0, 0.0, 30.0, 30.0))),
    st.just(NewBlock(Block("c", "farm", "C", "new", None, square(60.0, 0.0, 12.0, 30.0), PLANTING, 0.0))),
)


def after(ground: Ground, edits: list[Edit]) -> dict[str, BlockGround]:
    """Take those edits that can be, as somebody would who is told of the others."""
    found = dict(ground)
    for edit in edits:
        try:
            found = applied(found, [edit])
        except OrchardmapError:
            continue
    return found


def told(ground: Ground) -> dict[str, object]:
    """What is kept of a ground: blocks, and rows by number."""
    return {key: (one.block, [row.row for row in one.rows]) for key, one in ground.items()}


def reread(ground: Ground) -> dict[str, BlockGround]:
    """The ground as it is read again once a change was taken."""
    rows = {key: [one.row for one in block.rows] for key, block in ground.items()}
    return ground_of([one.block for one in ground.values()], rows)


@settings(max_examples=80)
@given(st.lists(EDITS, min_size=1, max_size=5))
def test_a_step_back_gives_the_same_ground(edits: list[Edit]) -> None:
    """Whatever was edited, the step back gives the rows and blocks that were, to the last bit, and a step back from that the edited ones."""
    before = farm()
    edited = after(before, edits)
    then = reread(edited)
    back = put_back(before, edited).applied(then)
    assert told(back) == told(before)
    forth = put_back(then, back).applied(reread(back))
    assert told(forth) == told(edited)


@settings(max_examples=80)
@given(
    st.lists(STILL_EDITS, min_size=1, max_size=5),
    st.sampled_from(["a", "b"]),
    st.integers(1, 5),
    st.integers(1, 20),
)
@example([TurnRows("a", (1,)), SplitRow("a", 1, 5), TurnRows("a", (1,))], "a", 1, 3)
@example([TurnRows("a", (1,)), JoinRows("a", 1, 2), TurnRows("a", (1,))], "a", 1, 3)
@example([SplitRow("a", 1, 5)], "a", 1, 9)
def test_no_record_comes_to_mean_another_tree(edits: list[Edit], block: str, row: int, position: int) -> None:
    """A change that nothing hinders leaves the tree that a record names where it stood: within the half spacing by which a cut may draw it off."""
    before = farm()
    position = min(position, before[block].row(row).row.positions)
    there = position_lonlat(before[block].row(row).row, [position])
    edited = after(before, edits)
    found = problems(before, edited, {(block, row): RowUse(marks=1, last=position)})
    assume(not [one for one in found if one.hinders])
    now = position_lonlat(edited[block].row(row).row, [position])
    assert np.hypot(*(local_xy_m(now, ORIGIN) - local_xy_m(there, ORIGIN))[0]) <= 1.0 + 1e-6


@settings(max_examples=80)
@given(
    st.lists(STILL_EDITS, min_size=1, max_size=4),
    st.sampled_from(["a", "b"]),
    st.integers(1, 5),
    st.integers(1, 20),
    st.integers(1, 20),
)
@example([TurnRows("a", (2,)), NumberRows("a", {2: 9}), JoinBlocks("b", "a")], "a", 2, 3, 10)
@example([DropRows("a", (1,)), NumberRows("a", {2: 1})], "a", 1, 1, 20)
@example([SplitRow("b", 1, 5), TurnRows("b", (1,))], "b", 1, 2, 4)
def test_a_stretch_is_followed_to_where_its_trees_stand_or_not_at_all(
    edits: list[Edit], block: str, row: int, a: int, b: int
) -> None:
    """Each edit taken as a change of its own: the stretch that a record named is found on the trees that it meant, or said to be lost."""
    ground = farm()
    first, last = sorted(min(p, ground[block].row(row).row.positions) for p in (a, b))
    there = position_lonlat(ground[block].row(row).row, [first, last])
    trees: Trees | None = Trees(block, row, first, last)
    for edit in edits:
        edited = after(ground, [edit])
        step = row_step(json.loads(json.dumps(put_back_json(put_back(ground, edited)))))
        trees = None if trees is None else traced(trees, [step])
        ground = reread(edited)
    assume(trees is not None)
    assert trees is not None
    found = ground[trees.block_id].row(trees.row).row
    assert trees.of in {None, found.positions}
    now = position_lonlat(found, [trees.first, trees.last])
    away = local_xy_m(now, ORIGIN)[:, None] - local_xy_m(there, ORIGIN)[None]
    assert (np.hypot(*np.moveaxis(away, 2, 0)).min(axis=1) <= 1.0 + 1e-6).all()
    assert abs(trees.last - trees.first) == last - first


@settings(max_examples=60)
@given(st.lists(STILL_EDITS, min_size=1, max_size=5), st.integers(1, 5), st.integers(1, 40))
@example([JoinRows("a", 1, 2)], 1, 25)
@example([SplitRow("a", 1, 5)], 1, 3)
def test_a_step_back_keeps_what_was_marked_since(edits: list[Edit], row: int, position: int) -> None:
    """What is marked after a change keeps the step back from meaning another tree too."""
    before = farm()
    edited = reread(after(before, edits))
    assume("a" in edited and any(one.row.number == row for one in edited["a"].rows))
    marked = edited["a"].row(row).row
    position = min(position, marked.positions)
    there = position_lonlat(marked, [position])
    back = put_back(before, after(before, edits)).applied(edited)
    found = problems(edited, back, {("a", row): RowUse(marks=1, last=position)})
    if [one for one in found if one.hinders]:
        return
    now = position_lonlat(back["a"].row(row).row, [position])
    assert np.hypot(*(local_xy_m(now, ORIGIN) - local_xy_m(there, ORIGIN))[0]) <= 1.0 + 1e-6


@settings(max_examples=60)
@given(st.lists(STILL_EDITS.filter(lambda e: not isinstance(e, DropRows | DropBlock)), max_size=5))
@example([TurnRows("b", (1,)), TurnRows("a", (2,))])
def test_splitting_joining_and_turning_neither_lose_nor_make_a_tree(edits: list[Edit]) -> None:
    """Trees, positions and blanks of the farm add up to the same, however its rows and blocks are cut and joined."""

    def sums(ground: Ground) -> tuple[int, int, int]:
        rows = [one.row for block in ground.values() for one in block.rows]
        return (
            sum(row.positions for row in rows),
            sum(row.trees for row in rows),
            sum(len(row.blanks) for row in rows),
        )

    def blanks(ground: Ground) -> np.ndarray:
        rows = [one.row for block in ground.values() for one in block.rows]
        found = [position_lonlat(row, sorted(row.blanks)) for row in rows if row.blanks]
        return local_xy_m(np.concatenate(found), ORIGIN)

    before = farm()
    edited = after(before, edits)
    assert sums(edited) == sums(before)
    away = np.abs(blanks(before)[:, None, :] - blanks(edited)[None, :, :]).max(axis=2)
    assert (away.min(axis=1) <= 1.0 + 1e-6).all(), "each blank is the place that it was"


@settings(max_examples=60)
@given(st.lists(EDITS, min_size=1, max_size=4))
def test_rows_that_no_edit_names_keep_who_they_are_and_lengths_are_geodesic(edits: list[Edit]) -> None:
    """Each row of the edited ground is as long as the ellipsoid says; a row that stayed as it was is in no list of changes."""
    before = farm()
    edited = after(before, edits)
    rows = [one.row for block in edited.values() for one in block.rows]
    lengths = [float(line_lengths_m(list(row.line.geoms)).sum()) for row in rows]
    np.testing.assert_allclose([row.length_m for row in rows], lengths, atol=0.01)
    assert all(row.block_id in edited for row in rows)
    changed = {one.was for one in row_changes(before, edited)}
    for key, block in before.items():
        for one in block.rows:
            if (key, one.row.number) not in changed:
                assert edited[key].row(one.row.number).row == one.row
    assert set(touched(before, edited)) >= {key for key in edited if key not in before}
    assert shapely.is_valid(edited["a"].block.outline) if "a" in edited else True
