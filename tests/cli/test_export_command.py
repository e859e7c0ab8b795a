"""`orchardmap export` writes files for other tools, names nobody unless it is asked to, and leaves nothing half-written."""

import json

import pytest

from layered_farm import layered_farm
from orchardmap.store.session import open_store
from ready_stores import ready_sqlite


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> str:
    url = ready_sqlite(tmp_path_factory.mktemp("export") / "store.sqlite")
    store = open_store(url)
    layered_farm(store)
    store.close()
    return url


def test_a_file_is_written_as_of_a_day(orchardmap, database, tmp_path):
    said = orchardmap("export", "rows.geojson", "--day", "2026-01-20", "--database", database, "--json")
    told = json.loads(said.out)
    assert (said.code, told["features"], told["day"]) == (0, 50, "2026-01-20")
    written = (tmp_path / "rows.geojson").read_bytes()
    assert told["bytes"] == len(written)
    assert len(json.loads(written)["features"]) == 50
    again = orchardmap("export", "rows.geojson", "--day", "2026-01-20", "--database", database)
    assert again.code == 0
    assert "50 features" in again.out
    assert (tmp_path / "rows.geojson").read_bytes() == written
    assert [path.name for path in tmp_path.iterdir()] == ["rows.geojson"]


def test_people_are_named_only_when_asked_for(orchardmap, database, tmp_path):
    for options, named in ((), False), (("--names",), True):
        said = orchardmap(
            "export", "marks.csv", *options, "--day", "2026-01-20", "--out", "m.csv", "--database", database
        )
        assert said.code == 0, said.err
        assert ("Nora" in (tmp_path / "m.csv").read_text("utf-8")) is named


def test_what_cannot_be_written_is_said(orchardmap, database, tmp_path):
    unknown = orchardmap("export", "orchard.kml", "--database", database)
    assert (unknown.code, unknown.out) == (1, "")
    assert "orchard.gpkg" in unknown.err
    nowhere = orchardmap("export", "rows.csv", "--out", "none/rows.csv", "--database", database)
    assert nowhere.code == 1
    assert "none/rows.csv" in nowhere.err
    assert list(tmp_path.iterdir()) == []
