"""Whether work that was recorded allows a change of the ground.

Which trees a record speaks of is (block, row number, position from the first end). Of a row in which work was recorded nothing may change that
makes a position another tree: it neither leaves, nor gets another number or block, nor begins at its other end, nor loses trees that were
recorded to another row. How *many* trees stand in it, and where, may always be said better; what that does to records is told: trees beyond
a new end, checked or counted trees that would be none, a first end from which other trees are counted.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from orchardmap.geometry.ground import BlockGround, Ground, GroundRow, RowKey, continued_rows, rows_by_key
from orchardmap.geometry.ground_shifts import (
    first_end_moved_m,
    overlap_share,
    rows_outside,
    sideways_m,
    turned_deg,
)
from orchardmap.model.orchard import Block, Row

__all__ = ["Problem", "RowUse", "block_problems", "problems"]


_HINDERING = frozenset({"leaves", "renumbered", "turned", "cut", "number_used"})


@dataclass(frozen=True, slots=True)
class RowUse:
    """What was recorded in a row, in any season, withdrawn or set aside or not."""

    marks: int = 0
    others: int = 0
    """Checks, counted trees, stretches of lots, returns and settlements."""
    last: int = 0
    """The highest position that any of them names."""
    trees: tuple[int, ...] = ()
    """Of each check and each counted tree that counts, its position."""


@dataclass(frozen=True, slots=True)
class Problem:
    """Why an edit cannot be taken, or what of it is to be known first."""

    code: str
    """leaves, renumbered, turned, cut, number_used; the others hinder nothing: beyond, no_tree, first_end, places_lost, and of whole blocks
    (`orchardmap.geometry.ground_shifts`) shifted, skewed, outside, overlaps."""
    block_id: str
    row: int
    """0 for the whole block."""
    marks: int = 0
    others: int = 0
    """Of no_tree: checks and counted trees; of outside: rows."""
    position: int = 0
    """Of a cut: the last position recorded; beyond: the new number of positions; places_lost: how many; overlaps: percent of its ground."""
    metres: float = 0.0
    """first_end: how far along the row it moves, inwards where negative; shifted: how far to the right of the rows; skewed: degrees."""
    other: str = ""
    """Of overlaps: the other block's id."""

    @property
    def hinders(self) -> bool:
        """Tell whether the edit cannot be taken."""
        return self.code in _HINDERING


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


def block_problems(
    before: Ground, after: Ground, *, surveyed: Collection[str], others: Sequence[Block]
) -> list[Problem]:
    """Return what of whole blocks is to be known before a change is taken; none of it hinders.

    Parameters
    ----------
    before, after : Ground
        The ground, and what the edits made of it.
    surveyed : collection of str
        Blocks that were surveyed or laid anew.
    others : sequence of Block
        The farm's blocks that the edits leave alone.

    Returns
    -------
    list of Problem
        What was so before is not told again.
    """
    found: list[Problem] = []
    for key, ground in sorted(after.items()):
        was = before.get(key)
        if was is not None and key in surveyed:
            told = {"shifted": sideways_m(was, ground), "skewed": turned_deg(was, ground)}
            found += [Problem(code, key, 0, metres=by) for code, by in told.items() if by]
        outside = set(rows_outside(ground)) - set(rows_outside(was) if was else ())
        if outside:
            found.append(Problem("outside", key, 0, others=len(outside)))
        beside = [*others, *(one.block for other, one in after.items() if other != key)]
        found += _overlaps(was, ground, beside)
    return found


def _overlaps(was: BlockGround | None, ground: BlockGround, beside: Sequence[Block]) -> list[Problem]:
    if was is not None and was.block.outline == ground.block.outline:
        return []
    known = {} if was is None else overlap_share(was.block, beside)
    return [
        Problem("overlaps", ground.block.id, 0, position=max(1, round(100 * share)), other=other)
        for other, share in sorted(overlap_share(ground.block, beside).items())
        if share > known.get(other, 0.0) + 0.005
    ]


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
    return [*_told(key, row, use, one)]


def _told(key: RowKey, row: Row, use: RowUse, one: GroundRow) -> Iterator[Problem]:
    """Yield what a better count or line does to what was recorded; it hinders nothing."""
    after = one.row
    if after.positions < min(use.last, row.positions):
        yield _problem("beyond", key, use, after.positions)
    none = [p for p in use.trees if _is_tree(row, p) and not _is_tree(after, p)]
    if none:
        yield Problem("no_tree", *key, others=len(none))
    moved_m = first_end_moved_m(row, after) if use.last else 0.0
    if moved_m:
        yield Problem("first_end", *key, marks=use.marks, others=use.others, metres=moved_m)


def _is_tree(row: Row, position: int) -> bool:
    return position <= row.positions and position not in row.blanks


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
