"""A farm's layers as a workbook: a sheet each, as tables without their geometry."""

import errno
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.exceptions import XlsxFileError

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import translated
from orchardmap.model.layer import Features, Field, Layer
from orchardmap.spreadsheets.workbook import lay_out, sheet_formats, write_cell

__all__ = ["write_farm_book"]

_MOST_ROWS = 1_048_575
"""Of a sheet, below its headings: ECMA-376 knows no more."""
_WIDEST = 40
_HEADING_PT = 40
"""Room for three lines."""


def _number_format(field: Field) -> str:
    if field.kind == "whole":
        return "0"
    decimals = "." + "0" * field.decimals if field.decimals else ""
    return "0.0%" if field.is_share else f"0{decimals}"


def write_farm_book(
    path: Path,
    tables: Iterable[tuple[Layer, Iterable[Features]]],
    *,
    title: str,
    day: date,
    language: str = "en",
) -> int:
    """Write layers as an xlsx workbook without a formula in it.

    Parameters
    ----------
    path : Path
        Written anew; what is not finished yet lies beside it.
    tables : iterable of (Layer, iterable of Features)
        In the order of the sheets; taken one after the other, and no more than a row is kept in memory.
    title : str
        Whose tables these are, for the properties of the file.
    day : date
        As of which they are; on each printed page.
    language : str
        Of the names of sheets and of the headings, which carry the units.

    Returns
    -------
    int
        How many rows there are on all sheets. Headings are in the first row, frozen and with a filter; days are dates, shares
        are percentages, text is text whatever it begins with.

    Raises
    ------
    InputError
        If a table has more rows than a sheet holds.
    OSError
        If it cannot be written.
    """
    book = xlsxwriter.Workbook(path, {"constant_memory": True, "tmpdir": str(path.parent)})
    book.set_properties({"title": title})
    formats = sheet_formats(book)
    count = 0
    try:
        for layer, found in tables:
            numbers = {_number_format(field) for field in layer.fields} - set(formats)
            formats |= {one: book.add_format({"num_format": one}) for one in sorted(numbers)}
            table = book.add_worksheet(translated(layer.title, language)[:31])
            count += _write(table, layer, found, formats, language)
            lay_out(table, top=0, footer=day.isoformat())
    finally:
        try:
            book.close()
        except XlsxFileError as error:  # it wraps the system's
            raise OSError(errno.EIO, str(error)) from error
    return count


def _write(
    table: Any,  # noqa: ANN401 - the library carries no types
    layer: Layer,
    found: Iterable[Features],
    formats: dict[str, Any],
    language: str,
) -> int:
    headings = [translated(field.title, language) for field in layer.fields]
    widest = [len(heading) // 2 for heading in headings]
    table.set_row(0, _HEADING_PT)
    for column, heading in enumerate([*headings, "id"]):
        table.write_string(0, column, heading, formats["heading"])
    numbers = [_number_format(field) for field in layer.fields]
    row = 0
    for batch in found:
        if row + len(batch) > _MOST_ROWS:
            raise InputError("a sheet holds no more rows", where=layer.name, todo="Take the layer as CSV.")
        columns = [batch.columns[name] for name in layer.field_names]
        for values, one in zip(zip(*columns, strict=True), batch.ids, strict=True):
            row += 1
            for column, value in enumerate(values):
                write_cell(table, (row, column), value, formats, number=numbers[column])
            table.write_string(row, len(values), one, formats["text"])
        # a Python built-in over the column: long texts are few and widths are bounded
        widest = [max(wide, *(len(str(value)) for value in column), 0) for wide, column in zip(widest, columns, strict=True)]  # fmt: skip
    for column, wide in enumerate(widest):
        table.set_column(column, column, min(wide + 3, _WIDEST))
    table.autofilter(0, 0, row, len(headings))
    return row
