"""Imports that were read and previewed but not yet taken."""

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from orchardmap.store import tables as t
from orchardmap.store.whose import refuse_draft

__all__ = ["draft", "drop_draft", "save_draft"]

_KEPT_FOR = timedelta(days=2)


def save_draft(conn: Connection, token: str, farm_id: str, preview: dict[str, Any], *, now: datetime) -> None:
    """Keep a preview under its token, and drop those that nobody took within two days."""
    conn.execute(delete(t.import_drafts).where(t.import_drafts.c.made_at < now - _KEPT_FOR))
    conn.execute(insert(t.import_drafts).values(token=token, farm_id=farm_id, made_at=now, preview=preview))


def draft(conn: Connection, token: str) -> tuple[str, dict[str, Any]]:
    """Return the farm and the preview of a token.

    Raises
    ------
    UnknownError
        If nothing waits under that token.
    """
    found = conn.execute(select(t.import_drafts).where(t.import_drafts.c.token == token)).one_or_none()
    if found is None:
        refuse_draft(token)
    return found.farm_id, found.preview


def drop_draft(conn: Connection, token: str) -> None:
    """Forget a preview once it is taken."""
    conn.execute(delete(t.import_drafts).where(t.import_drafts.c.token == token))
