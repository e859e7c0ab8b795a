"""Bring what an older front end wrote up to the wire version of today, before anything else looks at it.

A tablet may come back after weeks with records made under an older version. Each step up is a pure function on one
record as JSON, kept for at least 24 months; `tests/golden` replays for ever what each version queued.

=======  ============  ====================================================================================
version  since         what changed
=======  ============  ====================================================================================
1        0.1           marks, withdrawals, checks; a batch did not say its version; unknown keys were refused
2        0.2           crew-days; a batch says ``schema``; unknown keys of a record are kept as sent
3        0.2           a check may name the brief and its version that it was judged by
4        0.2           tree counts
5        0.2           a check may name its lot, say what was found point by point, and that it is a second look
6        0.2           a check of a lot's tree may say why it could not be judged, and then has no verdict
7        0.2           marks, checks and tree counts name the ground that they were made on (``ground``), kept with what else was sent
=======  ============  ====================================================================================
"""

from collections.abc import Callable, Mapping
from typing import Any

from orchardmap.errors import NewerClientError

__all__ = ["RECORD_KINDS", "UPCASTERS", "WIRE_VERSION", "upcast_batch", "upcast_record"]

Json = dict[str, Any]
Upcaster = Callable[[str, Json], Json]

WIRE_VERSION = 7
RECORD_KINDS = frozenset({"marks", "withdrawals", "checks", "crew_days", "tree_counts"})


def _from_1(_kind: str, record: Json) -> Json:
    # every field of version 1 kept its name and meaning; the content hash of a record stays what it was
    return dict(record)


def _from_2(_kind: str, record: Json) -> Json:
    # no check of version 2 names a brief, and none is guessed
    return dict(record)


def _from_3(_kind: str, record: Json) -> Json:
    # version 4 has one more kind of record; the others say what they said
    return dict(record)


def _from_4(_kind: str, record: Json) -> Json:
    # a check of version 4 gives a verdict alone: no lot and no finding is guessed
    return dict(record)


def _from_5(_kind: str, record: Json) -> Json:
    # a tree of version 5 that could not be judged has no record: the tablet left it out and told nobody
    return dict(record)


def _from_6(_kind: str, record: Json) -> Json:
    # no ground is guessed: such a record is judged by when it was made
    return dict(record)


UPCASTERS: Mapping[int, Upcaster] = {1: _from_1, 2: _from_2, 3: _from_3, 4: _from_4, 5: _from_5, 6: _from_6}
"""Version -> the step from it to the next."""


def upcast_record(
    kind: str, record: Json, made_under: int, *, steps: Mapping[int, Upcaster] = UPCASTERS
) -> Json:
    """Return a record as the newest version would have written it.

    Parameters
    ----------
    kind : str
        One of `RECORD_KINDS`.
    record : dict
        As sent; it is not changed.
    made_under : int
        The wire version that it was made under.
    steps : mapping, optional
        The steps; for tests.

    Returns
    -------
    dict
    """
    while made_under in steps:
        record = steps[made_under](kind, record)
        made_under += 1
    return record


def upcast_batch(kind: str, body: object) -> object:
    """Return a batch with its records brought up to date and its version named; anything else is returned as it is.

    Parameters
    ----------
    kind : str
        The key that holds the records.
    body : object
        The body as parsed; the checks that follow say what is wrong with one that is no batch.

    Returns
    -------
    object

    Raises
    ------
    NewerClientError
        If the records were made under a version that this service does not know yet.
    """
    if not isinstance(body, dict):
        return body
    version = body.get("schema", 1)
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        return body
    if version > WIRE_VERSION:
        raise NewerClientError(
            "these records were made by a newer version than this service",
            where=f"schema {version if version < 1_000_000 else 'far ahead'}",
            todo="Keep them and wait for the update of the service; nothing was changed.",
        )
    records = body.get(kind)
    if not isinstance(records, list):
        return body
    risen = [upcast_record(kind, one, version) if isinstance(one, dict) else one for one in records]
    return body | {"schema": WIRE_VERSION, kind: risen}
