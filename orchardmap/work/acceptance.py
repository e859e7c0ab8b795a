"""May a manager let a record count that was set aside? Only where there is something to count it for."""

from typing import Any

from orchardmap.work.intake import Facts, is_on_blank, names_no_return, wrong_lot
from orchardmap.work.merging import CAN_COUNT

__all__ = ["hindrance"]


def hindrance(kind: str, record: Any, facts: Facts) -> str | None:  # noqa: ANN401 - a record of any kind, as kept
    """Return the code of the reason why a version of a record can never count, or None if a manager may let it.

    Parameters
    ----------
    kind : str
        ``mark``, ``withdrawal``, ``check``, ``crew_day`` or ``tree_count``.
    record : any
        With the attributes of that kind and ``set_aside``.
    facts : Facts
        Of its farm, with the row that it names.

    Returns
    -------
    str or None
        A key of `orchardmap.work.intake.SET_ASIDE`.

    Notes
    -----
    Intake names the first thing that speaks against a record; another one may hide behind it (a closed season behind
    which there is no such row, say). So everything without which there is nothing to count for is asked again.
    """
    if record.set_aside is not None and record.set_aside not in CAN_COUNT:
        return str(record.set_aside)
    if kind == "withdrawal":
        return None
    if record.season_id not in facts.seasons:
        return "unknown_season"
    if kind in {"mark", "crew_day"} and record.crew_id not in facts.crews:
        return "unknown_crew"
    if kind == "mark":
        return _no_place(record, record.first, record.last, facts) or (
            "unknown_return" if names_no_return(record, facts) else None
        )
    if kind == "check":
        return _no_tree(record, facts) or wrong_lot(record, facts)
    return _no_tree(record, facts) if kind == "tree_count" else None


def _no_place(record: Any, first: int, last: int, facts: Facts) -> str | None:  # noqa: ANN401
    if not 1 <= first <= last:
        return "no_stretch"
    if record.block_id not in facts.blocks:
        return "unknown_block"
    positions = facts.row_positions.get((record.block_id, record.row))
    if positions is None:
        return "unknown_row"
    # a mark that runs beyond the row's end is cut there; one that lies beyond it altogether covers nothing
    return "beyond_row_end" if first > positions else None


def _no_tree(record: Any, facts: Facts) -> str | None:  # noqa: ANN401
    found = _no_place(record, record.position, record.position, facts)
    return "no_tree_there" if found is None and is_on_blank(record, facts) else found
