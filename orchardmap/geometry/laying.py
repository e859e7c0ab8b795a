"""The rows that an outline with its planting gives, or that surveyed lines are."""

from collections.abc import Sequence

from shapely.geometry import MultiLineString, MultiPolygon, Polygon

from orchardmap.errors import InputError
from orchardmap.geometry.rows import rows_of_block
from orchardmap.geometry.surveyed import surveyed_rows
from orchardmap.model.orchard import Planting, Row

__all__ = ["laid_rows"]


def laid_rows(
    outline: Polygon | MultiPolygon | None,
    planting: Planting | None,
    *,
    surveyed: Sequence[MultiLineString] = (),
    numbers: Sequence[int] | None = None,
    block_id: str = "",
    where: str = "",
) -> list[Row]:
    """Return the rows of a block.

    Parameters
    ----------
    outline : Polygon or MultiPolygon or None
        lonlat degrees; not needed where rows were surveyed.
    planting : Planting or None
        Spacings in metres, bearing in degrees.
    surveyed : sequence of MultiLineString
        Rows as they were surveyed; they replace the rows that the planting would give.
    numbers : sequence of int, optional
        Of the surveyed rows, as known on the farm.
    block_id, where : str
        What the rows' ``block_id`` shall be, and how messages name the block.

    Returns
    -------
    list of Row
        By number.

    Raises
    ------
    InputError
        If there is neither outline nor surveyed row, or no row fits.
    """
    if planting is not None and surveyed:
        rows = surveyed_rows(surveyed, planting=planting, numbers=numbers, block_id=block_id)
    elif planting is not None and outline is not None:
        rows = rows_of_block(outline, planting, block_id=block_id)
    else:
        raise InputError("a block needs an outline or surveyed rows, and its spacings", where=where)
    if not rows:
        raise InputError(
            "no row fits into the outline",
            where=where,
            todo="Look at row spacing, first-row offset, headland and shortest row.",
        )
    return rows
