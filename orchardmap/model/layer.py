"""What leaves the farm for other programs: layers, each a table of features with fields that never differ between them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from shapely.geometry.base import BaseGeometry

__all__ = ["Features", "Field", "GeometryKind", "Kind", "Layer", "Value"]

Kind = Literal["text", "whole", "number", "yes_no", "day"]
"""Of a field: text, an integer, a float, a truth value, a calendar day of the farm's own zone."""
GeometryKind = Literal["MultiPolygon", "MultiLineString", "Point"]
Value = str | int | float | bool | date | None
Sentences = Mapping[str, str]
"""Language to sentence, English first (`orchardmap.locale.catalogue.message`)."""


@dataclass(frozen=True, slots=True)
class Field:
    """One column of a layer. Its name carries what it counts or its unit: ``length_m``, ``pruned_trees``."""

    name: str
    kind: Kind
    title: Sentences
    decimals: int | None = None
    """Of a number: how many are told; None where it is none."""
    is_share: bool = False
    """From 0 to 1, to be shown as a percentage."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A table of features of one kind of geometry. Every feature has all fields; what is not known is null."""

    name: str
    title: Sentences
    description: Sentences
    geometry: GeometryKind
    fields: tuple[Field, ...]

    @property
    def field_names(self) -> tuple[str, ...]:
        """Names of the fields, in their order."""
        return tuple(field.name for field in self.fields)


@dataclass(frozen=True, slots=True)
class Features:
    """Some features of a layer as columns of one length."""

    layer: Layer
    ids: tuple[str, ...]
    """Unique in the farm's layer, and the same each time it is asked for."""
    geometries: tuple[BaseGeometry | None, ...]
    """Of the layer's kind, two-dimensional, WGS 84 longitude and latitude within -180 .. 180 degrees (cut at the antimeridian)."""
    columns: Mapping[str, Sequence[Value]]
    """By field name, in the layer's order."""

    def __len__(self) -> int:
        return len(self.ids)

    def values(self, index: int) -> dict[str, Value]:
        """Return the fields of one feature by name, in the layer's order."""
        return {name: column[index] for name, column in self.columns.items()}
