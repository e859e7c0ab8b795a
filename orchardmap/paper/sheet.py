"""A sheet of paper divided into equal labels, with marks at its edges to cut by. Lengths in millimetres."""

import math
import re
from dataclasses import dataclass

from orchardmap.errors import InputError

__all__ = ["A4_MM", "DEFAULT_SIZE", "Sheet", "read_size"]

A4_MM = (210.0, 297.0)
"""ISO 216."""
DEFAULT_SIZE = "99.1x67.7"
"""Eight on A4, a common size of ready-cut sheets (common practice)."""
_GAP_MM = 2.5
"""Between columns, as ready-cut sheets have it (common practice); rows of labels touch."""
_SLACK_MM = 0.01
_SMALLEST_MM, _LARGEST_MM = (60.0, 40.0), (210.0, 148.5)
_SIZE = re.compile(r"\s*([0-9]{1,3}(?:\.[0-9]{1,2})?)\s*[x×]\s*([0-9]{1,3}(?:\.[0-9]{1,2})?)\s*")


@dataclass(frozen=True, slots=True)
class Sheet:
    """How many labels of one size stand on A4, and where."""

    width_mm: float
    height_mm: float

    @property
    def columns(self) -> int:
        """Labels side by side."""
        return math.floor((A4_MM[0] + _GAP_MM + _SLACK_MM) / (self.width_mm + _GAP_MM))

    @property
    def lines(self) -> int:
        """Labels one above the other."""
        return math.floor((A4_MM[1] + _SLACK_MM) / self.height_mm)

    @property
    def labels(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.lines

    def place_mm(self, number: int) -> tuple[float, float]:
        """Return left and top of a label, counted from 0 along the lines."""
        line, column = divmod(number, self.columns)
        left, top = self._margins_mm()
        return left + column * (self.width_mm + _GAP_MM), top + line * self.height_mm

    def cuts_mm(self) -> tuple[list[float], list[float]]:
        """Return where to cut: distances from the left edge, and from the top edge."""
        left, top = self._margins_mm()
        starts = [left + i * (self.width_mm + _GAP_MM) for i in range(self.columns)]
        across = sorted({round(x, 3) for start in starts for x in (start, start + self.width_mm)})
        return across, [round(top + i * self.height_mm, 3) for i in range(self.lines + 1)]

    def _margins_mm(self) -> tuple[float, float]:
        wide = self.columns * self.width_mm + (self.columns - 1) * _GAP_MM
        return (A4_MM[0] - wide) / 2, (A4_MM[1] - self.lines * self.height_mm) / 2


def read_size(text: str) -> Sheet:
    """Read a label's size, width by height in millimetres.

    Raises
    ------
    InputError
        If it is no size, or too small to be read, or larger than half the sheet.

    Examples
    --------
    >>> read_size("99.1x67.7").labels
    8
    """
    found = _SIZE.fullmatch(text)
    width, height = (float(found[1]), float(found[2])) if found else (0.0, 0.0)
    fits = _SMALLEST_MM[0] <= width <= _LARGEST_MM[0] and _SMALLEST_MM[1] <= height <= _LARGEST_MM[1]
    if not fits or width < height:
        raise InputError(
            "is no size for a label",
            where=text[:40],
            todo=f"Give width x height in mm, from 60x40 to 210x148.5 and no taller than wide, such as {DEFAULT_SIZE}.",
        )
    return Sheet(width, height)
