"""The repository about itself: no trace of a machine, imports as drawn, documents that say what the code does."""

import re
import stat
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest
import typer.main

import orchardmap
from orchardmap.cli.main import app
from orchardmap_api.settings import PREFIX, Settings

ROOT = Path(__file__).resolve().parents[2]


def text_of(name: str) -> str:
    return (ROOT / name).read_text("utf-8")


def texts() -> Iterator[tuple[str, str]]:
    """Every file of the repository that is text, also those not committed yet."""
    command = [
        "git",
        "-c",
        "safe.directory=*",
        "ls-files",
        "-z",
        "--cached",
        "--others",
        "--exclude-standard",
    ]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in filter(None, listed.split("\0")):
        path = ROOT / name
        if path.is_file():
            try:
                yield name, path.read_text("utf-8")
            except UnicodeDecodeError:
                continue  # a picture or a database


# put together here, so that this file does not find itself
MACHINE = re.compile(r"(?<![\w.$}])/(?:" + "|".join(["work", "root", "farm", "home/\\w+"]) + r")/(?!\*)")
HOSTS = re.compile("|".join(re.escape(a + b) for a, b in [
    ("registry.npm", "js.org"), ("registry.yarn", "pkg.com"), ("pypi", ".org"), ("python", "hosted.org"),
    ("proxy.golang", ".org"), ("/artifact", "ory/"), ("jsdelivr", ".net"), ("unpkg", ".com"),
]))  # fmt: skip


@pytest.mark.parametrize(("what", "pattern"), [("machine path", MACHINE), ("registry host", HOSTS)])
def test_no_file_names_the_machine_or_a_registry(what, pattern):
    """Lock files included: an address of the place where they were made would bind everybody to it."""
    found = [
        f"{name}:{text[: m.start()].count(chr(10)) + 1}: {m.group()}"
        for name, text in texts()
        for m in pattern.finditer(text)
    ]
    assert found == [], what


def test_the_patterns_find_what_they_should():
    assert MACHINE.search("see " + "/wor" + "k/main/x")
    assert MACHINE.search('"' + "/hom" + 'e/ann/x"')
    assert HOSTS.search("https://" + "registry.npm" + "js.org/vite")
    assert not MACHINE.search("https://example.org/farm/7")


def test_npm_lock_holds_no_addresses():
    lock = ROOT / "web" / "package-lock.json"
    assert lock.exists()
    assert '"resolved": "http' not in lock.read_text("utf-8")


def test_imports_run_one_way():
    command = [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert " 0 broken" in done.stdout


def test_version_is_the_changelogs_newest():
    newest = re.search(r"^## (\S+)", text_of("CHANGELOG.md"), re.MULTILINE)
    assert newest is not None
    declared = tomllib.loads(text_of("pyproject.toml"))["project"]["version"]
    assert orchardmap.__version__ == declared == newest.group(1)


def test_readme_tells_every_setting_with_its_default():
    table = dict(
        re.findall(r"^\| `(ORCHARDMAP_\w+)` \| (?:`([^`]*)`)? ?\|", text_of("README.md"), re.MULTILINE)
    )
    meant = {
        PREFIX + field.name.upper(): str(field.default).lower()
        if field.default is False
        else str(field.default)
        for field in fields(Settings)
    }
    assert table == meant


def test_readmes_two_commands_are_in_the_makefile():
    opening = re.findall(r"^    make (\w+)", text_of("README.md"), re.MULTILINE)
    assert opening == ["demo", "test"]
    targets = set(re.findall(r"^([\w-]+):", text_of("Makefile"), re.MULTILINE))
    assert set(opening) <= targets


def test_ci_runs_the_readmes_test_command():
    script = ROOT / ".ci" / "run"
    assert script.stat().st_mode & stat.S_IXUSR
    lines = [line for line in script.read_text("utf-8").splitlines() if line and not line.startswith("#")]
    assert lines[0] == "set -euo pipefail"
    assert lines[-1] == "make test"


def shell_lines(name: str) -> list[str]:
    joined = text_of(name).replace("\\\n", " ")
    return re.findall(r"^ +(?:\.venv/bin/)?orchardmap ([^#\n]*)", joined, re.MULTILINE)


@pytest.mark.parametrize("name", ["README.md", "sample_geodata/README.md"])
def test_commands_shown_to_people_exist_with_their_options(name):
    commands = typer.main.get_command(app)
    shown = shell_lines(name)
    assert shown or name != "README.md"
    for line in shown:
        command = commands
        for word in line.split():
            if not hasattr(command, "commands"):
                break
            assert word in command.commands, f"orchardmap {line}"
            command = command.commands[word]
        known = {option for parameter in command.params for option in parameter.opts}
        assert set(re.findall(r"(?<!\S)--[\w-]+", line)) <= known, f"orchardmap {line}"


def test_pictures_and_pages_that_readme_links_to_are_there():
    links = re.findall(r"\]\(([^)#]+)\)", text_of("README.md"))
    assert links
    assert [link for link in links if "://" not in link and not (ROOT / link).exists()] == []


def test_every_sample_file_has_its_origin_told():
    folder = ROOT / "sample_geodata"
    told = (folder / "README.md").read_text("utf-8")
    names = {p.name for p in folder.iterdir() if p.name != "README.md"}
    assert names
    # several formats of one thing may be told as `name.one`, `.two`
    known = {
        name
        for name in names
        if name in told or (f"`{Path(name).suffix}`" in told and Path(name).stem in told)
    }
    assert names - known == set()
    assert "icence" in told or "icense" in told
