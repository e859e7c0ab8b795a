"""Hand blocks over, or swap them, as long as that lets the crew that would finish last finish sooner. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardmap.planning.work_ahead import WorkAhead

__all__ = ["balanced"]

_MOST_STEPS = 200
_MOST_TRIED = 50
"""Steps that look good by the hours alone and are held against days, closures and ways before one gives up."""
_WORTH_H = 4.0
"""What a step must save: half a day. Less is within what anybody can tell of pace, and costs short moves."""
Queues = list[list[int]]


@dataclass(frozen=True, slots=True)
class _Step:
    """A block that goes from the last crew to another, and what comes back for it."""

    done_h: float
    """When both would be finished, by the hours in the blocks alone."""
    crew: int
    block: int
    back: int | None


def balanced(
    ahead: WorkAhead, queues: Queues, rank: NDArray[np.int64], fits: NDArray[np.bool_]
) -> tuple[Queues, set[int]]:
    """Return the queues with blocks handed over from whoever finishes last.

    What a crew has begun stays with it; blocks keep their order of urgency; nothing that would be finished by its day is made late.

    Parameters
    ----------
    ahead : WorkAhead
    queues : list of list of int
        Of each crew, blocks by their index.
    rank : ndarray of int, shape (blocks,)
        0 for the most urgent.
    fits : ndarray of bool, shape (crews, blocks)
        Whether a crew's method goes in a block.

    Returns
    -------
    queues : list of list of int
    handed_over : set of int
        Blocks.
    """
    queues = [list(queue) for queue in queues]
    handed_over: set[int] = set()
    for _ in range(_MOST_STEPS if queues else 0):
        ends_h = np.array([_end_h(ahead, crew, queue) for crew, queue in enumerate(queues)])
        last = int(np.argmax(ends_h))
        steps = sorted(_steps(ahead, queues, ends_h, fits), key=lambda one: (one.done_h, one.crew, one.block))
        for step in steps[:_MOST_TRIED]:
            changed = _changed(ahead, queues, last, step, rank)
            if _is_better(ahead, queues, changed, float(ends_h[last])):
                for crew, queue in changed.items():
                    queues[crew] = queue
                handed_over |= {step.block} if step.back is None else {step.block, step.back}
                break
        else:
            break
    return queues, handed_over


def _end_h(ahead: WorkAhead, crew: int, queue: Sequence[int]) -> float:
    return ahead.spans_h(crew, queue)[-1][1] if queue else ahead.back_h[crew]


def _steps(
    ahead: WorkAhead, queues: Queues, ends_h: NDArray[np.float64], fits: NDArray[np.bool_]
) -> Iterator[_Step]:
    """Yield what would help by the hours alone: hand-overs, and swaps for something shorter."""
    last = int(np.argmax(ends_h))
    most_h = ends_h[last] - _WORTH_H
    work_h = ahead.work_h
    for block in (one for one in queues[last] if ahead.blocks[one].begun_by is None):
        for crew in (one for one in range(len(queues)) if one != last and fits[one, block]):
            rest_h, more_h = ends_h[last] - work_h[last, block], ends_h[crew] + work_h[crew, block]
            if max(rest_h, more_h) <= most_h:
                yield _Step(float(max(rest_h, more_h)), crew, block, None)
            theirs = [b for b in queues[crew] if fits[last, b] and ahead.blocks[b].begun_by is None]
            done_h = np.maximum(rest_h + work_h[last, theirs], more_h - work_h[crew, theirs])
            for at in np.flatnonzero(done_h <= most_h):
                yield _Step(float(done_h[at]), crew, block, theirs[at])


def _changed(
    ahead: WorkAhead, queues: Queues, last: int, step: _Step, rank: NDArray[np.int64]
) -> dict[int, list[int]]:
    """Return the queues of the two crews after a step."""
    rest = [one for one in queues[last] if one != step.block]
    theirs = [one for one in queues[step.crew] if one != step.back]
    if step.back is not None:
        rest = _with(rest, step.back, rank, ahead)
    return {last: rest, step.crew: _with(theirs, step.block, rank, ahead)}


def _with(queue: Sequence[int], block: int, rank: NDArray[np.int64], ahead: WorkAhead) -> list[int]:
    """Return a queue with a block put before the first less urgent one that waits for no closure; what is begun stays first."""
    for at, one in enumerate(queue):
        is_less = ahead.blocks[one].begun_by is None and rank[one] > rank[block]
        if is_less and not ahead.is_ever_closed(one):
            return [*queue[:at], block, *queue[at:]]
    return [*queue, block]


def _is_better(ahead: WorkAhead, queues: Queues, changed: dict[int, list[int]], end_h: float) -> bool:
    """Tell whether both crews are finished sooner, no closed block comes first, and nothing is late that was not."""
    if any(queue and ahead.opens_h(queue[0], 0.0) > 0.0 for queue in changed.values()):
        return False
    if max(_end_h(ahead, crew, queue) for crew, queue in changed.items()) > end_h - _WORTH_H:
        return False
    before = {block for crew in changed for block in _late(ahead, crew, queues[crew])}
    return all(_late(ahead, crew, queue) <= before for crew, queue in changed.items())


def _late(ahead: WorkAhead, crew: int, queue: Sequence[int]) -> set[int]:
    return {
        block
        for block, (_, ends_h) in zip(queue, ahead.spans_h(crew, queue), strict=True)
        if ahead.days.day_before(ends_h) > ahead.blocks[block].must_finish_on
    }
