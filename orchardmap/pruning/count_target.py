"""What a counted mean says beside the bud target of a brief."""

from collections.abc import Mapping

from orchardmap.model.brief import BudTarget
from orchardmap.model.tree_count import CountedThing

__all__ = ["target_of"]

_FIELD: Mapping[CountedThing, str] = {
    "buds_before": "buds_per_tree",
    "buds_after": "buds_per_tree",
    "limbs": "limbs_per_tree",
    "buds_on_limb": "buds_per_limb",
}


def target_of(what: CountedThing, target: BudTarget) -> float | None:
    """Return how many of a counted thing the target leaves on an average tree or limb; None where it says nothing of it.

    Parameters
    ----------
    what : CountedThing
        What was counted.
    target : BudTarget
        Of the brief that holds there.

    Returns
    -------
    float or None

    Examples
    --------
    >>> target_of("buds_before", BudTarget(buds_per_tree=110)), target_of("limbs", BudTarget(buds_per_tree=110))
    (110, None)
    """
    found: float | None = getattr(target, _FIELD[what])
    return found
