"""Rows surveyed again: each is the row that stood where it stands, with its number and what was counted in it."""

from dataclasses import replace

from orchardmap.geometry.ground import BlockGround, GroundRow
from orchardmap.geometry.row_matching import matched_rows
from orchardmap.geometry.row_shapes import clipped_places, turned_row
from orchardmap.model.orchard import Row

__all__ = ["rows_by_place"]


def rows_by_place(there: BlockGround, laid: list[Row], *, within_m: float) -> list[GroundRow]:
    """Return laid rows as those that stood where they stand.

    Parameters
    ----------
    there : BlockGround
        The block as it is.
    laid : list of Row
        As they were laid or surveyed anew.
    within_m : float, metres
        Farthest that a row may stand from where it was (see `matched_rows`).

    Returns
    -------
    list of GroundRow
        With number, first end and counts of the row that stood there; the others take their own number where it is free, else the next.
    """
    matches = matched_rows([one.row for one in there.rows], laid, within_m=within_m)
    found = {one.new: one for one in matches}
    rows = [
        _continued(there.rows[one.old], turned_row(laid[one.new]) if one.turned else laid[one.new])
        for one in matches
    ]
    # where nothing stands where it stood, the old numbers are free with their rows
    taken = {one.row.number for one in there.rows} if matches else set()
    for index, row in enumerate(laid):
        if index not in found:
            number = max(taken) + 1 if row.number in taken else row.number
            taken.add(number)
            rows.append(GroundRow(replace(row, number=number)))
    return rows


def _continued(one: GroundRow, row: Row) -> GroundRow:
    """Return an old row on a new line: its number, its count and its blanks stay, as far as there are positions."""
    kept = replace(row, number=one.row.number, counted_positions=one.row.counted_positions)
    return replace(one, row=clipped_places(kept, one.row.blanks, one.row.pollinizers))
