"""Briefs: a draft that is saved again and again, and versions that are appended and never edited."""

from collections.abc import Collection, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any, NoReturn

from sqlalchemy import Connection, func, insert, select, tuple_, update
from sqlalchemy.exc import IntegrityError

from orchardmap.errors import ConflictError, UnknownError
from orchardmap.model.brief import Brief, BriefVersion, Draft
from orchardmap.pruning.brief_json import content_from_text, content_to_text
from orchardmap.store import brief_tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.tables import blocks

__all__ = [
    "add_brief", "append_version", "brief", "brief_of_any_farm", "briefs", "draft", "drafts", "latest_versions", "named_versions", "refuse_brief", "save_draft",
    "subject_blocks", "version", "versions",
]  # fmt: skip


def add_brief(conn: Connection, made: Brief, draft: Draft) -> None:
    """Append a brief with its first draft.

    Raises
    ------
    ConflictError
        If the season has a brief of that variety, or block, already.
    """
    values = asdict(made) | _draft_values(draft)
    try:
        conn.execute(insert(t.briefs).values(values))
    except IntegrityError as error:
        raise ConflictError(
            "There is a brief for that in this season already",
            where="variety_id" if made.variety_id else "block_id",
            todo="Open that one and edit it.",
        ) from error


def _draft_values(draft: Draft) -> dict[str, Any]:
    return {
        "draft": content_to_text(draft.content),
        "revision": draft.revision,
        "saved_at": draft.saved_at,
        "saved_by": draft.saved_by,
    }


def _brief(record: Any) -> Brief:  # noqa: ANN401 - a row of the briefs table
    return Brief(record.id, record.farm_id, record.season_id, record.variety_id, record.block_id)


def _draft(record: Any) -> Draft:  # noqa: ANN401 - a row of the briefs table
    return Draft(content_from_text(record.draft), record.revision, record.saved_at, record.saved_by)


def briefs(conn: Connection, farm_id: str, season_id: str) -> list[Brief]:
    """Return the briefs of a farm's season, in the order they were made."""
    b = t.briefs.c
    asked = select(t.briefs).where(b.farm_id == farm_id, b.season_id == season_id).order_by(b.id)
    return [_brief(record) for record in conn.execute(asked)]


def brief(conn: Connection, farm_id: str, brief_id: str) -> Brief:
    """Return one brief of a farm.

    Raises
    ------
    UnknownError
        If the farm has no brief of that id; in the same words whether it is another farm's or nobody's.
    """
    found = brief_of_any_farm(conn, brief_id)
    if found is None or found.farm_id != farm_id:
        refuse_brief(brief_id)
    return found


def refuse_brief(brief_id: str) -> NoReturn:
    """Say of a brief that it is not there, or not for whoever asks: in the same words.

    Raises
    ------
    UnknownError
        Always.
    """
    raise UnknownError("no such brief", where=brief_id)


def brief_of_any_farm(conn: Connection, brief_id: str) -> Brief | None:
    """Return a brief whosever it is, None where there is none: for callers who then look at whose it is."""
    record = conn.execute(select(t.briefs).where(t.briefs.c.id == brief_id)).one_or_none()
    return None if record is None else _brief(record)


def subject_blocks(conn: Connection, of: Brief) -> list[str]:
    """Return the ids of the blocks that a brief is for: its own one, or those of its variety."""
    b = blocks.c
    is_meant = b.id == of.block_id if of.block_id else b.variety_id == of.variety_id
    return list(conn.execute(select(b.id).where(b.farm_id == of.farm_id, is_meant).order_by(b.id)).scalars())


def draft(conn: Connection, brief_id: str) -> Draft:
    """Return the draft of a brief that is there."""
    return _draft(conn.execute(select(t.briefs).where(t.briefs.c.id == brief_id)).one())


def drafts(conn: Connection, brief_ids: Collection[str]) -> dict[str, Draft]:
    """Return the drafts of briefs by brief id."""
    return {
        record.id: _draft(record)
        for chunk in chunks(sorted(brief_ids))
        for record in conn.execute(select(t.briefs).where(t.briefs.c.id.in_(chunk)))
    }


def save_draft(conn: Connection, brief_id: str, draft: Draft) -> bool:
    """Replace a draft by its next revision; tell whether it was still at the one before.

    Parameters
    ----------
    conn : Connection
        In a write transaction.
    brief_id : str
        The brief.
    draft : Draft
        Under its new number: one more than that of the draft it was made from.
    """
    b = t.briefs.c
    here = update(t.briefs).where(b.id == brief_id, b.revision == draft.revision - 1)
    return conn.execute(here.values(_draft_values(draft))).rowcount == 1


def append_version(conn: Connection, made: BriefVersion) -> None:
    """Append a published version; its number must be the next one, which the farm's lock keeps from being taken twice."""
    conn.execute(
        insert(t.brief_versions).values(
            brief_id=made.brief_id,
            version=made.version,
            content=content_to_text(made.content),
            published_at=made.published_at,
            published_by=made.published_by,
        )
    )


def _version(record: Any) -> BriefVersion:  # noqa: ANN401 - a row of the versions table
    return BriefVersion(
        record.brief_id,
        record.version,
        content_from_text(record.content),
        record.published_at,
        record.published_by,
    )


def versions(conn: Connection, brief_id: str) -> list[BriefVersion]:
    """Return the published versions of a brief, oldest first."""
    v = t.brief_versions.c
    asked = select(t.brief_versions).where(v.brief_id == brief_id).order_by(v.version)
    return [_version(record) for record in conn.execute(asked)]


def version(conn: Connection, brief_id: str, number: int) -> BriefVersion:
    """Return one published version.

    Raises
    ------
    UnknownError
        If the brief has no version of that number.
    """
    v = t.brief_versions.c
    asked = select(t.brief_versions).where(v.brief_id == brief_id, v.version == number)
    record = conn.execute(asked).one_or_none()
    if record is None:
        raise UnknownError("the brief has no such version", where=f"version {number}")
    return _version(record)


def named_versions(
    conn: Connection, farm_id: str, named: Collection[tuple[str, int]]
) -> dict[tuple[str, int], BriefVersion]:
    """Return those of the named versions (brief id, number) that the farm has; whoever names others is told of none."""
    v = t.brief_versions.c
    asked = select(t.brief_versions).join(t.briefs, t.briefs.c.id == v.brief_id)
    return {
        (record.brief_id, record.version): _version(record)
        for chunk in chunks(sorted(named), 300)
        for record in conn.execute(
            asked.where(t.briefs.c.farm_id == farm_id, tuple_(v.brief_id, v.version).in_(chunk))
        )
    }


def latest_versions(
    conn: Connection, brief_ids: Sequence[str], *, until: datetime | None = None
) -> dict[str, BriefVersion]:
    """Return the latest version of each brief, by brief id; briefs without one are left out.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    brief_ids : sequence of str
        Any number.
    until : datetime with time zone, optional
        Published then or before.
    """
    v = t.brief_versions.c
    found: dict[str, BriefVersion] = {}
    for chunk in chunks(sorted(brief_ids)):
        newest = select(v.brief_id, func.max(v.version).label("version")).where(v.brief_id.in_(chunk))
        if until is not None:
            newest = newest.where(v.published_at <= until)
        last = newest.group_by(v.brief_id).subquery()
        asked = select(t.brief_versions).join(
            last, (v.brief_id == last.c.brief_id) & (v.version == last.c.version)
        )
        found |= {record.brief_id: _version(record) for record in conn.execute(asked)}
    return found
