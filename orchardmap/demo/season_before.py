"""The season before, so that there is one to compare with: marks and crew-days alone, pruned to the end."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from orchardmap.demo.season import worked_between
from orchardmap.demo.work import BlockAtWork, CrewAtWork, crew_season
from orchardmap.model.season import Season
from orchardmap.model.work import CrewDay, Mark

__all__ = ["YEAR", "season_before"]

YEAR = timedelta(weeks=52)
"""Mondays stay Mondays."""


def season_before(
    season: Season,
    crews: Sequence[CrewAtWork],
    blocks: Mapping[str, BlockAtWork],
    *,
    rng: np.random.Generator,
) -> tuple[list[Mark], list[CrewDay]]:
    """Return what the same crews recorded who pruned all of the farm: their own blocks first, then those that nobody was given."""
    days = worked_between(season.opens_on, season.must_finish_on, rng)
    own = {block.block_id for crew in crews for block in crew.blocks}
    left = [block for block in blocks.values() if block.block_id not in own]
    at_work = [replace(crew, blocks=(*crew.blocks, *left[n :: len(crews)])) for n, crew in enumerate(crews)]
    worked = [crew_season(crew, season.id, days=days, rng=rng) for crew in at_work]
    marks = sorted((one for found, _ in worked for one in found), key=lambda one: one.device_at)
    return marks, [one for _, found in worked for one in found]
