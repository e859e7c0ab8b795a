"""Dangers of blocks on both engines: lines are kept as they were drawn, and what is within reach is told to every tablet."""

from datetime import timedelta

import pytest
from shapely.geometry import MultiLineString

from orchardmap.errors import InputError, UnknownError
from orchardmap.geometry.frame import lonlat_deg
from orchardmap.store import audit, farm, hazards, log, orchard
from orchardmap.usecases import closing as closures
from orchardmap.usecases import farm_setting, ground_editing, hazard_lines, planting
from orchardmap.usecases.hazard_lines import NewLine
from orchardmap.usecases.hazards import block_hazards
from orchardmap.usecases.planting import new_id
from small_farm import NOW, small_farm


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def made(store):
    return small_farm(store, new_id())


def beside(store, made, *, row, off_m):
    """A line along a row of the first block, so many metres to its right."""
    with store.read() as conn:
        rows = orchard.rows(conn, made.blocks[0].id)
    (x0, y0), (x1, y1) = rows[row - 1].line.geoms[0].coords
    # rows run north: a degree of longitude is shorter than one of latitude
    ends = lonlat_deg([[off_m, 0.0], [off_m, 0.0]], [[x0, y0], [x1, y1]])
    return MultiLineString([ends.tolist()])


def add(store, made, line, *, kv=20.0, name="Line"):
    return hazard_lines.add_line(store, farm_id=made.farm.id, line=NewLine(name, kv, line), now=NOW)


def found(store, made, *, now=NOW):
    """Of the first block: (key, rows) of each danger, and what the set says."""
    with store.read() as conn:
        blocks = orchard.blocks(conn, made.farm.id)
        rows = orchard.rows_of_blocks(conn, [block.id for block in blocks])
        told = block_hazards(conn, farm.farm(conn, made.farm.id), blocks, rows, now=now)
    assert set(told) == {block.id for block in made.blocks}
    own = told[made.blocks[0].id]
    return [(one.key, list(one.rows)) for one in own], " ".join(one.texts["en"] for one in own)


def told_blocks(store, made, kind):
    with store.read() as conn:
        return {c.block_id for c in log.changes_after(conn, made.farm.id, 0, limit=1000) if c.kind == kind}


def test_rows_within_clearance_and_reach_are_told_with_the_law_last(store, made):
    """Rows stand 4 m apart; 3.05 m to keep and 3 m of reach are 6.05 m: of a line 1 m right of row 12, rows 11 to 13."""
    assert found(store, made) == ([], "")
    add(store, made, beside(store, made, row=12, off_m=1.0))
    told, said = found(store, made)
    assert told == [("overhead-lines", [11, 12, 13])]
    assert "rows 11 to 13: keep" in said
    assert "3.05 m" in said
    assert said.endswith("Local law, the product label and licensed practice decide.")


def test_a_higher_voltage_reaches_further_and_is_told_apart(store, made):
    """4.85 m at 230 kV (R4): with the reach 7.85 m, so rows 10 to 14 of a line in row 12, where 50 kV has 11 to 13."""
    line = beside(store, made, row=12, off_m=0.0)
    add(store, made, line, kv=50)
    high = add(store, made, line, kv=230)
    assert found(store, made)[0] == [("overhead-lines", [11, 12, 13]), ("overhead-lines", [11, 12, 13])]
    assert "4.85 m" in found(store, made)[1]
    farm_setting.save_settings(store, farm_id=made.farm.id, changes={"line_reach_m": 3.2}, now=NOW)
    assert found(store, made)[0] == [
        ("overhead-lines", [10, 11, 12, 13, 14]),
        ("overhead-lines", [11, 12, 13]),
    ]
    hazard_lines.remove_line(store, farm_id=made.farm.id, line_id=high.id, now=NOW)
    assert found(store, made)[0] == [("overhead-lines", [11, 12, 13])]


def test_two_lines_of_one_distance_are_one_danger(store, made):
    for row in (3, 20):
        add(store, made, beside(store, made, row=row, off_m=0.5))
    told, said = found(store, made)
    assert told == [("overhead-lines", [2, 3, 4, 19, 20, 21])]
    assert "rows 2 to 4, 19 to 21:" in said


def test_slope_is_told_from_the_farms_own_setting_up(store, made):
    ground_editing.edit_block(store, block_id=made.blocks[0].id, changes={"slope_percent": 15.0}, now=NOW)
    assert found(store, made)[0] == [("slope", [])]
    farm_setting.save_settings(store, farm_id=made.farm.id, changes={"slope_caution_percent": 15.1}, now=NOW)
    assert found(store, made)[0] == []


def test_closures_are_told_until_they_are_over_in_the_farms_own_hours(store, made):
    """Rome is an hour ahead of UTC in January."""
    span = NOW + timedelta(days=30), NOW + timedelta(days=31, hours=2)
    closures.close_block(store, block_id=made.blocks[0].id, span=span, reason="felling", now=NOW)
    told, said = found(store, made)
    assert told == [("closure", [])]
    assert "from 19 February 2026, 16:00, to 20 February 2026, 18:00." in said
    assert found(store, made, now=span[1] - timedelta(seconds=1))[0] == [("closure", [])]
    assert found(store, made, now=span[1])[0] == []


def test_line_is_kept_as_drawn_and_every_block_is_to_be_fetched_again(store, made):
    drawn = MultiLineString([[(11.2991, 46.4991), (11.3009, 46.5009)], [(11.3, 46.5), (11.3001, 46.5)]])
    line = add(store, made, drawn, name="  Old   mill ")
    with store.read() as conn:
        (kept,) = hazards.hazard_lines(conn, made.farm.id)
        noted = [entry.what for entry in audit.entries(conn) if entry.subject == line.id]
    assert (kept, kept.name, noted) == (line, "Old mill", ["hazard_line_added"])
    assert told_blocks(store, made, "hazard_line") == {block.id for block in made.blocks}
    (told,) = hazard_lines.lines_json(store, made.farm.id)
    assert (told["clearance_m"], told["geometry"]["type"]) == (3.05, "MultiLineString")
    hazard_lines.remove_line(store, farm_id=made.farm.id, line_id=line.id, now=NOW)
    assert hazard_lines.lines_json(store, made.farm.id) == []
    with store.read() as conn:
        assert [e.what for e in audit.entries(conn) if e.subject == line.id][1:] == ["hazard_line_removed"]


def test_line_that_could_warn_nobody_is_refused(store, made):
    """Axes the wrong way round lie elsewhere on the globe; a farm without blocks takes any."""
    swapped = MultiLineString([[(46.5, 11.3), (46.501, 11.3)]])
    with pytest.raises(InputError, match=r"km from the farm.*longitude first"):
        add(store, made, swapped)
    with pytest.raises(InputError, match="voltage"):
        add(store, made, beside(store, made, row=1, off_m=0), kv=-1)
    with pytest.raises(InputError, match="name"):
        add(store, made, beside(store, made, row=1, off_m=0), name=" ")
    assert hazard_lines.lines_json(store, made.farm.id) == []
    bare = planting.create_farm(store, name=new_id(), time_zone="UTC", now=NOW)
    hazard_lines.add_line(store, farm_id=bare.id, line=NewLine("X", 1, swapped), now=NOW)


def test_another_farms_line_is_unknown_and_warns_nobody_here(store, made):
    other = small_farm(store, new_id())
    line = add(store, other, beside(store, other, row=12, off_m=0))
    assert found(store, made)[0] == []
    with pytest.raises(UnknownError, match="no such power line"):
        hazard_lines.remove_line(store, farm_id=made.farm.id, line_id=line.id, now=NOW)
    assert len(hazard_lines.lines_json(store, other.farm.id)) == 1
