"""What every tree needs, whatever its habit, in the order of work; and points that an adviser may add.

The classes are our judgement. Each number has its source; a rule without one is common practice.
"""

from typing import Literal, get_args

from orchardmap.locale.catalogue import message
from orchardmap.model.brief import Point
from orchardmap.pruning import sources
from orchardmap.pruning.point_making import measured, rule, taught

__all__ = ["TRAINING_SYSTEMS", "TrainingSystem", "bud_count_point", "extra_points", "general_points"]

TrainingSystem = Literal["axis", "tall_spindle", "slender_spindle", "v_trellis"]
TRAINING_SYSTEMS: tuple[TrainingSystem, ...] = get_args(TrainingSystem)

_LIMBS: dict[TrainingSystem, tuple[int, int, str]] = {
    "axis": (18, 22, sources.APAL_2016),
    "tall_spindle": (24, 24, sources.ONTARIO_BUDS),
    "slender_spindle": (12, 12, sources.ONTARIO_BUDS),
    "v_trellis": (16, 16, sources.GOOD_FRUIT_V),
}


def general_points(system: TrainingSystem = "axis", *, is_light_first: bool = False) -> tuple[Point, ...]:
    """Return the points of every brief in the order of work.

    Parameters
    ----------
    system : TrainingSystem
        How the trees are trained; decides how many limbs stay.
    is_light_first : bool
        Let the light in right after the dead wood is out, and thick limbs after that.

    Returns
    -------
    tuple of Point
        Nine points. One published number of limbs without a tolerance is taught, not scored: hardly a tree would
        have it to the limb. An adviser who widens it to a range may score it.

    Examples
    --------
    >>> [point.key for point in general_points()][:3]
    ['dead-wood', 'upright-out', 'limb-over-half']
    """
    dead = rule("dead-wood", message("Cut out dead, broken and diseased wood first."), "critical")
    light = rule(
        "light-well",
        message(
            "Take the shoots off the leader and off the limb bases, so that light falls down the middle."
        ),
        "major",
    )
    thick = _thick_limb_points()
    return (dead, *((light, *thick) if is_light_first else (*thick, light)), *_shape_points(system))


def _thick_limb_points() -> tuple[Point, ...]:
    over_half = rule(
        "limb-over-half",
        message("Cut out each side limb that is thicker than {high} of the limb it grows on."),
        "major",
        source=sources.ONTARIO_YEAR_1,
    )
    return (
        rule("upright-out", message("Cut out strong uprights that cannot be used."), "major"),
        measured(over_half, "ratio", None, 0.5),
        rule("fork-out", message("Where a limb forks into two equal arms, cut one of them out."), "major"),
    )


def _shape_points(system: TrainingSystem) -> tuple[Point, ...]:
    fewest, most, source = _LIMBS[system]
    limbs = rule("limb-count", message("Leave {range} limbs on the leader."), "major", source=source)
    limbs = measured(limbs, "count", fewest, most, "limbs")
    angle = rule(
        "limb-angle",
        message("Keep limbs {range} degrees from straight up."),
        "minor",
        source=sources.RULES_SHEET,
    )
    return (
        taught(limbs) if fewest == most else limbs,
        rule("one-leader", message("Keep one leader; cut out any rival."), "major"),
        rule("no-stub", message("Cut close to the collar; leave no stub."), "minor"),
        measured(angle, "angle", 40, 140, "deg"),
    )


def extra_points() -> tuple[Point, ...]:
    """Return points that no habit asks for and that an adviser may add to any brief.

    Returns
    -------
    tuple of Point
        Limbs against the trunk, gaps between limbs, single limbs, stubs for renewal.

    Notes
    -----
    The gap is 9 in (22.86 cm) and the stub about 2 in (5.08 cm) in their sources, rounded here to whole
    centimetres.

    Examples
    --------
    >>> [point.key for point in extra_points()]
    ['limb-over-two-thirds', 'limb-gap', 'secondary-simple', 'renewal-stub']
    """
    over_two_thirds = rule(
        "limb-over-two-thirds",
        message("Cut out each limb that is thicker than {high} of the trunk."),
        "major",
        source=sources.ROBINSON_2010,
    )
    gap = rule(
        "limb-gap",
        message("Keep at least {low} cm between limbs that stand one above the other."),
        "minor",
        source=sources.GOOD_FRUIT_COUNTING,
    )
    return (
        measured(over_two_thirds, "ratio", None, 2 / 3),
        measured(gap, "at_least", 23, None, "cm"),
        rule(
            "secondary-simple",
            message("Keep each limb a single line; cut out side arms that rival its tip."),
            "minor",
            source=sources.RULES_SHEET,
        ),
        rule(
            "renewal-stub",
            message("Where a limb is to be replaced, leave a slanting stub of about 5 cm instead of none."),
            "minor",
            source=sources.GOOD_FRUIT_2015,
        ),
    )


def bud_count_point(low: int, high: int) -> Point:
    """Return the point that a block's bud target makes.

    Parameters
    ----------
    low, high : int, buds
        What a limb of an average tree may carry, from the target and the block's tolerance.

    Returns
    -------
    Point

    Examples
    --------
    >>> bud_count_point(12, 14).key
    'bud-count'
    """
    point = rule("bud-count", message("Leave {range} buds on each limb."), "major")
    return measured(point, "count", low, high, "buds")
