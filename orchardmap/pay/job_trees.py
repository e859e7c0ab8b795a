"""Trees of a job of `calc pay`: counted ones, or marks with their rows."""

from collections.abc import Mapping, Sequence

from orchardmap.errors import InputError
from orchardmap.model.people import METHODS, Method
from orchardmap.model.work import StretchSettlement
from orchardmap.pay.credit import Credit, CreditedTrees, HeldTrees, PayMark, PayRow, credited_trees
from orchardmap.pay.fields import Fields

__all__ = ["MARK_KEYS", "ROW_KEYS", "SETTLEMENT_KEYS", "TREE_KEYS", "trees_given"]

TREE_KEYS = ("day", "crew", "trees", "held", "variety", "method", "block", "row", "return")
MARK_KEYS = ("id", "day", "crew", "block", "row", "first", "last", "method", "return")
ROW_KEYS = ("block", "row", "positions", "variety", "blanks", "pollinizers")
SETTLEMENT_KEYS = ("block", "row", "first", "last", "crew")
_MOST_POSITIONS = 100_000


def trees_given(
    trees: Sequence[Fields], marks: Sequence[Fields], rows: Sequence[Fields], settlements: Sequence[Fields]
) -> CreditedTrees:
    """Return who is credited with which trees.

    Parameters
    ----------
    trees : sequence of Fields
        Trees that are credited already, or held.
    marks, rows, settlements : sequence of Fields
        From which credit follows. A settlement has seen all marks; of two that speak of one position the later one holds.

    Returns
    -------
    CreditedTrees
        Both together.

    Raises
    ------
    InputError
        If a field cannot be used, a row is given twice, or a mark is on a row that is not given.
    """
    counted = [_credit(one) for one in trees]
    held = [_held(one) for one in trees if one.whole("held", 0)]
    found = _marked(marks, rows, settlements)
    credits = [one for one in counted if one.trees]
    return CreditedTrees((*credits, *found.credits), (*held, *found.held), found.for_nobody)


def _credit(given: Fields) -> Credit:
    return Credit(
        given.text("crew"), given.day("day"), given.whole("trees", 0 if given.has("held") else None), given.optional_text("variety"), _method(given),
        given.optional_text("block") or "", given.whole("row", 0), "return" if given.flag("return", default=False) else None,
    )  # fmt: skip


def _held(given: Fields) -> HeldTrees:
    return HeldTrees(
        given.optional_text("block") or "", given.whole("row", 0), 0, 0, given.whole("held"),
        (given.text("crew"),), (given.day("day"),),
    )  # fmt: skip


def _method(given: Fields) -> Method | None:
    return given.word("method", METHODS) if given.has("method") else None


def _marked(marks: Sequence[Fields], rows: Sequence[Fields], settlements: Sequence[Fields]) -> CreditedTrees:
    known: dict[tuple[str, int], PayRow] = {}
    for given in rows:
        row = _row(given)
        if (row.block_id, row.number) in known:
            raise given.placed(InputError("This row is given twice.", where="row", todo="Leave one out."))
        known[row.block_id, row.number] = row
    made = [_mark(given, known) for given in marks]
    seen = frozenset(one.id for one in made)
    words = []
    for number, given in enumerate(settlements, 1):
        block_id, row_number, first, last = _stretch_of(given, known)
        crew_id = given.optional_text("crew")
        words.append(StretchSettlement("", number, "", block_id, row_number, first, last, crew_id, seen))
    return credited_trees(made, known.values(), words)


def _row(given: Fields) -> PayRow:
    positions = given.whole("positions")
    if positions > _MOST_POSITIONS:
        raise given.placed(
            InputError(f"It is {positions}.", where="positions", todo=f"Give up to {_MOST_POSITIONS:,}.")
        )
    not_paid = frozenset(given.wholes("blanks") + given.wholes("pollinizers"))
    return PayRow(
        given.text("block"), given.whole("row"), positions, given.optional_text("variety"), not_paid
    )


def _mark(given: Fields, rows: Mapping[tuple[str, int], PayRow]) -> PayMark:
    block_id, row, first, last = _stretch_of(given, rows)
    crew_id, day, method = given.text("crew"), given.day("day"), _method(given)
    return_id = given.optional_text("return")
    # without an id of its own a mark is known by what it says, so that the order of marks decides nothing
    mark_id = (
        given.optional_text("id") or f"{day} {crew_id} {block_id} {row} {first} {last} {method} {return_id}"
    )
    return PayMark(mark_id, crew_id, day, block_id, row, first, last, method, return_id=return_id)


def _stretch_of(given: Fields, rows: Mapping[tuple[str, int], PayRow]) -> tuple[str, int, int, int]:
    """Return block, row and positions, of a row that is given."""
    first, last = given.whole("first"), given.whole("last")
    if not 1 <= first <= last:
        raise given.placed(
            InputError(
                f"It runs from {first} to {last}.",
                where="first",
                todo="Give positions from 1 on, the lower one first.",
            )
        )
    block_id, row = given.text("block"), given.whole("row")
    if (block_id, row) not in rows:
        raise given.placed(
            InputError(
                f"Row {row} of block {block_id} is not among the rows.", where="row", todo="Add it to rows."
            )
        )
    return block_id, row, first, last
