"""Crew-days: which of them stand, and which correct something that is not theirs to correct."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from orchardmap.work.replacing import not_replaced

__all__ = ["Entry", "misdirected", "standing"]


@dataclass(frozen=True, slots=True)
class Entry:
    """What decides whether a crew-day stands."""

    id: str
    season_id: str
    crew_id: str
    day: date
    """Corrected for the device's clock."""
    replaces_id: str | None


def misdirected(entry: Entry, replaced: Collection[Entry]) -> bool:
    """Tell whether an entry corrects the crew-day of another crew, day or season.

    Parameters
    ----------
    entry : Entry
        One that replaces something.
    replaced : collection of Entry
        All versions of what it replaces; empty while that has not arrived.

    Returns
    -------
    bool
        False while nothing is known: then it may still turn out right.
    """
    own = (entry.season_id, entry.crew_id, entry.day)
    return bool(replaced) and all(own != (one.season_id, one.crew_id, one.day) for one in replaced)


def standing(entries: Sequence[Entry]) -> set[str]:
    """Return the ids of the crew-days that stand: those that no other replaces.

    Parameters
    ----------
    entries : sequence of Entry
        All that count, in any order; what is set aside neither stands nor replaces.

    Returns
    -------
    set of str

    Notes
    -----
    Entries that replace each other in a ring would all be gone, and hours with them; inside a ring nothing
    replaces anything, so that all of it stands and is put before a manager.

    Examples
    --------
    The second corrects the first, the third corrects the second:

    >>> day = date(2026, 1, 20)
    >>> sorted(standing([Entry(a, "s", "c", day, b) for a, b in (("1", None), ("2", "1"), ("3", "2"), ("4", None))]))
    ['3', '4']
    """
    return not_replaced({one.id: one.replaces_id for one in entries})
