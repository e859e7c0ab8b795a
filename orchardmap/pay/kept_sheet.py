"""What the sheets of a run tell beside its lines, as it is kept: hours and floor tests as they were."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from orchardmap.pay.lines import FloorTest
from orchardmap.pay.worked import Hours

__all__ = ["floor_from_json", "floor_json", "hours_from_json", "hours_json"]


def hours_json(one: Hours) -> dict[str, Any]:
    """Return somebody's hours of a day as JSON; decimals are text."""
    return {
        "person_id": one.person_id,
        "crew_id": one.crew_id,
        "day": one.day.isoformat(),
        "hours": f"{one.hours:f}",
        "rest_minutes": f"{one.rest_minutes:f}",
        "is_named": one.is_named,
    }


def hours_from_json(said: Mapping[str, Any]) -> Hours:
    """Return hours that `hours_json` told."""
    return Hours(
        said["person_id"],
        said["crew_id"],
        date.fromisoformat(said["day"]),
        Decimal(said["hours"]),
        Decimal(said["rest_minutes"]),
        is_named=said["is_named"],
    )


def floor_json(one: FloorTest) -> dict[str, Any]:
    """Return a floor test as JSON; hours are a fraction, amounts decimal text."""
    return {
        "person_id": one.person_id,
        "first": one.first.isoformat(),
        "period": one.period,
        "hours": str(one.hours),
        "earned": f"{one.earned:f}",
        "floor": f"{one.floor:f}",
        "top_up": f"{one.top_up:f}",
    }


def floor_from_json(said: Mapping[str, Any]) -> FloorTest:
    """Return a floor test that `floor_json` told."""
    return FloorTest(
        said["person_id"],
        date.fromisoformat(said["first"]),
        said["period"],
        Fraction(said["hours"]),
        Decimal(said["earned"]),
        Decimal(said["floor"]),
        Decimal(said["top_up"]),
    )
