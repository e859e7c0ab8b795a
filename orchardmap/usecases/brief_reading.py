"""Read briefs: a season's list, one with its versions, what changed, and the one that holds for a block."""

from collections.abc import Mapping
from dataclasses import asdict
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.model.brief import BriefContent, BriefVersion
from orchardmap.pruning.brief_changes import differences
from orchardmap.pruning.brief_json import content_to_json
from orchardmap.pruning.brief_texts import brief_texts
from orchardmap.pruning.clearance import LineClearance
from orchardmap.store import access, orchard
from orchardmap.store import briefs as brief_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.brief_publishing import draft_problems
from orchardmap.usecases.hazards import farm_clearance_m
from orchardmap.usecases.moments import Moment, moment

__all__ = [
    "block_brief", "brief_json", "briefs_json", "content_json", "differences_json", "held_briefs", "version_json", "version_of",
]  # fmt: skip

Json = dict[str, Any]


def content_json(content: BriefContent, *, clearance_m: float = LineClearance().base_m) -> Json:
    """Return a content, and what it says in each language with its limits, and the distance from power lines, filled in."""
    said = brief_texts(content, clearance_m=clearance_m)
    texts = {language: asdict(text) for language, text in said.items()}
    return {"content": content_to_json(content), "texts": texts}


def version_json(version: BriefVersion, *, clearance_m: float) -> Json:
    """Return a published version as the service tells it; who published it is not told.

    Its cautions name the distance that the farm goes by now (`orchardmap.usecases.hazards.farm_clearance_m`).
    """
    told = content_json(version.content, clearance_m=clearance_m)
    return _numbered(version) | {"brief_id": version.brief_id} | told


def _numbered(version: BriefVersion) -> Json:
    return {"version": version.version, "published_at": version.published_at.isoformat()}


def _signed(conn: Connection, version: BriefVersion) -> Json:
    """Return number and moment of a version, and who published it: for who writes briefs."""
    return _numbered(version) | {"published_by": _name(conn, version.published_by)}


def _name(conn: Connection, account_id: str | None) -> str:
    """Return the name of an account; empty for the shell."""
    return "" if account_id is None else access.account(conn, account_id).name


def briefs_json(
    store: Store, farm_id: str, *, season_id: str | None, with_drafts: bool, now: datetime
) -> list[Json]:
    """Return a season's briefs: what each is for and its latest version's number.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    season_id : str or None
        The season; the current one if None. One of another farm has no briefs here.
    with_drafts : bool
        For who writes briefs: also those never published, each with its draft's revision, whether the
        draft says something else than the latest version, and who published that one.
    now : datetime with time zone
        The server's clock.
    """
    with store.read() as conn:
        season = moment(conn, farm_id, None, now).season
        asked = season_id or (season.id if season else None)
        found = brief_store.briefs(conn, farm_id, asked) if asked else []
        latest = brief_store.latest_versions(conn, [brief.id for brief in found])
        drafts = brief_store.drafts(conn, [brief.id for brief in found]) if with_drafts else {}
        told_latest = {
            brief_id: _signed(conn, version) if with_drafts else _numbered(version)
            for brief_id, version in latest.items()
        }
    told = []
    for brief in found:
        version, draft = latest.get(brief.id), drafts.get(brief.id)
        if version is None and draft is None:
            continue
        one = asdict(brief) | {"latest": told_latest.get(brief.id)}
        if draft is not None:
            is_changed = version is None or version.content != draft.content
            one |= {"revision": draft.revision, "is_changed": is_changed}
        told.append(one)
    return told


def brief_json(store: Store, farm_id: str, brief_id: str, *, with_draft: bool) -> Json:
    """Return a brief: its versions, what the latest one says, and for who writes briefs its draft and who published.

    Raises
    ------
    UnknownError
        If the farm has no such brief; for who does not write briefs, also if none of it was published.
    """
    with store.read() as conn:
        brief = brief_store.brief(conn, farm_id, brief_id)
        versions = brief_store.versions(conn, brief_id)
        if not (versions or with_draft):
            brief_store.refuse_brief(brief_id)
        clearance_m = farm_clearance_m(conn, farm_id)
        draft = {"draft": _draft_json(conn, brief_id, clearance_m)} if with_draft else {}
        told = [_signed(conn, one) if with_draft else _numbered(one) for one in versions]
    return asdict(brief) | draft | {
        "versions": told,
        "latest": version_json(versions[-1], clearance_m=clearance_m) if versions else None,
    }  # fmt: skip


def _draft_json(conn: Connection, brief_id: str, clearance_m: float) -> Json:
    draft = brief_store.draft(conn, brief_id)
    return {
        "revision": draft.revision,
        "saved_at": draft.saved_at.isoformat(),
        "saved_by": _name(conn, draft.saved_by),
        "problems": draft_problems(draft.content),
    } | content_json(draft.content, clearance_m=clearance_m)


def version_of(store: Store, farm_id: str, brief_id: str, number: int) -> Json:
    """Return one published version.

    Raises
    ------
    UnknownError
        If the farm has no such brief, or the brief no such version.
    """
    with store.read() as conn:
        brief_store.brief(conn, farm_id, brief_id)
        version = brief_store.version(conn, brief_id, number)
        return version_json(version, clearance_m=farm_clearance_m(conn, farm_id))


def differences_json(store: Store, farm_id: str, brief_id: str, *, old: int, new: int | None) -> list[Json]:
    """Return what changed from one published version of a brief to another, or to its draft.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id, brief_id : str
        The brief.
    old, new : int
        Numbers of versions; `new` is None for the draft.

    Raises
    ------
    UnknownError
        If the farm has no such brief, or the brief no such version.
    """
    with store.read() as conn:
        brief_store.brief(conn, farm_id, brief_id)
        before = brief_store.version(conn, brief_id, old).content
        if new is None:
            after = brief_store.draft(conn, brief_id).content
        else:
            after = brief_store.version(conn, brief_id, new).content
    return [asdict(change) for change in differences(before, after)]


def held_briefs(
    conn: Connection, at: Moment, variety_of: Mapping[str, str | None]
) -> dict[str, BriefVersion]:
    """Return the version that holds for each block: of its own brief before its variety's.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day; the latest version published by the end of that day counts.
    variety_of : mapping of str to str or None
        Block id to what it is planted with.

    Returns
    -------
    dict of str to BriefVersion
        Blocks without one are left out.
    """
    if at.season is None:
        return {}
    found = brief_store.briefs(conn, at.farm.id, at.season.id)
    latest = brief_store.latest_versions(conn, [brief.id for brief in found], until=_end_of(at))
    of = {brief.block_id or brief.variety_id: latest[brief.id] for brief in found if brief.id in latest}
    held = {block_id: of.get(block_id) or of.get(variety) for block_id, variety in variety_of.items()}
    return {block_id: version for block_id, version in held.items() if version is not None}


def _end_of(at: Moment) -> datetime:
    """Return the last moment of a day gone by, or now."""
    if at.until is None:
        return at.now
    midnight = datetime.combine(at.until + timedelta(days=1), time(), ZoneInfo(at.farm.time_zone))
    return midnight - timedelta(microseconds=1)


def block_brief(store: Store, block_id: str, *, day: date | None, now: datetime) -> Json | None:
    """Return the published version that holds for a block on a day, None where there is none.

    Parameters
    ----------
    store : Store
        Open for reading.
    block_id : str
        The block.
    day : date or None
        Of the farm's time zone; today if None.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If no block has that id.
    """
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, day, now)
        version = held_briefs(conn, at, {block.id: block.variety_id}).get(block.id)
        clearance_m = farm_clearance_m(conn, block.farm_id)
    return None if version is None else version_json(version, clearance_m=clearance_m)
