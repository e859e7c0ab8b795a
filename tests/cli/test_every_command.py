"""What holds for every command: its page, its errors, its exit codes, what a script gets, and completion in a shell."""

import json
import os
import re
import runpy
import shlex
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from orchardmap import __version__
from orchardmap.cli.panels import PANELS
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import recording
from small_farm import NOW, small_farm

ROOT = Path(__file__).resolve().parents[2]
WRITER = runpy.run_path(str(ROOT / "docs" / "write_commands.py"))
COMMANDS = dict(WRITER["known_commands"]())

ONE_FILE = "writes the one file that was named"
ONE_WORD = "prints the one thing asked for, and nothing else"
NO_JSON = {
    ("demo",): "serves until it is stopped",
    ("serve",): "serves until it is stopped",
    ("map",): ONE_FILE,
    ("labels",): ONE_FILE,
    ("brief", "card"): ONE_FILE,
    ("paper", "wall-map"): ONE_FILE,
    ("paper", "crew-sheets"): ONE_FILE,
    ("paper", "weekly"): ONE_FILE,
    ("user", "link"): ONE_WORD,
    ("user", "token"): ONE_WORD,
    ("user", "password"): "is done or not",
    ("user", "role"): "is done or not",
    ("user", "disable"): "is done or not",
    ("season", "correct"): "is done or not; `season list --json` tells all of it",
}


def example(path: tuple[str, ...]) -> list[str]:
    found = re.search(r"Example: orchardmap (.*?)\s*(?:\n|$)", COMMANDS[path].help or "")
    assert found is not None, path
    return shlex.split(found.group(1))


def has(path: tuple[str, ...], option: str) -> bool:
    return any(option in parameter.opts for parameter in COMMANDS[path].params)


def test_version_is_told_by_itself(orchardmap):
    said = orchardmap("--version")
    assert (said.code, said.out) == (0, f"orchardmap {__version__}\n")


def test_the_page_of_commands_is_what_the_program_says():
    """After a change: python docs/write_commands.py."""
    assert (ROOT / "docs" / "commands.md").read_text("utf-8") == WRITER["page"]()


def test_every_command_stands_in_one_panel_of_the_help():
    named = [name for names in PANELS.values() for name in names]
    assert len(named) == len(set(named))
    assert {path[0] for path in COMMANDS} == set(named)


def test_a_script_gets_json_wherever_it_would_want_it():
    """A command without says here why; `calc` speaks nothing else."""
    without = {path for path in COMMANDS if not has(path, "--json") and path[0] != "calc"}
    assert without - set(NO_JSON) == set()
    assert {path for path in NO_JSON if path in COMMANDS} == without


@pytest.mark.parametrize("path", list(COMMANDS), ids=" ".join)
def test_what_is_no_option_is_told_on_the_error_stream_with_exit_code_2(orchardmap, path):
    said = orchardmap(*path, "--no-such-thing")
    assert (said.code, said.out) == (2, "")
    assert "--no-such-thing" in said.err


MAKES_A_DATABASE = {("farm",), ("user", "add"), ("import",), ("restore",)}
NEEDS_NONE = {("certificates",), ("brief", "card")}
REFUSED = [
    path
    for path in COMMANDS
    if NO_JSON.get(path) != "serves until it is stopped"
    and path not in {("farm",), ("user", "add"), ("user", "password"), *NEEDS_NONE}
]


@pytest.mark.parametrize("path", REFUSED, ids=" ".join)
def test_an_example_where_nothing_is_there_yet_is_refused_in_one_sentence(orchardmap, path, tmp_path):
    """Its own example in an empty folder: exit code 1, one line on the error stream, nothing else but the same as one document of JSON where that is asked for."""
    more = ("--database", "sqlite:///nothing.sqlite") if has(path, "--database") else ()
    plain = [word for word in example(path) if word != "--json"]
    said = orchardmap(*plain, *more)
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith("orchardmap: ")
    assert said.err.count("\n") == 1
    if has(path, "--json"):
        as_json = orchardmap(*plain, *more, "--json")
        assert (as_json.code, as_json.err) == (1, said.err)
        told = json.loads(as_json.out)["error"]
        assert set(told) == {"what", "where", "todo"}
        assert all(part in said.err for part in told.values())
    if path not in MAKES_A_DATABASE:
        assert not list(tmp_path.glob("*.sqlite*")), "an address that was mistyped makes no database"


def test_what_a_script_reads_of_farms_people_backups_and_proofs(orchardmap, tmp_path):
    """Each is JSON alone, and holds what the words hold."""
    url = sqlite_url(tmp_path / "farm.sqlite")

    def told(*command: str, code: int = 0):
        said = orchardmap(*command, "--json", "--database", url)
        assert (said.code, said.err) == (code, "")
        return json.loads(said.out)

    farm = told("farm", "Long Meadow", "--time-zone", "Europe/London")
    assert (farm["name"], farm["time_zone"], len(farm["id"])) == ("Long Meadow", "Europe/London", 36)
    gwen = told("user", "add", "Gwen", "--name", "Gwen Pugh", "--makes-farms")
    assert orchardmap("user", "role", "gwen", "manager", "--database", url).code == 0
    (listed,) = told("user", "list")
    assert listed == {
        "id": gwen["id"], "login": "gwen", "name": "Gwen Pugh", "makes_farms": True, "disabled": False,
        "roles": [{"farm": "Long Meadow", "role": "manager"}],
    }  # fmt: skip
    chain = told("audit", "verify")
    assert (chain["whole"], chain["fault"]) == (True, None)
    assert chain["head"].startswith(f"{chain['entries']}:")
    assert told("audit", "verify", "--head", "1:" + "0" * 64, code=1)["whole"] is False
    assert told("rebuild", "--check") == {"differing": [], "replaced": False}
    (tmp_path / "stick").mkdir()
    kept = told("backup", str(tmp_path / "stick"))
    assert Path(kept["file"]).exists()
    assert kept["counts"]["farms"] == 1
    again = orchardmap("verify", kept["file"], "--json")
    assert json.loads(again.out) == kept
    new = sqlite_url(tmp_path / "new.sqlite")
    restored = json.loads(orchardmap("restore", kept["file"], "--database", new, "--json").out)
    assert (restored["counts"], restored["sha256"]) == (kept["counts"], kept["sha256"])


def test_rows_that_differ_are_named_to_a_script(orchardmap, tmp_path):
    url = sqlite_url(tmp_path / "farm.sqlite")
    store = open_store(url)
    made = small_farm(store)
    recording.record_marks(store, farm_id=made.farm.id, marks=[made.mark(3)], sent_at=NOW, now=NOW)
    store.close()
    with sqlite3.connect(tmp_path / "farm.sqlite") as conn:
        conn.execute("UPDATE row_states SET pruned = pruned - 1")
    conn.close()
    row = {"block": made.blocks[0].id, "row": 3}
    for options, code, replaced in ((["--check"], 1, False), ([], 0, True)):
        said = orchardmap("rebuild", *options, "--json", "--database", url)
        assert (said.code, json.loads(said.out)) == (code, {"differing": [row], "replaced": replaced})


def test_certificates_tell_a_script_when_they_end(orchardmap):
    told = json.loads(orchardmap("certificates", "--for", "orchard.lan", "--json").out)
    assert told["server"]["names"] == ["orchard.lan"]
    assert told["authority_is_new"] is True
    assert datetime.fromisoformat(told["server"]["ends_at"]) > datetime.now(UTC) + timedelta(days=390)
    assert json.loads(orchardmap("certificates", "--show", "--json").out)["server"] == told["server"]


def shell(script: str) -> str:
    """What a bash prints that has the program on its path."""
    bin_folder = str(Path(sys.executable).parent)
    known = os.environ | {"PATH": f"{bin_folder}:{os.environ['PATH']}", "SHELL": "/bin/bash"}
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=True, env=known)
    return done.stdout


def test_a_real_bash_completes_commands_and_options():
    completed = shell("""
eval "$(orchardmap --show-completion bash)"
complete -p orchardmap | grep -q _orchardmap_completion || exit 1
try() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=(); _orchardmap_completion orchardmap; echo "${COMPREPLY[*]}"; }
try orchardmap re
try orchardmap calc sam
try orchardmap report --da
""").splitlines()
    assert set(completed[0].split()) == {"report", "restore", "rebuild"}
    assert completed[1].split() == ["sample-plan"]
    assert set(completed[2].split()) == {"--day", "--database"}


def test_help_waits_for_no_heavy_package():
    """Help is read often: numbers, maps, databases and the service are loaded by the commands that need them."""
    script = """
import sys
sys.argv = ["orchardmap", "load", "--help"]
from orchardmap.cli.main import run
try:
    run()
except SystemExit:
    pass
print(*sys.modules, file=sys.stderr)
"""
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    loaded = {name.partition(".")[0] for name in done.stderr.split()}
    heavy = {
        "numpy",
        "scipy",
        "shapely",
        "sqlalchemy",
        "fastapi",
        "uvicorn",
        "folium",
        "geopandas",
        "pyogrio",
        "weasyprint",
    }
    assert loaded & (heavy | {"xlsxwriter", "cryptography", "orchardmap_api"}) == set()
