"""The season before, so that there is one to compare with: marks and crew-days alone, pruned to the end."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from orchardmap.demo.handing_in import all_taken
from orchardmap.demo.season import worked_between
from orchardmap.demo.work import BlockAtWork, CrewAtWork, crew_season
from orchardmap.model.season import Season
from orchardmap.store.session import Store
from orchardmap.usecases import crew_days, recording

__all__ = ["YEAR", "work_before"]

YEAR = timedelta(weeks=52)
"""Mondays stay Mondays."""


def work_before(
    store: Store,
    season: Season,
    crews: Sequence[CrewAtWork],
    blocks: Mapping[str, BlockAtWork],
    *,
    seed: int,
) -> None:
    """Have the same crews prune all of the farm, their own blocks first, then those that nobody was given; handed in on the last evening."""
    rng = np.random.default_rng([seed, YEAR.days])  # of its own: this season stays what it was
    days = worked_between(season.opens_on, season.must_finish_on, rng)
    own = {block.block_id for crew in crews for block in crew.blocks}
    left = [block for block in blocks.values() if block.block_id not in own]
    at_work = [replace(crew, blocks=(*crew.blocks, *left[n :: len(crews)])) for n, crew in enumerate(crews)]
    worked = [crew_season(crew, season.id, days=days, rng=rng) for crew in at_work]
    marks = [one for found, _ in worked for one in found]
    said = [one for _, found in worked for one in found]
    at = max(one.device_at for one in said)
    all_taken(recording.record_marks(store, farm_id=season.farm_id, marks=marks, sent_at=at, now=at))
    told = crew_days.record_crew_days(store, farm_id=season.farm_id, crew_days=said, sent_at=at, now=at)
    all_taken(told)
