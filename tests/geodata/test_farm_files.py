"""Files of a farm as others read them: GDAL, SQLite, openpyxl and a geodesic of another hand are the witnesses."""

import json
import sqlite3
import warnings
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
import shapely
from pyogrio import list_drivers, list_layers, raw, read_info
from pyproj import Geod

from layered_farm import layered_farm
from orchardmap.errors import UnknownError
from orchardmap.store.session import Store, open_store
from orchardmap.usecases.farm_files import FILES, FileWish, write_farm_file
from orchardmap.usecases.layers import BESIDE, LAYERS, batches, reading
from ready_stores import ready_sqlite
from small_farm import NOW, TODAY, SmallFarm


class Written:
    """Every file of the farm, and what its layers hold."""

    def __init__(self, store: Store, farm: SmallFarm, folder: Path) -> None:
        self.store, self.farm, self.folder = store, farm, folder
        for name in FILES:
            self.write(FileWish(name), folder / name)
        with reading(store, farm.farm.id, day=None, now=NOW, people_of=None) as read:
            self.layers = {
                name: [
                    {"id": batch.ids[i], "geometry": batch.geometries[i], **batch.values(i)}
                    for batch in batches(read, name)
                    for i in range(len(batch))
                ]
                for name in LAYERS
            }

    def write(self, wish: FileWish, path: Path) -> None:
        write_farm_file(self.store, self.farm.farm.id, wish, path, now=NOW)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Written]:
    folder = tmp_path_factory.mktemp("files")
    with closing(open_store(ready_sqlite(folder / "store.sqlite"))) as store:
        yield Written(store, layered_farm(store), folder)


def by_gdal(path: Path, layer: str | None = None) -> tuple[list[dict[str, Any]], np.ndarray[Any, Any]]:
    """Return records and geometries as GDAL reads them."""
    options = {"AUTODETECT_TYPE": "YES"} if path.suffix == ".csv" else {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # a CSV file says no CRS in GDAL's way
        meta, _, wkb, columns = raw.read(path, layer=layer, **options)
    records = [dict(zip(meta["fields"], line, strict=True)) for line in zip(*columns, strict=True)]
    return records, shapely.from_wkb(wkb) if wkb is not None else np.empty(0, object)


def same(value: Any, told: Any) -> bool:
    """Whether GDAL read what was meant; it has no null for text in CSV, and days of its own."""
    if told is None:
        return value is None or value == "" or value != value
    if hasattr(told, "isoformat"):
        return str(value).replace("/", "-").startswith(told.isoformat())
    return bool(np.isclose(float(value), told)) if isinstance(told, float) else bool(value == told)


@pytest.mark.parametrize("name", LAYERS)
@pytest.mark.parametrize("kind", ["gpkg", "geojson", "csv"])
def test_gdal_reads_every_field_of_every_feature(written, kind, name):
    path = written.folder / ("orchard_with_positions.gpkg" if kind == "gpkg" else f"{name}.{kind}")
    records, geometries = by_gdal(path, name if kind == "gpkg" else None)
    whole = written.layers[name]
    assert len(records) == len(whole) > 0
    for record, one in zip(records, whole, strict=True):
        assert all(same(record[key], one[key]) for key in LAYERS[name].field_names), (record, one)
    if kind == "gpkg":
        info = read_info(path, layer=name)
        assert (info["geometry_type"], info["crs"]) == (LAYERS[name].geometry, "EPSG:4326")
        assert [record["id"] for record in records] == [one["id"] for one in whole]
    if len(geometries):
        assert all(
            geometry.equals_exact(one["geometry"], 1e-8)
            for geometry, one in zip(geometries, whole, strict=True)
        )


@pytest.mark.parametrize("file", ["orchard.gpkg", "rows.geojson"])
def test_lengths_are_those_of_another_geodesic(written, file):
    """PROJ's geodesic on the lines as GDAL reads them, against the column ``length_m``."""
    records, lines = by_gdal(written.folder / file, "rows" if file.endswith("gpkg") else None)
    geod = Geod(ellps="WGS84")
    for record, line in zip(records, lines, strict=True):
        assert geod.geometry_length(line) == pytest.approx(record["length_m"], abs=0.006)
    blocks, outlines = by_gdal(written.folder / "orchard.gpkg", "blocks")
    for record, outline in zip(blocks, outlines, strict=True):
        assert abs(geod.geometry_area_perimeter(outline)[0]) / 1e4 == pytest.approx(
            record["area_ha"], abs=6e-5
        )


def test_geopackage_meets_what_sql_can_ask_of_the_standard(written):
    """OGC 12-128r19, requirement by requirement."""
    with closing(sqlite3.connect(written.folder / "orchard_with_positions.gpkg")) as file:

        def told(sql: str, *values: object) -> list[Any]:
            return file.execute(sql, values).fetchall()

        # 2: application_id GPKG and user_version of 1.2 or later; 6 and 7: integrity
        assert told("PRAGMA application_id") == [(0x47504B47,)]
        assert told("PRAGMA user_version")[0][0] >= 10200
        assert told("PRAGMA integrity_check") == [("ok",)]
        assert told("PRAGMA foreign_key_check") == []
        # 11: the three reference systems that must be there
        systems = dict(
            told("SELECT srs_id, organization || organization_coordsys_id FROM gpkg_spatial_ref_sys")
        )
        assert {-1, 0, 4326} <= set(systems)
        assert systems[4326].upper() == "EPSG4326"
        # 13, 14 and 16: contents name tables that are there, with their system and their box
        contents = told(
            "SELECT table_name, data_type, identifier, description, srs_id, min_x FROM gpkg_contents"
        )
        assert {one[0] for one in contents} == set(LAYERS)
        assert {(one[1], one[4]) for one in contents} == {("features", 4326)}
        assert all("As of 2026-01-20." in one[3] for one in contents)
        assert len({one[2] for one in contents}) == len(LAYERS)
        for name, layer in LAYERS.items():
            # 20, 24 to 33: one geometry column of the told type, an integer primary key, features of that type
            ((column, kind, srs, z, m),) = told(
                "SELECT column_name, geometry_type_name, srs_id, z, m FROM gpkg_geometry_columns WHERE table_name = ?",
                name,
            )
            assert (kind, srs, z, m) == (layer.geometry.upper(), 4326, 0, 0)
            keys = [one for one in told(f'PRAGMA table_info("{name}")') if one[5]]
            assert [one[2] for one in keys] == ["INTEGER"]
            # 75 to 77: the index is registered and holds every feature that lies somewhere
            assert told(
                "SELECT scope FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index' AND table_name = ?",
                name,
            ) == [("write-only",)]
            somewhere = sum(one["geometry"] is not None for one in written.layers[name])
            assert told(f'SELECT count(*) FROM "rtree_{name}_{column}"') == [(somewhere,)]
            # 19: geometry begins with the magic GP, version 0, and the system's id
            ((blob,),) = told(f'SELECT "{column}" FROM "{name}" WHERE "{column}" IS NOT NULL LIMIT 1')
            assert blob[:3] == b"GP\x00"
            assert int.from_bytes(blob[4:8], "little" if blob[3] & 1 else "big") == 4326
        # F.9: the schema extension is registered and speaks of columns that are there
        assert {
            one[0]
            for one in told("SELECT table_name FROM gpkg_extensions WHERE extension_name = 'gpkg_schema'")
        } == {"gpkg_data_columns", "gpkg_data_column_constraints"}
        for table, column, title in told("SELECT table_name, column_name, title FROM gpkg_data_columns"):
            assert column in {one[1] for one in told(f'PRAGMA table_info("{table}")')}
            assert title


def test_positions_come_only_when_they_are_asked_for(written):
    assert "positions" not in list_layers(written.folder / "orchard.gpkg")[:, 0].tolist()
    assert "positions" not in openpyxl.load_workbook(written.folder / "orchard.xlsx").sheetnames


def test_workbook_holds_the_tables_as_numbers_and_days(written):
    book = openpyxl.load_workbook(written.folder / "orchard.xlsx")
    names = [name for name in LAYERS if name not in {"positions", *BESIDE}]
    assert book.sheetnames == [LAYERS[name].title["en"] for name in names]
    for name in names:
        sheet, whole, layer = book[LAYERS[name].title["en"]], written.layers[name], LAYERS[name]
        first, *lines = sheet.iter_rows()
        assert [cell.value for cell in first] == [*(field.title["en"] for field in layer.fields), "id"]
        assert sheet.freeze_panes == "A2"
        assert len(lines) == len(whole)
        for line, one in zip(lines, whole, strict=True):
            for cell, field in zip(line, layer.fields, strict=False):
                value = one[field.name]
                told = cell.value.date() if isinstance(cell.value, datetime) else cell.value
                assert told == value or same(told, value)
                assert cell.data_type != "f"
                if field.is_share and value is not None:
                    assert cell.number_format == "0.0%"


def test_people_are_named_to_whom_they_may_be(written, tmp_path):
    """What the reader's role leaves out stands in no byte of any file."""
    for name in FILES:
        path = tmp_path / name
        written.write(FileWish(name, people_of=()), path)
        assert b"Nora" not in path.read_bytes()
    assert b"Nora" in (written.folder / "marks.csv").read_bytes()


def test_files_of_a_past_day_and_another_language(written, tmp_path):
    written.write(FileWish("progress.geojson", day=TODAY.replace(day=10)), tmp_path / "past.geojson")
    (one, _) = json.loads((tmp_path / "past.geojson").read_text("utf-8"))["features"]
    assert (one["properties"]["day"], one["properties"]["pruned_trees"]) == ("2026-01-10", 0)
    written.write(FileWish("orchard.xlsx", language="es"), tmp_path / "es.xlsx")
    book = openpyxl.load_workbook(tmp_path / "es.xlsx")
    assert book.sheetnames[0] == "Cuarteles"
    with pytest.raises(UnknownError):
        written.write(FileWish("orchard.kml"), tmp_path / "x.kml")


def test_geoparquet_is_not_among_what_gdal_writes_here():
    """So no such file is offered. Where this fails, a newer pyogrio brings the driver, and a file of that kind costs a line in `FILES`."""
    assert "Parquet" not in list_drivers(write=True)
