"""What `orchardmap load` takes from a file itself, what it says of the rest, and what it refuses."""

import json
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from orchardmap.store import orchard
from orchardmap.store.session import open_store
from orchardmap.usecases import glance, reporting

SAMPLES = Path(__file__).resolve().parents[2] / "sample_geodata"


def square(lon: float, lat: float, size_deg: float = 0.001) -> dict[str, object]:
    east, north = lon + size_deg, lat + size_deg
    return {
        "type": "Polygon",
        "coordinates": [[[lon, lat], [east, lat], [east, north], [lon, north], [lon, lat]]],
    }


def line(lon: float, lat: float) -> dict[str, object]:
    return {"type": "LineString", "coordinates": [[lon, lat], [lon, lat + 0.001]]}


@pytest.fixture
def write(tmp_path):
    """`write(...)` makes a GeoJSON file of (properties, geometry) pairs and returns its name."""

    def make(*features: tuple[dict[str, object], dict[str, object]]) -> str:
        told = [{"type": "Feature", "properties": said, "geometry": geometry} for said, geometry in features]
        (tmp_path / "in.geojson").write_text(
            json.dumps({"type": "FeatureCollection", "features": told}), "utf-8"
        )
        return "in.geojson"

    return make


@pytest.fixture
def stored(tmp_path):
    """`stored()` returns block code -> row numbers as the database holds them."""

    def read() -> dict[str, list[int]]:
        store = open_store(f"sqlite:///{tmp_path / 'orchardmap.sqlite'}", read_only=True)
        try:
            farm = reporting.chosen_farm(store, "")
            told = glance.overview(store, farm.id, day=None, now=datetime.now(UTC))
            with store.read() as conn:
                return {
                    b["code"]: [row.number for row in orchard.rows(conn, b["id"])] for b in told["blocks"]
                }
        finally:
            store.close()

    return read


@pytest.fixture(autouse=True)
def farm(orchardmap):
    assert orchardmap("farm", "Long Meadow").code == 0


SPACINGS = ("--row-spacing", "4", "--tree-spacing", "1.5")


def test_codes_spacings_and_bearing_come_from_the_file(orchardmap, stored):
    said = orchardmap("load", str(SAMPLES / "demo_blocks.geojson"))
    assert said.code == 0, said.err
    with closing(sqlite3.connect(SAMPLES / "demo_blocks.gpkg")) as own:
        rows = dict(own.execute("SELECT block, count(*) FROM rows GROUP BY block"))
    found = {code: len(numbers) for code, numbers in stored().items()}
    assert found.keys() == rows.keys()
    # the GeoPackage holds the demo's own rows; the outlines carry bearing and pitch, but no first-row offset, headland
    # or shortest row, so a block may differ by a row at its sides. M2's rows are curved there, which no outline can say
    assert {
        code: (found[code], rows[code]) for code in rows if abs(found[code] - rows[code]) > 3 and code != "M2"
    } == {}


def test_one_outline_too_narrow_stops_all_and_skipping_says_why(orchardmap, write, stored):
    file = write(({"code": "G"}, square(11.3, 46.5)), ({"code": "N"}, square(11.31, 46.5, 0.00002)))
    stopped = orchardmap("load", file, *SPACINGS, "--bearing", "0")
    assert stopped.code == 1
    assert "N" in stopped.err
    assert "--skip-problems" in stopped.err
    assert stored() == {}
    skipped = orchardmap("load", file, *SPACINGS, "--bearing", "0", "--skip-problems")
    assert skipped.code == 0
    assert list(stored()) == ["G"]
    assert "Left out: N (no row fits" in skipped.out


def test_surveyed_rows_keep_their_numbers_and_their_block(orchardmap, write, stored):
    east = [({"row": n, "block": "East"}, line(11.3 + 0.00004 * n, 46.5)) for n in (41, 42, 43)]
    west = [({"row": n, "block": "West"}, line(11.2 + 0.00004 * n, 46.5)) for n in (7, 8)]
    assert orchardmap("load", write(*east, *west), *SPACINGS).code == 0
    assert stored() == {"East": [41, 42, 43], "West": [7, 8]}


def test_rows_kilometres_apart_are_not_taken_for_one_block(orchardmap, write, stored):
    said = orchardmap("load", write(({}, line(11.3, 46.5)), ({}, line(11.4, 46.5))), *SPACINGS)
    assert said.code == 1
    assert "apart" in said.err
    assert stored() == {}


def test_rows_inside_an_outline_are_that_blocks_rows(orchardmap, write, stored):
    rows = [({"row": n}, line(11.3002 + 0.0001 * n, 46.5)) for n in (3, 4)]
    assert (
        orchardmap(
            "load", write(({"code": "K"}, square(11.3, 46.5)), *rows), *SPACINGS, "--bearing", "0"
        ).code
        == 0
    )
    assert stored() == {"K": [3, 4]}


def test_question_with_a_sound_default_is_said_and_can_be_answered(orchardmap, write, stored):
    two = {
        "type": "MultiPolygon",
        "coordinates": [square(11.3, 46.5)["coordinates"], square(11.35, 46.5)["coordinates"]],
    }
    said = orchardmap("load", write(({"code": "K"}, two)), *SPACINGS, "--bearing", "0", "--preview")
    assert "--answer split_parts=" in said.err
    split = orchardmap("load", "in.geojson", *SPACINGS, "--bearing", "0", "--answer", "split_parts=yes")
    assert split.code == 0, split.err
    assert len(stored()) == 2


def test_spacing_that_nobody_gave_is_asked_for(orchardmap, write, stored):
    said = orchardmap(
        "load", write(({"code": "K"}, square(11.3, 46.5))), "--row-spacing", "4", "--bearing", "0"
    )
    assert said.code == 1
    assert "--tree-spacing" in said.err
    assert stored() == {}


def test_variety_is_made_once_and_only_with_the_blocks(orchardmap, write, tmp_path):
    """What stops a load must leave no variety behind either."""

    def known() -> list[tuple[str, str | None]]:
        with closing(sqlite3.connect(tmp_path / "orchardmap.sqlite")) as conn:
            return conn.execute(
                "SELECT blocks.code, varieties.name FROM varieties LEFT JOIN blocks ON variety_id = varieties.id ORDER BY 1"
            ).fetchall()

    arguments = ("--bearing", "0", *SPACINGS, "--variety", "Ashmead's Kernel")
    whole, narrow = ({"name": "A"}, square(11.3, 46.5)), ({"name": "B"}, square(11.31, 46.5, 0.00001))
    assert orchardmap("load", write(whole, narrow), *arguments).code == 1
    assert known() == []
    assert orchardmap("load", write(whole), *arguments).code == 0
    assert orchardmap("load", write(({"name": "C"}, square(11.33, 46.5))), *arguments).code == 0
    assert known() == [("A", "Ashmead's Kernel"), ("C", "Ashmead's Kernel")]
    with closing(sqlite3.connect(tmp_path / "orchardmap.sqlite")) as conn:
        assert conn.execute("SELECT count(*) FROM varieties").fetchone() == (1,)


def test_blocks_without_codes_of_their_own_are_numbered_and_the_preview_ends_as_the_load_does(
    orchardmap, stored
):
    """Ten fields of which two share a long name (sample_geodata/README.md): the browser numbers them too."""
    arguments = ("load", str(SAMPLES / "fields_sweden_shapefile.zip"), *SPACINGS, "--bearing", "longest-edge")
    shown = orchardmap(*arguments, "--preview")
    assert (shown.code, stored()) == (0, {})
    assert "B1 is 61373406277" in " ".join(shown.out.split())
    assert "click two points" not in " ".join(shown.out.split())  # nobody clicks in a terminal
    assert orchardmap(*arguments).code == 0
    assert sorted(stored(), key=lambda code: int(code[1:])) == [f"B{n}" for n in range(1, 11)]
    again = orchardmap(*arguments, "--preview")
    assert again.code == 1
    assert "--prefix" in again.err


def test_preview_of_what_cannot_be_taken_ends_as_the_load_would(orchardmap, write, stored):
    plants = ("load", str(SAMPLES / "vine_plants_lincoln.csv"), *SPACINGS, "--bearing", "0")
    for said in (orchardmap(*plants, "--preview"), orchardmap(*plants)):
        assert said.code == 1
        assert "120 single trees" in said.err
        assert "Choose one" not in said.err
    file = write(({"code": "G"}, square(11.3, 46.5)), ({"code": "N"}, square(11.31, 46.5, 0.00002)))
    shown = orchardmap("load", file, *SPACINGS, "--bearing", "0", "--preview")
    assert shown.code == 1
    assert "1 of 2 blocks can be taken." in shown.out
    assert "N: no row fits" in shown.out
    assert "N: N:" not in shown.out + shown.err
    assert orchardmap("load", file, *SPACINGS, "--bearing", "0", "--preview", "--skip-problems").code == 0
    assert stored() == {}


def test_preview_only_reads_and_runs_beside_the_service(orchardmap, write, tmp_path):
    file = write(({"code": "K"}, square(11.3, 46.5)))
    arguments = ("load", file, *SPACINGS, "--bearing", "0")
    serving = open_store(f"sqlite:///{tmp_path / 'orchardmap.sqlite'}")
    try:
        assert orchardmap(*arguments, "--preview").code == 0
        assert orchardmap(*arguments).code == 1
    finally:
        serving.close()
    taken = orchardmap(*arguments)
    assert "Taken: 1 block, " in taken.out


def test_answer_to_a_question_that_no_file_asks_is_refused(orchardmap, write):
    said = orchardmap(
        "load", write(({"code": "K"}, square(11.3, 46.5))), *SPACINGS, "--answer", "split-parts=yes"
    )
    assert said.code != 0
    assert "split_parts" in said.err


def test_one_of_several_farms_is_asked_for_by_its_option(orchardmap, write):
    assert orchardmap("farm", "Short Meadow").code == 0
    said = orchardmap("load", write(({"code": "K"}, square(11.3, 46.5))), *SPACINGS, "--bearing", "0")
    assert said.code == 1
    assert "--farm" in said.err
    assert "Long Meadow, Short Meadow" in said.err


def test_further_files_go_on_counting_and_blocks_without_names_are_called_by_their_codes(
    orchardmap, write, tmp_path
):
    for lon in (11.3, 11.32, 11.34):
        file = write(({}, square(lon, 46.5)), ({}, square(lon + 0.01, 46.5)))
        assert orchardmap("load", file, *SPACINGS, "--bearing", "0").code == 0
    with closing(sqlite3.connect(tmp_path / "orchardmap.sqlite")) as conn:
        held = conn.execute("SELECT code, name FROM blocks ORDER BY code").fetchall()
    assert held == [(f"B{n}", f"B{n}") for n in range(1, 7)]


def test_file_loaded_twice_is_known_by_where_it_lies_and_by_its_codes(orchardmap, write, stored):
    coded = write(({"code": "K"}, square(11.3, 46.5)))
    assert orchardmap("load", coded, *SPACINGS, "--bearing", "0").code == 0
    elsewhere = orchardmap("load", write(({"code": "K"}, square(11.4, 46.5))), *SPACINGS, "--bearing", "0")
    assert (elsewhere.code, list(stored())) == (1, ["K"])
    assert "a block of that code already" in elsewhere.err
    upon = orchardmap("load", write(({}, square(11.3, 46.5))), *SPACINGS, "--bearing", "0")
    assert (upon.code, list(stored())) == (1, ["K"])
    assert "K: blocks of the file lie upon blocks" in upon.err
    rows: list[tuple[dict[str, object], dict[str, object]]] = [
        ({}, line(11.4 + 0.00004 * n, 46.5)) for n in range(3)
    ]
    assert orchardmap("load", write(*rows), *SPACINGS).code == 0
    again = orchardmap("load", write(*rows), *SPACINGS)
    assert (again.code, sorted(stored())) == (1, ["B1", "K"])
    assert "B1: blocks of the file lie upon blocks" in again.err


def test_blocks_far_from_the_farm_wait_for_a_word(orchardmap, write, stored):
    assert (
        orchardmap("load", write(({"code": "K"}, square(11.3, 46.5))), *SPACINGS, "--bearing", "0").code == 0
    )
    far = ("load", write(({"code": "F"}, square(-120.3, 38.0))), *SPACINGS, "--bearing", "0")
    for more in ((), ("--preview",)):
        said = orchardmap(*far, *more)
        assert (said.code, list(stored())) == (1, ["K"])
        assert "9,500 km from the farm's others: F" in " ".join(said.err.split())
        assert "--answer as_placed=yes" in said.err
    meant = orchardmap(*far, "--answer", "as_placed=yes")
    assert meant.code == 0, meant.err
    assert "9,500 km" in meant.err
    assert sorted(stored()) == ["F", "K"]


def test_preview_says_that_rows_run_to_the_outline_unless_a_headland_is_given(orchardmap, write):
    arguments = ("load", write(({"code": "K"}, square(11.3, 46.5))), *SPACINGS, "--bearing", "0", "--preview")
    assert "The rows run to the outline" in " ".join(orchardmap(*arguments).out.split())
    assert "run to the outline" not in " ".join(orchardmap(*arguments, "--headland", "6").out.split())
