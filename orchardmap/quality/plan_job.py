"""`orchardmap calc sample-plan`: from a job in JSON to a plan or its chances, without a database."""

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from orchardmap.errors import InputError
from orchardmap.jobs import answers_in_order, needed_number, number_given, refuse_unknown_keys
from orchardmap.quality.bounds import whole
from orchardmap.quality.passing import MODELS, Model, pass_chance
from orchardmap.quality.plan import LEVELS, SEVERITIES, Severity, sampling_plan
from orchardmap.quality.two_points import two_point_plan

__all__ = ["calculated_sample_plan", "calculated_sample_plans"]

_TABLE_KEYS = ("lot", "level", "aql", "severity")
_POINT_KEYS = ("p1", "pa1", "p2", "pa2")
_CHANCE_KEYS = ("n", "accept", "p")
_MODEL_KEYS = ("model", "lot")

Word = TypeVar("Word", bound=str)


def calculated_sample_plans(document: object) -> dict[str, Any] | list[dict[str, Any]]:
    """Return the answer to whatever a job file holds: one job, or a list of them.

    Parameters
    ----------
    document : object
        Parsed JSON: a job (see `calculated_sample_plan`) or a list.

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
        return calculated_sample_plan(document)
    return answers_in_order(document, calculated_sample_plan)


def calculated_sample_plan(job: object) -> dict[str, Any]:
    """Return a plan, or the chance of passing one.

    Parameters
    ----------
    job : mapping
        One of three kinds, told apart by their keys: ``lot``, ``level``, ``aql`` and ``severity`` ("normal" where it is
        left out) for the tables; ``p1``, ``pa1``, ``p2``, ``pa2``, ``model`` and ``lot`` for a plan from two points; ``n``,
        ``accept``, ``p`` (a list), ``model`` and ``lot`` for chances. Keys that are null count as left out.

    Returns
    -------
    dict
        ``code_letter``, ``n``, ``accept``, ``reject``, where ``n`` is the whole lot if the table asks for more; or ``n``,
        ``accept``; or ``pass_chance``, as many as there are shares in ``p``, unrounded.

    Raises
    ------
    InputError
        If a key is missing, unknown or one too many, or its value cannot be used; ``where`` names the key.

    Examples
    --------
    >>> calculated_sample_plan({"lot": 400, "level": "II", "aql": 4.0, "severity": "normal"})
    {'code_letter': 'H', 'n': 50, 'accept': 5, 'reject': 6}
    >>> calculated_sample_plan({"p1": 0.05, "pa1": 0.95, "p2": 0.15, "pa2": 0.075, "model": "binomial"})
    {'n': 80, 'accept': 7}
    """
    if not isinstance(job, Mapping):
        raise InputError("It is not a job: a job is an object with its numbers.")
    given = {str(key): value for key, value in job.items() if value is not None}
    keys, answered = _kind(given)
    refuse_unknown_keys(given, keys)
    return answered(given)


def _kind(
    given: Mapping[str, object],
) -> tuple[tuple[str, ...], Callable[[Mapping[str, object]], dict[str, Any]]]:
    if given.keys() & set(_POINT_KEYS):
        return (*_POINT_KEYS, *_MODEL_KEYS), _point_answer
    if given.keys() & set(_CHANCE_KEYS):
        return (*_CHANCE_KEYS, *_MODEL_KEYS), _chance_answer
    return _TABLE_KEYS, _table_answer


def _table_answer(given: Mapping[str, object]) -> dict[str, Any]:
    severity: Severity = _word(given, "severity", SEVERITIES) if "severity" in given else "normal"
    plan = sampling_plan(
        whole(needed_number(given, "lot"), "lot"),
        level=_word(given, "level", LEVELS),
        aql=needed_number(given, "aql"),
        severity=severity,
    )
    return {
        "code_letter": plan.code_letter,
        "n": plan.trees_to_check,
        "accept": plan.accept,
        "reject": plan.reject,
    }


def _point_answer(given: Mapping[str, object]) -> dict[str, Any]:
    points = [needed_number(given, key) for key in _POINT_KEYS]
    return two_point_plan(*points, model=_model(given), lot=_lot(given))._asdict()


def _chance_answer(given: Mapping[str, object]) -> dict[str, Any]:
    n, accept = (whole(needed_number(given, key), key) for key in ("n", "accept"))
    shares = given.get("p")
    if not isinstance(shares, list | tuple):
        raise InputError("It must be a list of shares." if "p" in given else "It is missing.", where="p")
    p = [number_given(one, f"p[{at}]") for at, one in enumerate(shares)]
    return {"pass_chance": pass_chance(n, accept, p, model=_model(given), lot=_lot(given)).tolist()}


def _model(given: Mapping[str, object]) -> Model:
    return _word(given, "model", MODELS)


def _lot(given: Mapping[str, object]) -> int | None:
    return whole(needed_number(given, "lot"), "lot") if "lot" in given else None


def _word(given: Mapping[str, object], key: str, words: tuple[Word, ...]) -> Word:
    """Return the word that a key must hold."""
    if key not in given:
        raise InputError("It is missing.", where=key, todo=f"Use one of {', '.join(words)}.")
    for word in words:
        if given[key] == word:
            return word
    raise InputError(f"It is {given[key]!r}.", where=key, todo=f"Use one of {', '.join(words)}.")
