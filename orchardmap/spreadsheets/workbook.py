"""A workbook of plain tables: text, numbers and days, and not a single formula."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

import xlsxwriter

__all__ = ["Cell", "Sheet", "lay_out", "sheet_formats", "workbook", "write_cell"]

Cell = str | int | float | bool | Decimal | date | None
"""Text, a whole number, a number with decimals, yes or no, an amount of money, a day, or nothing."""

_STARTS_FORMULA = frozenset("=+-@")
"""OWASP, CSV Injection; white space before it changes nothing."""
_LONGEST_CELL = 32_767
_WIDEST = 40
_HEADING_PT = 40
"""Room for three lines."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table."""

    name: str
    """At most 31 letters, none of ``[]:*?/\\``."""
    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def workbook(sheets: Sequence[Sheet], *, notes: Sequence[str], minor_digits: int) -> bytes:
    """Return tables as an xlsx workbook.

    Parameters
    ----------
    sheets : sequence of Sheet
        At least one, each with a name of its own.
    notes : sequence of str
        For the first rows of each sheet; the first one, of ours and at most 200 letters, stands at the foot of each printed page too.
    minor_digits : int
        Decimals of amounts of money.

    Returns
    -------
    bytes

    Notes
    -----
    Text is written as text whatever it begins with. Where it begins as a formula would, its cell is quoted besides, so that it stays
    text when somebody edits it or saves the table as CSV from there.
    """
    file = BytesIO()
    book = xlsxwriter.Workbook(file, {"in_memory": True})
    formats = sheet_formats(book)
    formats["money"] = book.add_format({
        "num_format": "#,##0" + ("." + "0" * minor_digits if minor_digits else "")
    })
    for one in sheets:
        _write(book.add_worksheet(one.name), one, notes, formats)
    book.close()
    return file.getvalue()


def sheet_formats(book: Any) -> dict[str, Any]:  # noqa: ANN401 - the library carries no types
    """Return how the cells of a workbook look, by what they hold."""
    return {
        "note": book.add_format({"bold": True}),
        "heading": book.add_format({"bold": True, "bottom": 2, "text_wrap": True, "valign": "top"}),
        "text": book.add_format(),
        "quoted": book.add_format({"quote_prefix": True}),
        "number": book.add_format({"num_format": "General"}),
        "day": book.add_format({"num_format": "yyyy-mm-dd", "align": "left"}),
    }


def _write(table: Any, sheet: Sheet, notes: Sequence[str], formats: dict[str, Any]) -> None:  # noqa: ANN401 - the library carries no types
    for at, note in enumerate(notes):
        table.write_string(at, 0, note, formats["note" if at == 0 else "quoted"])
    top = len(notes) + 1
    table.set_row(top, _HEADING_PT)
    for column, heading in enumerate(sheet.headings):
        table.write_string(top, column, heading, formats["heading"])
        longest = max([len(str(row[column] or "")) for row in sheet.rows] + [len(heading) // 2])
        table.set_column(column, column, min(longest + 3, _WIDEST))
    for at, row in enumerate(sheet.rows, top + 1):
        for column, cell in enumerate(row):
            write_cell(table, (at, column), cell, formats)
    lay_out(table, top=top, footer=notes[0])


def lay_out(table: Any, *, top: int, footer: str) -> None:  # noqa: ANN401 - the library carries no types
    """Keep the headings in row ``top`` in sight, on the screen and on each printed page.

    Parameters
    ----------
    table : xlsxwriter worksheet
    top : int
        From 0.
    footer : str
        At most 200 letters, of ours: an ampersand in it is a sign to the spreadsheet.
    """
    table.freeze_panes(top + 1, 0)
    table.repeat_rows(top)
    table.set_landscape()
    table.set_paper(9)  # A4
    table.fit_to_pages(1, 0)
    table.set_footer(f"&L{footer}&R&P / &N")


def write_cell(
    table: Any,  # noqa: ANN401 - the library carries no types
    place: tuple[int, int],
    cell: Cell,
    formats: dict[str, Any],
    *,
    number: str = "number",
) -> None:
    """Write one cell by what it holds; text is text whatever it begins with.

    Parameters
    ----------
    table : xlsxwriter worksheet
    place : (int, int)
        Row and column, from 0.
    cell : Cell
    formats : dict
        From `sheet_formats`.
    number : str
        Which of them a number takes.
    """
    row, column = place
    if isinstance(cell, str):
        is_risky = cell[:1] in _STARTS_FORMULA or cell[:1].isspace()
        table.write_string(row, column, cell[:_LONGEST_CELL], formats["quoted" if is_risky else "text"])
    elif isinstance(cell, bool):
        table.write_boolean(row, column, cell, formats["text"])
    elif isinstance(cell, date):
        table.write_datetime(row, column, cell, formats["day"])
    elif isinstance(cell, Decimal):
        table.write_number(row, column, float(cell), formats["money"])
    elif cell is not None:
        table.write_number(row, column, cell, formats[number])
