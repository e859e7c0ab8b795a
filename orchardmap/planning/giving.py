"""A proposal of which crew prunes which block, and in what order: a list rule. Pure.

Whichever crew is free first takes the next block: of those that are open then, the most urgent ones (the day by which it must
be finished, then annual bearers before biennial ones: Cornell 2024, trade.md 5.1), of these the ones whose bearing habit suits
the crew, of these the nearest. What a crew has begun stays with it and comes first. At the end blocks are handed over as long
as that lets the last crew finish sooner.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from heapq import heapify, heappop, heappush

import numpy as np
from numpy.typing import NDArray

from orchardmap.planning.balancing import balanced
from orchardmap.planning.skills import skill_levels
from orchardmap.planning.work_ahead import AheadBlock, AheadCrew, Days, WorkAhead

__all__ = ["Place", "Proposal", "propose"]


@dataclass(frozen=True, slots=True)
class Place:
    """Where one block stands in the proposal."""

    block_id: str
    crew_id: str
    starts_on: date
    """By the hours that are expected, as are all days here."""
    ends_on: date
    after: str | None
    """Id of the block before it in the queue."""
    is_handed_over: bool
    """Another crew had it at first, which would have finished last."""
    is_spread: bool
    """Chosen for being far from the other crews: where its crew stands is not known."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """Queues by crew, and what is given to nobody."""

    queues: tuple[tuple[str, tuple[str, ...]], ...]
    """(crew id, block ids in order), by the names of the crews; those without a block too."""
    open: tuple[str, ...]
    places: Mapping[str, Place]
    """By block id, of those that are given out."""

    @property
    def ends_on(self) -> date | None:
        """The day on which the last crew is finished; None where nothing is given out."""
        return max((place.ends_on for place in self.places.values()), default=None)


@dataclass(slots=True)
class _Desk:
    """What the rule keeps while blocks are given out. Blocks and crews go by their index."""

    ahead: WorkAhead
    xy_m: NDArray[np.float64]
    rank: NDArray[np.int64]
    """0 for the most urgent blocks."""
    level: NDArray[np.int64]
    """Of each crew at each block: how little its habit suits the crew."""
    fits: NDArray[np.bool_]
    free: NDArray[np.bool_]
    own: list[list[int]]
    """Blocks that each crew has begun and that are not in its queue yet."""
    queues: list[list[int]]
    stands_m: list[NDArray[np.float64] | None]
    spread: set[int] = field(default_factory=set)


def propose(blocks: Sequence[AheadBlock], crews: Sequence[AheadCrew], days: Days) -> Proposal:
    """Return who prunes what next.

    Parameters
    ----------
    blocks : sequence of AheadBlock
        Those with work left, in any order; the answer does not hang on it.
    crews : sequence of AheadCrew
        In any order.
    days : Days
        The working days ahead, today's first.

    Returns
    -------
    Proposal
        Every block exactly once. A block that is closed on the first day is first in a queue only if its crew began it and
        nothing open is left over for the crew; else it is given to nobody until it opens.
    """
    ahead = WorkAhead.of(blocks, crews, days)
    desk = _desk(ahead)
    waiting = [(ahead.back_h[crew], crew) for crew in range(len(ahead.crews))]
    heapify(waiting)
    while waiting:
        free_h, crew = heappop(waiting)
        block = _own_next(desk, crew, free_h)
        if block is None:
            block = _next(desk, crew, free_h)
        if block is None:
            continue
        ends_h = ahead.ends_h(crew, block, after=_last(desk.queues[crew]), free_h=free_h)
        _give(desk, crew, block)
        heappush(waiting, (ends_h, crew))
    queues, handed_over = balanced(ahead, desk.queues, desk.rank, desk.fits)
    return _told(desk, queues, handed_over)


def _desk(ahead: WorkAhead) -> _Desk:
    """Put the blocks on the desk, ranked by urgency."""
    urgency = [(block.must_finish_on, block.is_biennial) for block in ahead.blocks]
    ranks = {key: i for i, key in enumerate(sorted(set(urgency)))}
    number = {crew.id: i for i, crew in enumerate(ahead.crews)}
    own: list[list[int]] = [[] for _ in ahead.crews]
    free = np.ones(len(ahead.blocks), np.bool_)
    for i, block in enumerate(ahead.blocks):
        if block.begun_by in number:
            own[number[block.begun_by]].append(i)
            free[i] = False
    ladder_only = np.array([block.platform_fits is False for block in ahead.blocks], np.bool_)
    on_platform = np.array([crew.method == "platform" for crew in ahead.crews], np.bool_)
    return _Desk(
        ahead=ahead,
        xy_m=ahead.xy_m,
        rank=np.array([ranks[key] for key in urgency], np.int64),
        level=skill_levels(ahead.blocks, ahead.crews),
        fits=~(on_platform[:, np.newaxis] & ladder_only[np.newaxis, :]),
        free=free,
        own=own,
        queues=[[] for _ in ahead.crews],
        stands_m=[None if c.stands is None else np.array(c.stands.xy_m) for c in ahead.crews],
    )


def _last(queue: Sequence[int]) -> int | None:
    return queue[-1] if queue else None


def _give(desk: _Desk, crew: int, block: int) -> None:
    desk.queues[crew].append(block)
    desk.free[block] = False
    desk.stands_m[crew] = desk.xy_m[block]
    if block in desk.own[crew]:
        desk.own[crew].remove(block)


def _own_next(desk: _Desk, crew: int, free_h: float) -> int | None:
    """Return the block to go on with: begun by the crew, and open."""
    here = [i for i in desk.own[crew] if desk.ahead.opens_h(i, free_h) <= free_h]
    return _best(desk, crew, np.array(here, np.int64)) if here else None


def _next(desk: _Desk, crew: int, free_h: float) -> int | None:
    """Return the block to begin; where all that is left is closed, the first to open, unless the crew had nothing before it."""
    ahead = desk.ahead
    here = np.flatnonzero(desk.free & desk.fits[crew])
    opens_h = {int(i): ahead.opens_h(int(i), free_h) for i in here if ahead.is_ever_closed(int(i))}
    is_open = here[[opens_h.get(int(i), free_h) <= free_h for i in here]]
    if is_open.size:
        return _best(desk, crew, is_open)
    own = {i: ahead.opens_h(i, free_h) for i in desk.own[crew]}
    closed = own if not desk.queues[crew] else own | opens_h
    return min(closed, key=lambda i: (closed[i], desk.rank[i], i), default=None)


def _best(desk: _Desk, crew: int, here: NDArray[np.int64]) -> int:
    """Return the most urgent of some blocks that suits the crew most and is nearest; of several the first by its code."""
    here = here[desk.rank[here] == desk.rank[here].min()]
    here = here[desk.level[crew, here] == desk.level[crew, here].min()]
    stands_m = desk.stands_m[crew]
    if stands_m is not None:
        return int(here[np.argmin(np.hypot(*(desk.xy_m[here] - stands_m).T))])
    others = [xy for xy in desk.stands_m if xy is not None]
    if not others:
        return int(here[0])
    # far from all others, so that each crew finds its next blocks next door (T. Gonzalez 1985, Theor. Comput. Sci. 38:293-306)
    gaps = desk.xy_m[here][:, np.newaxis, :] - np.array(others)[np.newaxis, :, :]
    chosen = int(here[np.argmax(np.hypot(gaps[..., 0], gaps[..., 1]).min(axis=1))])
    desk.spread.add(chosen)
    return chosen


def _told(desk: _Desk, queues: Sequence[Sequence[int]], handed_over: set[int]) -> Proposal:
    ahead = desk.ahead
    places: dict[str, Place] = {}
    for crew, queue in enumerate(queues):
        before: int | None = None
        for block, (starts_h, ends_h) in zip(queue, ahead.spans_h(crew, queue), strict=True):
            places[ahead.blocks[block].id] = Place(
                ahead.blocks[block].id,
                ahead.crews[crew].id,
                ahead.days.day_at(starts_h),
                ahead.days.day_before(ends_h),
                None if before is None else ahead.blocks[before].id,
                block in handed_over,
                block in desk.spread and block not in handed_over,
            )
            before = block
    return Proposal(
        tuple(
            (crew.id, tuple(ahead.blocks[i].id for i in queue))
            for crew, queue in zip(ahead.crews, queues, strict=True)
        ),
        tuple(block.id for block in ahead.blocks if block.id not in places),
        places,
    )
