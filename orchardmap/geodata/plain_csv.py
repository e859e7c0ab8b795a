"""The lines of a CSV table that is read strictly: what is not plain is refused with its line."""

import csv
import io
from collections.abc import Collection, Iterator

from orchardmap.errors import ImportFileError

__all__ = ["table_lines"]


def table_lines(
    content: bytes, *, name: str, kind: str, allowed: Collection[frozenset[str]], todo: str
) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield the lines of a table that are not empty, each with its place in words.

    Parameters
    ----------
    content : bytes
        UTF-8 with or without a byte order mark, commas between columns. Columns in any order, capitals or not.
    name : str
        Of the file, for errors.
    kind : str
        What such a table is called, for errors: "weather table".
    allowed : collection of set of str
        The sets of columns that there may be.
    todo : str
        What the first line must be.

    Yields
    ------
    tuple of str and dict
        Name and line for errors, and the cells by column without spaces around them.

    Raises
    ------
    ImportFileError
        If it is not CSV in UTF-8, a column is missing, unknown or double, or a line has more or fewer cells.
    """
    lines = _lines(content, name)
    _, header = next(lines, (1, []))
    columns = [column.strip().lower() for column in header]
    if set(columns) not in allowed:
        raise ImportFileError(f"Its columns are not those of a {kind}.", where=f"{name}, line 1", todo=todo)
    if len(set(columns)) != len(columns):
        raise ImportFileError("A column stands there twice.", where=f"{name}, line 1", todo=todo)
    for number, cells in lines:
        where = f"{name}, line {number}"
        if len(cells) != len(columns):
            raise ImportFileError(f"It has {len(cells)} cells for {len(columns)} columns.", where=where)
        yield where, dict(zip(columns, map(str.strip, cells), strict=True))


def _lines(content: bytes, name: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the lines that are not empty, with their number in the file."""
    try:
        reader = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True)
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except (UnicodeDecodeError, csv.Error) as error:
        raise ImportFileError(f"It is not a CSV file in UTF-8: {error}.", where=name) from error
