"""Who held a tablet when."""

from sqlalchemy import Connection, select

from orchardmap.store.access_tables import audit_log, devices
from orchardmap.work.holding import Holding

__all__ = ["holding_now", "holdings"]


def holding_now(conn: Connection, device_id: str) -> list[Holding]:
    """Return who holds a tablet now: one, or none."""
    d = devices.c
    found = conn.execute(select(d.holder_id, d.holder_at).where(d.id == device_id, d.holder_id.is_not(None)))
    return [Holding(*one) for one in found]


def holdings(conn: Connection, device_id: str) -> list[Holding]:
    """Return who ever held a tablet, in order, from the audit log: each change of hands was noted in its own transaction.

    The log has no index for this: ask only where `holding_now` does not tell enough.
    """
    a = audit_log.c
    noted = select(a.what, a.subject, a.at).where(
        a.actor == f"device:{device_id}", a.what.in_(["tablet_taken", "tablet_put_down"])
    )
    found: list[Holding] = []
    for what, subject, at in conn.execute(noted.order_by(a.seq)):
        if found and found[-1].until is None:
            found[-1] = Holding(found[-1].person_id, found[-1].since, at)
        if what == "tablet_taken":
            found.append(Holding(subject, at))
    return found
