"""What every layer is made from: one moment of a farm, and what of it is asked for only once."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

from shapely.geometry.base import BaseGeometry

from orchardmap.geodata.globe import as_multi
from orchardmap.model.layer import Value
from orchardmap.model.orchard import Block
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store.session import Connection
from orchardmap.store.states import RowState
from orchardmap.usecases.folding import states_on
from orchardmap.usecases.glance import overview_json
from orchardmap.usecases.moments import Moment

__all__ = ["Found", "Reading", "found"]


class Found(NamedTuple):
    """A feature while it is made. ``key`` orders it within its block; the values are those of the layer's fields."""

    key: str
    id: str
    geometry: BaseGeometry | None
    values: tuple[Value, ...]


def found(key: str, feature_id: str, geometry: BaseGeometry | None, *values: Value) -> Found:
    """Build a feature whose geometry is of its layer's one kind."""
    return Found(key, feature_id, as_multi(geometry), values)


@dataclass(frozen=True)
class Reading:
    """A farm as of a day, in one transaction, for somebody who may know some people's names."""

    conn: Connection
    at: Moment
    people_of: Collection[str] | None = None
    """Roles of the people whose names are told; None tells all."""
    language: str = "en"

    @cached_property
    def blocks(self) -> tuple[Block, ...]:
        """The farm's blocks, in the order of their codes."""
        return tuple(orchard.blocks(self.conn, self.at.farm.id))

    @cached_property
    def crews(self) -> Mapping[str | None, str]:
        """Name by id."""
        return {crew.id: crew.name for crew in farm_store.crews(self.conn, self.at.farm.id)}

    @cached_property
    def people(self) -> Mapping[str | None, str]:
        """Names that may be told, by id."""
        known = farm_store.people(self.conn, self.at.farm.id)
        return {one.id: one.name for one in known if self.people_of is None or one.role in self.people_of}

    @cached_property
    def varieties(self) -> Mapping[str | None, str]:
        """Name by id."""
        return {variety.id: variety.name for variety in farm_store.varieties(self.conn, self.at.farm.id)}

    @cached_property
    def overview(self) -> Mapping[str, dict[str, Any]]:
        """What the overview tells of each block, by id."""
        return {block["id"]: block for block in overview_json(self.conn, self.at)["blocks"]}

    def states(self, block_ids: Sequence[str]) -> dict[tuple[str, int], RowState]:
        """Return the state of every row of some blocks that has one, by block id and number."""
        if self.at.season is None:
            return {}
        states = states_on(self.conn, self.at.season.id, block_ids, self.at.until)
        return {(state.block_id, state.row): state for state in states}
