"""A spreadsheet program opens the tables, headless, and has the figures: LibreOffice, nightly."""

import csv
import io
import shutil
import subprocess
from contextlib import closing
from pathlib import Path

import pytest

from layered_farm import layered_farm
from orchardmap.geodata.write import spreadsheet_text
from orchardmap.store.session import open_store
from orchardmap.usecases import planting
from orchardmap.usecases.farm_files import FileWish, write_farm_file
from orchardmap.usecases.layers import BESIDE, LAYERS, batches, reading
from ready_stores import ready_sqlite
from small_farm import NOW, OUTLINE, PLANTING

pytestmark = pytest.mark.nightly

FORMULA, HIDDEN = "=1+1", "x;=1+1;y"
TABLES = [name for name in LAYERS if name not in {"positions", *BESIDE}]


def opened(path: Path, folder: Path, filters: str) -> dict[str, list[list[str]]]:
    """Return the tables of a file as the program has them after opening it, by the name of their sheet."""
    office = shutil.which("soffice")
    assert office is not None, "apt-get install libreoffice-calc"
    out = folder / f"of {path.name}"
    command = [office, "--headless", f"-env:UserInstallation={folder.as_uri()}/profile", *filters.split("|"), "--outdir", str(out), str(path)]  # fmt: skip
    subprocess.run(command, check=True, capture_output=True, timeout=180)
    return {
        made.stem.removeprefix(f"{path.stem}-"): list(csv.reader(io.StringIO(made.read_text("utf-8"))))
        for made in out.iterdir()
    }


# comma, quote, UTF-8, first line, texts as they are, and in the first of them each sheet to a file of its own
ALL_SHEETS = "--convert-to|csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1"
FROM_CSV = "--infilter=Text - txt - csv (StarCalc):44,34,76,1|--convert-to|csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false"


@pytest.fixture(scope="module")
def tables(tmp_path_factory):
    folder = tmp_path_factory.mktemp("office")
    with closing(open_store(ready_sqlite(folder / "store.sqlite"))) as store:
        farm = layered_farm(store)
        plans = [
            planting.BlockPlan(code, name, None, OUTLINE, PLANTING)
            for code, name in (("K3", FORMULA), ("K4", HIDDEN))
        ]
        planting.plant_blocks(store, farm_id=farm.farm.id, plans=plans)
        for name in ("orchard.xlsx", "blocks.csv", "rows.csv", "checks.csv"):
            write_farm_file(store, farm.farm.id, FileWish(name), folder / name, now=NOW)
        with reading(store, farm.farm.id, day=None, now=NOW, people_of=None) as read:
            layers = {
                name: [batch.values(i) for batch in batches(read, name) for i in range(len(batch))]
                for name in TABLES
            }
    return folder, layers


def figure(text: str) -> object:
    """Return a cell as a number where it is one."""
    try:
        return float(text.removesuffix("%")) / (100 if text.endswith("%") else 1)
    except ValueError:
        return {"TRUE": 1.0, "FALSE": 0.0, "true": 1.0, "false": 0.0}.get(text, text)


def same(cell: str, value: object) -> bool:
    told = "" if value is None else value.isoformat() if hasattr(value, "isoformat") else value
    if isinstance(told, int | float):
        return figure(cell) == pytest.approx(float(told), abs=1e-9)
    return cell == told


def test_workbook_has_the_figures_of_every_sheet(tables):
    folder, layers = tables
    sheets = opened(folder / "orchard.xlsx", folder, ALL_SHEETS)
    assert set(sheets) == {LAYERS[name].title["en"] for name in TABLES}
    for name in TABLES:
        head, *lines = sheets[LAYERS[name].title["en"]]
        assert head[:-1] == [field.title["en"] for field in LAYERS[name].fields]
        assert len(lines) == len(layers[name]) > 0
        for line, one in zip(lines, layers[name], strict=True):
            assert all(same(cell, value) for cell, value in zip(line, one.values(), strict=False)), (
                line,
                one,
            )


@pytest.mark.parametrize("name", ["blocks", "rows", "checks"])
def test_csv_has_the_figures(tables, name):
    folder, layers = tables
    (head, *lines) = next(iter(opened(folder / f"{name}.csv", folder, FROM_CSV).values()))
    assert tuple(head[: len(LAYERS[name].fields)]) == LAYERS[name].field_names
    assert len(lines) == len(layers[name]) > 0
    for line, one in zip(lines, layers[name], strict=True):
        for cell, value in zip(line, one.values(), strict=False):
            assert same(cell, spreadsheet_text(value) if isinstance(value, str) else value), (cell, value)


def test_what_people_typed_stays_text(tables):
    folder, _ = tables
    sheets = opened(folder / "orchard.xlsx", folder, ALL_SHEETS)
    assert {FORMULA, HIDDEN} <= {line[1] for line in sheets["Blocks"]}


def test_nothing_that_people_typed_is_reckoned_where_columns_are_parted_by_semicolons(tables):
    """As by a spreadsheet of a country with decimal commas: without the apostrophe the cell behind the semicolon is a formula, and 2."""
    folder, _ = tables
    by_semicolon = FROM_CSV.replace("44,34", "59,34", 1)
    told = next(iter(opened(folder / "blocks.csv", folder, by_semicolon).values()))
    (parted,) = [line for line in told if line[0].startswith("K4,")]
    assert parted[:3] == ["K4,x", "'=1+1", parted[2]]
    assert parted[2].startswith("y,")
