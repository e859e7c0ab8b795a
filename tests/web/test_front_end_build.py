"""The build: size of the first load, no inline script or style, lock without addresses, and the packaging hook."""

import gzip
import importlib.util
import json
import re
import shutil
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from PIL import Image

from orchardmap_api.routes.pages import WEB_PATHS

WEB = Path(__file__).resolve().parents[2] / "web"
FIRST_LOAD_LIMIT_KB = 60.0


def test_first_load_is_small(front_end: Path) -> None:
    page = (front_end / "index.html").read_text("utf-8")
    named = [front_end / path for path in re.findall(r'(?:src|href)="/app/([^"]+)"', page)]
    sent = sum(len(gzip.compress(path.read_bytes())) for path in [front_end / "index.html", *named])
    print(f"first load {sent / 1000:.1f} kB gz in {len(named) + 1} files")
    assert len(named) >= 3
    assert sent / 1000 < FIRST_LOAD_LIMIT_KB


def test_another_language_is_one_file_that_english_does_not_fetch(front_end: Path) -> None:
    page = (front_end / "index.html").read_text("utf-8")
    for catalogue in sorted((WEB / "locale").glob("*.po")):
        (built,) = front_end.glob(f"assets/{catalogue.stem}-*.js")
        print(f"{catalogue.stem}: {len(gzip.compress(built.read_bytes())) / 1000:.1f} kB gz more")
        assert built.name not in page
    # what the entry goes on to is named, and not found out one file after the other
    named = re.findall(r'(?:src|href)="/app/assets/(boot|main)-[^"]+"', page)
    assert named == ["boot", "main", "main"]  # script, script, style


def test_page_has_nothing_inline_and_nothing_from_elsewhere(front_end: Path) -> None:
    page = (front_end / "index.html").read_text("utf-8")
    assert re.findall(r"<script(?![^>]*\ssrc=)", page) == []
    assert re.findall(r"<style|\sstyle=|\son\w+=", page) == []
    for file in front_end.rglob("*"):
        if file.suffix in {".js", ".css", ".html"}:
            text = file.read_text("utf-8").replace("http://www.w3.org/2000/svg", "")
            assert re.findall(r"(?:https?:)?//[a-z0-9.-]+\.[a-z]{2,}/", text) == [], file.name
            assert "eval(" not in text
            assert "new Function" not in text


def test_worker_keeps_every_screen_and_every_file_of_the_first_load(front_end: Path) -> None:
    worker = (front_end / "sw.js").read_text("utf-8")
    kept = json.loads(re.findall(r'\{"version":.*?\]\}', worker)[0])
    assert tuple(kept["screens"]) == WEB_PATHS
    assert set(kept["assets"]) == {path.name for path in (front_end / "assets").iterdir()}
    assert len(worker.encode()) < 4_000
    for name in kept["files"]:
        assert (front_end / name.removeprefix("/app/").removeprefix("/")).is_file(), name


def test_manifest_names_icons_of_the_size_they_have(front_end: Path) -> None:
    manifest = json.loads((front_end / "manifest.webmanifest").read_text("utf-8"))
    assert (manifest["scope"], manifest["display"]) == ("/", "standalone")
    assert manifest["start_url"] in WEB_PATHS
    # Chromium asks for one icon of at least 144 px; 192 and 512 are what its documentation names
    assert {(one["sizes"], one["purpose"]) for one in manifest["icons"]} == {
        ("192x192", "any"),
        ("512x512", "any"),
        ("512x512", "maskable"),
    }
    for icon in manifest["icons"]:
        with Image.open(front_end / icon["src"].removeprefix("/app/")) as picture:
            picture.load()
            assert f"{picture.width}x{picture.height}" == icon["sizes"]
            assert len(picture.getcolors(1_000_000) or []) >= 4


def test_third_party_text_is_there(front_end: Path) -> None:
    assert (front_end / "THIRD-PARTY.txt").read_text("utf-8").strip()


def test_lock_names_no_address() -> None:
    lock = json.loads((WEB / "package-lock.json").read_text("utf-8"))
    packages = {name: about for name, about in lock["packages"].items() if name}
    assert len(packages) > 20
    assert [name for name, about in packages.items() if "resolved" in about] == []
    assert [name for name, about in packages.items() if not about.get("integrity")] == []


def hook_module() -> ModuleType:
    spec = importlib.util.spec_from_file_location("web_build_hook", WEB / "hatch_build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def told_by_hook(root: Path, *, target: str, version: str = "standard") -> dict[str, Any]:
    hook = hook_module().WebBuildHook(str(root), {}, None, None, str(root), target)
    told: dict[str, Any] = {"artifacts": [], "force_include": {}}
    hook.initialize(version, told)
    return told


@pytest.fixture
def unpacked(tmp_path: Path) -> Path:
    """A source distribution, unpacked: it names itself and carries built pages."""
    (tmp_path / "web" / "dist").mkdir(parents=True)
    (tmp_path / "web" / "dist" / "index.html").write_text("<!doctype html>")
    (tmp_path / "PKG-INFO").write_text("Name: orchardmap")
    return tmp_path


def test_hook_puts_the_pages_of_a_source_distribution_into_the_wheel_without_npm(
    unpacked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("ORCHARDMAP_SKIP_WEB", raising=False)
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    dist = str(unpacked / "web" / "dist")
    assert told_by_hook(unpacked, target="wheel")["force_include"] == {dist: "orchardmap_api/web"}


def test_hook_says_what_to_do_when_npm_is_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("ORCHARDMAP_SKIP_WEB", raising=False)
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    with pytest.raises(
        RuntimeError, match=r"npm was not found\. Install Node\.js 20 or later, or set ORCHARDMAP_SKIP_WEB=1"
    ):
        told_by_hook(tmp_path, target="wheel")


@pytest.mark.parametrize(("version", "skip"), [("editable", ""), ("standard", "1")])
def test_hook_leaves_editable_and_skipped_builds_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, version: str, skip: str
) -> None:
    monkeypatch.setenv("ORCHARDMAP_SKIP_WEB", skip)
    monkeypatch.setattr(shutil, "which", lambda _name: None)
    assert told_by_hook(tmp_path, target="wheel", version=version) == {"artifacts": [], "force_include": {}}


TOGETHER = {
    "take-away": "print and files stand on the overview alone",
    "action-bar": "the brief is read over the bar of the rows",
    "holder": "who holds a tablet is asked at the door",
    "plan-picture": "the ground of a block is drawn on set-up's plan",
}
"""Classes that two folders dress on purpose."""


def test_no_screen_dresses_what_another_one_named() -> None:
    """A style sheet stays when its screen is left: the same name on two screens would lay out the second by the first."""
    dressed: dict[str, set[str]] = {}
    for sheet in sorted((WEB / "src").rglob("*.css")):
        text = re.sub(r"/\*.*?\*/", "", sheet.read_text("utf-8"), flags=re.S)
        for selectors in re.findall(r"([^{}]+)\{", text):
            for one in selectors.split(","):
                # the first part of a selector says whose it is; two classes there are a variant of one's own
                if found := re.match(r"[a-z]*\.([\w-]+)(?![\w.-])", one.strip()):
                    dressed.setdefault(found[1], set()).add(sheet.parent.name)
    assert len(dressed) > 300
    assert {
        name: places for name, places in dressed.items() if len(places) > 1 and name not in TOGETHER
    } == {}
