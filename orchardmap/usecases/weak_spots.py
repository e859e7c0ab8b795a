"""Where a farm's work is weak, as of a day: what was looked at, and the areas of all blocks held to one level."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from orchardmap.quality.farm_areas import FarmAreas, areas_at
from orchardmap.quality.weak_areas import WeakArea
from orchardmap.store import farm_settings as setting_store
from orchardmap.store.lots import returns_of_lots
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection
from orchardmap.usecases.area_looks import BlockLooks, looks_of_blocks
from orchardmap.usecases.checked_trees import ReadCheck, read_checks
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.return_facts import ReturnFacts, return_facts

__all__ = ["Looks", "farm_areas", "farm_level", "overlaps", "read_looks", "weak_counts"]

_REMEMBERED: Remembered[FarmAreas] = Remembered(60)
"""A page that is drawn asks for the same farm's areas several times, each tablet once more."""


@dataclass(frozen=True, slots=True)
class Looks:
    """What is known of trees that tells of weak areas."""

    blocks: Mapping[str, BlockLooks]
    returns: tuple[ReturnFacts, ...]


def farm_level(conn: Connection, farm_id: str) -> float:
    """Return the level that a farm's weak areas are held to, 0 to 1."""
    return setting_store.farm_settings(conn, farm_id).weak_area_level_percent / 100.0


def read_looks(
    conn: Connection,
    at: Moment,
    block_ids: Collection[str] | None = None,
    *,
    checks: Sequence[ReadCheck] | None = None,
    returns: Sequence[ReturnFacts] | None = None,
) -> Looks:
    """Return what is known of trees on the day that is looked at.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day.
    block_ids : collection of str, optional
        Only these blocks.
    checks : sequence of ReadCheck, optional
    returns : sequence of ReturnFacts, optional
        All of those blocks', where they are at hand.

    Returns
    -------
    Looks
    """
    asked = None if block_ids is None else sorted(block_ids)
    known = read_checks(conn, at, asked) if checks is None else checks
    made = return_facts(conn, at, asked) if returns is None else returns
    recheck_of = returns_of_lots(conn, at.season.id) if at.season else {}
    return Looks(looks_of_blocks(known, made, recheck_of), tuple(made))


def farm_areas(
    conn: Connection,
    at: Moment,
    *,
    level: float | None = None,
    checks: Sequence[ReadCheck] | None = None,
    returns: Sequence[ReturnFacts] | None = None,
) -> FarmAreas:
    """Return the weak areas of all of a farm's blocks: whichever are asked about, an area stands against those of the others.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day.
    level : float, optional
        The farm's own (`farm_level`) when left out.
    checks, returns : optional
        All of the farm's on that day, where they are at hand.

    Returns
    -------
    FarmAreas
        Remembered until something of the farm changes.
    """
    held_to = farm_level(conn, at.farm.id) if level is None else level

    def work_out() -> FarmAreas:
        looks = read_looks(conn, at, checks=checks, returns=returns)
        return areas_at(held_to, {block_id: one.checked_trees() for block_id, one in looks.blocks.items()})

    season_id = at.season.id if at.season else None
    return _REMEMBERED.answer(conn, at.farm.id, (season_id, at.until, held_to), work_out)


def overlaps(asked: ReturnFacts, area: WeakArea) -> bool:
    """Tell whether a return asks for a position of an area, both of one block."""
    return any(
        area.rows[0] <= one.row <= area.rows[1]
        and one.first <= area.positions[1]
        and area.positions[0] <= one.last
        for one in asked.stretches
    )


def weak_counts(found: FarmAreas, returns: Sequence[ReturnFacts]) -> dict[str, int]:
    """Return how many areas of each block wait for a manager: those that no return still under way overlaps."""
    under_way = [one for one in returns if one.state in ("open", "redone")]
    return {
        block_id: sum(
            not any(one.said.block_id == block_id and overlaps(one, area) for one in under_way)
            for area in found.standing(block_id)
        )
        for block_id in found.of_block
    }
