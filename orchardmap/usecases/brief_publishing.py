"""Save what advisers write, and publish it: nobody's words are lost, and what was published never changes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NoReturn

from orchardmap.errors import ConflictError, UnfitBriefError
from orchardmap.locale.catalogue import SOURCE_LANGUAGE, languages
from orchardmap.model.brief import Brief, BriefContent, BriefVersion, Draft
from orchardmap.pruning.brief import Problem, content_problems, problem_text
from orchardmap.pruning.brief_json import content_to_text
from orchardmap.pruning.pictures import PICTURES
from orchardmap.store import access, audit, log
from orchardmap.store import briefs as brief_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.briefing import actor_of

__all__ = ["Published", "draft_problems", "publish", "save_draft"]

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Published:
    """What publishing came to."""

    version: BriefVersion
    is_new: bool
    """False where the last version says the same already."""


def save_draft(store: Store, *, farm_id: str, brief_id: str, draft: Draft) -> int:
    """Save what an adviser made of a draft, unless somebody saved meanwhile.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id, brief_id : str
        The brief.
    draft : Draft
        Well formed; it need not be fit to be published. Its revision is one more than that of the
        draft it was made from.

    Returns
    -------
    int
        The revision that holds it. What stands there to the letter is not saved again: the first answer
        may have been lost.

    Raises
    ------
    UnknownError
        If the farm has no such brief.
    ConflictError
        If another revision was saved since; nothing is changed then.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        brief_store.brief(conn, farm_id, brief_id)
        kept = brief_store.draft(conn, brief_id)
        # as text, for the order of languages is part of what was written
        if content_to_text(kept.content) == content_to_text(draft.content):
            return kept.revision
        if not brief_store.save_draft(conn, brief_id, draft):
            _refuse_stale(conn, kept, draft.saved_by)
    return draft.revision


def _refuse_stale(conn: Connection, kept: Draft, by: str | None) -> NoReturn:
    who = "The shell" if kept.saved_by is None else access.account(conn, kept.saved_by).name
    if kept.saved_by == by:
        who = "You, in another window,"
    raise ConflictError(
        f"{who} saved this brief meanwhile",
        where=f"revision {kept.revision}",
        todo="What you wrote is still on your screen. Open the brief again beside it, take over what you want to keep, and save.",
    )


def draft_problems(content: BriefContent) -> list[Json]:
    """Return what keeps a content from being published: ``where``, ``what`` to do in English, and in every language in ``texts``.

    Examples
    --------
    >>> told = draft_problems(BriefContent("spur_uncut", False, (), ()))
    >>> [(one["where"], one["what"]) for one in told]
    [('points', 'The brief has no point. Add one, or start from a bearing habit.')]
    >>> told[0]["texts"]["es"]
    'La pauta no tiene ningún punto. Agregue uno o empiece por un hábito de fructificación.'
    """
    return [_problem_json(problem) for problem in content_problems(content, pictures=PICTURES)]


def _problem_json(problem: Problem) -> Json:
    number, part = problem.point_number, problem.part
    texts = {language: problem_text(problem, language) for language in languages()}
    return {
        "where": part if number is None else f"point {number}, {part}",
        "what": texts[SOURCE_LANGUAGE],
        "texts": texts,
    }


def publish(
    store: Store, *, farm_id: str, brief_id: str, revision: int, by: str | None, now: datetime
) -> Published:
    """Freeze the draft as the next version: crews, checks and paper go by it from now on.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id, brief_id : str
        The brief.
    revision : int
        Of the draft that whoever publishes has looked at.
    by : str or None
        Account; None for the shell.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Published

    Raises
    ------
    UnknownError
        If the farm has no such brief.
    ConflictError
        If the draft is of another revision by now.
    UnfitBriefError
        If something in it is to be mended first; it lists everything.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        brief = brief_store.brief(conn, farm_id, brief_id)
        kept = brief_store.draft(conn, brief_id)
        if kept.revision != revision:
            _refuse_stale(conn, kept, by)
        faults = draft_problems(kept.content)
        if faults:
            raise UnfitBriefError(faults)
        last = brief_store.latest_versions(conn, [brief_id]).get(brief_id)
        if last is not None and last.content == kept.content:
            return Published(last, is_new=False)
        made = BriefVersion(brief_id, last.version + 1 if last else 1, kept.content, now, by)
        brief_store.append_version(conn, made)
        _tell(conn, brief)
        _note(conn, brief, made)
    return Published(made, is_new=True)


def _tell(conn: Connection, brief: Brief) -> None:
    """Let tablets fetch the blocks again that the brief is for."""
    block_ids: Sequence[str | None] = brief_store.subject_blocks(conn, brief) or [None]
    log.append_changes(conn, brief.farm_id, [log.Change("brief", brief.id, one) for one in block_ids])


def _note(conn: Connection, brief: Brief, made: BriefVersion) -> None:
    audit.note(
        conn,
        "brief_published",
        at=made.published_at,
        actor=actor_of(made.published_by),
        subject=brief.id,
        farm_id=brief.farm_id,
        version=made.version,
    )
