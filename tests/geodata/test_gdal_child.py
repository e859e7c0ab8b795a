"""The child process in which GDAL reads: one driver, no network, limits; disguised files reach nothing."""

import contextlib
import json
import os
import socket
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
import shapely

from bad_files import BLOCKS, frame, geopackage_bytes, good_files, written, zipped
from orchardmap.errors import ImportFileError
from orchardmap.geodata import child, gdal
from orchardmap.geodata.gdal import Stored, read_binary
from orchardmap.geodata.lockdown import environment
from orchardmap.geodata.preview import Answers
from orchardmap.geodata.read import read_file
from orchardmap.geodata.shapefile import attribute_encoding

VRT = '<OGRVRTDataSource><OGRVRTLayer name="x"><SrcDataSource>{}</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>'


def _in_child(code: str, *, driver: str, folder: Path) -> str:
    """Run code after the lock-in, in the child's own environment, and return what it prints."""
    start = f"import sys; sys.path.insert(0, {str(Path(child.__file__).parent)!r}); import child; child.lock_in()\n"
    done = subprocess.run(
        [sys.executable, "-I", "-c", start + code],
        env=environment(driver, str(folder)),
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout.strip()


@pytest.mark.parametrize("driver", sorted(gdal._DRIVERS.values()))
def test_only_one_driver_is_left_in(driver, tmp_path):
    there = json.loads(
        _in_child(
            "import json, pyogrio; print(json.dumps(list(pyogrio.list_drivers())))",
            driver=driver,
            folder=tmp_path,
        )
    )
    assert set(there) - {"MEM", "Memory"} == {driver}


def test_a_driver_that_was_forgotten_is_left_out_by_the_child_itself(tmp_path):
    folder = tmp_path
    (folder / "input.gpkg").write_bytes(good_files()["GeoPackage"])
    order = {"driver": "GPKG", "paths": ["input.gpkg"], "encodings": [None], "layer": None, "most": 10}
    (folder / "order.json").write_text(json.dumps(order))
    told = {**environment("GPKG", str(folder)), "GDAL_SKIP": "CSV"}
    command = [sys.executable, "-I", str(child.__file__), str(folder)]
    subprocess.run(command, env=told, capture_output=True, check=True)
    answer = json.loads((folder / "answer.json").read_text())
    assert answer["layers"] == ["blocks"]
    # and if they could not be left out, nothing is read
    (folder / "answer.json").unlink()
    subprocess.run(command, env={**told, "ORCHARDMAP_CHILD_AGAIN": "1"}, capture_output=True, check=True)
    assert json.loads((folder / "answer.json").read_text())["told"] == "drivers cannot be left out"


def test_the_child_gets_nothing_of_our_environment(monkeypatch, tmp_path):
    monkeypatch.setenv("A_SECRET", "pears")
    assert "pears" not in _in_child("import os; print(dict(os.environ))", driver="GPKG", folder=tmp_path)


def test_the_child_has_no_network(tmp_path):
    server = socket.create_server(("127.0.0.1", 0))
    code = f"import socket\ntry: socket.create_connection(('127.0.0.1', {server.getsockname()[1]}), 2); print('reached')\nexcept OSError: print('shut')"
    told = _in_child(code, driver="GPKG", folder=tmp_path)
    server.close()
    if told == "reached":
        pytest.skip("this system does not permit a network of one's own; drivers and settings still hold")
    assert told == "shut"


def test_memory_and_time_of_the_child_are_limited(tmp_path):
    code = "try: bytearray(3_000_000_000); print('got it')\nexcept MemoryError: print('refused')"
    assert _in_child(code, driver="GPKG", folder=tmp_path) == "refused"
    code = "import resource; print(resource.getrlimit(resource.RLIMIT_CPU)[0])"
    assert _in_child(code, driver="GPKG", folder=tmp_path) == str(child.CPU_S)


def test_a_child_that_takes_too_long_is_ended(monkeypatch):
    monkeypatch.setattr(gdal, "WALL_S", 0.05)
    with pytest.raises(ImportFileError, match="longer than"):
        read_file(good_files()["GeoPackage"], filename="a.gpkg")


def test_no_trace_is_left_on_disk(tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    read_file(good_files()["GeoPackage"], filename="a.gpkg")
    with pytest.raises(ImportFileError):
        read_file(good_files()["GeoPackage"][:5_000], filename="a.gpkg")
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def secret(tmp_path):
    """A local file and a listening port that no import may touch."""
    path = tmp_path / "secret.csv"
    path.write_text("name,lat,lon\nthe secret,46,11\n")
    came = []
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.2)
    stop = threading.Event()

    def wait() -> None:
        while not stop.is_set():
            try:
                connection, _ = server.accept()
            except TimeoutError:
                continue
            came.append(1)
            connection.close()

    thread = threading.Thread(target=wait)
    thread.start()
    yield str(path), f"/vsicurl/http://127.0.0.1:{server.getsockname()[1]}/x.csv"
    stop.set()
    thread.join()
    server.close()
    assert came == []


@pytest.mark.parametrize(
    "disguise",
    [
        "named .geojson",
        "named .kml",
        "bytes of a file",
        "bytes of an address",
        "text as a path",
        "inside a zip",
    ],
)
def test_a_virtual_file_in_any_of_six_disguises_reaches_nothing(disguise, secret):
    # design 06b, finding 9: all six read a local file or made the call when they reached GDAL
    path, address = secret
    local, remote = VRT.format(path).encode(), VRT.format(address).encode()
    data, name = {
        "named .geojson": (local, "a.geojson"),
        "named .kml": (local, "a.kml"),
        "bytes of a file": (local, "upload"),
        "bytes of an address": (remote, "upload"),
        "text as a path": (path.encode(), VRT.format(path)),
        "inside a zip": (zipped({"a.geojson": local}), "a.zip"),
    }[disguise]
    with pytest.raises(ImportFileError) as fault:
        read_file(data, filename=name)
    assert "the secret" not in str(fault.value)


@pytest.mark.parametrize("format_name", ["GeoPackage", "DXF", "FlatGeobuf", "Shapefile"])
def test_a_virtual_file_that_got_past_the_door_finds_no_driver(format_name, secret):
    # the second wall: even handed straight to the child, under every name it uses
    path, address = secret
    name = {
        "GeoPackage": "input.gpkg",
        "DXF": "input.dxf",
        "FlatGeobuf": "input.fgb",
        "Shapefile": "input0.shp",
    }[format_name]
    for target in (path, address):
        with pytest.raises(ImportFileError) as fault:
            read_binary(format_name, [Stored({name: VRT.format(target).encode()}, name)], layer=None)
        assert "the secret" not in str(fault.value)


def test_a_virtual_file_in_the_clothes_of_a_shapefile_is_refused(secret):
    path, _ = secret
    with pytest.raises(ImportFileError):
        read_file(
            zipped({"a.shp": VRT.format(path).encode(), "a.vrt": VRT.format(path).encode()}), filename="a.zip"
        )


def test_errors_do_not_show_paths_of_this_machine():
    with pytest.raises(ImportFileError) as fault:
        read_file(good_files()["GeoPackage"][:60_000], filename="a.gpkg")
    assert "/tmp" not in str(fault.value)
    assert os.sep + "orchardmap" not in str(fault.value)


@pytest.mark.parametrize("name", ["GeoPackage", "Shapefile", "FlatGeobuf", "file geodatabase"])
def test_binary_formats_give_the_same_blocks_as_geojson(name):
    told = read_file(good_files()[name], filename="a")
    assert told.is_ready
    by_name = {feature.name: feature for feature in told.features}
    assert set(by_name) == set(BLOCKS)
    for block, outline in BLOCKS.items():
        geometry = by_name[block].geometry
        assert geometry is not None
        # a file geodatabase keeps whole multiples of a billionth of a degree
        assert geometry.normalize().equals_exact(outline.normalize(), 2e-9)
        assert by_name[block].properties["trees"] == list(BLOCKS).index(block)


def test_a_drawing_has_no_system_and_its_closed_lines_are_outlines():
    lines = frame({name: shapely.LineString(outline.exterior.coords) for name, outline in BLOCKS.items()})
    data = written(lines[["geometry"]], driver="DXF", name="a.dxf")["a.dxf"]
    asked = read_file(data, filename="a.dxf")
    assert [question.key for question in asked.questions] == ["crs"]
    answered = read_file(data, filename="a.dxf", answers=Answers(crs="4326"))
    assert [feature.kind for feature in answered.features] == ["block"] * 3


def test_letters_without_a_cpg_are_tried_as_utf8_first():
    files = written(frame(), driver="ESRI Shapefile", name="blocks.shp", encoding="UTF-8")
    preview = read_file(
        zipped({path: data for path, data in files.items() if not path.endswith("cpg")}), filename="a"
    )
    assert "Löwenzahn" in [feature.name for feature in preview.features]
    assert any("they fit UTF-8" in note for note in preview.notes)


def test_letters_without_a_cpg_that_are_not_utf8_are_cp1252():
    files = written(frame(), driver="ESRI Shapefile", name="blocks.shp", encoding="cp1252")
    preview = read_file(
        zipped({path: data for path, data in files.items() if not path.endswith("cpg")}), filename="a"
    )
    assert "Löwenzahn" in [feature.name for feature in preview.features]
    assert any("cp1252 is taken" in note for note in preview.notes)


@pytest.mark.parametrize(
    ("cpg", "name"),
    [(b"UTF-8", "utf-8"), (b"1252", "cp1252"), (b"ANSI 1251", "cp1251"), (b"nonsense", "utf-8")],
)
def test_announced_letters(cpg, name):
    assert attribute_encoding(b"\x03" + bytes(40), cpg)[0] == name


def test_missing_companions_of_a_shapefile():
    files = written(frame(), driver="ESRI Shapefile", name="blocks.shp", encoding="UTF-8")
    bare = {path: data for path, data in files.items() if path.endswith(("shp", "prj"))}
    preview = read_file(zipped(bare), filename="a.zip")
    assert preview.summary == "3 blocks can be taken."
    assert [feature.name for feature in preview.features] == ["Block 1", "Block 2", "Block 3"]
    assert any(".dbf" in note for note in preview.notes)
    assert any(".shx" in note for note in preview.notes)


def test_endings_in_capitals():
    files = written(frame(), driver="ESRI Shapefile", name="blocks.shp", encoding="UTF-8")
    preview = read_file(zipped({path.upper(): data for path, data in files.items()}), filename="a.zip")
    assert preview.summary == "3 blocks can be taken."


@pytest.mark.filterwarnings("ignore:invalid value")
def test_a_feature_with_a_broken_geometry_does_not_spoil_a_geopackage():
    broken = shapely.Polygon([(11.0, 46.0), (float("nan"), 46.0), (11.0, 46.001)])
    table = frame({"A": BLOCKS["Hollow"], "B": broken, "C": BLOCKS["Far side"]})
    found = read_file(geopackage_bytes({"blocks": table}), filename="a").features
    assert [feature.problem for feature in found] == [
        None,
        "Feature 2 vertex 2 has a coordinate that is not a number",
        None,
    ]


def test_a_prj_of_the_web_mercator_is_known():
    files = written(frame().to_crs("EPSG:3857"), driver="ESRI Shapefile", name="blocks.shp", encoding="UTF-8")
    preview = read_file(zipped(files), filename="a")
    assert str(preview.crs).startswith("EPSG:3857")
    geometry = preview.features[0].geometry
    assert geometry is not None
    assert geometry.normalize().equals_exact(BLOCKS["Hollow"].normalize(), 1e-9)


def test_a_geopackage_whose_view_never_ends_is_ended(monkeypatch, tmp_path):
    path = tmp_path / "a.gpkg"
    path.write_bytes(good_files()["GeoPackage"])
    with contextlib.closing(sqlite3.connect(path)) as base:
        for (name,) in base.execute("select name from sqlite_master where type = 'trigger'").fetchall():
            base.execute(f"drop trigger {name}")
        base.execute("alter table blocks rename to hidden")
        endless = "with recursive c(x) as (select 1 union all select x + 1 from c)"
        base.execute(f"create view blocks as {endless} select hidden.* from hidden, c where x < 0")
        base.commit()
    monkeypatch.setattr(gdal, "WALL_S", 4.0)
    with pytest.raises(ImportFileError, match="longer than"):
        read_file(path.read_bytes(), filename="a.gpkg")
