"""Names of whoever did something: of accounts, and of stand-ins for accounts that stayed on another server."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select

from orchardmap.store.access_tables import accounts
from orchardmap.store.plain_values import kept_value
from orchardmap.store.row_tables import chunks

__all__ = ["STAND_IN", "add_stand_ins", "names"]

STAND_IN = "imported "
"""Begins the login of a stand-in: no login that is typed has a blank in it."""


def names(conn: Connection, account_ids: Iterable[str]) -> dict[str, str]:
    """Return names by account id, of such as left the farm too; ids that no account has are left out."""
    return {
        record.id: record.name
        for piece in chunks(sorted(account_ids))
        for record in conn.execute(select(accounts.c.id, accounts.c.name).where(accounts.c.id.in_(piece)))
    }


def add_stand_ins(conn: Connection, found: Iterable[dict[str, Any]], *, now: datetime) -> None:
    """Keep names that records speak of. Nobody can sign in with them; an account that is here stays as it is.

    Parameters
    ----------
    conn : Connection
        In a write transaction.
    found : iterable of dict
        Each with ``id`` and ``name``.
    now : datetime with time zone
        The clock.

    Raises
    ------
    ImportFileError
        If one is no id and name.
    """
    own = accounts.c.id, accounts.c.name
    wanted = dict([kept_value(column, line, where="accounts") for column in own] for line in found)
    there = names(conn, wanted)
    made = [
        {
            "id": account_id,
            "login": f"{STAND_IN}{account_id}",
            "name": name,
            "makes_farms": False,
            "made_at": now,
            "disabled_at": now,
        }
        for account_id, name in wanted.items()
        if account_id not in there
    ]
    if made:
        conn.execute(insert(accounts), made)
