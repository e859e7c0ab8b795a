"""Ready-made briefs for every bearing habit: what an adviser starts from and edits."""

from typing import get_args

from orchardmap.model.brief import BearingHabit, BriefContent
from orchardmap.model.orchard import Habit
from orchardmap.pruning.cautions import ALWAYS_SHOWN
from orchardmap.pruning.general_points import TrainingSystem, general_points
from orchardmap.pruning.habit_points import habit_points, thinning_point

__all__ = ["HABITS", "ready_made", "suiting_habits"]

HABITS: tuple[BearingHabit, ...] = get_args(BearingHabit)

_SUITING: dict[Habit, tuple[BearingHabit, ...]] = {
    "spur": ("spur_renewed", "spur_long_lived", "spur_uncut"),
    "tip": ("tip_renewed", "tip_alternating"),
    "both": HABITS,
    "unknown": HABITS,
}


def ready_made(
    habit: BearingHabit, *, is_heavy_setter: bool = False, system: TrainingSystem = "axis"
) -> BriefContent:
    """Return the brief of a bearing habit as an adviser first sees it.

    Parameters
    ----------
    habit : BearingHabit
    is_heavy_setter : bool
        Whether the variety sets so heavily that its spurs are thinned besides.
    system : TrainingSystem
        How the trees are trained; decides how many limbs stay.

    Returns
    -------
    BriefContent
        General points first, then those of the habit, in the order of work; no bud target yet.

    Examples
    --------
    >>> [point.key for point in ready_made("tip_renewed").points][-3:]
    ['tip-shoot-whole', 'renewal-cuts', 'shorten-borne']
    """
    points = general_points(system, is_light_first=habit == "spur_long_lived") + habit_points(habit)
    if is_heavy_setter:
        points = (*points, thinning_point())
    return BriefContent(habit, is_heavy_setter, points, ALWAYS_SHOWN)


def suiting_habits(habit: Habit) -> tuple[BearingHabit, ...]:
    """Return the ready-made briefs to offer for a variety, and no more certainty than its habit gives.

    Parameters
    ----------
    habit : Habit
        Where the variety fruits. Where a cultivar fruits says nothing on which of the offered ones it needs.

    Returns
    -------
    tuple of BearingHabit
        Those of spur bearers, those of tip bearers, or all where it is both or not known.

    Examples
    --------
    >>> suiting_habits("tip")
    ('tip_renewed', 'tip_alternating')
    """
    return _SUITING[habit]
