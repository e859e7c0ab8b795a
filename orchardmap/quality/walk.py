"""In which order to walk to the trees of a draw. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Mapping

from orchardmap.errors import InputError

__all__ = ["walking_order"]

Tree = tuple[int, int]


def walking_order(trees: Iterable[Tree], positions: Mapping[int, int]) -> list[Tree]:
    """Return trees in the order in which they take the fewest steps, row after row.

    Parameters
    ----------
    trees : iterable of (int, int)
        Row and position of each, in any order.
    positions : mapping of int to int
        How many positions each row has; position 1 stands at its first end.

    Returns
    -------
    list of (int, int)
        Rows as they are numbered; each is walked through, or in from one end and back out, whichever makes the whole walk
        short. Rows are changed at their ends only (nobody climbs through wires), and the walk begins at the end that is
        better. Steps between rows are the same either way.

    Raises
    ------
    InputError
        If a tree stands beyond the positions of its row; ``where`` names it.

    Examples
    --------
    >>> walking_order([(1, 4), (1, 90), (2, 80), (2, 97), (3, 5)], {1: 100, 2: 100, 3: 100})
    [(1, 4), (1, 90), (2, 97), (2, 80), (3, 5)]
    """
    rows: defaultdict[int, list[int]] = defaultdict(list)
    for row, position in sorted(set(trees)):
        if not 1 <= position <= positions.get(row, 0):
            raise InputError("There is no such position.", where=f"row {row}, position {position}")
        rows[row].append(position)
    # best walk so far that stands at the first end, and at the last: its steps, and from which end each row was entered
    best: list[tuple[int, list[bool]]] = [(0, []), (0, [])]
    for row, wanted in rows.items():
        through, (at_first, at_last) = positions[row], best
        in_and_out = 2 * wanted[-1], 2 * (positions[row] + 1 - wanted[0])
        best = [
            min(
                (at_first[0] + in_and_out[0], [*at_first[1], True]),
                (at_last[0] + through, [*at_last[1], False]),
                key=_steps,
            ),
            min(
                (at_last[0] + in_and_out[1], [*at_last[1], False]),
                (at_first[0] + through, [*at_first[1], True]),
                key=_steps,
            ),
        ]
    _, entered_first = min(best, key=_steps)
    return [
        (row, position)
        for (row, wanted), is_first in zip(rows.items(), entered_first, strict=True)
        for position in (wanted if is_first else wanted[::-1])
    ]


def _steps(walk: tuple[int, list[bool]]) -> int:
    return walk[0]
