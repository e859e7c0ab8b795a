"""`orchardmap calc weak-areas`: areas and rows as plain values. Pure."""

from collections.abc import Sequence
from typing import Any

from orchardmap.errors import InputError
from orchardmap.quality.weak_areas import WeakArea
from orchardmap.quality.weak_rows import WeakRow

__all__ = ["area_answer", "row_answer"]


def area_answer(
    area: WeakArea, *, row_spacing_m: float | None = None, tree_spacing_m: float | None = None
) -> dict[str, Any]:
    """Return an area as JSON carries it.

    Parameters
    ----------
    area : WeakArea
        Of `orchardmap.quality.weak_areas.weak_areas`.
    row_spacing_m, tree_spacing_m : float, metres, optional
        From row to row and from tree to tree; each adds the ground that the area takes that way.

    Returns
    -------
    dict
        ``rows``, ``positions``, ``checked``, ``faulty``, ``llr`` (8 decimals), ``p``, ``state``; where there are new trees
        ``recheck``; where spacings are given ``width_m`` across the rows and ``length_m`` along them (1 decimal).

    Raises
    ------
    InputError
        If a spacing is not above 0.

    Examples
    --------
    >>> area = WeakArea((3, 4), (5, 9), 6, 5, 10.655931254, 0.003, "suspect")
    >>> area_answer(area, row_spacing_m=4.0)
    {'rows': [3, 4], 'positions': [5, 9], 'checked': 6, 'faulty': 5, 'llr': 10.65593125, 'p': 0.003, 'state': 'suspect', 'width_m': 8.0}
    """
    answer = {
        "rows": list(area.rows),
        "positions": list(area.positions),
        "checked": area.checked,
        "faulty": area.faulty,
        "llr": round(area.llr, 8),
        "p": round(area.p, 8),
        "state": area.state,
    }
    if area.recheck:
        told = area.recheck
        answer["recheck"] = {"checked": told.checked, "faulty": told.faulty, "p": round(told.p, 8)}
    if row_spacing_m is not None:
        answer["width_m"] = _ground_m(area.rows, row_spacing_m, "row_spacing")
    if tree_spacing_m is not None:
        answer["length_m"] = _ground_m(area.positions, tree_spacing_m, "tree_spacing")
    return answer


def row_answer(row: WeakRow) -> dict[str, Any]:
    """Return a weak row as JSON carries it: ``row``, ``checked``, ``faulty``, ``sureness`` (4 decimals)."""
    return {"row": row.row, "checked": row.checked, "faulty": row.faulty, "sureness": round(row.sureness, 4)}


def _ground_m(ends: Sequence[int], spacing_m: float, where: str) -> float:
    if not 0.0 < spacing_m < 1000.0:
        raise InputError("It must be above 0 and below 1,000 m.", where=where)
    return round((ends[1] - ends[0] + 1) * spacing_m, 1)
