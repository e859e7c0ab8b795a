"""The demo's crews are given their blocks as the program proposes it on the demo's day, but for what is closed then."""

from datetime import datetime

from orchardmap.model.queue import Queues
from orchardmap.store.session import Store
from orchardmap.usecases import giving_out, queue_board

__all__ = ["give_out"]


def give_out(store: Store, farm_id: str, *, now: datetime) -> None:
    """Take the proposal as it is."""
    found = queue_board.proposed_queues(store, farm_id, language="en", now=now)
    by_crew = {one["crew_id"]: tuple(one["blocks"]) for one in found["queues"]}
    wanted = Queues(found["revision"], by_crew, tuple(found["open"]))
    giving_out.save_queues(store, farm_id=farm_id, wanted=wanted, now=now)
