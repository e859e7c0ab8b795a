"""Whether work that was recorded allows a change of the ground.

Which trees a record speaks of is (block, row number, position from the first end). Of a row in which work was recorded nothing may change that
makes a position another tree: it neither leaves, nor gets another number or block, nor begins at its other end, nor loses trees that were
recorded to another row. How *many* trees stand in it, and where, may always be said better; trees beyond a new end are told.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from orchardmap.geometry.ground import Ground, GroundRow, RowKey, continued_rows, rows_by_key
from orchardmap.model.orchard import Row

__all__ = ["Problem", "RowUse", "problems"]


@dataclass(frozen=True, slots=True)
class RowUse:
    """What was recorded in a row, in any season, withdrawn or set aside or not."""

    marks: int = 0
    others: int = 0
    """Checks, counted trees, stretches of lots, returns and settlements."""
    last: int = 0
    """The highest position that any of them names."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Why an edit cannot be taken, or what of it is to be known first."""

    code: str
    """leaves, renumbered, turned, cut, number_used; beyond and places_lost hinder nothing."""
    block_id: str
    row: int
    marks: int = 0
    others: int = 0
    position: int = 0
    """Of a cut: the last position recorded; beyond: the new number of positions; places_lost: how many."""

    @property
    def hinders(self) -> bool:
        """Tell whether the edit cannot be taken."""
        return self.code not in ("beyond", "places_lost")


def problems(before: Ground, after: Ground, uses: Mapping[RowKey, RowUse]) -> list[Problem]:
    """Return what hinders a change, and what of it is to be known first.

    Parameters
    ----------
    before, after : Ground
        The ground, and what the edits made of it.
    uses : mapping of (block id, row number) to RowUse
        What was recorded, also under numbers that no row has.

    Returns
    -------
    list of Problem
        By block and row; empty where nothing that was recorded is concerned.
    """
    then, now, became = rows_by_key(before), rows_by_key(after), continued_rows(after)
    found: list[Problem] = []
    for key, use in sorted(uses.items()):
        if key in then:
            found += _judged(key, then[key].row, use, became.get(key))
        elif key in now and not now[key].again:
            found.append(_problem("number_used", key, use))
    return found + _lost_places(then, became)


def _problem(code: str, key: RowKey, use: RowUse, position: int = 0) -> Problem:
    return Problem(code, *key, marks=use.marks, others=use.others, position=position)


def _judged(key: RowKey, row: Row, use: RowUse, became: tuple[RowKey, GroundRow] | None) -> list[Problem]:
    if became is None:
        return [_problem("leaves", key, use)]
    place, one = became
    if place != key:
        return [_problem("renumbered", key, use)]
    if one.turned:
        return [_problem("turned", key, use)]
    last = min(use.last, row.positions)
    if one.kept is not None and one.kept < last:
        return [_problem("cut", key, use, last)]
    if one.row.positions < last:
        return [_problem("beyond", key, use, one.row.positions)]
    return []


def _lost_places(
    then: Mapping[RowKey, GroundRow], became: Mapping[RowKey, tuple[RowKey, GroundRow]]
) -> list[Problem]:
    """Return rows that end before a blank or pollinizer that was known in them."""
    found = []
    for key, one in then.items():
        if key not in became or became[key][1].kept is not None:
            continue
        end = became[key][1].row.positions
        lost = [p for p in one.row.blanks | one.row.pollinizers if p > end]
        if lost:
            found.append(Problem("places_lost", *key, position=len(lost)))
    return found
