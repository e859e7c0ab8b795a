"""Following a farm: where its log stands, for as long as whoever asks may know."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from orchardmap.model.access import AccessRole
from orchardmap.store.session import Store
from orchardmap.usecases import history, signing_in

__all__ = ["place"]


def place(
    store: Store,
    farm_id: str,
    *,
    session: str | None,
    device: str | None,
    roles: Collection[AccessRole],
    now: datetime,
) -> dict[str, Any] | None:
    """Return where a farm's log stands; None once the session has ended, the tablet was revoked or the role was taken away.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    session, device : str or None
        The tokens of whoever asks.
    roles : collection of str
        Those that may know.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict or None
        As `history.place`.
    """
    grant = signing_in.caller_of(store, session=session, device=device, now=now).grants.get(farm_id)
    if grant is None or grant.role not in roles:
        return None
    return history.place(store, farm_id)
