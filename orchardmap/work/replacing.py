"""Records that correct earlier ones by naming them: which of them stand."""

from collections import Counter
from collections.abc import Mapping

__all__ = ["not_replaced"]


def not_replaced(replaces: Mapping[str, str | None]) -> set[str]:
    """Return the ids that no other replaces.

    Parameters
    ----------
    replaces : mapping of str to str or None
        Id of a record that counts -> id of the one that it replaces. What is not among the records is replaced by nobody.

    Returns
    -------
    set of str

    Notes
    -----
    Records that replace each other in a ring would all be gone, and what they say with them; inside a ring nothing
    replaces anything, so that all of it stands.

    Examples
    --------
    >>> sorted(not_replaced({"1": None, "2": "1", "3": "2", "4": None}))
    ['3', '4']
    """
    known = {new: old for new, old in replaces.items() if old in replaces}
    ring = _in_rings(known)
    return replaces.keys() - {old for new, old in known.items() if not (new in ring and old in ring)}


def _in_rings(replaces: Mapping[str, str | None]) -> set[str]:
    """Return the ids that lie on a ring; each replaces one other at most, so taking loose ends off leaves the rings."""
    left = {new: old for new, old in replaces.items() if old is not None}
    named = Counter(left.values())
    loose = [new for new in left if not named[new]]
    while loose:
        old = left.pop(loose.pop())
        named[old] -= 1
        if not named[old] and old in left:
            loose.append(old)
    return set(left)
