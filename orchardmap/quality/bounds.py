"""What can be a number of trees, a share or a confidence at all."""

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import LARGEST, within

__all__ = ["confidence_level", "share", "whole"]


def whole(value: float, name: str, low: float = 0, high: float = LARGEST) -> int:
    """Return a whole number, once it lies between two bounds, inclusive.

    Parameters
    ----------
    value : float
        Trees, or whatever is counted.
    name : str
        Where it stands, for the error.
    low, high : float
        Bounds, inclusive.

    Returns
    -------
    int

    Raises
    ------
    InputError
        If it is beyond, no number or no whole one; ``where`` is the name.

    Examples
    --------
    >>> whole(20.0, "n")
    20
    """
    number = float(within(value, name, low, high))
    if not number.is_integer():
        raise InputError(f"It is {number:g}; it must be a whole number.", where=name)
    return int(number)


def share(value: float, name: str) -> float:
    """Return a share or a chance, 0 to 1.

    Parameters
    ----------
    value : float, unitless
        0.08 for 8 %.
    name : str
        Where it stands, for the error.

    Returns
    -------
    float

    Raises
    ------
    InputError
        If it is beyond or no number; ``where`` is the name.

    Examples
    --------
    >>> share(0.08, "p1")
    0.08
    """
    return float(within(value, name, 0.0, 1.0, todo="Write 0.08 for 8 %."))


def confidence_level(value: float) -> float:
    """Return the confidence of an interval, 0.5 to 0.999.

    Parameters
    ----------
    value : float, unitless
        0.95 for 95 %.

    Returns
    -------
    float

    Raises
    ------
    InputError
        If it is beyond or no number; ``where`` is "confidence".

    Examples
    --------
    >>> confidence_level(0.95)
    0.95
    """
    level = float(within(value, "confidence", 0.0, 1.0, todo="Write 0.95 for 95 %."))
    if not 0.5 <= level <= 0.999:
        raise InputError(f"It is {level:g}; it must be between 0.5 and 0.999.", where="confidence")
    return level
