"""What a column holds is the same after it went through a line of JSON; what does not fit is refused, never bent."""

import json
import struct
from contextlib import suppress
from datetime import UTC
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import JSON, BigInteger, Boolean, Column, Date, Float, Integer, LargeBinary, Text, Uuid

from orchardmap.errors import ImportFileError
from orchardmap.store.plain_values import kept_value, plain_value
from orchardmap.store.types import Geom, Moment

TEXTS = st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"]))
FINITE = st.floats(allow_nan=False, allow_infinity=False)
DEGREES = st.floats(-180, 180)
NESTED = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | FINITE | TEXTS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXTS, inner, max_size=3),
    max_leaves=8,
)
KINDS: dict[str, tuple[Any, st.SearchStrategy[Any]]] = {
    "text": (Text, TEXTS),
    "id": (Uuid(as_uuid=False), st.uuids().map(str)),
    "integer": (Integer, st.integers(-(2**31), 2**31 - 1)),
    "long integer": (BigInteger, st.integers(-(2**63), 2**63 - 1)),
    "float": (Float(53), FINITE),
    "yes or no": (Boolean, st.booleans()),
    "day": (Date, st.dates()),
    "moment": (Moment, st.datetimes(timezones=st.just(UTC))),
    "bytes": (LargeBinary, st.binary()),
    "json": (JSON, NESTED),
    "geometry": (Geom("POINT"), st.builds(shapely.Point, DEGREES, DEGREES)),
}


def through_json(column: Column[Any], value: Any) -> Any:
    line = json.loads(json.dumps({"x": plain_value(column, value)}, allow_nan=False))
    return kept_value(column, line, where="here")


def bits(value: Any) -> Any:
    return struct.pack("d", value) if isinstance(value, float) else value


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
def test_a_value_comes_back_to_the_bit(kind, data):
    made, values = KINDS[kind]
    value = data.draw(values)
    back = through_json(Column("x", made), value)
    assert type(back) is type(value)
    assert bits(back) == bits(value)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "json"])
@given(value=NESTED)
def test_what_a_column_does_not_hold_is_refused(kind, value):
    """Or it is of the column's own kind, and then it stays what it was."""
    column = Column("x", KINDS[kind][0], nullable=False)
    with suppress(ImportFileError):
        told = plain_value(column, kept_value(column, {"x": value}, where="here"))
        assert told == value or (kind in {"day", "moment", "bytes", "geometry"} and isinstance(value, str))


def test_a_column_that_is_not_there_is_missed():
    with pytest.raises(ImportFileError, match="missing"):
        kept_value(Column("x", Text), {}, where="here")
