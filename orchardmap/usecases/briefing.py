"""Make briefs: from a ready-made one, from another brief, or all of a season from the one before; each in one transaction."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.access import AccessRole, Grant
from orchardmap.model.brief import BearingHabit, Brief, BriefContent, Draft
from orchardmap.pruning.general_points import TrainingSystem
from orchardmap.pruning.habits import ready_made
from orchardmap.store import audit, log, whose
from orchardmap.store import briefs as brief_store
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.planting import new_id

__all__ = ["WRITERS", "BriefSubject", "CopyOf", "ReadyMade", "actor_of", "copy_season", "make_brief"]

WRITERS: tuple[AccessRole, ...] = ("adviser", "manager")
"""Who writes briefs of a farm, and sees their drafts."""


@dataclass(frozen=True, slots=True)
class BriefSubject:
    """What a brief is for: a variety, or one block, exactly one of the two, in a season."""

    season_id: str
    variety_id: str | None = None
    block_id: str | None = None


@dataclass(frozen=True, slots=True)
class ReadyMade:
    """Start from the ready-made brief of a habit."""

    habit: BearingHabit
    is_heavy_setter: bool = False
    system: TrainingSystem = "axis"


@dataclass(frozen=True, slots=True)
class CopyOf:
    """Start from a brief of any farm that whoever asks has a role on."""

    brief_id: str
    grants: Mapping[str, Grant]
    """Farm id -> role."""


def make_brief(
    store: Store,
    *,
    farm_id: str,
    subject: BriefSubject,
    start: ReadyMade | CopyOf,
    by: str | None,
    now: datetime,
) -> Brief:
    """Make a brief with its first draft.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    subject : BriefSubject
        Of that farm.
    start : ReadyMade or CopyOf
        What its draft says at first. A copy is of the latest published version; of the draft where
        there is none and whoever asks writes briefs there.
    by : str or None
        Account; None for the shell.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Brief

    Raises
    ------
    InputError
        If the subject is not exactly one of a variety and a block.
    UnknownError
        If season, variety, block, or the brief to copy is not there for whoever asks.
    ConflictError
        If there is a brief for that already.
    """
    if (subject.variety_id is None) == (subject.block_id is None):
        raise InputError("A brief is for a variety or for a block.", where="variety_id", todo="Give one.")
    made = Brief(new_id(), farm_id, subject.season_id, subject.variety_id, subject.block_id)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        _refuse_foreign(conn, made)
        if isinstance(start, CopyOf):
            content = _copied(conn, start)
        else:
            content = ready_made(start.habit, is_heavy_setter=start.is_heavy_setter, system=start.system)
        _add(conn, made, content, by=by, now=now)
    return made


def _add(conn: Connection, made: Brief, content: BriefContent, *, by: str | None, now: datetime) -> None:
    brief_store.add_brief(conn, made, Draft(content, 1, now, by))
    audit.note(conn, "brief_made", at=now, actor=actor_of(by), subject=made.id, farm_id=made.farm_id)


def actor_of(by: str | None) -> str:
    """Return an account, or the shell, as the audit log names it."""
    return f"account:{by}" if by else "shell"


def _refuse_foreign(conn: Connection, made: Brief) -> None:
    if made.season_id not in {season.id for season in farm_store.seasons(conn, made.farm_id)}:
        raise UnknownError("no such season on this farm", where=made.season_id)
    farm_store.refuse_foreign_varieties(conn, made.farm_id, [made.variety_id])
    if made.block_id is not None and whose.farm_of_block(conn, made.block_id) != made.farm_id:
        whose.refuse_block(made.block_id)


def _copied(conn: Connection, start: CopyOf) -> BriefContent:
    found = brief_store.brief_of_any_farm(conn, start.brief_id)
    grant = None if found is None else start.grants.get(found.farm_id)
    if grant is None:
        brief_store.refuse_brief(start.brief_id)
    published = brief_store.latest_versions(conn, [start.brief_id]).get(start.brief_id)
    if published is None and grant.role not in WRITERS:
        brief_store.refuse_brief(start.brief_id)
    return (published or brief_store.draft(conn, start.brief_id)).content


def copy_season(
    store: Store, *, farm_id: str, from_season_id: str, season_id: str, by: str | None, now: datetime
) -> list[Brief]:
    """Make a brief in one season for every variety and block that had one in another; those there already stay.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm of both seasons.
    from_season_id, season_id : str
        Where they are copied from, and to: the latest version of each, or its draft where none was published.
    by : str or None
        Account; None for the shell.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    list of Brief
        The new ones, all still to be published.

    Raises
    ------
    UnknownError
        If a season is not one of the farm's.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        own = {season.id for season in farm_store.seasons(conn, farm_id)}
        for asked in (from_season_id, season_id):
            if asked not in own:
                raise UnknownError("no such season on this farm", where=asked)
        there = {(b.variety_id, b.block_id) for b in brief_store.briefs(conn, farm_id, season_id)}
        old = [
            brief
            for brief in brief_store.briefs(conn, farm_id, from_season_id)
            if (brief.variety_id, brief.block_id) not in there
        ]
        ids = [brief.id for brief in old]
        drafts, published = brief_store.drafts(conn, ids), brief_store.latest_versions(conn, ids)
        made = [replace(brief, id=new_id(), season_id=season_id) for brief in old]
        for before, brief in zip(old, made, strict=True):
            source = published.get(before.id) or drafts[before.id]
            _add(conn, brief, source.content, by=by, now=now)
    return made
