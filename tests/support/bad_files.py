"""Files made by code: good ones of every format that is read, and bad ones made from them by seeded accidents."""

import functools
import io
import json
import random
import tempfile
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

BLOCKS = {
    "Hollow": shapely.Polygon([(11.0, 46.0), (11.002, 46.0), (11.002, 46.001), (11.0, 46.001)]),
    "Löwenzahn": shapely.Polygon([(11.003, 46.0), (11.005, 46.0), (11.005, 46.001), (11.003, 46.002)]),
    "Far side": shapely.Polygon(
        [(11.0, 46.003), (11.002, 46.003), (11.002, 46.005), (11.0, 46.005)],
        [[(11.0005, 46.0035), (11.001, 46.0035), (11.001, 46.004), (11.0005, 46.004)]],
    ),
}


def feature_collection(
    geometries: Mapping[str, object], *, more: Mapping[str, object] | None = None
) -> dict[str, object]:
    """Return a GeoJSON document of named GeoJSON geometries, with other members beside."""
    features = [
        {"type": "Feature", "properties": {"name": name}, "geometry": geometry}
        for name, geometry in geometries.items()
    ]
    return {"type": "FeatureCollection", **(more or {}), "features": features}


def geojson_bytes(geometries: Mapping[str, object], *, more: Mapping[str, object] | None = None) -> bytes:
    """Return a GeoJSON file of named GeoJSON geometries."""
    return json.dumps(feature_collection(geometries, more=more)).encode()


def square(west: float, south: float, *, side: float = 0.001) -> dict[str, object]:
    """Return a square outline as a GeoJSON geometry."""
    east, north = west + side, south + side
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"type": "Polygon", "coordinates": [ring]}


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Return a zip archive of files by path."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in files.items():
            archive.writestr(path, content)
    return out.getvalue()


def frame(geometries: Mapping[str, BaseGeometry] | None = None, *, crs: str | None = "EPSG:4326") -> Any:
    """Return named geometries as a table, in WGS 84 numbers whatever the coordinate system says."""
    named = BLOCKS if geometries is None else geometries
    columns = {
        "name": list(named),
        "trees": np.arange(len(named), dtype=np.int32),
        "ha": np.linspace(0.5, 2, len(named)),
    }
    return geopandas.GeoDataFrame(columns, geometry=list(named.values()), crs=crs)


def written(table: Any, *, driver: str, name: str, **options: object) -> dict[str, bytes]:
    """Return the files that GDAL writes for a table, by path."""
    with tempfile.TemporaryDirectory() as folder:
        table.to_file(Path(folder) / name, driver=driver, engine="pyogrio", **options)
        found = sorted(path for path in Path(folder).rglob("*") if path.is_file())
        return {str(path.relative_to(folder)): path.read_bytes() for path in found}


def geopackage_bytes(layers: Mapping[str, Any]) -> bytes:
    """Return a GeoPackage of tables by layer name."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.gpkg"
        for layer, table in layers.items():
            table.to_file(path, layer=layer, driver="GPKG", engine="pyogrio", append=path.exists())
        return path.read_bytes()


def _kml() -> bytes:
    def ring(lonlat: Iterable[Any]) -> str:
        return " ".join(f"{lon},{lat},0" for lon, lat in lonlat)

    marks = []
    for name, outline in BLOCKS.items():
        holes = "".join(
            f"<innerBoundaryIs><LinearRing><coordinates>{ring(hole.coords)}</coordinates></LinearRing></innerBoundaryIs>"
            for hole in outline.interiors
        )
        marks.append(
            f"<Placemark><name>{name}</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"
            f"{ring(outline.exterior.coords)}</coordinates></LinearRing></outerBoundaryIs>{holes}</Polygon></Placemark>"
        )
    body = "".join(marks)
    return f'<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>{body}</Document></kml>'.encode()


def _gpx() -> bytes:
    def points(tag: str, lonlat: Iterable[Any]) -> str:
        return "".join(f'<{tag} lat="{lat}" lon="{lon}"/>' for lon, lat in lonlat)

    walks = "".join(
        f"<trk><name>{name}</name><trkseg>{points('trkpt', outline.exterior.coords)}</trkseg></trk>"
        for name, outline in BLOCKS.items()
    )
    return f'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">{walks}</gpx>'.encode()


@functools.cache
def good_files() -> dict[str, bytes]:
    """Return one file of each format with the same three blocks. DXF has no names and no coordinate system."""
    table = frame()
    wkt = "".join(f'{name},"{outline.wkt}"\n' for name, outline in BLOCKS.items())
    shapefile = written(table, driver="ESRI Shapefile", name="blocks.shp", encoding="UTF-8")
    database = written(table, driver="OpenFileGDB", name="a.gdb", layer="blocks")
    return {
        "GeoJSON": geojson_bytes({
            name: shapely.geometry.mapping(outline) for name, outline in BLOCKS.items()
        }),
        "GeoPackage": geopackage_bytes({"blocks": table}),
        "Shapefile": zipped(shapefile),
        "KML": _kml(),
        "KMZ": zipped({"doc.kml": _kml()}),
        "GPX": _gpx(),
        "CSV": f"name,wkt\n{wkt}".encode(),
        "DXF": written(table[["geometry"]], driver="DXF", name="a.dxf")["a.dxf"],
        "FlatGeobuf": written(table, driver="FlatGeobuf", name="a.fgb")["a.fgb"],
        "file geodatabase": zipped(database),
    }


IN_CHILD = frozenset({"GeoPackage", "Shapefile", "DXF", "FlatGeobuf", "file geodatabase"})
_TEXT_SWAPS = (
    (b"46.0", b"NaN"), (b"46.0", b"1e309"), (b"11.0", b"-Infinity"), (b"Polygon", b"Polygone"), (b"[", b"{"),
    (b",", b";"), (b"11.00", b"11,00"), (b"]]", b"]"), (b"<", b"&lt;"), (b"lat", b"lot"), (b"0", b"\xff\xfe"),
    (b"coordinates", b"coordinate"), (b"46.0", b"460000000000000"), (b"(", b"(((("), (b'"name"', b'"\\ud800"'),
)  # fmt: skip


def _accident(data: bytes, dice: random.Random) -> tuple[str, bytes]:
    """Return what happened to a file and what is left of it."""
    kind = dice.choice(["cut", "flip", "fill", "lose", "double", "swap", "front", "back"])
    first, last = sorted(dice.randrange(len(data) + 1) for _ in range(2))
    last = min(last, first + 400)
    if kind == "cut":
        return kind, data[:first]
    if kind == "flip":
        hurt = bytearray(data)
        for _ in range(dice.choice([1, 8, 64])):
            hurt[dice.randrange(len(hurt))] ^= 1 << dice.randrange(8)
        return kind, bytes(hurt)
    if kind == "fill":
        return kind, data[:first] + bytes([dice.randrange(256)]) * (last - first) + data[last:]
    if kind == "lose":
        return kind, data[:first] + data[last:]
    if kind == "double":
        return kind, data[:last] + data[first:]
    if kind == "swap":
        old, new = dice.choice(_TEXT_SWAPS)
        return f"{kind} {old!r}", data.replace(old, new, dice.choice([1, 3, -1]))
    junk = dice.randbytes(dice.choice([1, 16, 4096]))
    return kind, junk + data if kind == "front" else data + junk


def bad_files(*, seed: int, count: int, formats: frozenset[str]) -> Iterator[tuple[str, bytes]]:
    """Yield files to which one to three accidents happened, each with a label that says which.

    Archives are hurt on the outside as well as in what they hold, so that more than the unpacking is tried.
    """
    dice = random.Random(seed)
    good = good_files()
    names = sorted(formats)
    for number in range(count):
        name = names[number % len(names)]
        data = good[name]
        inside = name in {"KMZ", "Shapefile", "file geodatabase"} and dice.random() < 0.7
        files: dict[str, bytes] = {}
        if inside:
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                files = {path: archive.read(path) for path in archive.namelist()}
        kinds = []
        for _ in range(dice.choice([1, 1, 2, 3])):
            if inside:
                path = dice.choice([path for path, content in sorted(files.items()) if content])
                kind, files[path] = _accident(files[path], dice)
                kinds.append(f"{kind} in {path}")
                files[path] = files[path] or b"x"
            elif data:
                kind, data = _accident(data, dice)
                kinds.append(kind)
        yield f"{number} {name}: {', '.join(kinds)}", zipped(files) if inside else data
