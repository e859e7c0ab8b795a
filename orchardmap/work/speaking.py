"""Whom may the senders of a record speak for? A set of scopes that only grows decides, never who came first.

A scope is the crew that a sender may speak for, or None for any (a manager, or a farm that nobody is held to).
"""

from collections.abc import Set

__all__ = ["OTHER_CREW", "judged_by_senders"]

OTHER_CREW = "other_crew"


def judged_by_senders(reason: str | None, scopes: Set[str | None], crews: Set[str]) -> str | None:
    """Return why a record does not count, once it is known who handed it in.

    Parameters
    ----------
    reason : str or None
        What speaks against the record by itself.
    scopes : set of str or None
        Of all who handed it in.
    crews : set of str
        The crews that the record speaks for: its own; of a withdrawal those of every known content of its mark.

    Returns
    -------
    str or None
        A key of `orchardmap.work.intake.SET_ASIDE`.

    Examples
    --------
    Crew B's tablet hands in what crew A did, and later crew A's own does:

    >>> judged_by_senders(None, {"B"}, {"A"}), judged_by_senders(None, {"B", "A"}, {"A"})
    ('other_crew', None)
    >>> judged_by_senders("block_closed", {"B"}, {"A"}), judged_by_senders(None, {None}, {"A"})
    ('block_closed', None)
    """
    # asked last, for it alone may be mended later by another sender
    if reason is not None or None in scopes or crews <= scopes:
        return reason
    return OTHER_CREW
