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


def test_a_folder_before_the_name_is_where_the_file_goes(orchardmap, database, tmp_path):
    (tmp_path / "stick").mkdir()
    assert orchardmap("export", "stick/rows.csv", "--day", "2026-01-20", "--database", database).code == 0
    assert orchardmap("export", "rows.csv", "--day", "2026-01-20", "--database", database).code == 0
    assert (tmp_path / "stick/rows.csv").read_bytes() == (tmp_path / "rows.csv").read_bytes()
    assert orchardmap("export", "stick/farm.zip", "--database", database).code == 0
    assert (tmp_path / "stick/farm.zip").stat().st_size > 0


def test_a_whole_farm_moves_to_another_server(orchardmap, database, tmp_path):
    said = orchardmap("export", "farm.zip", "--database", database)
    assert said.code == 0, said.err
    assert (tmp_path / "farm.zip").stat().st_mode & 0o077 == 0
    new = "sqlite:///new.sqlite"
    assert orchardmap("user", "add", "gwen", "--database", new).code == 0
    taken = orchardmap("import", "farm.zip", "--manager", "gwen", "--json", "--database", new)
    assert taken.code == 0, taken.err
    assert json.loads(taken.out)["lines"]["rows"] == 50
    assert "manager on Layers" in orchardmap("user", "list", "--database", new).out
    assert orchardmap("rebuild", "--check", "--database", new).code == 0
    assert orchardmap("export", "farm.zip", "--out", "again.zip", "--database", new).code == 0
    assert (tmp_path / "again.zip").read_bytes() == (tmp_path / "farm.zip").read_bytes()


def test_a_farm_is_taken_whole_or_not_at_all(orchardmap, database, tmp_path):
    assert orchardmap("export", "farm.zip", "--database", database).code == 0
    twice = orchardmap("import", "farm.zip", "--database", database)
    assert (twice.code, twice.out) == (1, "")
    assert "already" in twice.err
    (tmp_path / "farm.zip").write_bytes((tmp_path / "farm.zip").read_bytes()[:-99])
    new = "sqlite:///new.sqlite"
    broken = orchardmap("import", "farm.zip", "--database", new)
    assert broken.code == 1
    assert "Nothing was taken" in broken.err
    nobody = orchardmap("import", "farm.zip", "--manager", "nobody", "--database", new)
    assert "no account has that login" in nobody.err
    assert "no farm" in orchardmap("export", "rows.csv", "--database", new).err
    assert orchardmap("import", "none.zip", "--database", new).code == 1
