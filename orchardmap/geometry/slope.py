"""From the plan to the ground: how much longer a slope makes a row."""

import math

from orchardmap.errors import InputError

__all__ = ["surface_factor", "surface_length_m"]


def surface_factor(slope_percent: float) -> float:
    """Return how many times longer the ground is than its plan, along the slope.

    Parameters
    ----------
    slope_percent : float, percent
        Metres of height for 100 m of plan; the sign does not matter.

    Returns
    -------
    float
        Unitless, >= 1: ``sqrt(1 + (slope / 100)**2)``.

    Raises
    ------
    InputError
        If the slope is not a finite number.

    Examples
    --------
    >>> round(surface_factor(10), 6)
    1.004988
    """
    if not math.isfinite(slope_percent):
        raise InputError(f"A slope must be a number, not {slope_percent}.", where="slope_percent")
    return math.hypot(1.0, slope_percent / 100.0)


def surface_length_m(plan_length_m: float, slope_percent: float) -> float:
    """Return the length on the ground of a row whose plan length is known.

    Parameters
    ----------
    plan_length_m : float, metres
        Length on the map, as all stored lengths are.
    slope_percent : float, percent
        Slope along the row.

    Returns
    -------
    float
        Metres.

    Notes
    -----
    A slope that is not a number is refused as in `surface_factor`.

    Examples
    --------
    >>> round(surface_length_m(200.0, 15), 2)
    202.24
    """
    return plan_length_m * surface_factor(slope_percent)
