"""Where a farm's work is weak, as of a day: what was looked at, and the areas of all blocks held to one level."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from orchardmap.quality.farm_areas import FarmAreas, areas_at
from orchardmap.quality.weak_areas import WeakArea
from orchardmap.store import farm_settings as setting_store
from orchardmap.store.recheck_lots import returns_of_lots
from orchardmap.store.session import Connection
from orchardmap.usecases.area_looks import BlockLooks, looks_of_blocks
from orchardmap.usecases.checked_trees import ReadCheck, read_checks
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.return_facts import ReturnFacts, return_facts

__all__ = ["FarmLooks", "farm_level", "farm_looks", "overlaps", "weak_counts"]


@dataclass(frozen=True, slots=True)
class FarmLooks:
    """What is known of a farm's trees that tells of weak areas."""

    blocks: Mapping[str, BlockLooks]
    returns: tuple[ReturnFacts, ...]

    def areas_at(self, level: float) -> FarmAreas:
        """Return the weak areas at a level."""
        return areas_at(level, {block_id: looks.checked_trees() for block_id, looks in self.blocks.items()})


def farm_level(conn: Connection, farm_id: str) -> float:
    """Return the level that a farm's weak areas are held to, 0 to 1."""
    return setting_store.farm_settings(conn, farm_id).weak_area_level_percent / 100.0


def farm_looks(
    conn: Connection,
    at: Moment,
    *,
    checks: Sequence[ReadCheck] | None = None,
    returns: Sequence[ReturnFacts] | None = None,
) -> FarmLooks:
    """Return what is known of all the farm's trees on the day that is looked at.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day.
    checks : sequence of ReadCheck, optional
    returns : sequence of ReturnFacts, optional
        All of the farm's, where they are at hand.

    Returns
    -------
    FarmLooks
        Of all blocks, whichever are asked about: an area stands against those of the others.
    """
    known = read_checks(conn, at) if checks is None else checks
    made = return_facts(conn, at) if returns is None else returns
    recheck_of = returns_of_lots(conn, {check.lot_id for check in known if check.lot_id is not None})
    return FarmLooks(looks_of_blocks(known, made, recheck_of), tuple(made))


def overlaps(asked: ReturnFacts, area: WeakArea) -> bool:
    """Tell whether a return asks for a position of an area, both of one block."""
    return any(
        area.rows[0] <= one.row <= area.rows[1]
        and one.first <= area.positions[1]
        and area.positions[0] <= one.last
        for one in asked.stretches
    )


def weak_counts(looks: FarmLooks, level: float) -> dict[str, int]:
    """Return how many areas of each block wait for a manager: those that no return still under way overlaps."""
    found = looks.areas_at(level)
    under_way = [one for one in looks.returns if one.state in ("open", "redone")]
    return {
        block_id: sum(
            not any(one.said.block_id == block_id and overlaps(one, area) for one in under_way)
            for area in found.standing(block_id)
        )
        for block_id in found.of_block
    }
