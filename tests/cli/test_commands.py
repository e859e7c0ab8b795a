"""The other commands: map, rebuild, serve, demo; and that each explains itself."""

import re
import shlex
import socket
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import typer.main

import orchardmap.demo.build
from orchardmap.cli.main import app
from orchardmap.cli.serving import make_demo
from orchardmap.errors import StoreError
from orchardmap.store.session import open_store
from orchardmap.usecases import planting, recording, reporting
from small_farm import NOW, SmallFarm, small_farm

DATABASE = "sqlite:///farm.sqlite"


@pytest.fixture
def made(tmp_path: Path, orchardmap: object) -> SmallFarm:
    """A farm with one marked row, in the folder that the commands run in."""
    store = open_store(f"sqlite:///{tmp_path / 'farm.sqlite'}")
    farm = small_farm(store, "Low <b>Orchard</b>")
    recording.record_marks(store, farm_id=farm.farm.id, marks=[farm.mark()], sent_at=NOW, now=NOW)
    store.close()
    return farm


def all_commands(command: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    found = getattr(command, "commands", None)
    if found is None:
        yield path, command
        return
    for name, one in found.items():
        yield from all_commands(one, (*path, name))


COMMANDS = dict(all_commands(typer.main.get_command(app)))


@pytest.mark.parametrize("path", list(COMMANDS), ids=" ".join)
def test_help_shows_an_example_that_works(orchardmap, path):
    """The example is parsed by the command itself: a renamed option fails here."""
    said = orchardmap(*path, "--help")
    assert said.code == 0
    example = re.search(r"Example: orchardmap (.*?)\s*(?:\n|$)", COMMANDS[path].help or "")
    assert example is not None
    assert "Example: orchardmap" in said.out
    words = shlex.split(example.group(1))
    assert tuple(words[: len(path)]) == path
    COMMANDS[path].make_context(path[-1], words[len(path) :])


def test_map_is_one_file_that_asks_for_nothing(orchardmap, made, tmp_path):
    said = orchardmap("map", "--out", "map.html", "--database", DATABASE)
    assert said.code == 0, said.err
    assert "Wrote map.html" in said.out
    text = (tmp_path / "map.html").read_text("utf-8")
    assert "Low" in text
    assert "<b>Orchard</b>" not in text
    # a link to click, such as Leaflet's own credit, asks for nothing by itself
    targets = re.findall(r"""(?:src|srcset|action|data)\s*=\s*["']?([^"'\s>]+)""", text)
    targets += re.findall(r"""<link[^>]*href\s*=\s*["']?([^"'\s>]+)""", text)
    targets += re.findall(r"""(?:url\(|fetch\(|@import)\s*["']?([^"')]+)""", text)
    assert [t for t in targets if re.match(r"(https?:)?//", t)] == []


def test_map_as_of_a_day_before_the_marks_is_another_map(orchardmap, made, tmp_path):
    for name, day in (("now.html", "2026-01-20"), ("then.html", "2026-01-10")):
        assert orchardmap("map", "--out", name, "--day", day, "--database", DATABASE).code == 0
    assert (tmp_path / "now.html").read_text("utf-8") != (tmp_path / "then.html").read_text("utf-8")
    assert "2026-01-10" in (tmp_path / "then.html").read_text("utf-8")


def test_map_without_a_database_makes_none(orchardmap, tmp_path):
    said = orchardmap("map", "--out", "map.html", "--database", "sqlite:///nothing.sqlite")
    assert said.code == 1
    assert "no database yet" in said.err
    assert "load a file" in said.err
    assert list(tmp_path.iterdir()) == []


def test_map_into_a_folder_that_is_not_there_is_one_sentence(orchardmap, made):
    said = orchardmap("map", "--out", "nowhere/map.html", "--database", DATABASE)
    assert said.code == 1
    assert said.err.startswith("orchardmap: ")
    assert "nowhere" in said.err


def test_map_beside_a_running_service_takes_no_lock(orchardmap, made, tmp_path):
    store = open_store(f"sqlite:///{tmp_path / 'farm.sqlite'}")
    try:
        assert orchardmap("map", "--out", "map.html", "--database", DATABASE).code == 0
    finally:
        store.close()


def test_rebuild_check_finds_a_row_that_differs_and_rebuild_mends_it(orchardmap, made, tmp_path):
    def rebuild(*more: str) -> Any:
        return orchardmap("rebuild", *more, "--database", DATABASE)

    assert rebuild("--check").code == 0
    with sqlite3.connect(tmp_path / "farm.sqlite") as conn:
        conn.execute("UPDATE row_states SET pruned = pruned - 1")
    conn.close()
    found = rebuild("--check")
    assert (found.code, found.out.strip()) == (1, "1 rows differed.")
    assert rebuild("--check").code == 1, "a check must not mend"
    assert rebuild().code == 0
    assert rebuild("--check").code == 0


def test_serve_refuses_a_taken_port(orchardmap, made):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        said = orchardmap("serve", "--database", DATABASE, "--port", str(port))
    assert said.code == 1
    assert f"port {port} is taken" in said.err
    assert "--port, or the setting ORCHARDMAP_PORT" in said.err


def test_demo_listens_where_the_setting_says(orchardmap, monkeypatch, tmp_path):
    """`make demo` hands no options on: a taken port is got around by the environment."""
    monkeypatch.setattr("orchardmap.demo.build.build_demo", a_demo)
    monkeypatch.setattr("orchardmap.cli.serving.demo_ways", lambda *_, **__: [])
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        monkeypatch.setenv("ORCHARDMAP_PORT", str(port))
        said = orchardmap("demo", "--file", str(tmp_path / "demo.sqlite"))
    assert f"port {port} is taken" in said.err


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("ORCHARDMAP_DATABSE_URL", "sqlite:///x", "ORCHARDMAP_DATABSE_URL"),
        ("ORCHARDMAP_PORT", "eighty", "not a port"),
        ("ORCHARDMAP_PORT", "99999", "not a port"),
        ("ORCHARDMAP_PORT", "²", "not a port"),
        ("ORCHARDMAP_DATABASE_PASSWORD_FILE", "nowhere", "ORCHARDMAP_DATABASE_PASSWORD_FILE"),
    ],
)
def test_serve_refuses_a_setting_it_cannot_use(orchardmap, monkeypatch, name, value, says):
    monkeypatch.setenv(name, value)
    said = orchardmap("serve")
    assert said.code == 1
    assert said.err.startswith("orchardmap: ")
    assert says in said.err


def a_demo(store, *, seed, today, now):
    """Stands in for the real demo farm, which has tests of its own."""
    planting.create_farm(store, name=f"Demo {today}", time_zone="UTC", now=now)


def farm_names(path: Path) -> list[str]:
    store = open_store(f"sqlite:///{path}", read_only=True)
    try:
        return [farm.name for farm in reporting.all_farms(store)]
    finally:
        store.close()


def test_demo_of_today_is_kept_and_an_older_one_set_aside_whole(monkeypatch, tmp_path):
    monkeypatch.setattr(orchardmap.demo.build, "build_demo", a_demo)
    path, now = tmp_path / "demo.sqlite", datetime(2026, 1, 20, 12, tzinfo=UTC)
    make_demo(path, seed=7, now=now)
    first = farm_names(path)
    make_demo(path, seed=7, now=now)
    assert farm_names(path) == first
    make_demo(path, seed=7, now=now + timedelta(days=1))
    assert farm_names(path) != first
    assert farm_names(*tmp_path.glob("demo.2026*.sqlite")) == first


def test_demo_does_not_pull_the_file_from_under_a_running_service(monkeypatch, tmp_path):
    """What was marked in yesterday's demo may still be in its write-ahead log alone."""
    monkeypatch.setattr(orchardmap.demo.build, "build_demo", a_demo)
    path, now = tmp_path / "demo.sqlite", datetime(2026, 1, 20, 12, tzinfo=UTC)
    url = f"sqlite:///{path}"
    make_demo(path, seed=7, now=now)
    running = open_store(url)
    try:
        planting.create_farm(running, name="Marked since", time_zone="UTC", now=now)
        with pytest.raises(Exception, match="another orchardmap process"):
            make_demo(path, seed=7, now=now + timedelta(days=1))
        assert "Marked since" in [farm.name for farm in reporting.all_farms(running)]
    finally:
        running.close()
    assert "Marked since" in farm_names(path)


def test_demo_set_aside_keeps_what_only_the_log_file_held(monkeypatch, tmp_path, python):
    """A killed service leaves committed work in the -wal file: it must not be thrown away with it."""
    import subprocess

    monkeypatch.setattr(orchardmap.demo.build, "build_demo", a_demo)
    path, now = tmp_path / "demo.sqlite", datetime(2026, 1, 20, 12, tzinfo=UTC)
    url = f"sqlite:///{path}"
    make_demo(path, seed=7, now=now)
    script = """
import os, sys
from datetime import UTC, datetime
from orchardmap.store.session import open_store
from orchardmap.usecases import planting
planting.create_farm(open_store(sys.argv[1]), name="Marked since", time_zone="UTC", now=datetime.now(UTC))
os._exit(9)
"""
    assert subprocess.run([python, "-c", script, url], check=False).returncode == 9
    make_demo(path, seed=7, now=now + timedelta(days=1))
    assert "Marked since" in farm_names(*tmp_path.glob("demo.2026*.sqlite"))


def test_demo_refuses_a_farm_made_by_hand_and_leaves_it_whole(tmp_path):
    path, now = tmp_path / "farm.sqlite", datetime(2026, 1, 20, 12, tzinfo=UTC)
    store = open_store(f"sqlite:///{path}")
    planting.create_farm(store, name="Real Farm", time_zone="UTC", now=now)
    store.close()
    for _ in range(2):
        with pytest.raises(StoreError, match="not made by the demo"):
            make_demo(path, seed=7, now=now)
    assert farm_names(path) == ["Real Farm"]
    assert [file.name for file in tmp_path.glob("*.sqlite")] == ["farm.sqlite"]
