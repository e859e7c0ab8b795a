"""Values of columns as JSON can carry them, and back: the same for both engines, to the last bit."""

import base64
import binascii
import math
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

import shapely
from sqlalchemy import JSON, BigInteger, Boolean, Column, Date, Float, Integer, LargeBinary, Uuid

from orchardmap.errors import ImportFileError
from orchardmap.store.types import Geom, Moment

__all__ = ["kept_value", "plain_value"]


def plain_value(column: Column[Any], value: Any) -> Any:  # noqa: ANN401 - whatever a column holds
    """Return a value as JSON can carry it: geometry as WKB in hex, moments and days as ISO 8601, bytes as base64."""
    if value is None:
        return None
    if isinstance(column.type, Geom):
        return shapely.to_wkb(value, hex=True, byte_order=1)
    if isinstance(value, date):
        return value.isoformat()
    return base64.b64encode(value).decode() if isinstance(value, bytes) else value


def kept_value(column: Column[Any], line: Mapping[str, Any], *, where: str) -> Any:  # noqa: ANN401 - whatever a column holds
    """Return the value of a column out of a line, as the engine takes it.

    Raises
    ------
    ImportFileError
        If it is missing, or not what the column holds; the place says which one.
    """
    if column.name not in line:
        raise ImportFileError("it is missing", where=f"{where}, {column.name}", todo="Nothing was taken.")
    value = line[column.name]
    if value is None:
        if not column.nullable:
            raise ImportFileError(
                "it may not be null", where=f"{where}, {column.name}", todo="Nothing was taken."
            )
        return None
    try:
        return _read(column.type, value)
    except (ValueError, TypeError, binascii.Error, shapely.errors.GEOSException) as error:
        raise ImportFileError(
            "it does not fit", where=f"{where}, {column.name}", todo="Nothing was taken."
        ) from error


def _read(kind: Any, value: Any) -> Any:  # noqa: ANN401 - whatever a line holds
    if isinstance(kind, JSON):
        return value
    if isinstance(kind, Boolean):
        return _fitting(value, isinstance(value, bool))
    if isinstance(kind, Integer):
        limit = 2**63 if isinstance(kind, BigInteger) else 2**31
        return _fitting(value, type(value) is int and -limit <= value < limit)
    if isinstance(kind, Float):
        return float(_fitting(value, type(value) in {int, float} and math.isfinite(value)))
    return _read_text(kind, _fitting(value, isinstance(value, str) and "\x00" not in value))


def _read_text(kind: Any, text: str) -> Any:  # noqa: ANN401 - whatever a line holds
    if isinstance(kind, Geom):
        return shapely.from_wkb(text)
    if isinstance(kind, Moment):
        moment = datetime.fromisoformat(text)
        return _fitting(moment, moment.tzinfo is not None)
    if isinstance(kind, Date):
        return date.fromisoformat(text)
    if isinstance(kind, LargeBinary):
        return base64.b64decode(text, validate=True)
    return _fitting(text, str(UUID(text)) == text) if isinstance(kind, Uuid) else text


def _fitting(value: Any, fits: bool) -> Any:  # noqa: ANN401 - whatever a line holds
    if not fits:
        raise ValueError
    return value
