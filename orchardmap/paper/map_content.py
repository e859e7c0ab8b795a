"""What a map on paper shows, in metres of one flat frame of the farm: x to the east, y to the north."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

__all__ = ["GroundFeature", "MapBlock", "MapContent", "MapPatch"]


@dataclass(frozen=True, slots=True)
class MapPatch:
    """Hatched ground: a weak area."""

    state: str
    """A key of `orchardmap.maps.signs.PATCHES`."""
    ground: BaseGeometry
    words: str = ""


@dataclass(frozen=True, slots=True)
class MapBlock:
    """One block with its rows, each at its true length."""

    id: str
    code: str
    variety: str
    trees: int
    pruned: int
    verdict: str
    """A key of `orchardmap.maps.signs.PITHS`."""
    numbers: NDArray[np.int64]
    """Of its rows, in order, shape (n,)."""
    rows: NDArray[np.object_]
    """Whole rows as MultiLineString, first end first, shape (n,)."""
    stretches: Mapping[str, Sequence[BaseGeometry]]
    """What of the rows is drawn by which key of `orchardmap.maps.signs.LINES`; together they are the rows."""
    pitch_m: float
    """From row to row."""
    outline: BaseGeometry | None = None
    patches: tuple[MapPatch, ...] = ()
    has_overlap: bool = False
    has_again: bool = False
    has_weak: bool = False
    """Whether a weak area has no return yet; others are among the patches too."""
    closed_until: str = ""
    """Empty where it is open."""

    @property
    def share(self) -> float:
        """Of its trees that are pruned, 0 to 1."""
        return self.pruned / self.trees if self.trees else 0.0

    @property
    def ground(self) -> BaseGeometry:
        """The outline, or else what its rows take up."""
        if self.outline is not None:
            return self.outline
        return shapely.buffer(shapely.union_all(self.rows).convex_hull, self.pitch_m / 2)


@dataclass(frozen=True, slots=True)
class GroundFeature:
    """A track, a gate, water, a shed or a power line."""

    kind: str
    """A key of `orchardmap.maps.signs.FEATURES`."""
    name: str
    """As it is spoken of, a power line with its voltage; empty where nobody calls it anything."""
    shape: BaseGeometry


@dataclass(frozen=True, slots=True)
class MapContent:
    """A farm, or some of its blocks, as of a day."""

    farm: str
    season: str
    day: date
    blocks: tuple[MapBlock, ...]
    features: tuple[GroundFeature, ...] = ()
    notes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Sentences that stand beside the map, by heading: closures, weak areas, dangers."""
    made_at: datetime | None = None
    """By the farm's clock."""

    @property
    def bounds_m(self) -> tuple[float, float, float, float]:
        """West, south, east and north of the blocks."""
        west, south, east, north = shapely.total_bounds([block.ground for block in self.blocks])
        return float(west), float(south), float(east), float(north)
