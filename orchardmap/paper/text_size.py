"""How wide text is at most in the font of paper, so that it can be placed before anything is drawn."""

import unicodedata

__all__ = ["plain_width_em", "text_width_em"]


def text_width_em(text: str) -> float:
    """Return no less than what a line of text takes, as a share of its size.

    Examples
    --------
    >>> round(text_width_em("H6"), 2)
    1.53
    """
    return sum(map(_width_em, text))


def plain_width_em(text: str) -> float:
    """Return about what running text takes in the plain face, rather more than less, as a share of its size.

    Examples
    --------
    >>> round(plain_width_em("Closed block"), 2)
    6.81
    """
    return sum(map(_plain_em, text))


def _plain_em(character: str) -> float:
    """Return a rounded width of the plain face (DejaVu Sans: m 0.97, a 0.61, H 0.75, digits and signs 0.64, space 0.32 of the size)."""
    if character in "mwMW@%":
        return 0.98
    if character in " ,.:;iljt'()":
        return 0.4 if character in "t()" else 0.33
    if unicodedata.east_asian_width(character) in {"W", "F"}:
        return 1.05
    return 0.78 if character.isupper() else 0.63


def _width_em(character: str) -> float:
    """Return no less than what the bold face takes (DejaVu Sans Bold: W 1.10, M 1.00, digits 0.70 of the size)."""
    if character in "WM@%":
        return 1.11
    if unicodedata.east_asian_width(character) in {"W", "F"}:
        return 1.05
    return 0.71 if character.isdigit() or character.islower() else 0.82
