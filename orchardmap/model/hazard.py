"""What is dangerous about a block, whatever is done there."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from shapely.geometry import MultiLineString

HazardKey = Literal["overhead-lines", "slope", "closure"]
"""The same words as the cautions of `orchardmap.pruning.cautions`."""


@dataclass(frozen=True, slots=True)
class HazardLine:
    """A power line over or beside the farm. Its height is not known, so it counts as within reach everywhere."""

    id: str
    farm_id: str
    name: str
    kv: float
    """Voltage to ground in kilovolts; whoever knows only the line's own voltage gives that, which is more."""
    line: MultiLineString
    """lonlat degrees, WGS 84, with a vertex at each pole."""


@dataclass(frozen=True, slots=True)
class Hazard:
    """One danger of a block, said to its crew."""

    key: HazardKey
    texts: Mapping[str, str] = field(hash=False)
    """Language to sentences."""
    rows: tuple[int, ...] = ()
    """Numbers of the rows that it is about, in order; empty for the whole block."""
