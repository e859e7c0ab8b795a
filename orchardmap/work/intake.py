"""Decide what becomes of a record that arrives: it fits this farm, or it is set aside for the manager.

Nothing is ever refused here: a record that does not fit is kept with its reason and does not count. Whether whoever hands
it in may speak for the crew is asked after this, of all its senders (`orchardmap.work.speaking`).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.model.check import Check
from orchardmap.model.season import Closure, Season
from orchardmap.model.tree_count import TreeCount
from orchardmap.model.work import CrewDay, Mark, Withdrawal
from orchardmap.work.closed import is_inside_closure

__all__ = [
    "SET_ASIDE",
    "Facts",
    "LotPlace",
    "check_set_aside",
    "crew_day_set_aside",
    "is_on_blank",
    "mark_set_aside",
    "names_no_return",
    "tree_count_set_aside",
    "withdrawal_set_aside",
    "wrong_lot",
]  # fmt: skip

SET_ASIDE: Mapping[str, str] = {
    "unknown_season": "the season is not one of this farm",
    "season_closed": "the season is closed",
    "unknown_block": "the block is not one of this farm",
    "unknown_row": "the block has no row of that number",
    "other_ground": "its row was changed after it was made: it may speak of other trees",
    "beyond_row_end": "the row has fewer positions",
    "no_stretch": "it does not run from a position to the same or a later one",
    "unknown_crew": "the crew is not one of this farm",
    "unknown_person": "the person is not one of this farm",
    "unknown_return": "no such return is open",
    "unknown_lot": "the lot is not one of this block",
    "not_in_lot": "the tree is not one that was drawn for its lot",
    "before_season": "the day lies before the season opens",
    "later_than_today": "the day has not come yet",
    "block_closed": "the block was closed then",
    "no_tree_there": "the position is a blank",
    "other_crew": "it was handed in by another crew's tablet",
    "device_revoked": "it was made on a tablet whose pairing was ended",
    "other_crew_day": "it corrects the crew-day of another crew or day",
    "other_content": "the same id came twice with different content",
}
"""Reason code -> sentence for the manager."""


@dataclass(frozen=True, slots=True)
class LotPlace:
    """Where the trees of a lot stand that are to be checked."""

    season_id: str
    block_id: str
    trees: frozenset[tuple[int, int]]
    """(row number, position) of those drawn, the extra ones too."""


def _stays(_record: Any) -> bool:  # noqa: ANN401 - a record of any kind
    return False


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of the farm when records arrive."""

    zone: ZoneInfo
    seasons: Mapping[str, Season]
    crews: frozenset[str]
    people: frozenset[str]
    blocks: frozenset[str]
    row_positions: Mapping[tuple[str, int], int]
    """(block id, row number) -> positions."""
    blanks: frozenset[tuple[str, int, int]] = frozenset()
    """(block id, row number, position)."""
    closures: Sequence[Closure] = field(default_factory=tuple)
    revoked_devices: frozenset[str] = frozenset()
    returns: frozenset[tuple[str, str, str]] = frozenset()
    """(return id, season id, block id) of those that were not cancelled."""
    lots: Mapping[str, LotPlace] = field(default_factory=dict)
    """By lot id, those that the records name."""
    is_elsewhere: Callable[[Any], bool] = _stays
    """Tells of a mark, check or tree count whether its trees stand elsewhere than it says: its rows were changed since it was made."""


def mark_set_aside(mark: Mark, facts: Facts, *, day: date, true_at: datetime, today: date) -> str | None:
    """Return the code of the reason why a mark does not count, or None if it does.

    Parameters
    ----------
    mark : Mark
        As sent.
    facts : Facts
        Of the farm whose device sent it.
    day : date
        Day worked, corrected for the device's clock.
    true_at : datetime with time zone
        Moment the mark was made, corrected likewise.
    today : date
        The server's day in the farm's zone.

    Returns
    -------
    str or None
        A key of `SET_ASIDE`.
    """
    if mark.first < 1 or mark.last < mark.first:
        return "no_stretch"
    found = _wrong_place(mark, mark.last, facts)
    if found:
        return found
    if mark.crew_id not in facts.crews:
        return "unknown_crew"
    if mark.recorder_id is not None and mark.recorder_id not in facts.people:
        return "unknown_person"
    if names_no_return(mark, facts):
        return "unknown_return"
    found = _wrong_day(facts.seasons[mark.season_id], day, today)
    if found:
        return found
    if is_inside_closure(mark.block_id, day, true_at, closures=facts.closures, zone=facts.zone):
        return "block_closed"
    return _let_go(mark.device_id, facts)


def names_no_return(mark: Any, facts: Facts) -> bool:  # noqa: ANN401 - a mark, as sent or as kept
    """Tell whether a mark answers a return that its block does not have, or that was cancelled."""
    named = mark.return_id, mark.season_id, mark.block_id
    return mark.return_id is not None and named not in facts.returns


def withdrawal_set_aside(withdrawal: Withdrawal, facts: Facts) -> str | None:
    """Return the code of the reason why a withdrawal does not count, or None if it does.

    Parameters
    ----------
    withdrawal : Withdrawal
        As sent.
    facts : Facts
        Of the farm whose device sent it.

    Returns
    -------
    str or None
        A key of `SET_ASIDE`.
    """
    return _let_go(withdrawal.device_id, facts)


def crew_day_set_aside(crew_day: CrewDay, facts: Facts, *, day: date, today: date) -> str | None:
    """Return the code of the reason why a crew-day does not count, or None if it does.

    Parameters
    ----------
    crew_day : CrewDay
        As sent.
    facts : Facts
        Of the farm whose device sent it.
    day : date
        Day worked, corrected for the device's clock.
    today : date
        The server's day in the farm's zone.

    Returns
    -------
    str or None
        A key of `SET_ASIDE`. What it replaces is not looked at: that may come later.
    """
    season = facts.seasons.get(crew_day.season_id)
    if season is None:
        return "unknown_season"
    if season.closed:
        return "season_closed"
    if crew_day.crew_id not in facts.crews:
        return "unknown_crew"
    if crew_day.recorder_id is not None and crew_day.recorder_id not in facts.people:
        return "unknown_person"
    return _wrong_day(season, day, today) or _let_go(crew_day.device_id, facts)


def check_set_aside(check: Check, facts: Facts, *, day: date, today: date) -> str | None:
    """Return the code of the reason why a check does not count, or None if it does.

    Parameters
    ----------
    check : Check
        As sent.
    facts : Facts
        Of the farm whose device sent it.
    day : date
        Day of the check, corrected for the device's clock.
    today : date
        The server's day in the farm's zone.

    Returns
    -------
    str or None
        A key of `SET_ASIDE`.
    """
    return _tree_set_aside(check, check.auditor_id, facts, day=day, today=today)


def tree_count_set_aside(count: TreeCount, facts: Facts, *, day: date, today: date) -> str | None:
    """Return the code of the reason why the count of a tree does not count, or None if it does.

    Parameters
    ----------
    count : TreeCount
        As sent.
    facts : Facts
        Of the farm whose device sent it.
    day : date
        Day of the count, corrected for the device's clock.
    today : date
        The server's day in the farm's zone.

    Returns
    -------
    str or None
        A key of `SET_ASIDE`. What it replaces is not looked at: that may come later.
    """
    return _tree_set_aside(count, count.recorder_id, facts, day=day, today=today)


def _tree_set_aside(
    record: Check | TreeCount, person_id: str | None, facts: Facts, *, day: date, today: date
) -> str | None:
    if record.position < 1:
        return "no_stretch"
    found = _wrong_place(record, record.position, facts)
    if found:
        return found
    if person_id is not None and person_id not in facts.people:
        return "unknown_person"
    if is_on_blank(record, facts):
        return "no_tree_there"
    if hasattr(record, "lot_id") and (found := wrong_lot(record, facts)):
        return found
    return _wrong_day(facts.seasons[record.season_id], day, today) or _let_go(record.device_id, facts)


def is_on_blank(record: Any, facts: Facts) -> bool:  # noqa: ANN401 - a check or a count, as sent or as kept
    """Tell whether a record tells of a tree where none stands; one that says that it could judge none there does not."""
    says_so = getattr(record, "not_judged", None) is not None
    return not says_so and (record.block_id, record.row, record.position) in facts.blanks


def wrong_lot(check: Any, facts: Facts) -> str | None:  # noqa: ANN401 - a check, as sent or as kept
    """Return the code of what is wrong with the lot that a check names, None where nothing is or it names none."""
    if check.lot_id is None:
        return None
    lot = facts.lots.get(check.lot_id)
    if lot is None or (lot.season_id, lot.block_id) != (check.season_id, check.block_id):
        return "unknown_lot"
    return None if (check.row, check.position) in lot.trees else "not_in_lot"


def _wrong_place(record: Mark | Check | TreeCount, last: int, facts: Facts) -> str | None:
    season = facts.seasons.get(record.season_id)
    if season is None:
        return "unknown_season"
    if season.closed:
        return "season_closed"
    # before what is there now is asked: a row of that number may be there, and another
    if facts.is_elsewhere(record):
        return "other_ground"
    if record.block_id not in facts.blocks:
        return "unknown_block"
    positions = facts.row_positions.get((record.block_id, record.row))
    if positions is None:
        return "unknown_row"
    return "beyond_row_end" if last > positions else None


def _wrong_day(season: Season, day: date, today: date) -> str | None:
    if day < season.opens_on:
        return "before_season"
    return "later_than_today" if day > today else None


def _let_go(device_id: str | None, facts: Facts) -> str | None:
    """Say whether the device was let go. Asked last: a manager can wave that through."""
    return "device_revoked" if device_id is not None and device_id in facts.revoked_devices else None
