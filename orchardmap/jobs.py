"""Jobs of the `calc` commands: what has been read from JSON, checked key by key and answered one by one. Pure."""

from collections.abc import Callable, Collection, Mapping
from typing import Any

from orchardmap.errors import InputError

__all__ = ["answers_in_order", "needed_number", "number_given", "refuse_unknown_keys"]


def answers_in_order(jobs: object, answer: Callable[[object], dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the answers to a list of jobs, in its order.

    Parameters
    ----------
    jobs : object
        What should be a list.
    answer : callable
        Answers one job; its `InputError` gets the number of the job, from 1, in front of its place.

    Returns
    -------
    list of dict
        As many as there are jobs.

    Raises
    ------
    InputError
        If it is no list, or a job is refused.

    Examples
    --------
    >>> answers_in_order([1, 2], lambda job: {"job": job})
    [{'job': 1}, {'job': 2}]
    """
    if not isinstance(jobs, list | tuple):
        raise InputError("It is not a job, nor a list of them.")
    answers = []
    for number, job in enumerate(jobs, 1):
        try:
            answers.append(answer(job))
        except InputError as error:
            where = f"job {number}, {error.where}" if error.where else f"job {number}"
            raise type(error)(error.what, where=where, todo=error.todo) from error
    return answers


def refuse_unknown_keys(job: Mapping[str, object], known: Collection[str]) -> None:
    """Let no misspelt key be passed over.

    Raises
    ------
    InputError
        If the job has a key that is not known; ``where`` names it.
    """
    unknown = sorted(set(job) - set(known))
    if unknown:
        raise InputError(
            "It is not a key of such a job.",
            where=unknown[0],
            todo=f"Known keys: {', '.join(sorted(known))}.",
        )


def number_given(value: object, key: str) -> float:
    """Return the number that a key holds.

    Returns
    -------
    float
        Also NaN or infinity, which JSON readers let through.

    Raises
    ------
    InputError
        If it is no number, or none that a float holds; ``where`` names the key.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(f"It is {value!r}; it must be a number.", where=key)
    try:
        return float(value)
    except OverflowError as error:
        raise InputError("It is too large a number.", where=key) from error


def needed_number(job: Mapping[str, object], key: str) -> float:
    """Return the number that a key must hold.

    Returns
    -------
    float
        As `number_given`.

    Raises
    ------
    InputError
        If it is missing or no number; ``where`` names the key.
    """
    if key not in job:
        raise InputError("It is missing.", where=key)
    return number_given(job[key], key)
