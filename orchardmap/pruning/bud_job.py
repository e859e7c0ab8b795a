"""The bud target of a `calc crop-load` job: each number of it may be given in one of several ways."""

from collections.abc import Mapping
from typing import Any

from orchardmap.errors import InputError
from orchardmap.jobs import needed_number
from orchardmap.pruning.bounds import within
from orchardmap.pruning.crop_load import (
    buds_by_floral_share,
    buds_by_insurance,
    buds_per_limb,
    fruit_per_ha,
    fruit_per_ha_of_bushels,
    fruit_per_tree,
)
from orchardmap.pruning.density import row_m_per_ha, trees_per_ha
from orchardmap.pruning.rounding import rounded_up
from orchardmap.units import ft_to_m, per_acre_to_per_ha, per_ha_to_per_acre

__all__ = ["BUD_KEYS", "bud_answer"]

_FRUIT_IN = {"yield_t_per_ha": "fruit_mass_g", "yield_bu_per_acre": "fruit_per_bushel"}
_TREES = ("trees_per_ha", "trees_per_acre")
_ROWS = ("row_spacing_m", "row_spacing_ft")
_IN_ROWS = ("tree_spacing_m", "tree_spacing_ft")
_ALLOWANCES = ("insurance_factor", "floral_share")
BUD_KEYS = (
    *("fruit_per_tree", *_FRUIT_IN, *_FRUIT_IN.values()),
    *(*_TREES, *_ROWS, *_IN_ROWS, "limbs_per_tree", *_ALLOWANCES),
)

Given = Mapping[str, object]


def bud_answer(given: Given) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return fruit per tree, buds per tree and buds per limb, and the steps between.

    Parameters
    ----------
    given : mapping
        The target: ``yield_t_per_ha`` with ``fruit_mass_g``, or ``yield_bu_per_acre`` with ``fruit_per_bushel``, or
        ``fruit_per_tree`` itself. The density, not needed with the latter: ``trees_per_ha``, ``trees_per_acre``, or both of
        ``row_spacing_m`` (or ``_ft``) and ``tree_spacing_m`` (or ``_ft``). One of ``insurance_factor`` and ``floral_share``;
        ``limbs_per_tree`` where buds per limb are wanted. No other key.

    Returns
    -------
    answer : dict
        Buds rounded up, fruit to three decimals.
    steps : dict
        What is known of ``trees_per_ha``, ``trees_per_acre``, ``fruit_per_ha``, ``fruit_per_acre``, ``row_m_per_ha``,
        ``bushels_per_tree`` and ``fruit_per_limb``, to three decimals.

    Raises
    ------
    InputError
        If a number is missing, given twice, or out of range; ``where`` names its key.

    Examples
    --------
    >>> answer, steps = bud_answer({"fruit_per_tree": 92, "floral_share": 0.84, "limbs_per_tree": 18})
    >>> answer
    {'fruit_per_tree': 92.0, 'buds_per_tree': 110, 'buds_per_limb': 7}
    >>> steps
    {'fruit_per_limb': 5.111}
    """
    density = _trees_per_ha(given)
    fruit = _fruit_per_tree(given, density)
    allowance = _one_of(given, _ALLOWANCES)
    by = buds_by_insurance if allowance == "insurance_factor" else buds_by_floral_share
    buds = float(by(fruit, needed_number(given, allowance)))
    answer: dict[str, Any] = {"fruit_per_tree": round(fruit, 3), "buds_per_tree": int(rounded_up(buds))}
    if "limbs_per_tree" in given:
        limbs = needed_number(given, "limbs_per_tree")
        answer["buds_per_limb"] = int(rounded_up(buds_per_limb(buds, limbs)))
    return answer, {key: round(value, 3) for key, value in _steps(given, density, fruit).items()}


def _fruit_per_tree(given: Given, density: float | None) -> float:
    goal = _one_of(given, ("yield_t_per_ha", "yield_bu_per_acre", "fruit_per_tree"))
    for other, partner in _FRUIT_IN.items():
        if other != goal and partner in given:
            raise InputError(
                f"It does not go with {goal}.",
                where=partner,
                todo="Tonnes go with fruit_mass_g, bushels with fruit_per_bushel.",
            )
    if goal == "fruit_per_tree":
        return float(within(needed_number(given, goal), goal))
    if density is None:
        raise InputError("It is missing.", where=_TREES[0], todo="Or give row and tree spacing.")
    per_ha = fruit_per_ha if goal == "yield_t_per_ha" else fruit_per_ha_of_bushels
    return float(
        fruit_per_tree(per_ha(needed_number(given, goal), needed_number(given, _FRUIT_IN[goal])), density)
    )


def _trees_per_ha(given: Given) -> float | None:
    """Return trees per hectare, or None where nothing tells them."""
    spacings = [key for key in (*_ROWS, *_IN_ROWS) if key in given]
    if not spacings and not any(key in given for key in _TREES):
        return None
    if not spacings:
        key = _one_of(given, _TREES)
        trees = float(within(needed_number(given, key), key))
        return trees if key == "trees_per_ha" else per_acre_to_per_ha(trees)
    for key in _TREES:
        if key in given:
            raise InputError(f"It is given, and {spacings[0]} too.", where=key, todo="Leave one of them out.")
    return float(trees_per_ha(_metres(given, _ROWS), _metres(given, _IN_ROWS)))


def _steps(given: Given, density: float | None, fruit: float) -> dict[str, float]:
    steps: dict[str, float] = {}
    if density is not None:
        steps |= {"trees_per_ha": density, "trees_per_acre": per_ha_to_per_acre(density)}
        per_ha = fruit * density
        steps |= {"fruit_per_ha": per_ha, "fruit_per_acre": per_ha_to_per_acre(per_ha)}
    if any(key in given for key in _ROWS):
        steps["row_m_per_ha"] = float(row_m_per_ha(_metres(given, _ROWS)))
    if "fruit_per_bushel" in given:
        steps["bushels_per_tree"] = fruit / needed_number(given, "fruit_per_bushel")
    if "limbs_per_tree" in given:
        steps["fruit_per_limb"] = fruit / needed_number(given, "limbs_per_tree")
    return steps


def _metres(given: Given, keys: tuple[str, str]) -> float:
    key = _one_of(given, keys)
    spacing = float(within(needed_number(given, key), key, 0.01))
    return ft_to_m(spacing) if key.endswith("_ft") else spacing


def _one_of(given: Given, keys: tuple[str, ...]) -> str:
    """Return the one key of several that is given."""
    found = [key for key in keys if key in given]
    if not found:
        raise InputError("It is missing.", where=keys[0], todo=f"Or give {' or '.join(keys[1:])}.")
    if len(found) > 1:
        raise InputError(f"It is given, and {found[0]} too.", where=found[1], todo="Leave one of them out.")
    return found[0]
