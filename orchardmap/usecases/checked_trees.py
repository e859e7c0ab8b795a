"""Checks as everything that tells of quality reads them: the verdict by the findings, and whose work the tree was."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from orchardmap.model.brief import BriefContent
from orchardmap.model.check import TreeVerdict
from orchardmap.pruning.scoring import TreeScore, tree_score
from orchardmap.pruning.sentences import point_text
from orchardmap.store import briefs, log
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection
from orchardmap.store.standing import LotAnswer, lot_answers
from orchardmap.store.states import RowState
from orchardmap.usecases.folding import states_on
from orchardmap.usecases.moments import Moment
from orchardmap.work.settling import Run

__all__ = ["ReadCheck", "point_words", "read_checks"]

Version = tuple[str, int]
"""Id of a brief, and the number of its version."""
LookedAt = tuple[str | None, int, int]
"""Lot, row and position of a tree."""
Instant = tuple[date, datetime]
"""Day of a record, and when it was made by the service's clock."""


@dataclass(frozen=True, slots=True)
class ReadCheck:
    """A check that counts."""

    id: str
    block_id: str
    row: int
    position: int
    day: date
    corrected_at: datetime
    server_at: datetime
    """When it was handed in."""
    auditor_id: str | None
    verdict: TreeVerdict
    """By its findings where it has some and the version it names is known; else as the auditor said it."""
    drawn: bool
    lot_id: str | None
    second: bool
    failed: tuple[str, ...]
    """Keys of the points that were not met, in the brief's order; none where only a verdict is known."""
    brief_id: str | None
    brief_version: int | None
    note: str
    crew_id: str | None
    """Credited with the tree by the state of the day looked at; None for nobody, and while two crews claim it."""
    judged: tuple[str, ...] = ()
    """Keys of the points that something was found for."""
    is_pruned: bool = False
    """By the state of the day looked at, whoever is credited."""
    is_after_return: bool = False
    """Of a lot's tree, but made after a return had it gone over again: one from that lot, or any one after the lot's first look at it.

    It says nothing of the lot.
    """


def read_checks(
    conn: Connection,
    at: Moment,
    block_ids: Sequence[str] | None = None,
    *,
    states: Sequence[RowState] | None = None,
) -> list[ReadCheck]:
    """Return the checks of a season that count, oldest first, by the day looked at.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day.
    block_ids : sequence of str, optional
        Only these blocks.
    states : sequence of RowState, optional
        Of the blocks' rows on that day, where they are at hand.

    Returns
    -------
    list of ReadCheck
        Later ones of the same tree and second looks among them: what counts for what is for the reader to say.
    """
    if at.season is None:
        return []
    kept = log.checks_of(conn, at.season.id, block_ids=block_ids, until=at.until)
    if states is None:
        states = states_on(conn, at.season.id, sorted({check.block_id for check in kept}), at.until)
    runs = {(state.block_id, state.row): state.runs for state in states}
    contents = _contents(conn, at.farm.id, [check for check in kept if check.findings is not None])
    epoch = farm_store.setting(conn, "epoch") or ""
    of_lots = any(check.lot_id is not None for check in kept)
    answers: dict[tuple[str, int], list[LotAnswer]] = defaultdict(list)
    for answer in lot_answers(conn, at.season.id) if of_lots else ():
        answers[answer.block_id, answer.row].append(answer)
    first_looks: dict[LookedAt, Instant] = {}
    for check in kept:
        if not check.second:
            first_looks.setdefault((check.lot_id, check.row, check.position), (check.day, check.corrected_at))
    return [
        _read(
            check,
            _score(check, contents, epoch),
            _run_at(runs.get((check.block_id, check.row), ()), check),
            is_after_return=_is_after(check, answers.get((check.block_id, check.row), ()), first_looks),
        )
        for check in kept
    ]


def point_words(
    conn: Connection, at: Moment, checks: Iterable[ReadCheck], language: str
) -> dict[str, dict[str, str]]:
    """Return what the points say that were not met, in a language, by block id and key.

    Where versions say a point differently, the newest one speaks.
    """
    missed = [check for check in checks if check.failed]
    contents = _contents(conn, at.farm.id, missed)
    words: dict[str, dict[str, str]] = {}
    for version in sorted(contents, key=lambda version: version[1]):
        said = {point.key: point_text(point, language) for point in contents[version].points}
        for check in missed:
            if (check.brief_id, check.brief_version) == version:
                words.setdefault(check.block_id, {}).update((key, said[key]) for key in check.failed)
    return words


def _contents(conn: Connection, farm_id: str, checks: Iterable[Any]) -> dict[Version, BriefContent]:
    named = {(check.brief_id, check.brief_version) for check in checks}
    whole = {(brief, number) for brief, number in named if brief is not None and number is not None}
    found = briefs.named_versions(conn, farm_id, whole)
    return {version: published.content for version, published in found.items()}


def _score(check: Any, contents: Mapping[Version, BriefContent], epoch: str) -> TreeScore:  # noqa: ANN401 - a row of the checks table
    content = contents.get((check.brief_id, check.brief_version))
    if check.findings is None or content is None:
        return TreeScore((), (), check.verdict)
    findings = tuple((key, found) for key, found in check.findings)
    # 1 and True are one key to a mapping, and not one finding
    key = (epoch, check.brief_id, check.brief_version, repr(findings))
    score = _SCORES.get(key)
    if score is None:
        if len(_SCORES) >= _MOST_SCORES:
            _SCORES.clear()
        score = _SCORES[key] = tree_score(content, findings)
    return score


_SCORES: dict[tuple[str, str, int, str], TreeScore] = {}
"""Scores of findings by the version they were judged by, which says the same for ever in one epoch of a database; all of a season are asked for after each mark."""
_MOST_SCORES = 100_000


def _run_at(runs: Sequence[Run], check: Any) -> Run | None:  # noqa: ANN401 - a row of the checks table
    return next((run for run in runs if run.first <= check.position <= run.last), None)


def _is_after(check: Any, answers: Sequence[LotAnswer], first_looks: Mapping[LookedAt, Instant]) -> bool:  # noqa: ANN401 - a row of the checks table
    if check.lot_id is None:
        return False
    made = check.day, check.corrected_at
    first = first_looks.get((check.lot_id, check.row, check.position), made)
    return any(
        one.first <= check.position <= one.last
        and (one.day, one.corrected_at) < made
        and (one.lot_id == check.lot_id or first < (one.day, one.corrected_at))
        for one in answers
    )


def _read(check: Any, score: TreeScore, run: Run | None, *, is_after_return: bool) -> ReadCheck:  # noqa: ANN401 - a row of the checks table
    return ReadCheck(
        id=check.id,
        block_id=check.block_id,
        row=check.row,
        position=check.position,
        day=check.day,
        corrected_at=check.corrected_at,
        server_at=check.server_at,
        auditor_id=check.auditor_id,
        verdict=score.verdict,
        drawn=check.drawn,
        lot_id=check.lot_id,
        second=bool(check.second),
        failed=score.failed,
        brief_id=check.brief_id,
        brief_version=check.brief_version,
        note=check.note,
        crew_id=run.crew_id if run else None,
        judged=score.judged,
        is_pruned=run is not None,
        is_after_return=is_after_return,
    )
