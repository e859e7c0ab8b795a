"""When a season is over: its must-finish day alone does not tell, for work may go on late."""

from datetime import date, timedelta

from orchardmap.model.season import Season

__all__ = ["STILL_AT_WORK", "ended_on"]

STILL_AT_WORK = timedelta(days=14)
"""After the later of must-finish day and last mark, crews may still come back to trees that are left: longer than a week of rain, shorter than a break between seasons."""


def ended_on(season: Season, day: date, *, last_worked: date | None, trees_left: int) -> date | None:
    """Return the day on which a season ended, as seen on a later day; None while it goes on.

    Parameters
    ----------
    season : Season
    day : date
        The day looked at.
    last_worked : date or None
        The last day by then on which anything was pruned.
    trees_left : int

    Returns
    -------
    date or None
        The must-finish day, or the last day worked where that is later.

    Notes
    -----
    Up to the must-finish day a season goes on, though all is pruned: checks and returns follow. After it, a season in which
    nothing is left is over at once, and one with trees left once nothing was marked for two weeks.
    """
    end = max(season.must_finish_on, last_worked or season.must_finish_on)
    if day <= season.must_finish_on or (trees_left > 0 and day <= end + STILL_AT_WORK):
        return None
    return end
