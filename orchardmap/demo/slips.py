"""What goes wrong in any season: marks taken back, and one row that two crews both claim."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from orchardmap.demo.ids import uuid7
from orchardmap.demo.work import CrewAtWork
from orchardmap.errors import InputError
from orchardmap.model.work import Mark, Withdrawal

WRONG_ROW_CHANCE = 0.012
TOO_FAR_CHANCE = 0.03


@dataclass(frozen=True, slots=True)
class Claim:
    """Positions of one row that two crews both marked."""

    block_id: str
    row: int
    first: int
    last: int
    crew_ids: tuple[str, str]
    """The crew whose row it is, then the one that came to help."""


Positions = dict[tuple[str, int], int]
"""Block id and row number -> positions in the row."""


def taken_back(
    marks: Sequence[Mark], positions: Positions, *, rng: np.random.Generator
) -> tuple[list[Mark], list[Withdrawal]]:
    """Return marks made by mistake, each with the withdrawal that follows a few minutes later.

    Parameters
    ----------
    marks : sequence of Mark
        What was really pruned.
    positions : dict
        Positions of every row.
    rng : Generator
        Decides which marks went wrong at first.

    Returns
    -------
    tuple of list
        The mistaken marks (the next row was tapped, or the whole row where the crew had stopped half
        way) and their withdrawals, same order.
    """
    mistakes, withdrawals = [], []
    for mark in marks:
        luck = rng.random()
        whole = positions[mark.block_id, mark.row]
        next_row = positions.get((mark.block_id, mark.row + 1))
        wrong, reason = None, ""
        if mark.last - mark.first + 1 < whole:
            if luck < TOO_FAR_CHANCE:
                wrong, reason = replace(mark, first=1, last=whole), "row not finished"
        elif next_row and luck < WRONG_ROW_CHANCE:
            wrong, reason = replace(mark, row=mark.row + 1, first=1, last=next_row), "wrong row"
        if wrong is not None:
            made_at = mark.device_at - timedelta(seconds=int(rng.integers(20, 240)))
            back_at = mark.device_at - timedelta(seconds=int(rng.integers(2, 18)))
            mistake = replace(wrong, id=uuid7(made_at, rng), device_at=made_at)
            mistakes.append(mistake)
            withdrawals.append(
                Withdrawal(uuid7(back_at, rng), mistake.id, mark.recorder_id, mark.device_id, back_at, reason)
            )
    return mistakes, withdrawals


def both_claim(
    marks: Sequence[Mark],
    positions: Positions,
    *,
    slow: CrewAtWork,
    helper: CrewAtWork,
    rng: np.random.Generator,
) -> tuple[Mark, Claim]:
    """Return the mark of a crew that came to help and recorded trees its hosts had recorded too.

    Parameters
    ----------
    marks : sequence of Mark
        All marks that stand so far.
    positions : dict
        Positions of every row.
    slow, helper : CrewAtWork
        Whose row it is, and who helped.
    rng : Generator
        Gives the id.

    Returns
    -------
    tuple of Mark and Claim
        The helper's mark and what is claimed twice.

    Raises
    ------
    InputError
        If the slow crew has not finished a row of at least ten positions.
    """
    theirs = [
        mark
        for mark in marks
        if mark.crew_id == slow.crew_id
        and mark.last - mark.first + 1 == positions[mark.block_id, mark.row] >= 10
    ]
    if not theirs:
        raise InputError("nobody finished a row that a second crew could claim", where="demo")
    host = theirs[len(theirs) * 3 // 5]
    first, last = host.last * 2 // 3, host.last
    at = host.device_at + timedelta(minutes=3)
    mark = replace(
        host,
        id=uuid7(at, rng),
        first=first,
        last=last,
        crew_id=helper.crew_id,
        method=helper.gang.method,
        recorder_id=helper.foreman_id,
        device_id=helper.device_id,
        device_at=at,
    )
    return mark, Claim(host.block_id, host.row, first, last, (slow.crew_id, helper.crew_id))
