"""The land: farm, variety, block, row.

Coordinates are WGS 84 (EPSG:4326), longitude first, in degrees.
"""

from dataclasses import dataclass, field
from typing import Literal

from shapely.geometry import MultiLineString, MultiPolygon, Polygon

Habit = Literal["spur", "tip", "both", "unknown"]


@dataclass(frozen=True, slots=True)
class Farm:
    """One business and its land; the wall between tenants."""

    id: str
    name: str
    time_zone: str
    """IANA name; the day worked is a day of this zone."""


@dataclass(frozen=True, slots=True)
class Variety:
    """What is planted, and where it fruits."""

    id: str
    farm_id: str
    name: str
    habit: Habit
    habit_source: str = ""
    is_biennial: bool = False
    """It tends to bear every other year."""
    is_canker_prone: bool = False
    """Its wounds take canker easily."""


@dataclass(frozen=True, slots=True)
class Planting:
    """The numbers that turn an outline into rows and trees. Lengths in metres, bearing in degrees.

    ``bearing_deg`` is clockwise from true north, 0 <= b < 360; its *direction* fixes where row 1
    and position 1 are. ``row_spacing_m`` is the pitch from row to row (from pair to pair with
    ``lines_per_row`` 2, whose lines stand ``pair_spacing_m`` apart).
    """

    bearing_deg: float
    row_spacing_m: float
    tree_spacing_m: float
    end_offset_m: float = 0.0
    first_row_offset_m: float = 0.0
    headland_m: float = 0.0
    min_row_length_m: float = 3.0
    lines_per_row: int = 1
    pair_spacing_m: float = 0.0
    first_row: tuple[tuple[float, float], tuple[float, float]] | None = None
    """Two points on row 1 (lonlat), first end first; replaces bearing and first-row offset. The other rows follow on the
    side on which more of the block lies."""
    baseline: tuple[tuple[float, float], ...] | None = None
    """A drawn first row (lonlat) that the others follow at the row spacing: curved rows."""


@dataclass(frozen=True, slots=True)
class Block:
    """One planting: outline, variety, spacings, bearing of rows."""

    id: str
    farm_id: str
    code: str
    """What stands on the map beside the ring, unique in the farm."""
    name: str
    variety_id: str | None
    outline: MultiPolygon | Polygon | None
    """None for a block whose rows were surveyed and whose outline nobody gave."""
    planting: Planting | None
    area_ha: float
    """Geodesic, WGS 84."""
    shape_version: str = ""
    """Changes whenever outline, rows, blanks or pollinizers change; names the immutable shape document."""
    slope_percent: float | None = None
    """Steepest rise over run that crews meet; None where nobody said."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of trees. Known by block and number, for good once a mark exists.

    ``part_positions`` holds how many positions stand on each part of ``line``, in order; a pond
    or a road cuts a row into parts, numbering runs on through them.
    """

    block_id: str
    number: int
    line: MultiLineString
    length_m: float
    """Geodesic plan length of all parts, end to end of the row (headland already off)."""
    end_offset_m: float
    """From each end of a part to its first and last position."""
    part_positions: tuple[int, ...]
    counted_positions: int | None = None
    """A count made in the field; it overrides the rule, and both are kept."""
    blanks: frozenset[int] = field(default_factory=frozenset)
    pollinizers: frozenset[int] = field(default_factory=frozenset)

    @property
    def positions(self) -> int:
        """Tree spaces in the row: the counted number where there is one, else the rule's."""
        return self.counted_positions if self.counted_positions is not None else sum(self.part_positions)

    @property
    def trees(self) -> int:
        """Positions minus blanks minus pollinizers: what is paid by default."""
        return self.positions - len(self.blanks | self.pollinizers)
