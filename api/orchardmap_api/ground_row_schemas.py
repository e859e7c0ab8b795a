"""What may be sent to edit the rows of a block."""

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import Field, StrictInt
from shapely.geometry import MultiLineString

from orchardmap.geometry import row_edits as on_rows
from orchardmap.geometry.ground_changes import Edit
from orchardmap.model.orchard import Planting
from orchardmap_api.schemas import Body, Count, Id, LonLat

__all__ = [
    "AddRowBody", "CountRowBody", "DropRowsBody", "JoinRowsBody", "MoveRowBody", "NumberRowsBody", "SplitRowBody", "SurveyReader", "TurnRowsBody",
]  # fmt: skip

SurveyReader = Callable[
    [str, int | None, list[int], Planting], tuple[Any, tuple[MultiLineString, ...], tuple[int, ...] | None]
]
"""Token, feature of the outline, features of rows, planting -> outline or None, surveyed rows, their numbers."""

Numbers = Annotated[list[Count], Field(min_length=1, max_length=5_000)]
Part = Annotated[list[LonLat], Field(min_length=2, max_length=2_000)]
Line = Annotated[list[Part], Field(min_length=1, max_length=100)]
Places = Annotated[list[Count], Field(max_length=10_000)]


def _line(parts: list[list[tuple[float, float]]]) -> MultiLineString:
    return MultiLineString(parts)


class DropRowsBody(Body):
    """Rows that are not there."""

    kind: Literal["drop-rows"]
    block: Id
    rows: Numbers

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_rows.DropRows(str(self.block), tuple(self.rows))


class TurnRowsBody(Body):
    """Rows whose first end is the other one."""

    kind: Literal["turn-rows"]
    block: Id
    rows: Numbers

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_rows.TurnRows(str(self.block), tuple(self.rows))


class NumberRowsBody(Body):
    """Other numbers for rows, all at once."""

    kind: Literal["number-rows"]
    block: Id
    numbers: Annotated[list[tuple[Count, Count]], Field(min_length=1, max_length=5_000)]
    """[number now, number to be]."""

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_rows.NumberRows(str(self.block), dict(self.numbers))


class MoveRowBody(Body):
    """A row's line drawn anew, first end first."""

    kind: Literal["move-row"]
    block: Id
    row: Count
    parts: Line

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_rows.MoveRow(str(self.block), self.row, _line(self.parts))


class AddRowBody(Body):
    """A row that is missing; without a number it takes the next one."""

    kind: Literal["add-row"]
    block: Id
    parts: Line
    number: Count | None = None

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_rows.AddRow(str(self.block), _line(self.parts), self.number)


class SplitRowBody(Body):
    """A row that is two: cut behind a position."""

    kind: Literal["split-row"]
    block: Id
    row: Count
    after: Count
    number: Count | None = None

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_rows.SplitRow(str(self.block), self.row, self.after, self.number)


class JoinRowsBody(Body):
    """Two rows that are one."""

    kind: Literal["join-rows"]
    block: Id
    row: Count
    second: Count

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_rows.JoinRows(str(self.block), self.row, self.second)


class CountRowBody(Body):
    """What was counted in a row, whole."""

    kind: Literal["count-row"]
    block: Id
    row: Count
    counted_positions: Annotated[StrictInt, Field(ge=0, le=10_000)] | None
    blanks: Places
    pollinizers: Places

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        counted = (self.counted_positions, tuple(self.blanks), tuple(self.pollinizers))
        return on_rows.CountRow(str(self.block), self.row, *counted)
