"""A table of checked trees as CSV, read strictly: what is not plain is refused with its line."""

import re

from orchardmap.errors import ImportFileError
from orchardmap.geodata.plain_csv import table_lines
from orchardmap.quality.weak_areas import CheckedTree

__all__ = ["checked_trees"]

_COLUMNS = [frozenset({"row", "position", "faulty"}), frozenset({"row", "position", "faulty", "recheck"})]
_TODO = (
    "Its first line must be row,position,faulty, with recheck behind it where an area was looked at again."
)
_NUMBER = re.compile(r"\d{1,6}", re.ASCII)


def checked_trees(content: bytes, *, name: str) -> list[CheckedTree]:
    """Return the checked trees that a CSV file holds.

    Parameters
    ----------
    content : bytes
        UTF-8 with or without a byte order mark, commas between columns. Columns in any order: ``row`` and ``position``
        (whole numbers), ``faulty`` (0 or 1), and ``recheck`` (0 or 1, 0 when left out).
    name : str
        Of the file, for errors.

    Returns
    -------
    list of CheckedTree
        In the order of the file.

    Raises
    ------
    ImportFileError
        If a column is missing, unknown or double, a cell is not such a number, or a tree stands there twice; ``where``
        names the line and the column.
    """
    found: dict[tuple[int, int], tuple[str, CheckedTree]] = {}
    for where, cells in table_lines(content, name=name, kind="table of checks", allowed=_COLUMNS, todo=_TODO):
        row, position = (_whole(cells[column], f"{where}, {column}") for column in ("row", "position"))
        is_faulty = _yes(cells["faulty"], f"{where}, faulty")
        is_recheck = _yes(cells.get("recheck", "0"), f"{where}, recheck")
        if (row, position) in found:
            what = f"Row {row}, position {position} stands in {found[row, position][0]} already."
            todo = "Keep the check that counts; a re-check tells only by trees that are new."
            raise ImportFileError(what, where=f"{where}, position", todo=todo)
        one = CheckedTree(row, position, is_faulty, is_recheck)
        found[row, position] = where.removeprefix(f"{name}, "), one
    if not found:
        raise ImportFileError("It has no line with a check.", where=name)
    return [one for _, one in found.values()]


def _whole(cell: str, where: str) -> int:
    if not _NUMBER.fullmatch(cell):
        raise ImportFileError(
            f"{cell!r} is no whole number from 0 to 999,999.", where=where, todo="Write it like 12."
        )
    return int(cell)


def _yes(cell: str, where: str) -> bool:
    if cell not in {"0", "1"}:
        raise ImportFileError(f"{cell!r} is neither 0 nor 1.", where=where, todo="Write 1 for yes, 0 for no.")
    return cell == "1"
