"""`orchardmap calc rows`: from a job in JSON to rows and positions, without a database."""

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from orchardmap.errors import InputError
from orchardmap.geometry.curved import curved_rows
from orchardmap.geometry.outline import outline_from_geojson
from orchardmap.geometry.plantings import checked_planting
from orchardmap.geometry.rows import orchard_rows, rows_of_blocks
from orchardmap.jobs import answers_in_order, number_given, refuse_unknown_keys
from orchardmap.model.orchard import Planting, Row

__all__ = ["calculated_jobs", "calculated_rows"]

_NUMBERS = tuple(
    field.name for field in fields(Planting) if field.name not in ("first_row", "baseline", "lines_per_row")
)
_POINTS = ("first_row", "baseline")
_KEYS = frozenset((*_NUMBERS, *_POINTS, "lines_per_row", "outline"))
_NEEDED = ("outline", "row_spacing_m", "tree_spacing_m")


def calculated_jobs(document: object, *, with_rows: bool = False) -> dict[str, Any] | list[dict[str, Any]]:
    """Return the answer to whatever a job file holds: one job, a Feature, or several of either.

    Parameters
    ----------
    document : object
        Parsed JSON: a job (see `calculated_rows`), a GeoJSON Feature whose properties are the numbers
        of the job (properties it does not know are left alone), a FeatureCollection, or a list.
    with_rows : bool
        Add the list of rows to each answer.

    Returns
    -------
    dict or list of dict
        One answer, or a list of them in the same order; lengths in metres.

    Raises
    ------
    InputError
        If the document is none of these; ``where`` names the job (from 1) and the key.
    """
    if isinstance(document, Mapping) and document.get("type") == "FeatureCollection":
        document = document.get("features")
    if isinstance(document, Mapping):
        return calculated_rows(document, with_rows=with_rows)
    return answers_in_order(document, lambda job: calculated_rows(job, with_rows=with_rows))


def calculated_rows(job: object, *, with_rows: bool = False) -> dict[str, Any]:
    """Return rows, their metres and their positions for one block.

    Parameters
    ----------
    job : mapping
        ``outline`` (GeoJSON Polygon or MultiPolygon, degrees), ``row_spacing_m``, ``tree_spacing_m`` and one of
        ``bearing_deg``, ``first_row`` (two points on row 1) or ``baseline`` (row 1 as drawn); optional
        ``end_offset_m``, ``first_row_offset_m``, ``headland_m``, ``min_row_length_m``, ``pair_spacing_m`` and
        ``lines_per_row`` (2 where a pair spacing is given). Or a Feature with these as properties.
    with_rows : bool
        Add ``row_list``: number, length, positions, parts and line of each row.

    Returns
    -------
    dict
        ``rows`` and ``segments`` (counts of rows and of their parts), ``total_row_length_m`` (metres, to the
        millimetre), ``positions``; with double rows also ``pairs``.

    Raises
    ------
    InputError
        If a key is missing or unknown, or its value cannot be used; ``where`` names the key.

    Examples
    --------
    A block of 100 m by 200 m: 25 rows at 2.5, 6.5 ... 98.5 m, floor(198 / 1.9) + 1 = 105 positions each.

    >>> ring = [[11.30065135, 46.4991004], [11.30065137, 46.50089959], [11.29934863, 46.50089959],
    ...         [11.29934865, 46.4991004], [11.30065135, 46.4991004]]
    >>> job = {"outline": {"type": "Polygon", "coordinates": [ring]}, "bearing_deg": 0,
    ...        "row_spacing_m": 4, "tree_spacing_m": 1.9, "end_offset_m": 1, "first_row_offset_m": 2.5}
    >>> answer = calculated_rows(job)
    >>> answer["rows"], answer["segments"], round(answer["total_row_length_m"], 1), answer["positions"]
    (25, 25, 5000.0, 2625)
    """
    flat = _flat_job(job)
    geometry = flat["outline"]
    if not isinstance(geometry, Mapping):
        raise InputError("It must be a GeoJSON Polygon or MultiPolygon.", where="outline")
    planting = _planting(flat)
    rows, pairs = _laid(outline_from_geojson(geometry), planting)
    answer: dict[str, Any] = {
        "rows": len(rows),
        "segments": sum(len(row.part_positions) for row in rows),
        "total_row_length_m": round(sum(row.length_m for row in rows), 3),
        "positions": sum(row.positions for row in rows),
    }
    if planting.lines_per_row == 2:
        answer["pairs"] = pairs
    if with_rows:
        answer["row_list"] = [_listed(row) for row in rows]
    return answer


def _laid(outline: Polygon | MultiPolygon, planting: Planting) -> tuple[list[Row], int]:
    if planting.baseline is not None:
        curved = curved_rows(outline, planting)
        return [row for _, row in curved], len({pair for pair, _ in curved})
    straight = rows_of_blocks([outline], [planting])
    return orchard_rows(straight, [""])[0], len(np.unique(straight.pair))


def _flat_job(job: object) -> dict[str, object]:
    if not isinstance(job, Mapping):
        raise InputError("It is not a job: a job is an object with an outline and its numbers.")
    if job.get("type") == "Feature":
        numbers = job.get("properties")
        known = numbers.items() if isinstance(numbers, Mapping) else ()
        flat: dict[str, object] = {str(key): value for key, value in known if key in _KEYS}
        flat["outline"] = job.get("geometry")
    else:
        flat = {str(key): value for key, value in job.items()}
    refuse_unknown_keys(flat, _KEYS)
    flat = {key: value for key, value in flat.items() if value is not None}
    for key in _NEEDED:
        if key not in flat:
            raise InputError("It is missing.", where=key)
    if not {"bearing_deg", "first_row", "baseline"} & set(flat):
        raise InputError(
            "It is missing.", where="bearing_deg", todo="Or give first_row (two points) or baseline."
        )
    return flat


def _planting(flat: Mapping[str, object]) -> Planting:
    numbers = {key: number_given(flat[key], key) for key in _NUMBERS if key in flat}
    twins = flat.get("lines_per_row", 2 if numbers.get("pair_spacing_m", 0.0) > 0.0 else 1)
    if twins not in (1, 2) or isinstance(twins, bool):
        raise InputError(f"It is {twins!r}; it must be 1 or 2.", where="lines_per_row")
    first_row, baseline = (_points(flat.get(key), key) for key in _POINTS)
    if first_row is not None and len(first_row) != 2:
        raise InputError(f"It has {len(first_row)} points; it must have two.", where="first_row")
    planting = replace(
        Planting(
            numbers.pop("bearing_deg", 0.0), numbers.pop("row_spacing_m"), numbers.pop("tree_spacing_m")
        ),
        **numbers,
        lines_per_row=2 if twins == 2 else 1,
        first_row=None if first_row is None else (first_row[0], first_row[1]),
        baseline=baseline,
    )
    return checked_planting(planting)


def _points(value: object, key: str) -> tuple[tuple[float, float], ...] | None:
    if value is None:
        return None
    if isinstance(value, Mapping) and value.get("type") == "LineString":
        value = value.get("coordinates")
    if not isinstance(value, list | tuple) or not all(
        isinstance(point, list | tuple) and len(point) >= 2 for point in value
    ):
        raise InputError("It must be a list of points, each [longitude, latitude].", where=key)
    return tuple((number_given(point[0], key), number_given(point[1], key)) for point in value)


def _listed(row: Row) -> dict[str, object]:
    lines = [shapely.get_coordinates(part).round(8).tolist() for part in row.line.geoms]
    return {
        "row": row.number,
        "length_m": round(row.length_m, 3),
        "positions": row.positions,
        "part_positions": list(row.part_positions),
        "line": {"type": "MultiLineString", "coordinates": lines},
    }
