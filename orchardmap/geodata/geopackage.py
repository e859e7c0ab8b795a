"""Layers as a GeoPackage: one file of tables with geometry, which every GIS opens.

Source: OGC 12-128r19 (GeoPackage 1.4); annex F.3 is the R*Tree index, F.9 the schema extension, which carries a title for each
column. The standard has no styles, so none are written: what a program draws with is its own.
"""

import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from orchardmap.geodata.write import told_plainly
from orchardmap.locale.catalogue import translated
from orchardmap.model.layer import Features, Field, Kind, Layer, Value

__all__ = ["append_layer", "title_columns"]

_TYPES: dict[Kind, Any] = {"text": object, "whole": np.int64, "number": np.float64, "yes_no": np.bool_, "day": "datetime64[D]"}  # fmt: skip
_EMPTY: dict[Kind, Any] = {"text": None, "whole": 0, "number": np.nan, "yes_no": False, "day": "NaT"}
_SCHEMA = """
CREATE TABLE IF NOT EXISTS gpkg_data_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, name TEXT, title TEXT, description TEXT, mime_type TEXT,
  constraint_name TEXT, CONSTRAINT pk_gdc PRIMARY KEY (table_name, column_name),
  CONSTRAINT gdc_tn UNIQUE (table_name, name)
);
CREATE TABLE IF NOT EXISTS gpkg_data_column_constraints (
  constraint_name TEXT NOT NULL, constraint_type TEXT NOT NULL, value TEXT, min NUMERIC, min_is_inclusive BOOLEAN,
  max NUMERIC, max_is_inclusive BOOLEAN, description TEXT,
  CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value)
);
"""


def _column(field: Field, values: Sequence[Value]) -> tuple[Any, Any]:
    """Return a column as the writer takes it, and where it is null."""
    null = np.array([value is None for value in values], np.bool_)
    told = [_EMPTY[field.kind] if value is None else value for value in values]
    return np.array(told, _TYPES[field.kind]), null


def append_layer(path: Path, layer: Layer, found: Iterable[Features], *, language: str, as_of: str) -> int:
    """Add a layer to a GeoPackage, making the file where there is none.

    Parameters
    ----------
    path : Path
        Ending in ``.gpkg``; must not hold the layer.
    layer : Layer
        A table of its name; without a feature it is there all the same.
    found : iterable of Features
        Of that layer; taken one after the other, so that memory does not grow with the layer.
    language : str
        Of title and description.
    as_of : str
        Stands behind the description.

    Returns
    -------
    int
        How many features were written. EPSG:4326, with an R*Tree index.
    """
    empty = Features(layer, (), (), dict.fromkeys(layer.field_names, ()))
    _append(path, empty, identifier=translated(layer.title, language), description=f"{translated(layer.description, language)} {as_of}")  # fmt: skip
    count = 0
    for batch in found:
        _append(path, batch)
        count += len(batch)
    return count


def _append(path: Path, batch: Features, **named: str) -> None:
    from pyogrio import raw
    from pyogrio.errors import DataLayerError, DataSourceError

    layer = batch.layer
    told = [_column(field, batch.columns[field.name]) for field in layer.fields]
    told.append(_column(Field("id", "text", {}), batch.ids))
    with told_plainly(DataLayerError, DataSourceError):
        raw.write(
            path,
            geometry=shapely.to_wkb(np.array(batch.geometries, dtype=object)),
            field_data=[values for values, _ in told],
            field_mask=[null for _, null in told],
            fields=[*layer.field_names, "id"],
            layer=layer.name,
            driver="GPKG",
            geometry_type=layer.geometry,
            crs="EPSG:4326",
            append=not named,
            **({key.upper(): text for key, text in named.items()} if named else {}),
        )


def title_columns(path: Path, layers: Iterable[Layer], *, language: str) -> None:
    """Say in words what each column of a GeoPackage holds, by the schema extension.

    Parameters
    ----------
    path : Path
        With these layers in it.
    layers : iterable of Layer
    language : str
        Of the titles.
    """
    told = [
        (layer.name, field.name, translated(field.title, language))
        for layer in layers
        for field in layer.fields
    ]
    with told_plainly(sqlite3.Error), closing(sqlite3.connect(path)) as file, file:
        file.executescript(_SCHEMA)
        file.executemany("INSERT INTO gpkg_data_columns (table_name, column_name, title) VALUES (?, ?, ?)", told)  # fmt: skip
        file.execute(
            "CREATE TABLE IF NOT EXISTS gpkg_extensions (table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL,"
            " definition TEXT NOT NULL, scope TEXT NOT NULL, CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name))"
        )
        file.executemany(
            "INSERT OR IGNORE INTO gpkg_extensions VALUES (?, NULL, 'gpkg_schema',"
            " 'http://www.geopackage.org/spec140/#extension_schema', 'read-write')",
            [("gpkg_data_columns",), ("gpkg_data_column_constraints",)],
        )
