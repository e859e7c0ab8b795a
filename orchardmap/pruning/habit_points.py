"""What each bearing habit asks for besides, in the order of work. The numbers are common practice where no source stands."""

from orchardmap.locale.catalogue import message
from orchardmap.model.brief import BearingHabit, Point
from orchardmap.pruning import sources
from orchardmap.pruning.point_making import measured, rule, taught

__all__ = ["habit_points", "thinning_point"]


def habit_points(habit: BearingHabit) -> tuple[Point, ...]:
    """Return the points of a bearing habit.

    Parameters
    ----------
    habit : BearingHabit

    Returns
    -------
    tuple of Point
        Worked after the general points.

    Examples
    --------
    >>> [point.key for point in habit_points("spur_uncut")]
    ['thick-limb-out', 'no-cut-spurred-two-year']
    """
    return _POINTS[habit]


def thinning_point() -> Point:
    """Return the point that a heavy setter needs besides those of its habit.

    Returns
    -------
    Point
    """
    return rule("thin-spurs", message("Thin the spurs until the buds of the target are left."), "major")


_TIP_WHOLE = rule(
    "tip-shoot-whole",
    message("Leave short one-year shoots with a fruit bud at the tip whole."),
    "critical",
    source=sources.HERITAGE_2014,
)
_RENEWAL = measured(
    rule("renewal-cuts", message("Make {range} renewal cuts on every structural limb."), "major"),
    "count", 2, 3, "cuts",
)  # fmt: skip
_SHORTEN_BORNE = measured(
    rule("shorten-borne", message("Shorten a shoot that has borne so that {range} buds stay."), "major"),
    "count", 2, 3, "buds",
)  # fmt: skip
_SHORTEN_BORNE_SPURLESS = measured(
    rule(
        "shorten-borne",
        message("Shorten a shoot that has borne so that {range} buds stay, unless it carries spurs."),
        "major",
    ),
    "count", 2, 3, "buds",
)  # fmt: skip
_AFTER_CROPS = taught(
    measured(
        rule("unit-after-crops", message("Cut out a fruiting unit after {range} crops."), "major"),
        "count", 2, 4,
    )
)  # fmt: skip

_POINTS: dict[BearingHabit, tuple[Point, ...]] = {
    "tip_renewed": (_TIP_WHOLE, _RENEWAL, _SHORTEN_BORNE),
    "tip_alternating": (
        _TIP_WHOLE,
        rule(
            "no-cut-spurred-two-year",
            message("Do not cut into two-year wood that carries spurs."),
            "critical",
        ),
        _RENEWAL,
        _SHORTEN_BORNE_SPURLESS,
        rule("unit-too-old", message("Cut out whole any fruiting unit that is too old or too thick."), "minor"),
    ),
    "spur_renewed": (
        rule(
            "shorten-to-fruit-bud",
            message(
                "Shorten each fruiting unit to a well-filled fruit bud on two-year wood; "
                "slender units more than stout ones."
            ),
            "major",
        ),
        _AFTER_CROPS,
        rule("short-shoot-stays", message("Leave short one-year shoots: they form spurs."), "major"),
    ),
    "spur_long_lived": (
        rule("strong-upright-years", message("Cut out strong one- and two-year uprights."), "major"),
        taught(
            rule("little-renewal", message("Leave units with spurs alone; renew few of them."), "minor"),
            picture="no-cut-spurred-two-year",
        ),
        taught(
            rule(
                "crack-upright",
                message(
                    "To make an upright fruitful that you want to keep, crack it half through "
                    "about 10 cm above its joint."
                ),
                "minor",
            )
        ),
        taught(
            rule(
                "leaf-cover",
                message("Where sunburn threatens, cut so that leaves will shade the fruit."),
                "minor",
            )
        ),
    ),
    "spur_uncut": (
        rule("thick-limb-out", message("Cut out thick limbs that are in the way."), "major"),
        rule(
            "no-cut-spurred-two-year",
            message("Do not cut into two-year and older wood that carries spurs."),
            "critical",
        ),
    ),
}  # fmt: skip
