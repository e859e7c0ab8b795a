"""Queues as lines: crew by crew, block by block, with the day on which each is likely done."""

from datetime import datetime
from typing import Any

from orchardmap.model.queue import Queues
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases.giving_out import save_queues
from orchardmap.usecases.plan_forecast import plan_forecast
from orchardmap.usecases.queue_board import proposed_queues, read_queues

__all__ = ["plan_lines"]

Json = dict[str, Any]


def plan_lines(store: Store, farm_id: str, *, propose: bool, save: bool, now: datetime) -> list[Json]:
    """Return the blocks with trees left in the order in which crews prune them; those of nobody last.

    Parameters
    ----------
    store : Store
        Open for reading, for writing where it is saved.
    farm_id : str
        The farm; its season of today.
    propose : bool
        Tell a proposal, each block with its reasons in words, instead of what is given out.
    save : bool
        Keep the proposal.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    list of dict
        ``crew`` (name, null for nobody), ``block`` (code), ``trees_left``, ``likely_on`` (null where nothing can be forecast),
        ``must_finish_on``, ``why`` (empty for what is given out).

    Raises
    ------
    UnknownError
        If no farm has that id, or it has no season yet.
    ConflictError
        If somebody gave blocks out meanwhile.
    """
    board = read_queues(store, farm_id, now=now)
    shown = proposed_queues(store, farm_id, language="en", now=now) if propose else board
    by_crew = {one["crew_id"]: tuple(one["blocks"]) for one in shown["queues"]}
    wanted = Queues(shown["revision"], by_crew, tuple(shown["open"]), shown["own_first"])
    if save:
        save_queues(store, farm_id=farm_id, wanted=wanted, now=now)
    likely = plan_forecast(store, farm_id, wanted, now=now)["blocks"]
    with store.read() as conn:
        codes = {block.id: block.code for block in orchard.blocks(conn, farm_id)}
        names = {crew.id: crew.name for crew in farm_store.crews(conn, farm_id)}
    words = shown.get("words", {})
    given: list[tuple[str | None, str]] = [
        (crew, block) for crew, blocks in by_crew.items() for block in blocks
    ]
    return [
        {
            "crew": names[crew] if crew else None,
            "block": codes[block],
            "trees_left": board["blocks"][block]["left"],
            "likely_on": likely[block]["p50"] if block in likely else None,
            "must_finish_on": board["blocks"][block]["must_finish_on"],
            "why": words.get(block, ""),
        }
        for crew, block in [*given, *((None, block) for block in wanted.open)]
    ]
