"""Files that the command line writes: whole or not at all, on to the next program where one reads, and gone again when it is asked to stop."""

import os
import resource
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest

from layered_farm import layered_farm
from orchardmap.store.session import open_store
from ready_processes import ReadyProcess
from ready_stores import ready_sqlite


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> str:
    url = ready_sqlite(tmp_path_factory.mktemp("writing") / "store.sqlite")
    with closing(open_store(url)) as store:
        layered_farm(store)
    return url


def test_a_dash_is_standard_output_and_words_stand_beside_it(orchardmap, database, tmp_path):
    """What another program reads is the file and nothing else, a map and a paper too."""
    at = ("--day", "2026-01-20", "--database", database)
    assert orchardmap("export", "rows.csv", *at).code == 0
    for to in ("-", "/dev/stdout"):
        said = orchardmap("export", "rows.csv", *at, "--out", to)
        assert (said.code, said.out) == (0, (tmp_path / "rows.csv").read_bytes().decode())
        assert "50 features" in said.err
    said = orchardmap("map", *at, "--out", "-")
    assert said.out.startswith("<!DOCTYPE html>")
    assert said.out.rstrip().endswith("</html>")
    assert [path.name for path in tmp_path.iterdir()] == ["rows.csv"]
    both = orchardmap("export", "rows.csv", *at, "--out", "-", "--json")
    assert both.code == 1
    assert "both want standard output" in both.err


def test_a_pipe_is_written_to_and_a_link_led_to_its_file(orchardmap, database, tmp_path):
    """Neither is replaced: who reads the pipe would wait for ever, and what others reach by the link would grow old."""
    pipe, kept, link = tmp_path / "pipe", tmp_path / "far" / "rows.csv", tmp_path / "rows.csv"
    kept.parent.mkdir()
    kept.write_text("old")
    link.symlink_to(kept)
    os.mkfifo(pipe)
    read: list[bytes] = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_bytes()), daemon=True)
    reader.start()
    for to in (pipe, link):
        assert orchardmap("export", "rows.csv", "--out", str(to), "--database", database).code == 0
    reader.join(15)
    assert pipe.is_fifo()
    assert link.is_symlink()
    assert read == [kept.read_bytes()]
    folder = orchardmap("export", "rows.csv", "--out", str(kept.parent), "--database", database)
    assert "is a folder" in folder.err


@contextmanager
def no_file_beyond(size: int) -> Iterator[None]:
    """As on a disk that is full by then: whoever writes on is told so by the system."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize(
    "name", ["orchard.gpkg", "orchard.xlsx", "positions.csv", "rows.geojson", "farm.zip", "map"]
)
def test_on_a_full_disk_one_sentence_is_said_and_what_was_there_stays(orchardmap, database, tmp_path, name):
    (tmp_path / "kept").write_text("old")
    command = ["map"] if name == "map" else ["export", name]
    with closing(sqlite3.connect(database.removeprefix("sqlite:///"))) as held:
        held.execute(
            "SELECT count(*) FROM farms"
        ).fetchone()  # what readers of the database share is there then
        with no_file_beyond(4_000):
            said = orchardmap(*command, "--out", "kept", "--database", database)
    assert (said.code, said.out) == (1, "")
    assert "cannot be written" in said.err
    assert said.err.count("\n") == 1
    assert (tmp_path / "kept").read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["kept"]


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)]
)
def test_who_is_asked_to_stop_takes_away_what_it_began(database, tmp_path, number, code):
    """It waits at a pipe that nobody reads: what it hands on lies in the system's folder by then."""
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    os.mkfifo(tmp_path / "pipe")
    words = ["export", "rows.csv", "--out", "pipe", "--database", database]
    running = ReadyProcess(words, os.environ | {"TMPDIR": str(scratch)}, tmp_path)
    deadline = time.monotonic() + 15
    while not list(scratch.glob("*/rows.csv")) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert list(scratch.glob("*/rows.csv"))
    running.send_signal(number)
    assert running.wait(15) == code
    assert list(scratch.iterdir()) == []
    assert "Traceback" not in running.stdout.read()


def test_a_reader_that_has_seen_enough_and_a_disk_that_takes_no_answer(tmp_path):
    """No traceback, and exit code 1: a script must know that not all was told."""
    command = [sys.executable, "-m", "orchardmap", "--version"]
    read, write = os.pipe()
    os.close(read)  # gone before the first word
    with open("/dev/full", "wb") as full:  # noqa: PTH123 - a device
        for out in (write, full):
            with subprocess.Popen(
                command, stdout=out, stderr=subprocess.PIPE, cwd=tmp_path, text=True
            ) as ended:
                _, said = ended.communicate(timeout=30)
            assert ended.returncode == 1
            wanted = "" if out == write else "orchardmap: the answer: No space left on device\n"
            assert said == wanted
    os.close(write)


def revised(url: str, to: str | None) -> None:
    with closing(sqlite3.connect(url.removeprefix("sqlite:///"))) as conn, conn:
        conn.execute("DELETE FROM alembic_version")
        if to is not None:
            conn.execute("INSERT INTO alembic_version VALUES (?)", [to])


@pytest.mark.parametrize(
    ("revision", "said_of_it"),
    [
        (None, "nothing of orchardmap in this database yet"),
        ("0020", "an older orchardmap made this database"),
        ("9999", "does not know"),
    ],
)
def test_commands_that_only_read_say_when_the_tables_are_not_theirs(
    orchardmap, tmp_path, revision, said_of_it
):
    """And a copy can be made of them all the same: before they are brought up to date is when one is wanted."""
    url = ready_sqlite(tmp_path / "other.sqlite")
    revised(url, revision)
    for command in (["report"], ["export", "rows.csv"], ["user", "list", "--json"]):
        said = orchardmap(*command, "--database", url)
        assert said.code == 1
        assert said_of_it in said.err
        assert said.err.count("\n") == 1
    if revision == "0020":
        assert orchardmap("backup", "copy.sqlite", "--database", url).code == 0


def test_a_service_that_cannot_start_says_so_in_one_sentence(orchardmap, database):
    with closing(open_store(database)):
        said = orchardmap("serve", "--port", "0", "--database", database)
    assert (said.code, said.out) == (1, "")
    assert "another orchardmap process is writing to this file" in said.err
    assert said.err.count("\n") == 1
    assert orchardmap("serve", "--port", "99999", "--database", database).code == 2


def test_farms_are_named_to_whoever_names_none_or_a_wrong_one(orchardmap, database):
    assert orchardmap("farm", "Brook Side", "--database", database).code == 0
    for more, told in ((), "Name one"), (("--farm", "Broom Side"), "no such farm"):
        said = orchardmap("report", *more, "--database", database)
        assert said.code == 1
        assert told in said.err
        assert "Brook Side, Layers" in said.err


def test_nothing_is_told_of_a_day_to_come(orchardmap, database, tmp_path):
    """It would be today's state under another date."""
    for command in (["export", "rows.csv"], ["rows", "K1", "--json"], ["map", "--out", "m.html"]):
        said = orchardmap(*command, "--day", "2999-01-01", "--database", database, "--farm", "Layers")
        assert said.code == 1
        assert "2999-01-01 has not come yet" in said.err
    french = orchardmap("export", "rows.csv", "--language", "fr", "--database", database, "--farm", "Layers")
    assert "no file is made in this language" in french.err
    assert list(tmp_path.iterdir()) == []
