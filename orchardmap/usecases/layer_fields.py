"""The layers that other programs may have of a farm, and their fields."""

from collections.abc import Mapping

from orchardmap.locale.catalogue import message
from orchardmap.model.layer import Field, Layer

__all__ = ["LAYERS"]


def _text(name: str, title: Mapping[str, str]) -> Field:
    return Field(name, "text", title)


def _whole(name: str, title: Mapping[str, str]) -> Field:
    return Field(name, "whole", title)


def _number(name: str, title: Mapping[str, str], decimals: int) -> Field:
    return Field(name, "number", title, decimals)


def _yes_no(name: str, title: Mapping[str, str]) -> Field:
    return Field(name, "yes_no", title)


_BLOCK = _text("block", message("Block"))
_ROW = _whole("row", message("Row"))
_POSITION = _whole("position", message("Position"))
_DAY = Field("day", "day", message("Day"))
_ROWS = _whole("rows", message("Rows"))
_POSITIONS = _whole("positions", message("Positions"))
_TREES = _whole("trees", message("Trees"))
_PRUNED = _whole("pruned_trees", message("Trees pruned"))
_SHARE = Field("pruned_share", "number", message("Share of trees pruned"), 6, is_share=True)
_HELD = _whole("held_trees", message("Trees that two crews claim"))
_CREW = _text("crew", message("Crew"))
_CREWS = _text("crews", message("Crews"))
_CHECKED = _whole("checked_trees", message("Trees checked"))
_FAULTY = _whole("faulty_trees", message("Trees found faulty"))
_POINTS = _text("points_not_met", message("Points of the brief not met"))
_NAME = _text("name", message("Name"))
_LENGTH = _number("length_m", message("Length (m)"), 2)
_AREA = _number("area_ha", message("Area (ha)"), 4)
_KIND = _text("kind", message("Kind"))

_BLOCKS = Layer(
    "blocks",
    message("Blocks"),
    message("Each block with its variety, area and planting, and how many rows and trees it has."),
    "MultiPolygon",
    (
        _BLOCK,
        _NAME,
        _text("variety", message("Variety")),
        _AREA,
        _ROWS,
        _POSITIONS,
        _TREES,
        _number("bearing_deg", message("Bearing of the rows (degrees from north)"), 2),
        _number("row_spacing_m", message("Row spacing (m)"), 3),
        _number("tree_spacing_m", message("Tree spacing (m)"), 3),
        _number("slope_percent", message("Slope (%)"), 1),
    ),
)
_ROWS_LAYER = Layer(
    "rows",
    message("Rows"),
    message("Each row with its length and trees, and how many of them are pruned."),
    "MultiLineString",
    (
        _BLOCK,
        _ROW,
        _DAY,
        _LENGTH,
        _POSITIONS,
        _TREES,
        _whole("blanks", message("Blanks")),
        _whole("pollinizers", message("Pollinizers")),
        _PRUNED,
        _SHARE,
        _HELD,
        _CREWS,
    ),
)
_POSITIONS_LAYER = Layer(
    "positions",
    message("Positions"),
    message(
        "Each position of each row as a point: a tree, a blank or a pollinizer, and whether it is pruned."
    ),
    "Point",
    (
        _BLOCK,
        _ROW,
        _POSITION,
        _DAY,
        _text("holds", message("Tree, blank or pollinizer")),
        _yes_no("pruned", message("Pruned")),
        _yes_no("held", message("Claimed by two crews")),
        _CREW,
    ),
)
_MARKS = Layer(
    "marks",
    message("Marks"),
    message(
        "Each stretch of a row that a crew marked as pruned, and that counts. Withdrawn marks are left out."
    ),
    "MultiLineString",
    (
        _BLOCK,
        _ROW,
        _whole("first_position", message("First position")),
        _whole("last_position", message("Last position")),
        _TREES,
        _DAY,
        _CREW,
        _text("method", message("Method")),
        _yes_no("gone_over_again", message("Gone over again after a check")),
        _text("recorder", message("Marked by")),
    ),
)
_CHECKS = Layer(
    "checks",
    message("Checks"),
    message("Each look at a tree that counts, by the brief it was judged by: meets, minor or faulty."),
    "Point",
    (
        _BLOCK,
        _ROW,
        _POSITION,
        _DAY,
        _text("verdict", message("Verdict")),
        _POINTS,
        _text("note", message("Note")),
        _CREW,
        _yes_no("drawn", message("Drawn by lot")),
        _yes_no("second_look", message("Second look")),
        _yes_no("gone_over_since", message("Gone over again since")),
        _text("auditor", message("Checked by")),
    ),
)
_WEAK_AREAS = Layer(
    "weak_areas",
    message("Weak areas"),
    message("Where more trees fail their check than chance explains: suspect or confirmed."),
    "MultiPolygon",
    (
        _BLOCK,
        _DAY,
        _text("state", message("State")),
        _whole("first_row", message("First row")),
        _whole("last_row", message("Last row")),
        _whole("first_position", message("First position")),
        _whole("last_position", message("Last position")),
        _TREES,
        _CHECKED,
        _FAULTY,
        _text("odds", message("How likely by chance")),
        _CREWS,
        _POINTS,
    ),
)
_PROGRESS = Layer(
    "progress",
    message("Progress"),
    message("Each block as of a day: trees pruned, trees left, and what the checks say."),
    "MultiPolygon",
    (
        _BLOCK,
        _NAME,
        _text("variety", message("Variety")),
        _DAY,
        _ROWS,
        _whole("rows_done", message("Rows done")),
        _TREES,
        _PRUNED,
        _whole("trees_left", message("Trees left")),
        _SHARE,
        _HELD,
        _whole("trees_again", message("Trees to go over again")),
        _CHECKED,
        _FAULTY,
        _text("verdict", message("Verdict")),
        _whole("weak_areas", message("Weak areas")),
    ),
)

_FARM_POINTS = Layer(
    "farm_points",
    message("Gates and other points"),
    message("What lies on the farm beside its blocks and is a point: gates, water, sheds."),
    "Point",
    (_KIND, _NAME),
)
_FARM_LINES = Layer(
    "farm_lines",
    message("Tracks and other lines"),
    message("What lies on the farm beside its blocks and is a line: tracks, water."),
    "MultiLineString",
    (_KIND, _NAME, _LENGTH),
)
_FARM_AREAS = Layer(
    "farm_areas",
    message("Water, sheds and other areas"),
    message("What lies on the farm beside its blocks and has an area: water, sheds."),
    "MultiPolygon",
    (_KIND, _NAME, _AREA),
)
_POWER_LINES = Layer(
    "power_lines",
    message("Power lines"),
    message(
        "Power lines as they were drawn for this farm, with the distance to keep by its own setting. "
        "There may be others; local rules and the owner of the line decide."
    ),
    "MultiLineString",
    (
        _NAME,
        _number("voltage_kv", message("Voltage to ground (kV)"), 3),
        _number("clearance_m", message("Distance to keep (m)"), 2),
        _LENGTH,
    ),
)

LAYERS: Mapping[str, Layer] = {
    layer.name: layer
    for layer in (
        _BLOCKS, _ROWS_LAYER, _POSITIONS_LAYER, _MARKS, _CHECKS, _WEAK_AREAS, _PROGRESS, _FARM_POINTS, _FARM_LINES, _FARM_AREAS, _POWER_LINES,
    )
}  # fmt: skip
"""By name, in the order that they are told in."""
