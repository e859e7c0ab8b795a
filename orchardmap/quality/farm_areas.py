"""Weak areas of many blocks, held to one level. Pure.

Of forty blocks without any weak area two show one at 5 % each. So a block's most striking area is held against those of
the others: Y. Benjamini and Y. Hochberg 1995, Journal of the Royal Statistical Society B 57:289-300. Where nothing is weak
anywhere, something is shown on so many farms in a hundred as the level says; else that share of what is shown is chance.
"""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, sqrt

import numpy as np

from orchardmap.errors import InputError
from orchardmap.quality.weak_areas import (
    LEVEL,
    PERMUTATIONS,
    CheckedTree,
    WeakArea,
    area_state,
    weak_areas,
)

__all__ = ["LOOSEST_LEVEL", "FarmAreas", "areas_at", "deals_needed", "suspect_to"]

LOOSEST_LEVEL = 0.20
FEW_PERMUTATIONS, SOME_PERMUTATIONS = 39, 399
"""Enough to see that nothing is weak; and to tell the p of what is hardly weak."""
MOST_PERMUTATIONS = 9_999
_ROOM = 2.5
"""Standard deviations above the level from which on few permutations say plainly that nothing is suspect."""
_STRIKING = 0.02
"""From this p down more permutations tell it better."""
_ANSWERS_KEPT = 2_000
"""A block has up to four for each set of checks that anybody asks about, of some kilobytes."""

Areas = tuple[WeakArea, ...]


@dataclass(frozen=True, slots=True)
class FarmAreas:
    """The weak areas of several blocks at one level."""

    level: float
    looked_at: int
    """Blocks with enough checks, and faulty trees among them."""
    deals: int
    """Permutations that the smallest p rest on."""
    of_block: Mapping[str, Areas]
    """By block id: those suspect or confirmed, and those that new trees cleared ("none"), the most striking first."""

    def standing(self, block_id: str) -> list[WeakArea]:
        """Return the areas of a block that are suspect or confirmed."""
        return [area for area in self.of_block.get(block_id, ()) if area.state != "none"]


def areas_at(level: float, checks: Mapping[str, Iterable[CheckedTree]]) -> FarmAreas:
    """Return the weak areas of several blocks, held together to one level.

    Parameters
    ----------
    level : float, above 0, at most `LOOSEST_LEVEL`
        Share of the suspect areas that may be chance, and chance that any is suspect where nothing is weak. The new trees of a
        re-check are held to it by themselves, and to `orchardmap.quality.weak_areas.LEVEL` where that is stricter: a
        suspect area is only looked at again, a confirmed one goes back to its crew.
    checks : mapping of str to iterable of CheckedTree
        By block id: each tree once, in any order.

    Returns
    -------
    FarmAreas
        A function of the checks alone: each block is dealt anew in a way of its own, the same whoever asks.

    Raises
    ------
    InputError
        If the level is out of range; and as `orchardmap.quality.weak_areas.weak_areas`.

    Examples
    --------
    >>> weak = [CheckedTree(row, at, row == 3 and at < 7) for row in range(1, 9) for at in range(1, 11)]
    >>> fine = [CheckedTree(row, at, row == at) for row in range(1, 9) for at in range(1, 11)]
    >>> told = areas_at(0.05, {"weak": weak, "fine": fine, "not faulty": [CheckedTree(1, 1, False)]})
    >>> told.looked_at, list(told.of_block), told.of_block["weak"][0].rows
    (2, ['weak'], (3, 3))
    """
    if not 0.0 < level <= LOOSEST_LEVEL:
        raise InputError(f"It must be above 0 and at most {LOOSEST_LEVEL:g}.", where="level")
    packed = {block_id: _packed(trees) for block_id, trees in checks.items()}
    deals, found = PERMUTATIONS, _found(packed, level, PERMUTATIONS)
    needed = deals_needed([areas[0].p for areas in found.values()], level)
    if needed > deals:
        deals, found = needed, _found(packed, level, needed)
    limit = suspect_to([areas[0].p for areas in found.values()], level)
    told = {block_id: _at_level(areas, limit, level) for block_id, areas in found.items()}
    return FarmAreas(level, len(found), deals, {block_id: areas for block_id, areas in told.items() if areas})


def _at_level(areas: Areas, limit: float, level: float) -> Areas:
    confirmed_to = min(level, LEVEL)
    stated = (
        replace(area, state=area_state(area.p, area.recheck, suspect_to=limit, level=confirmed_to))
        for area in areas
    )
    return tuple(area for area in stated if area.state != "none" or area.recheck)


def suspect_to(best: Sequence[float], level: float) -> float:
    """Return up to which p an area is suspect, where several blocks are looked at.

    Parameters
    ----------
    best : sequence of float, 0 to 1
        The p of the most striking area of each block that was looked at, in any order.
    level : float, between 0 and 1
        Share of what is shown that may be chance.

    Returns
    -------
    float
        0 where nothing is suspect.

    Examples
    --------
    >>> round(suspect_to([0.001, 0.02, 0.3, 0.9], 0.05), 4), suspect_to([0.04, 0.5], 0.05), suspect_to([], 0.05)
    (0.025, 0.0, 0.0)
    """
    p = np.sort(np.asarray(best, np.float64))
    limits = level * np.arange(1, len(p) + 1) / max(len(p), 1)
    held = np.flatnonzero(p <= limits)
    return float(limits[held[-1]]) if len(held) else 0.0


def deals_needed(best: Sequence[float], level: float) -> int:
    """Return how many permutations let a block that none of them reached be told from chance among the others.

    Parameters
    ----------
    best : sequence of float
        As for `suspect_to`, by `PERMUTATIONS` permutations.
    level : float

    Returns
    -------
    int
        `PERMUTATIONS` where they do already; at most `MOST_PERMUTATIONS`.

    Examples
    --------
    >>> deals_needed([0.001, 0.001, *[0.5] * 38], 0.05), deals_needed([0.001, *[0.5] * 99], 0.05)
    (999, 1999)
    """
    least = 1.0 / (PERMUTATIONS + 1)
    reached_by_none = sum(p <= least for p in best)
    if not reached_by_none or least <= level * reached_by_none / len(best):
        return PERMUTATIONS
    return min(MOST_PERMUTATIONS, ceil(len(best) / (level * reached_by_none)) - 1)


def _found(packed: Mapping[str, bytes], level: float, most: int) -> dict[str, Areas]:
    """Return the areas of each block that could be looked through."""
    told = {block_id: _by_stages(block_id, checks, level, most) for block_id, checks in packed.items()}
    return {block_id: areas for block_id, areas in told.items() if areas}


def _by_stages(block_id: str, packed: bytes, level: float, most: int) -> Areas:
    """Return a block's areas by as few permutations as tell what there is to tell."""
    # each p up to the level holds what it says, whatever stage it comes from: every stage deals by itself, and none is left for
    # the next one but where its p is small
    areas = _dealt(block_id, packed, FEW_PERMUTATIONS)
    for permutations, up_to in (
        (SOME_PERMUTATIONS, level + _ROOM * sqrt(level * (1.0 - level) / FEW_PERMUTATIONS)),
        (PERMUTATIONS, _STRIKING),
        (most, 1.0 / (PERMUTATIONS + 1)),
    ):
        if not areas or areas[0].p > up_to:
            break
        areas = _dealt(block_id, packed, permutations)
    return areas


def _packed(checks: Iterable[CheckedTree]) -> bytes:
    """Return checks as one short key, by row and position."""
    told = sorted((one.row, one.position, one.is_faulty, one.is_recheck) for one in checks)
    return np.array(told, np.int32).tobytes()


@lru_cache(_ANSWERS_KEPT)
def _dealt(block_id: str, packed: bytes, permutations: int) -> Areas:
    """Return a block's areas; kept by what they hang on, for every screen asks of every block."""
    told = np.frombuffer(packed, np.int32).reshape(-1, 4).tolist()
    checks = [CheckedTree(row, at, bool(faulty), bool(recheck)) for row, at, faulty, recheck in told]
    seed = int.from_bytes(hashlib.sha256(block_id.encode()).digest()[:8])
    rng = np.random.default_rng([seed, permutations])
    return tuple(weak_areas(checks, rng=rng, permutations=permutations, level=LOOSEST_LEVEL))
