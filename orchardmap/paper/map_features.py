"""What lies on a farm beside its blocks, on paper: tracks, gates, water, sheds and power lines in the signs of the legend. Millimetres."""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.maps import signs
from orchardmap.maps.feature_svg import feature_area_svg, feature_line_svg
from orchardmap.maps.sign_svg import glyph_svg
from orchardmap.maps.signs import FeatureSign
from orchardmap.paper.map_content import GroundFeature, MapContent
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_labels import Label, LabelPlaces, upright_angle
from orchardmap.paper.map_lines import WHITE, stroke

__all__ = ["feature_names", "ground_features", "keep_power_lines_clear", "power_lines"]

_MM_PER_PX = 0.12
_NAME_MM = 2.3
_HALF_GLYPH_MM = 12.0 * _MM_PER_PX
_POWER_MM_PER_PX = 0.17
"""Power lines kill: theirs is the heaviest sign of the ground on paper, as large as in the legend, so that it is seen over pruned rows in a dim shed."""
_CASING_MM = 1.4
_OFF_LINE_MM = _CASING_MM / 2 + 1.2
"""From a power line to the middle of its name: it stands beside the line, which is not broken for it."""
_SHARES = (0.5, 0.3, 0.7, 0.15, 0.85, 0.05, 0.95)
"""How far along a line its name may stand."""
_SIGNS = {sign.key: sign for sign in signs.FEATURES}


def ground_features(
    content: MapContent, frame: MapFrame, places: LabelPlaces, *, with_points: bool = True
) -> str:
    """Return all but power lines as SVG elements, and keep words off areas and points; from far points would crowd the rings."""
    return "".join(
        drawn
        for feature in content.features
        if feature.kind != signs.POWER_LINE
        for part in _parts(feature, frame)
        if with_points or not isinstance(part, Point)
        for drawn in _drawn(_SIGNS[feature.kind], part, places)
    )


def power_lines(content: MapContent, frame: MapFrame) -> str:
    """Return power lines as SVG elements, white on both sides: they hang over the rows."""
    lines = [part for one in content.features if one.kind == signs.POWER_LINE for part in _parts(one, frame)]
    sign = _SIGNS[signs.POWER_LINE]
    return stroke(lines, WHITE, _CASING_MM) + "".join(
        _scaled(feature_line_svg(sign, _px(one, _POWER_MM_PER_PX)), _POWER_MM_PER_PX) for one in lines
    )


def keep_power_lines_clear(content: MapContent, frame: MapFrame, places: LabelPlaces) -> None:
    """Keep words and boards off power lines: a line that goes under a board seems to end there."""
    for one in content.features:
        if one.kind == signs.POWER_LINE:
            for part in _parts(one, frame):
                places.take(part.buffer(_CASING_MM / 2, cap_style="flat"))


def feature_names(
    content: MapContent, frame: MapFrame, places: LabelPlaces, *, only_power_lines: bool = False
) -> Iterator[Label]:
    """Return what people call things, each where there is room: beside the blocks rather than on them."""
    blocks = shapely.union_all(frame.mm([block.ground for block in content.blocks]))
    for feature in content.features:
        is_power_line = feature.kind == signs.POWER_LINE
        if not feature.name or (only_power_lines and not is_power_line):
            continue
        off_mm = _OFF_LINE_MM if is_power_line else 0.0
        choices = [label for part in _parts(feature, frame) for label in _beside(feature.name, part, off_mm)]
        away = [label for label in choices if not label.box.intersects(blocks)]
        found = places.first_free([*away, *choices])
        if found:
            yield found


def _parts(feature: GroundFeature, frame: MapFrame) -> list[BaseGeometry]:
    found = frame.cut_mm([feature.shape])
    return [part for part in shapely.get_parts(found).tolist() if isinstance(part, Point) or part.length > 0]


def _drawn(sign: FeatureSign, part: BaseGeometry, places: LabelPlaces) -> Iterator[str]:
    if isinstance(part, LineString) and sign.line:
        yield _scaled(feature_line_svg(sign, _px(part)))
    elif isinstance(part, Polygon) and sign.area:
        places.take(part)
        yield _scaled(feature_area_svg(sign, [_px(ring) for ring in (part.exterior, *part.interiors)]))
    elif sign.glyph:
        middle = part.representative_point()
        places.take(middle.buffer(_HALF_GLYPH_MM))
        yield _scaled(glyph_svg(sign.glyph, x=middle.x / _MM_PER_PX, y=middle.y / _MM_PER_PX))


def _px(line: BaseGeometry, mm_per_px: float = _MM_PER_PX) -> Sequence[tuple[float, float]]:
    return [(x, y) for x, y in (np.array(line.coords)[:, :2] / mm_per_px).tolist()]


def _scaled(drawn: str, mm_per_px: float = _MM_PER_PX) -> str:
    return f'<g transform="scale({mm_per_px})">{drawn}</g>'


def _beside(name: str, part: BaseGeometry, off_mm: float = 0.0) -> Iterator[Label]:
    if isinstance(part, LineString):
        for share in _SHARES:
            low, high = (
                part.interpolate(one, normalized=True) for one in (max(share - 0.01, 0), min(share + 0.01, 1))
            )
            dx, dy = high.x - low.x, high.y - low.y
            length, x, y = math.hypot(dx, dy) or 1.0, (low.x + high.x) / 2, (low.y + high.y) / 2
            for aside in (off_mm, -off_mm) if off_mm else (0.0,):
                at = x - aside * dy / length, y + aside * dx / length
                yield Label(name, *at, _NAME_MM, upright_angle(dx, dy), has_ground=True)
        return
    west, north, east, south = (
        part.bounds if isinstance(part, Polygon) else part.buffer(_HALF_GLYPH_MM).bounds
    )
    x, y, gap = (west + east) / 2, (north + south) / 2, 0.5
    label = Label(name, 0, 0, _NAME_MM)
    right, down = label.width_mm / 2 + (east - west) / 2 + gap, _NAME_MM / 2 + (south - north) / 2 + gap
    for dx, dy in ((right, 0), (-right, 0), (0, down), (0, -down)):
        yield Label(name, x + dx, y + dy, _NAME_MM, has_ground=True)
