"""Do auditors agree? The trees of lots that two of them looked at, as of a day."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

import numpy as np

from orchardmap.model.check import TreeVerdict
from orchardmap.quality.agreement import (
    Agreement,
    Coefficient,
    agreement_of_several,
    agreement_of_two,
    counts_of_scores,
)
from orchardmap.quality.agreement_texts import agreement_texts
from orchardmap.store import farm as farm_store
from orchardmap.store import log
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.checked_trees import ReadCheck, read_checks
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.point_sentences import point_sentences
from orchardmap.usecases.return_facts import past_checks, return_facts

__all__ = [
    "LooksRead",
    "TwoLooks",
    "agreement_json",
    "agreement_of_looks",
    "farm_agreement",
    "read_two_looks",
]

Json = dict[str, Any]
CLASSES: tuple[TreeVerdict, ...] = ("meets", "minor", "faulty")


class TwoLooks(NamedTuple):
    """One tree of a lot as two auditors found it; the one whose id comes first stands first."""

    first: ReadCheck
    second: ReadCheck


class LooksRead(NamedTuple):
    """The trees that were looked at twice."""

    pairs: Sequence[TwoLooks]
    unnamed: int
    """Trees with a second look that are in no pair, for it is not known who made one of the two."""


def farm_agreement(
    store: Store,
    farm_id: str,
    *,
    day: date | None,
    people_of: Collection[str] | None = None,
    language: str,
    now: datetime,
) -> Json:
    """Return how far a farm's auditors agree on the trees that two of them looked at.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        As of this day; None is today.
    people_of : collection of str, optional
        Names of auditors whose role is not among these are left empty; None knows all.
    language : str
        Of the words; English where it has no catalogue.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer: ``pairs`` of auditors with their table (meets, minor, faulty) and coefficients, ``points`` by how
        often two looks differed on them, ``words``.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        looks, unnamed = read_two_looks(conn, at)
        people = farm_store.people(conn, farm_id)
        words = point_sentences(conn, at, [check for pair in looks for check in pair], language)
        seq = log.cursor(conn, farm_id)
    names = {one.id: one.name for one in people if people_of is None or one.role in people_of}
    of_pair: dict[tuple[str, str], list[TwoLooks]] = defaultdict(list)
    for pair in looks:
        of_pair[str(pair.first.auditor_id), str(pair.second.auditor_id)].append(pair)
    told = agreement_of_looks(looks)
    return {
        "day": at.day.isoformat(),
        "cursor": seq,
        "trees": told.trees if told else 0,
        "pairs": [_pair(ids, found, names) for ids, found in sorted(of_pair.items())],
        "points": _points(looks, words),
        "words": agreement_texts(told, unnamed=unnamed, language=language),
    }


def read_two_looks(
    conn: Connection, at: Moment, block_ids: Sequence[str] | None = None, *, lot_id: str | None = None
) -> LooksRead:
    """Return the trees that two auditors looked at by the day that is looked at: of all lots, or of one.

    A tree that was gone over again between the two looks is left out: they saw different trees.
    """
    checks = [check for check in read_checks(conn, at, block_ids) if lot_id in (None, check.lot_id)]
    if not any(check.second for check in checks):
        return LooksRead((), 0)
    return _two_looks(checks, past_checks(return_facts(conn, at, block_ids)))


def _two_looks(checks: Iterable[ReadCheck], is_past: Callable[[ReadCheck], bool]) -> LooksRead:
    """Pair each second look with the lot's own check of that tree: the latest of each auditor, in the order of lots and trees."""
    own: dict[tuple[str, int, int], ReadCheck] = {}
    again: dict[tuple[tuple[str, int, int], str | None], ReadCheck] = {}
    for check in sorted(checks, key=lambda one: (one.day, one.corrected_at, one.id)):
        if check.lot_id is None:
            continue
        tree = (check.lot_id, check.row, check.position)
        if check.second:
            again[tree, check.auditor_id] = check
        elif check.auditor_id is not None or tree not in own:
            own[tree] = check
    found, unnamed = [], set()
    for (tree, auditor_id), second in sorted(again.items(), key=lambda one: (one[0][0], str(one[0][1]))):
        first = own.get(tree)
        if first and None in (first.auditor_id, auditor_id):
            unnamed.add(tree)
        elif first and first.auditor_id != auditor_id and is_past(first) == is_past(second):
            found.append(TwoLooks(*sorted((first, second), key=lambda one: str(one.auditor_id))))
    return LooksRead(
        found, len(unnamed - {(one.first.lot_id, one.first.row, one.first.position) for one in found})
    )


def agreement_of_looks(looks: Sequence[TwoLooks]) -> Agreement | None:
    """Return how far auditors agree, whoever they are; None where no tree was looked at twice."""
    if not looks:
        return None
    of_tree: dict[tuple[str | None, int, int], dict[str | None, TreeVerdict]] = defaultdict(dict)
    for check in (check for pair in looks for check in pair):
        of_tree[check.lot_id, check.row, check.position][check.auditor_id] = check.verdict
    scores = [list(by_auditor.values()) for by_auditor in of_tree.values()]
    return agreement_of_several(counts_of_scores(scores, CLASSES))


def _pair(ids: tuple[str, str], looks: Sequence[TwoLooks], names: Mapping[str, str]) -> Json:
    table = np.zeros((len(CLASSES), len(CLASSES)), np.int64)
    for pair in looks:
        table[CLASSES.index(pair.first.verdict), CLASSES.index(pair.second.verdict)] += 1
    return {
        "auditors": [{"id": one, "name": names.get(one, "")} for one in ids],
        "table": table.tolist(),
        **agreement_json(agreement_of_two(table)),
    }


def agreement_json(told: Agreement) -> Json:
    """Return an agreement as the service tells it: trees, and each coefficient with its interval or None."""
    return {
        "trees": told.trees,
        "percent": _coefficient(told.percent),
        "kappa": _coefficient(told.kappa),
        "ac1": _coefficient(told.ac1),
        "positive": _coefficient(told.positive),
    }


def _coefficient(told: Coefficient | None) -> Json | None:
    return None if told is None else {"value": told.value, "low": told.low, "high": told.high}


def _points(looks: Sequence[TwoLooks], words: Mapping[str, str]) -> list[Json]:
    """Return the points that both judged, the one that they differed on most often first."""
    trees: dict[str, int] = defaultdict(int)
    differ: dict[str, int] = defaultdict(int)
    for first, second in looks:
        for key in (key for key in first.judged if key in second.judged):
            trees[key] += 1
            differ[key] += (key in first.failed) != (key in second.failed)
    return [
        {"key": key, "sentence": words.get(key, key), "trees": trees[key], "differ": differ[key]}
        for key in sorted(trees, key=lambda key: (-differ[key], key))
    ]
