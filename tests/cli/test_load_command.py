"""`orchardmap farm` and `orchardmap load`: previewed, then taken whole or not at all."""

import json
from pathlib import Path

import pytest

from orchardmap.store.session import open_store
from orchardmap.usecases import glance, reporting

SAMPLES = Path(__file__).resolve().parents[2] / "sample_geodata"
APPLES = SAMPLES / "apple_blocks_california.geojson"
SPACINGS = ("--row-spacing", "4", "--tree-spacing", "1.5")
DATABASE = "sqlite:///orchardmap.sqlite"


@pytest.fixture
def blocks(tmp_path):
    """`blocks()` returns code and trees of what the database holds."""

    def read(farm: str = "Long Meadow") -> dict[str, int]:
        from datetime import UTC, datetime

        store = open_store(f"sqlite:///{tmp_path / 'orchardmap.sqlite'}", read_only=True)
        try:
            chosen = reporting.chosen_farm(store, farm)
            told = glance.overview(store, chosen.id, day=None, now=datetime.now(UTC))
        finally:
            store.close()
        return {block["code"]: block["trees"] for block in told["blocks"]}

    return read


@pytest.fixture
def farm(orchardmap):
    said = orchardmap("farm", "Long Meadow", "--time-zone", "America/Los_Angeles")
    assert said.code == 0, said.err
    assert "Made the farm Long Meadow" in said.out


def test_farm_twice_or_in_no_zone_is_refused(orchardmap, farm):
    again = orchardmap("farm", "Long Meadow")
    assert again.code == 1
    assert "there already" in again.err
    lost = orchardmap("farm", "Else", "--time-zone", "Mars/Olympus")
    assert lost.code == 1
    assert "Mars/Olympus" in lost.err


def test_load_preview_shows_rows_and_takes_nothing(orchardmap, farm, blocks):
    said = orchardmap("load", str(APPLES), *SPACINGS, "--bearing", "longest-edge", "--preview")
    assert said.code == 0, said.err
    assert "6" in said.out
    assert "rows" in said.out
    assert blocks() == {}


def test_load_takes_what_the_preview_counted(orchardmap, farm, blocks):
    arguments = ("load", str(APPLES), *SPACINGS, "--bearing", "longest-edge", "--headland", "5")
    counted = json.loads(orchardmap(*arguments, "--preview", "--json").out)
    taken = json.loads(orchardmap(*arguments, "--json", "--variety", "Gravenstein").out)
    assert len(taken["blocks"]) == 6
    assert taken["left_out"] == []
    assert {b["code"]: b["trees"] for b in taken["blocks"]} == {
        b["code"]: b["trees"] for b in counted["blocks"]
    }
    assert blocks() == {b["code"]: b["trees"] for b in taken["blocks"]}
    assert min(blocks().values()) > 100


def test_load_without_a_bearing_says_what_is_on_offer(orchardmap, farm, blocks):
    said = orchardmap("load", str(APPLES), *SPACINGS)
    assert said.code == 1
    assert "--bearing" in said.err
    assert "longest-edge" in said.err
    assert blocks() == {}


def test_load_twice_is_refused_and_a_prefix_helps(orchardmap, farm, blocks):
    arguments = ("load", str(APPLES), *SPACINGS, "--bearing", "90")
    assert orchardmap(*arguments).code == 0
    before = blocks()
    again = orchardmap(*arguments)
    assert again.code == 1
    assert "already" in again.err
    assert blocks() == before
    assert orchardmap(*arguments, "--prefix", "N").code == 0
    assert set(blocks()) == set(before) | {f"N{code}" for code in before}


def test_load_one_code_that_is_taken_leaves_all_out(orchardmap, farm, blocks, tmp_path):
    """Five blocks are new, one code is on the farm: nothing may be half taken."""
    told = json.loads(APPLES.read_text("utf-8"))
    one = told | {"features": told["features"][:1]}
    (tmp_path / "one.geojson").write_text(json.dumps(one), "utf-8")
    first = orchardmap("load", "one.geojson", *SPACINGS, "--bearing", "0", "--json")
    before = blocks()
    assert len(before) == 1
    code = json.loads(first.out)["blocks"][0]["code"]
    rest = orchardmap("load", str(APPLES), *SPACINGS, "--bearing", "0")
    assert rest.code == 1
    assert code in rest.err
    assert blocks() == before


def test_load_rows_that_were_surveyed(orchardmap, farm, blocks):
    """The ten rows of the Lincoln vineyard (sample_geodata/README.md), taken as lines."""
    said = orchardmap("load", str(SAMPLES / "vine_rows_lincoln.geojson"), *SPACINGS, "--json")
    assert said.code == 0, said.err
    (block,) = json.loads(said.out)["blocks"]
    assert block["rows"] == 10
    assert list(blocks()) == [block["code"]]


def test_load_asks_what_the_file_does_not_say(orchardmap, farm, blocks, tmp_path):
    (tmp_path / "x.csv").write_text(
        'name,WKT\nA,"POLYGON((500000 5150000,500100 5150000,500100 5150200,500000 5150000))"\n'
    )
    said = orchardmap("load", "x.csv", *SPACINGS, "--bearing", "0")
    assert said.code == 1
    assert "--crs" in said.err
    answered = orchardmap("load", "x.csv", *SPACINGS, "--bearing", "0", "--crs", "EPSG:32632", "--json")
    assert answered.code == 0, answered.err
    assert len(blocks()) == 1


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (("nowhere.geojson", *SPACINGS, "--bearing", "0"), 1, "nowhere.geojson"),
        ((str(SAMPLES / "apple_yield_per_tree.csv"), *SPACINGS, "--bearing", "0"), 1, ""),
        ((str(APPLES), "--row-spacing", "4"), 1, "--tree-spacing"),
        ((str(APPLES), "--row-spacing", "-4", "--tree-spacing", "1", "--bearing", "0"), 1, ""),
        ((str(APPLES), *SPACINGS, "--bearing", "0", "--answer", "nonsense"), 1, "key=value"),
        ((str(APPLES), *SPACINGS, "--bearing", "0", "--farm", "Elsewhere"), 1, "Elsewhere"),
        ((str(APPLES), *SPACINGS, "--bearing", "nan"), 1, ""),
        ((str(APPLES), *SPACINGS, "--bearing", "inf"), 1, ""),
    ],
)
def test_load_refuses_in_one_sentence(orchardmap, farm, blocks, arguments, code, says):
    said = orchardmap("load", *arguments)
    assert said.code == code, said.out + said.err
    assert says in said.err
    assert "Traceback" not in said.err
    assert blocks() == {}


def test_load_names_from_a_file_are_not_markup(orchardmap, farm, tmp_path):
    told = json.loads(APPLES.read_text("utf-8"))
    told["features"] = told["features"][:1]
    told["features"][0]["properties"] = {"name": "[red]North[/red] [link=x]"}
    (tmp_path / "odd.geojson").write_text(json.dumps(told), "utf-8")
    said = orchardmap("load", "odd.geojson", *SPACINGS, "--bearing", "0", "--preview")
    assert said.code == 0, said.err
    assert "[red]North[/red]" in said.out
