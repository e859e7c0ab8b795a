"""What is built is what is meant: two packages, everything they need at run time, nothing else."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel without the front end, built from this repository and unpacked."""
    out = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out), str(ROOT)],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"ORCHARDMAP_SKIP_WEB": "1"},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = out.glob("*.whl")
    folder = out / "unpacked"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def test_wheel_has_two_packages_and_nothing_else(unpacked):
    """A module called ``api`` or ``tests`` in site-packages would shadow other people's."""
    names = {path.name for path in unpacked.iterdir()}
    (info,) = (name for name in names if name.endswith(".dist-info"))
    assert names == {"orchardmap", "orchardmap_api", info}


def test_wheel_carries_what_is_not_python(unpacked):
    packed = {str(path.relative_to(unpacked)) for path in unpacked.rglob("*") if path.is_file()}
    here = {
        str(path.relative_to(ROOT))
        for path in (ROOT / "orchardmap").rglob("*")
        if path.is_file() and path.suffix != ".pyc"
    }
    assert here <= packed
    assert any(name.endswith("licenses/LICENSE") for name in packed)


def test_wheel_makes_a_database_on_its_own(unpacked, tmp_path, python):
    """Run from the wheel alone: its migrations, its map's assets and its command must be inside."""
    script = f"""
import sys
sys.path.insert(0, {str(unpacked)!r})
import orchardmap, orchardmap_api.main
from orchardmap.maps.page import asset_files
from orchardmap.store.session import open_store
assert orchardmap.__file__.startswith({str(unpacked)!r}), orchardmap.__file__
assert orchardmap_api.__file__.startswith({str(unpacked)!r}), orchardmap_api.__file__
assert asset_files()
open_store("sqlite:///farm.sqlite").close()
from orchardmap.cli.main import app
app(["--help"])
"""
    done = subprocess.run([python, "-c", script], capture_output=True, text=True, cwd=tmp_path, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "load" in done.stdout
