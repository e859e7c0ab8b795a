"""When each block is done: crews work what they were given, in its order, then what is left. Pure."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from orchardmap.errors import InputError
from orchardmap.planning.forecast import Finish
from orchardmap.planning.futures import AT_A_TIME, Batch, Futures
from orchardmap.planning.pace import Work
from orchardmap.planning.season import Season

__all__ = ["FAN", "QueueBlock", "QueueFinish", "queue_forecast"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DRAWS = 1_000
_MOST_DAYS = 400
"""Working days, a year and a half of them: what is not done by then is told never to be."""
FAN = (0.1, 0.5, 0.9)
_DONE = 1e-6
_AT_ONCE = 32
"""Blocks that helpers are told of together: they seldom reach the next ones within a day."""


@dataclass(frozen=True, slots=True)
class QueueBlock:
    """What is left of a block on one kind of work."""

    id: str
    crew: str | None
    """That it was given to; None where anybody takes it once their own are done."""
    work: Work
    """Of any crew: its name is empty."""
    trees: float
    closed: tuple[tuple[date, date], ...] = ()
    """From one day to another, both among them."""


@dataclass(frozen=True, slots=True)
class QueueFinish:
    """When blocks may be done, and all of them."""

    farm: Finish
    blocks: Mapping[str, Finish]
    pruned: Floats = field(repr=False)
    """Trees pruned from now on by the end of each working day, as in `FAN`: of shape (days, 3)."""


class _Ground(NamedTuple):
    """What does not change from day to day. Blocks stand in the order of crews, each crew's in its order, open ones last."""

    crew: Ints
    """Column of each block's crew; -1 for none."""
    rate: Floats
    """Trees of one person's hour of its crew, of shape (draws, blocks); 1 where it has none."""
    by_all: Floats
    """Trees of one person's hour of each crew on each block's work, of shape (draws, crews, works)."""
    work: Ints
    is_open: NDArray[np.bool_]
    """Of shape (days, blocks): not closed."""

    def part(self, draws: Ints, blocks: Ints) -> "_Ground":
        """Return the same of some draws and blocks."""
        rate, by_all = self.rate[np.ix_(draws, blocks)], self.by_all[draws]
        return _Ground(self.crew[blocks], rate, by_all, self.work[blocks], self.is_open[:, blocks])


def queue_forecast(
    season: Season,
    blocks: Sequence[QueueBlock],
    *,
    seed: int,
    draws: int = DRAWS,
    of: Collection[str] | None = None,
) -> QueueFinish:
    """Return when each block may be done.

    A crew works its blocks in the order given, passing over one that is closed that day. What is left of its hours goes
    to blocks given to nobody, in their order, then to the others': whoever is done helps, at their own pace.

    Parameters
    ----------
    season : Season
        Its `remaining` is left aside: the blocks say what is left.
    blocks : sequence of QueueBlock
        In the order of the queues. One id may stand more than once, with several kinds of work.
    seed, draws : int
        As in `orchardmap.planning.forecast.finish_forecast`; the same seed means the same seasons.
    of : collection of str, optional
        Ids of the blocks that ``farm`` and ``pruned`` tell of; all of them when left out. All are worked in any case.

    Returns
    -------
    QueueFinish

    Raises
    ------
    InputError
        If a block was given to a crew that is not there.
    """
    at = {crew: n for n, crew in enumerate(season.crews)}
    for block in blocks:
        if block.crew is not None and block.crew not in at:
            raise InputError(f"It is given to {block.crew}, which has no people.", where=f"block {block.id}")
    left = [block for block in blocks if block.trees > 0]
    remaining: dict[Work, float] = {}
    for block in left:
        remaining[block.work] = remaining.get(block.work, 0.0) + block.trees
    futures = Futures(replace(season, remaining=remaining), seed=seed, draws=draws, most_days=_MOST_DAYS)
    ordered = sorted(left, key=lambda block: len(at) if block.crew is None else at[block.crew])
    told = np.array([of is None or block.id in of for block in ordered], bool)
    found, pruned = _simulated(futures, ordered, at, told)
    before: date = (np.datetime64(season.first) - np.timedelta64(1, "D")).item()
    each = {
        key: Finish(np.max([found[:, n] for n in columns], axis=0), futures.days, before)
        for key, columns in _columns(ordered).items()
    }
    none = Finish(np.zeros(draws, np.int64), futures.days, before)
    each |= {block.id: none for block in blocks if block.id not in each}
    farm = Finish(found[:, told].max(axis=1), futures.days, before) if told.any() else none
    return QueueFinish(farm, each, pruned)


def _columns(blocks: Sequence[QueueBlock]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = {}
    for n, block in enumerate(blocks):
        found.setdefault(block.id, []).append(n)
    return found


def _ground(futures: Futures, blocks: Sequence[QueueBlock], at: Mapping[str, int]) -> _Ground:
    crew = np.array([-1 if block.crew is None else at[block.crew] for block in blocks], np.int64)
    work = np.array([futures.works.index(block.work) for block in blocks], np.int64)
    rate = futures.trees_per_h[:, np.maximum(crew, 0), work]
    is_open = np.ones((len(futures.days), len(blocks)), bool)
    for n, block in enumerate(blocks):
        for first, last in block.closed:
            is_open[(futures.days >= np.datetime64(first)) & (futures.days <= np.datetime64(last)), n] = False
    return _Ground(crew, rate, futures.trees_per_h, work, is_open)


def _simulated(
    futures: Futures, blocks: Sequence[QueueBlock], at: Mapping[str, int], told: NDArray[np.bool_]
) -> tuple[Ints, Floats]:
    """Return of each draw and block the number of the day on which it is done, and the trees of `told` pruned by each day as in `FAN`."""
    ground = _ground(futures, blocks, at)
    left = np.tile(np.array([block.trees for block in blocks], float), (futures.draws, 1))
    all_trees = left[0, told].sum()
    found = np.full(left.shape, _MOST_DAYS + 1, np.int64)
    pruned: list[Floats] = []
    if not len(blocks):
        return found, np.zeros((0, len(FAN)))
    whole = futures.person_hours()
    going = np.arange(futures.draws)
    so_far = np.zeros(futures.draws)
    for begin in range(0, len(futures.days), AT_A_TIME):
        batch = futures.batch(begin)
        # draws that are done, and blocks that are done in every draw, are worked no more
        still = (left[going] > 0).any(axis=1)
        going = going[still]
        asked = np.flatnonzero((left[going] > 0).any(axis=0))
        if not len(going):
            break
        part = ground.part(going, asked)
        todo = left[np.ix_(going, asked)]
        done = np.full(todo.shape, _MOST_DAYS + 1, np.int64)
        for n in range(batch.stock.shape[1]):
            was_left = todo > 0
            _work_day(part, todo, _hours(futures, batch, n, whole[begin + n])[going], part.is_open[begin + n])
            todo[todo < _DONE] = 0.0
            done[was_left & (todo == 0)] = begin + n + 1
            so_far[going] = all_trees - todo[:, told[asked]].sum(axis=1)
            pruned.append(np.quantile(so_far, FAN))
            if not todo.any():
                break
        left[np.ix_(going, asked)] = todo
        found[np.ix_(going, asked)] = np.minimum(found[np.ix_(going, asked)], done)
    return found, np.array(pruned)


def _hours(futures: Futures, batch: Batch, n: int, whole: Floats) -> Floats:
    """Return the hours of each crew's people on one day, a good day's counting more: of shape (draws, crews)."""
    hours: Floats = (
        whole * futures.come * futures.stock[batch.stock[:, n]] * batch.is_worked[:, n, np.newaxis]
    )
    return hours


def _work_day(ground: _Ground, left: Floats, hours: Floats, is_open: NDArray[np.bool_]) -> None:
    """Take a day's trees off what is left, in place."""
    own = np.flatnonzero(is_open & (ground.crew >= 0))
    free = hours
    if len(own):
        crew = ground.crew[own]
        needs = left[:, own] / ground.rate[:, own]
        # hours that the blocks before it in its own queue take
        so_far = np.cumsum(needs, axis=1) - needs
        first = np.searchsorted(crew, crew)
        taken = np.clip(hours[:, crew] - (so_far - so_far[:, first]), 0.0, needs)
        left[:, own] -= taken * ground.rate[:, own]
        spent = np.zeros_like(hours)
        for at in np.unique(crew):
            spent[:, at] = taken[:, crew == at].sum(axis=1)
        free = np.maximum(hours - spent, 0.0)
    helped = np.flatnonzero(is_open)
    # blocks given to nobody come first
    _help(ground, left, free, helped[np.argsort(ground.crew[helped] >= 0, kind="stable")])


def _help(ground: _Ground, left: Floats, free: Floats, blocks: Ints) -> None:
    """Take off what is left of blocks, in their order, what those who are free do in the rest of a day, in place."""
    # all who are free go from block to block together; a part of their day is what a block takes of it
    draws = np.flatnonzero((free > _DONE).any(axis=1))
    of_works = np.einsum("dc,dcw->dw", free[draws], ground.by_all[draws])
    day = np.ones(len(draws))
    for begin in range(0, len(blocks), _AT_ONCE):
        going = np.flatnonzero(day > _DONE)
        if not len(going):
            break
        these = blocks[begin : begin + _AT_ONCE]
        here = np.ix_(draws[going], these)
        a_day = of_works[going][:, ground.work[these]]
        of_day = left[here] / np.maximum(a_day, 1e-12)
        so_far = np.cumsum(of_day, axis=1)
        left[here] -= np.clip(day[going, np.newaxis] - (so_far - of_day), 0.0, of_day) * a_day
        day[going] -= so_far[:, -1]
