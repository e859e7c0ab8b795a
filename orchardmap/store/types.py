"""Column types that mean the same on both engines."""

from datetime import UTC, datetime
from typing import Any

import shapely
from geoalchemy2 import Geometry
from shapely.geometry.base import BaseGeometry
from sqlalchemy import Dialect, LargeBinary, Uuid
from sqlalchemy.types import DateTime, TypeDecorator, TypeEngine

__all__ = ["Geom", "Moment", "StoredId"]

_SRID = 4326


class Geom(TypeDecorator[BaseGeometry]):
    """A shapely geometry in WGS 84: ``geometry(…, 4326)`` on PostGIS, little-endian WKB on SQLite.

    Parameters
    ----------
    kind : str
        Geometry type by its OGC name, or ``"GEOMETRY"`` for any.
    """

    impl = LargeBinary
    cache_ok = True
    # GeoAlchemy2's table events read these through the decorator
    spatial_index = False
    use_N_D_index = False  # noqa: N815 - GeoAlchemy2's own name
    use_typmod = None
    dimension = 2
    _spatial_index_reflected = None

    def __init__(self, kind: str = "GEOMETRY") -> None:
        super().__init__()
        self.kind = kind

    def load_dialect_impl(self, dialect: Dialect | None) -> TypeEngine[Any]:  # GeoAlchemy2 passes None
        """Return the column type of the engine."""
        if dialect is not None and dialect.name == "postgresql":
            return Geometry(self.kind, srid=_SRID, spatial_index=False)
        return LargeBinary()

    def process_bind_param(self, value: BaseGeometry | None, dialect: Dialect) -> Any:  # noqa: ANN401
        """Return what the driver stores."""
        if value is None:
            return None
        if dialect.name == "postgresql":
            return shapely.to_wkb(shapely.set_srid(value, _SRID), hex=True, include_srid=True)
        return shapely.to_wkb(value, byte_order=1)

    def process_result_value(self, value: Any, dialect: Dialect) -> BaseGeometry | None:  # noqa: ANN401, ARG002
        """Return shapely, whatever the driver gave."""
        if value is None:
            return None
        raw = getattr(value, "data", value)
        return shapely.set_srid(shapely.from_wkb(bytes(raw) if isinstance(raw, memoryview) else raw), 0)


class Moment(TypeDecorator[datetime]):
    """A moment in UTC: ``timestamptz`` on PostgreSQL, naive UTC text on SQLite; always aware in Python."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Return UTC; a moment without a zone is a mistake of ours, not of the user."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a moment needs a time zone")
        utc = value.astimezone(UTC)
        return utc if dialect.name == "postgresql" else utc.replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Return an aware moment in UTC."""
        if value is None:
            return None
        return value.astimezone(UTC) if value.tzinfo else value.replace(tzinfo=UTC)


class StoredId(Uuid[str]):
    """An id as text: ``uuid`` on PostgreSQL, its 32 digits on SQLite.

    Reading makes no UUID of each: an overview of the demo farm reads 27,000 ids, and that was a fifth of its time.
    """

    def __init__(self) -> None:
        super().__init__(as_uuid=False)

    def result_processor(self, dialect: Dialect, coltype: object) -> Any:  # noqa: ANN401 - as SQLAlchemy has it
        """Return what puts the dashes in."""
        return _dashed if not dialect.supports_native_uuid else super().result_processor(dialect, coltype)  # type: ignore[no-untyped-call]


def _dashed(digits: str | None) -> str | None:
    if digits is None:
        return None
    told = digits.lower()
    return f"{told[:8]}-{told[8:12]}-{told[12:16]}-{told[16:20]}-{told[20:]}"
