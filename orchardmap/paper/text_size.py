"""How wide text is at most in the font of paper, so that it can be placed before anything is drawn."""

import unicodedata

__all__ = ["text_width_em"]


def text_width_em(text: str) -> float:
    """Return no less than what a line of text takes, as a share of its size.

    Examples
    --------
    >>> round(text_width_em("H6"), 2)
    1.53
    """
    return sum(map(_width_em, text))


def _width_em(character: str) -> float:
    """Return no less than what the bold face takes (DejaVu Sans Bold: W 1.10, M 1.00, digits 0.70 of the size)."""
    if character in "WM@%":
        return 1.11
    if unicodedata.east_asian_width(character) in {"W", "F"}:
        return 1.05
    return 0.71 if character.isdigit() or character.islower() else 0.82
