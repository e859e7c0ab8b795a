"""Records that were made on an earlier ground: do their trees stand where they say, and if not, where."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from orchardmap.geometry.ground import RowKey
from orchardmap.geometry.ground_tracing import RowFate, RowStep, Trees, traced
from orchardmap.store import ground as ground_store
from orchardmap.store import row_tables
from orchardmap.store.ground import Step
from orchardmap.store.session import Connection

__all__ = ["GROUND", "GroundMoves", "Where", "row_step", "said_ground"]

GROUND = "ground"
"""Under ``extra``: the ground that a record was made on, by the change that made it so; the block's own id before any."""


@dataclass(frozen=True, slots=True)
class Where:
    """Where the trees of a record stand on the ground of today."""

    is_here: bool
    """Where it says."""
    now: Trees | None
    """None where that is not known."""


def said_ground(record: Any) -> str | None:  # noqa: ANN401 - a record of any kind, as sent or as kept
    """Return the ground that a record says it was made on; None where it says none, as before wire version 7."""
    said = (record.extra or {}).get(GROUND)
    return said if isinstance(said, str) else None


class GroundMoves:
    """The changes of a farm's ground, asked where trees stand that were named before some of them."""

    def __init__(self, conn: Connection, farm_id: str) -> None:
        self._conn = conn
        self._farm_id = farm_id
        self._read: dict[str, RowStep] = {}

    @cached_property
    def _steps(self) -> list[Step]:
        return ground_store.steps(self._conn, self._farm_id)

    def where(self, record: Any, made_at: datetime) -> Where:  # noqa: ANN401 - a mark, check or tree count, as sent or as kept
        """Return where the trees of a record stand.

        Parameters
        ----------
        record : any
            With block_id, row, first and last or position, and extra.
        made_at : datetime with time zone
            When it was made, corrected for the device's clock. It decides only for a record that says no ground: such a
            one is taken to be made on the ground of that moment.

        Returns
        -------
        Where
            Of a record that names a ground which is not known here nothing is known.
        """
        first, last = (
            (record.first, record.last) if hasattr(record, "first") else (record.position, record.position)
        )
        trees = Trees(record.block_id, record.row, first, last)
        later = self._later(record.block_id, said_ground(record), made_at)
        if later is None:
            return Where(is_here=False, now=None)
        now = self._followed(trees, later)
        if now is not None and now.of is not None and now.of != self._positions(now):
            now = None
        same = now is not None and (now.block_id, now.row, now.first, now.last) == (
            trees.block_id,
            trees.row,
            trees.first,
            trees.last,
        )
        return Where(same, now)

    def _later(self, block_id: str, made_on: str | None, made_at: datetime) -> list[Step] | None:
        """Return the changes taken after that ground that still hold; None where the ground is not known here."""
        if made_on is None:
            return _holding([step for step in self._steps if step.made_at > made_at])
        if made_on == block_id:
            return _holding(self._steps)
        number = next((step.number for step in self._steps if step.id == made_on), None)
        return None if number is None else _holding([step for step in self._steps if step.number > number])

    def _followed(self, trees: Trees, later: Sequence[Step]) -> Trees | None:
        found: Trees | None = trees
        for step in later:
            if found is None:
                return None
            if found.block_id in step.blocks:
                found = traced(found, [self._row_step(step.id)])
        return found

    def _positions(self, trees: Trees) -> int | None:
        table = row_tables.named_rows(self._conn, self._farm_id, {(trees.block_id, trees.row)})
        return int(table.positions[0]) if table.block_id else None

    def _row_step(self, change_id: str) -> RowStep:
        if change_id not in self._read:
            self._read[change_id] = row_step(ground_store.steps_back(self._conn, change_id))
        return self._read[change_id]


def _holding(steps: Sequence[Step]) -> list[Step]:
    """Return those of the steps that were not taken back among them, in order."""
    among = {step.id for step in steps}
    undone: set[str] = set()
    found: list[Step] = []
    for step in reversed(steps):
        if step.id in undone:
            continue
        if step.undoes in among:
            undone.add(step.undoes or "")
        else:
            found.append(step)
    return found[::-1]


def row_step(back: Mapping[str, Any]) -> RowStep:
    """Return what a change made of rows: its step back tells each that was, and which row it is."""
    fates: dict[RowKey, RowFate] = {}
    for row in back["rows"]:
        counted = row["counted_positions"]
        fates[row["block_id"], row["number"]] = RowFate(
            now=None if row["origin"] is None else (row["origin"][0], row["origin"][1]),
            positions=sum(row["part_positions"]) if counted is None else counted,
            turned=row["turned"],
            own=row["own"],
        )
    return RowStep(fates, frozenset((block_id, number) for block_id, number in back["away"]))
