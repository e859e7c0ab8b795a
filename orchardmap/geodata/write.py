"""Blocks and rows as files that every GIS and spreadsheet opens: GeoJSON (RFC 7946), GeoPackage, CSV.

Source: RFC 7946 sections 3.1.6 (outer rings counterclockwise), 3.1.9 (geometries cut at the antimeridian), 4 (WGS 84,
no crs member); OWASP, CSV Injection, for what a spreadsheet takes for a formula.
"""

import csv
import io
import json
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon, mapping
from shapely.geometry.base import BaseGeometry

from orchardmap.geodata.preview import Value
from orchardmap.geodata.raw import gathered
from orchardmap.model.orchard import Block, Row

_DECIMALS = 9
"""Of a degree: a tenth of a millimetre."""
_FORMULA = ("=", "+", "-", "@")
_CONTROL = ("\t", "\r", "\n")


def _cut_at_antimeridian(geometry: BaseGeometry) -> BaseGeometry:
    """Return a geometry with all longitudes in -180 .. 180."""
    west, _, east, _ = geometry.bounds
    if west >= -180 and east <= 180:
        return geometry
    parts: list[BaseGeometry] = []
    for turn in (-360.0, 0.0, 360.0):
        inside = shapely.intersection(geometry, shapely.box(-180 + turn, -90, 180 + turn, 90))
        moved = translate(inside, xoff=-turn)
        parts.extend(
            part
            for part in shapely.get_parts(moved)
            if not part.is_empty and part.geom_type in {"Polygon", "LineString"}
        )
    return gathered(parts)


def _rounded(value: Any) -> Any:  # noqa: ANN401 - lists of lists of numbers, as deep as the geometry
    return [_rounded(part) for part in value] if isinstance(value, tuple | list) else round(value, _DECIMALS)


def geojson_geometry(geometry: BaseGeometry | None) -> dict[str, object] | None:
    """Return a GeoJSON geometry by RFC 7946: two-dimensional, outer rings counterclockwise, cut at the antimeridian."""
    if geometry is None or geometry.is_empty:
        return None
    told = mapping(shapely.orient_polygons(_cut_at_antimeridian(shapely.force_2d(geometry))))
    return {"type": told["type"], "coordinates": _rounded(told["coordinates"])}


def _block_properties(block: Block, variety_names: Mapping[str, str]) -> dict[str, Value]:
    planting = block.planting
    return {
        "name": block.name,
        "code": block.code,
        "variety": variety_names.get(block.variety_id or "", ""),
        "area_ha": round(block.area_ha, 4),
        "bearing_deg": planting.bearing_deg if planting else None,
        "row_spacing_m": planting.row_spacing_m if planting else None,
        "tree_spacing_m": planting.tree_spacing_m if planting else None,
    }


def _row_properties(row: Row, block_codes: Mapping[str, str]) -> dict[str, Value]:
    return {
        "block": block_codes.get(row.block_id, ""),
        "row": row.number,
        "positions": row.positions,
        "trees": row.trees,
        "length_m": round(row.length_m, 2),
    }


def _collection(features: Iterable[tuple[BaseGeometry | None, dict[str, Value]]]) -> bytes:
    told = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": properties, "geometry": geojson_geometry(geometry)}
            for geometry, properties in features
        ],
    }
    return json.dumps(told, ensure_ascii=False, allow_nan=False).encode()


def blocks_geojson(blocks: Sequence[Block], *, variety_names: Mapping[str, str]) -> bytes:
    """Return blocks as GeoJSON.

    Parameters
    ----------
    blocks : sequence of Block
        A block without an outline has null for its geometry.
    variety_names : Mapping[str, str]
        By variety id.

    Returns
    -------
    bytes
        UTF-8; WGS 84, cut at the antimeridian, outer rings counterclockwise, degrees with 9 decimals.
    """
    return _collection((block.outline, _block_properties(block, variety_names)) for block in blocks)


def rows_geojson(rows: Sequence[Row], *, block_codes: Mapping[str, str]) -> bytes:
    """Return rows as GeoJSON.

    Parameters
    ----------
    rows : sequence of Row
        In any order.
    block_codes : Mapping[str, str]
        By block id.

    Returns
    -------
    bytes
        UTF-8; lines on WGS 84, cut at the antimeridian, degrees with 9 decimals; lengths in metres.
    """
    return _collection((row.line, _row_properties(row, block_codes)) for row in rows)


def spreadsheet_text(text: str) -> str:
    """Return text that a spreadsheet takes for text: an apostrophe goes before what it would take for a formula.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str

    Examples
    --------
    >>> spreadsheet_text("=1+1"), spreadsheet_text("Home block")
    ("'=1+1", 'Home block')
    """
    if text.startswith(_CONTROL) or text.lstrip().startswith(_FORMULA):
        return f"'{text}"
    return text


def blocks_csv(blocks: Sequence[Block], *, variety_names: Mapping[str, str]) -> bytes:
    """Return blocks as CSV with the outline as well-known text.

    Parameters
    ----------
    blocks : sequence of Block
        Any number.
    variety_names : Mapping[str, str]
        By variety id.

    Returns
    -------
    bytes
        UTF-8 with a byte order mark (spreadsheets need it), commas, lines as RFC 4180 has them; the outline carries
        ``SRID=4326;`` so that loading it again asks nothing.
    """
    sheet = io.StringIO(newline="")
    writer = csv.writer(sheet)
    names = ["name", "code", "variety", "area_ha", "bearing_deg", "row_spacing_m", "tree_spacing_m"]
    writer.writerow([*names, "wkt"])
    for block in blocks:
        own = _block_properties(block, variety_names)
        cells = [spreadsheet_text(value) if isinstance(value, str) else value for value in own.values()]
        wkt = shapely.to_wkt(block.outline, rounding_precision=_DECIMALS) if block.outline else ""
        writer.writerow([*cells, f"SRID=4326;{wkt}" if wkt else ""])
    return sheet.getvalue().encode("utf-8-sig")


def _as_multi(geometry: BaseGeometry | None) -> BaseGeometry | None:
    """Return the multi-geometry: a GeoPackage layer holds one kind only."""
    if geometry is None:
        return None
    cut = _cut_at_antimeridian(shapely.force_2d(geometry))
    return gathered([cut]) if isinstance(cut, Polygon | LineString) else cut


def geopackage(blocks: Sequence[Block], rows: Sequence[Row], *, variety_names: Mapping[str, str]) -> bytes:
    """Return blocks and rows as a GeoPackage with the layers ``blocks`` and ``rows``.

    Parameters
    ----------
    blocks : sequence of Block
        At least one.
    rows : sequence of Row
        With none, there is no layer of rows.
    variety_names : Mapping[str, str]
        By variety id.

    Returns
    -------
    bytes
        EPSG:4326.
    """
    import geopandas

    codes = {block.id: block.code for block in blocks}
    layers: dict[str, list[tuple[BaseGeometry | None, dict[str, Value]]]] = {
        "blocks": [(block.outline, _block_properties(block, variety_names)) for block in blocks],
        "rows": [(row.line, _row_properties(row, codes)) for row in rows],
    }
    with tempfile.TemporaryDirectory(prefix="orchardmap-export-") as folder:
        path = Path(folder) / "orchard.gpkg"
        for layer, features in layers.items():
            if not features:
                continue
            frame = geopandas.GeoDataFrame(
                [properties for _, properties in features],
                geometry=[_as_multi(geometry) for geometry, _ in features],
                crs="EPSG:4326",
            )
            frame.to_file(path, layer=layer, driver="GPKG", engine="pyogrio", append=path.exists())
        return path.read_bytes()
