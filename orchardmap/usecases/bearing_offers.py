"""What the screens and the shell offer as the bearing of an outline's rows, in words."""

from typing import Any

from shapely.geometry import MultiPolygon, Polygon

from orchardmap.geometry.bearing import bearing_suggestions

__all__ = ["UNSURE_BEARING", "bearing_offers"]

Json = dict[str, Any]

UNSURE_BEARING = (
    "The outline does not say which way the rows run: click two points along row 1, its first end first."
)

_BEARING_WORDS = {
    "longest_edge": "along the longest edge",
    "across_longest_edge": "across the longest edge",
    "minimum_rectangle": "along the smallest rectangle",
    "principal_axis": "along the long axis",
}


def bearing_offers(outline: Polygon | MultiPolygon) -> tuple[list[Json], list[str]]:
    """Return the bearings to choose from, in degrees clockwise from true north, and what is to be warned of."""
    found = bearing_suggestions(outline)
    offered = [
        {"code": s.code, "label": _BEARING_WORDS[s.code], "bearing_deg": round(s.bearing_deg, 2)}
        for s in found.suggestions
    ]
    warnings = []
    if found.disagree:
        warnings.append(UNSURE_BEARING)
    return offered, warnings
