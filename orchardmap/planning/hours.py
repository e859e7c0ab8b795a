"""How a crew's hours of a day fall to what it pruned on it. Pure."""

from collections.abc import Mapping

from orchardmap.planning.pace import Work

__all__ = ["split_hours"]


def split_hours(
    trees: Mapping[Work, float], person_hours: float, trees_per_h: Mapping[Work, float]
) -> dict[Work, float]:
    """Return how many of a crew-day's hours went to each kind of work: in the shares of what each takes at the pace thought of.

    Nobody writes down hours by variety. So a day's record tells how fast the crew was on the whole of it; which of its
    varieties was the slower one is told by days that differ in what was pruned.

    Parameters
    ----------
    trees : mapping of Work to float
        Pruned by the crew on that day.
    person_hours : float
        Of the whole day.
    trees_per_h : mapping of Work to float
        Thought of for each, above 0; only their ratios matter.

    Returns
    -------
    dict of Work to float
        Adds up to `person_hours`; empty without trees.

    Examples
    --------
    >>> slow, fast = Work("A", "slow"), Work("A", "fast")
    >>> split_hours({slow: 40.0, fast: 80.0}, 12.0, {slow: 5.0, fast: 20.0})
    {Work(crew='A', variety='slow', method='', system=''): 8.0, Work(crew='A', variety='fast', method='', system=''): 4.0}
    """
    needs = {work: n / trees_per_h[work] for work, n in trees.items() if n > 0}
    whole = sum(needs.values())
    return {work: person_hours * need / whole for work, need in needs.items()}
