"""Which habits suit a crew: what it does well beside its other ones, and what is new to it. Pure."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from orchardmap.model.orchard import Habit
from orchardmap.planning.work_ahead import AheadBlock, AheadCrew

__all__ = ["NEW", "SUITED", "WEAKER", "advantage", "skill_levels"]

SUITED, WEAKER, NEW = 0, 1, 2
_SLACK = 0.10
"""A habit is a crew's weaker one where it is more than a tenth slower beside the others than it is at its best. A first guess of ours."""


def advantage(crews: Sequence[AheadCrew], crew: AheadCrew, habit: Habit) -> float | None:
    """Return the time a crew takes for a tree of a habit beside what all crews take that have pruned it.

    Parameters
    ----------
    crews : sequence of AheadCrew
        All of the farm.
    crew : AheadCrew
    habit : str

    Returns
    -------
    float or None
        1 is what the others take, less is quicker; None for a habit that is new to the crew.

    Examples
    --------
    >>> from orchardmap.planning.work_ahead import Skill
    >>> quick = AheadCrew("1", "Ash", 4, skills={"tip": Skill(12.0)})
    >>> slow = AheadCrew("2", "Birch", 4, skills={"tip": Skill(6.0)})
    >>> round(advantage([quick, slow], quick, "tip"), 3), advantage([quick, slow], quick, "spur")
    (0.667, None)
    """
    if habit not in crew.skills:
        return None
    known = [one.skills[habit].person_h_per_tree for one in crews if habit in one.skills]
    return crew.skills[habit].person_h_per_tree / (sum(known) / len(known))


def skill_levels(blocks: Sequence[AheadBlock], crews: Sequence[AheadCrew]) -> NDArray[np.int64]:
    """Return how little each block's habit suits each crew: `SUITED`, `WEAKER` or `NEW`.

    What counts is where a crew is good beside its other habits, not whether it is a quick one: a slow crew has to prune
    something too. A habit that no crew has pruned yet is new to all and held against none.

    Parameters
    ----------
    blocks, crews : sequences

    Returns
    -------
    ndarray of int, shape (crews, blocks)
    """
    habits = sorted({block.habit for block in blocks})
    anywhere = {habit for crew in crews for habit in crew.skills}
    levels = np.zeros((len(crews), len(blocks)), np.int64)
    for i, crew in enumerate(crews):
        beside = {habit: advantage(crews, crew, habit) for habit in habits}
        best = min((share for share in beside.values() if share is not None), default=1.0)
        of_habit = {habit: _level(share, best, is_known=habit in anywhere) for habit, share in beside.items()}
        levels[i] = [of_habit[block.habit] for block in blocks]
    return levels


def _level(share: float | None, best: float, *, is_known: bool) -> int:
    if share is None:
        return NEW if is_known else SUITED
    return WEAKER if share > best * (1.0 + _SLACK) else SUITED
