"""Long work says how far it is: as a bar to whoever looks, nothing to anybody else, and its steps are those that there are."""

import io
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path

import pytest

from layered_farm import layered_farm
from orchardmap.cli.waiting import at_work, shown_steps
from orchardmap.paper.progress import heard_by
from orchardmap.paper.wall_map import WallMapWish
from orchardmap.store.session import Store, open_store
from orchardmap.usecases import whole_farm
from orchardmap.usecases.farm_files import FileWish, write_farm_file
from orchardmap.usecases.wall_map import wall_map_pdf
from ready_stores import ready_sqlite
from small_farm import NOW, SmallFarm

Steps = list[tuple[str, int, int]]


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_long_work_is_shown_to_whoever_looks_and_to_nobody_else(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    seen, piped = Terminal(), io.StringIO()
    for stream in (seen, piped):
        monkeypatch.setattr(sys, "stderr", stream)
        with at_work("Folding the log anew ..."):
            pass
        with shown_steps() as told:
            if told is not None:
                told("Writing the farm", 30, 40)
    assert "Folding the log anew ..." in seen.getvalue()
    assert "Writing the farm" in seen.getvalue()
    assert "75%" in seen.getvalue()
    assert piped.getvalue() == ""


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory):
    folder = tmp_path_factory.mktemp("waiting")
    with closing(open_store(ready_sqlite(folder / "store.sqlite"))) as store:
        yield store, layered_farm(store), folder


def layers(store: Store, made: SmallFarm, folder: Path, steps: Steps) -> None:
    wish = FileWish("orchard_with_positions.gpkg", told=lambda *step: steps.append(step))
    write_farm_file(store, made.farm.id, wish, folder / "a.gpkg", now=NOW)


def packed(store: Store, made: SmallFarm, folder: Path, steps: Steps) -> None:
    whole_farm.pack_farm(store, made.farm.id, folder / "a.zip", told=lambda *step: steps.append(step))


def taken(store: Store, made: SmallFarm, folder: Path, steps: Steps) -> None:
    whole_farm.pack_farm(store, made.farm.id, folder / "b.zip")
    with closing(open_store(ready_sqlite(folder / "new.sqlite"))) as new:
        now = datetime.now(UTC)
        whole_farm.take_farm(new, folder / "b.zip", now=now, told=lambda *step: steps.append(step))


def drawn(store: Store, made: SmallFarm, _: Path, steps: Steps) -> None:
    wish = WallMapWish("a4", "en", ("K1",), 700, most_sheets=None)
    with heard_by(lambda *step: steps.append(step)):
        wall_map_pdf(store, made.farm.id, wish, day=None, now=NOW)


@pytest.mark.parametrize(
    ("work", "phases"),
    [
        (layers, ["Blocks", "Rows", "Positions", "Marks", "Checks", "Weak areas", "Progress"]),
        (packed, ["Writing the farm"]),
        (taken, ["Taking the farm", "Comparing it with the file", "Folding its log"]),
        (drawn, ["Drawing sheets", "Setting pages", "Writing the PDF"]),
    ],
)
def test_steps_go_up_and_end_where_they_are_said_to(farm, monkeypatch, work: Callable[..., None], phases):
    """What is at its end is all done, so that no bar stands still at a half or begins anew."""
    monkeypatch.setattr(whole_farm, "_STEP", 1)
    store, made, folder = farm
    steps: Steps = []
    work(store, made, folder, steps)
    seen = [name for name, _ in groupby(name for name, _, _ in steps)]
    assert seen[: len(phases)] == phases
    counted = [step for step in steps if step[2]]
    assert len(counted) > 3
    for of, found in groupby(counted, key=lambda step: step[2]):
        done = [at for _, at, _ in found]
        assert done == sorted(done)
        assert 0 <= done[0] <= done[-1] <= of
    assert counted[-1][1] == counted[-1][2]
