"""`orchardmap calc interval`: from a job in JSON to what a check says of its lot, without a database."""

from collections.abc import Mapping
from typing import Any

from orchardmap.errors import InputError
from orchardmap.jobs import answers_in_order, needed_number, refuse_unknown_keys
from orchardmap.quality.bounds import whole
from orchardmap.quality.intervals import CONFIDENCE, lot_faulty_interval, wilson_interval

__all__ = ["calculated_interval", "calculated_intervals"]

_KEYS = ("faulty", "checked", "lot", "confidence")


def calculated_intervals(document: object) -> dict[str, Any] | list[dict[str, Any]]:
    """Return the answer to whatever a job file holds: one job, or a list of them.

    Parameters
    ----------
    document : object
        Parsed JSON: a job (see `calculated_interval`) or a list.

    Returns
    -------
    dict or list of dict
        One answer, or a list of them in the same order.

    Raises
    ------
    InputError
        If a job cannot be answered; ``where`` names the job (from 1) and the key.
    """
    if isinstance(document, Mapping):
        return calculated_interval(document)
    return answers_in_order(document, calculated_interval)


def calculated_interval(job: object) -> dict[str, Any]:
    """Return how many trees of a lot can be faulty.

    Parameters
    ----------
    job : mapping
        ``faulty``, ``checked`` and ``lot`` in trees; ``confidence``, 0.95 where it is left out or null.

    Returns
    -------
    dict
        ``wilson``: the share of faulty trees, unrounded, of a lot without end; ``lot_faulty``: fewest and most trees of
        this lot, exact.

    Raises
    ------
    InputError
        If a key is missing or unknown, or its value cannot be used; ``where`` names the key.

    Examples
    --------
    >>> calculated_interval({"faulty": 0, "checked": 13, "lot": 50})["lot_faulty"]
    [0, 10]
    """
    if not isinstance(job, Mapping):
        raise InputError("It is not a job: a job is an object with its numbers.")
    given = {str(key): value for key, value in job.items() if value is not None}
    refuse_unknown_keys(given, _KEYS)
    faulty, checked, lot = (whole(needed_number(given, key), key) for key in _KEYS[:3])
    sure = needed_number(given, "confidence") if "confidence" in given else CONFIDENCE
    return {
        "wilson": list(wilson_interval(faulty, checked, confidence=sure)),
        "lot_faulty": list(lot_faulty_interval(faulty, checked, lot, confidence=sure)),
    }
