"""`orchardmap calc crop-load`: from a job in JSON to fruit, buds and limbs, without a database.

What is counted on one tree is whole (buds upwards, fruit of a trunk to the nearest); limbs stand as they were given, and
all else has three decimals. Nothing is rounded before that.
"""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from orchardmap.errors import InputError
from orchardmap.jobs import answers_in_order, needed_number, number_given, refuse_unknown_keys
from orchardmap.pruning.bounds import within
from orchardmap.pruning.bud_job import BUD_KEYS, bud_answer
from orchardmap.pruning.limbs import (
    HALF,
    TWO_THIRDS,
    is_too_thick,
    limbs_to_take_out,
    ratios_largest_out_first,
)
from orchardmap.pruning.rounding import rounded_half_up
from orchardmap.pruning.trunk import fruit_on_trunk, trunk_area_cm2

__all__ = ["calculated_crop_load", "calculated_crop_loads"]

_TRUNK_KEYS = ("trunk_diameter_cm", "fruit_per_cm2")
_LIMB_KEYS = ("trunk_diameter_cm", "limb_diameters_cm", "target_ratio")


def calculated_crop_loads(
    document: object, *, with_steps: bool = False
) -> dict[str, Any] | list[dict[str, Any]]:
    """Return the answer to whatever a job file holds: one job, or a list of them.

    Parameters
    ----------
    document : object
        Parsed JSON: a job (see `calculated_crop_load`) or a list.
    with_steps : bool
        Add what lies between question and answer.

    Returns
    -------
    dict or list of dict
        One answer, or a list of them in the same order.

    Raises
    ------
    InputError
        If a job cannot be answered; ``where`` names the job (from 1) and the key.
    """
    answer = partial(calculated_crop_load, with_steps=with_steps)
    return answer(document) if isinstance(document, Mapping) else answers_in_order(document, answer)


def calculated_crop_load(job: object, *, with_steps: bool = False) -> dict[str, Any]:
    """Return what to leave on a tree, or which limbs to take out.

    Parameters
    ----------
    job : mapping
        One of three kinds, told apart by their keys: a bud target (see `orchardmap.pruning.bud_job`); fruit on a trunk
        (``trunk_diameter_cm``, ``fruit_per_cm2``); limbs to take out (``trunk_diameter_cm``, ``limb_diameters_cm``,
        ``target_ratio``). Keys that are null count as left out.
    with_steps : bool
        Add densities and fruit per limb to a bud target; to limbs the ratio after each that goes, and those over half
        and over two thirds of the trunk.

    Returns
    -------
    dict
        ``fruit_per_tree``, ``buds_per_tree`` and, where the limbs are told, ``buds_per_limb``; or ``trunk_area_cm2`` and
        ``fruit_per_tree``; or ``ratio``, ``remove_cm`` (centimetres, largest first) and ``ratio_after``.

    Raises
    ------
    InputError
        If a key is missing, unknown or one too many, or its value cannot be used; ``where`` names the key.

    Examples
    --------
    >>> calculated_crop_load({"trunk_diameter_cm": 3.81, "fruit_per_cm2": 4})
    {'trunk_area_cm2': 11.401, 'fruit_per_tree': 46}
    """
    if not isinstance(job, Mapping):
        raise InputError("It is not a job: a job is an object with its numbers.")
    given = {str(key): value for key, value in job.items() if value is not None}
    keys, answered = _kind(given)
    refuse_unknown_keys(given, keys)
    answer, steps = answered(given)
    return answer | steps if with_steps else answer


Answered = Callable[[Mapping[str, object]], tuple[dict[str, Any], dict[str, Any]]]


def _kind(given: Mapping[str, object]) -> tuple[tuple[str, ...], Answered]:
    if "limb_diameters_cm" in given or "target_ratio" in given:
        return _LIMB_KEYS, _limb_answer
    if "trunk_diameter_cm" in given or "fruit_per_cm2" in given:
        return _TRUNK_KEYS, _trunk_answer
    return BUD_KEYS, bud_answer


def _trunk_answer(given: Mapping[str, object]) -> tuple[dict[str, Any], dict[str, Any]]:
    diameter_cm, fruit_per_cm2 = (needed_number(given, key) for key in _TRUNK_KEYS)
    answer = {
        "trunk_area_cm2": round(float(trunk_area_cm2(diameter_cm)), 3),
        "fruit_per_tree": int(rounded_half_up(fruit_on_trunk(diameter_cm, fruit_per_cm2))),
    }
    return answer, {}


def _limb_answer(given: Mapping[str, object]) -> tuple[dict[str, Any], dict[str, Any]]:
    trunk_cm, target = needed_number(given, "trunk_diameter_cm"), needed_number(given, "target_ratio")
    limbs_cm = _limbs(given)
    out = int(limbs_to_take_out(trunk_cm, limbs_cm, target))
    ratios = ratios_largest_out_first(trunk_cm, limbs_cm)[: out + 1].round(3).tolist()
    answer = {"ratio": ratios[0], "remove_cm": limbs_cm[:out].tolist(), "ratio_after": ratios[-1]}
    steps = {
        "ratios": ratios,
        "over_half_cm": limbs_cm[is_too_thick(trunk_cm, limbs_cm, HALF)].tolist(),
        "over_two_thirds_cm": limbs_cm[is_too_thick(trunk_cm, limbs_cm, TWO_THIRDS)].tolist(),
    }
    return answer, steps


def _limbs(given: Mapping[str, object]) -> NDArray[np.float64]:
    """Return the diameters, largest first."""
    key = "limb_diameters_cm"
    limbs = given.get(key)
    if limbs is None:
        raise InputError("It is missing.", where=key)
    if not isinstance(limbs, list | tuple):
        raise InputError("It must be a list of diameters.", where=key)
    diameters = [number_given(limb, f"{key}[{at}]") for at, limb in enumerate(limbs)]
    return np.array(sorted(within(diameters, key).tolist(), reverse=True))
