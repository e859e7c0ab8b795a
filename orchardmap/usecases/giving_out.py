"""Queues: which crew prunes which block next. Blocks that are done leave them by themselves when they are read."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.queue import BlockTerms, Queues
from orchardmap.model.season import Season
from orchardmap.store import audit, log, orchard, row_tables
from orchardmap.store import farm as farm_store
from orchardmap.store import queues as queue_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import work_done
from orchardmap.usecases.moments import Moment, moment

__all__ = [
    "queue_places",
    "refuse_foreign",
    "save_queues",
    "set_terms",
    "standing_queues",
    "trees_left",
    "wanted_season",
]


def wanted_season(at: Moment) -> Season:
    """Return the season that is looked at.

    Raises
    ------
    UnknownError
        If the farm has none yet.
    """
    if at.season is None:
        raise UnknownError(
            "the farm has no season yet", todo="Add one first: blocks are given out for a season."
        )
    return at.season


def trees_left(conn: Connection, at: Moment) -> dict[str, int]:
    """Return the trees left to prune of each block of the farm, by the code of the block; 0 for one that is done."""
    ids = [block.id for block in orchard.blocks(conn, at.farm.id)]
    size = row_tables.block_trees(conn, at.farm.id)
    return _left(ids, size, work_done(conn, at, ids))


def _left(
    ids: Iterable[str], size: Mapping[str, tuple[int, int]], done: Mapping[str, tuple[int, int, int]]
) -> dict[str, int]:
    return {one: size.get(one, (0, 0))[1] - done.get(one, (0, 0, 0))[0] for one in ids}


def standing_queues(conn: Connection, season_id: str, left: Mapping[str, int]) -> Queues:
    """Return the queues without blocks that are done; what was never given out is at the end of what nobody has.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    season_id : str
        The season.
    left : mapping of str to int
        Trees left of every block of the farm, in the order in which they are listed.
    """
    kept = queue_store.queues(conn, season_id)
    named = {block for blocks in (*kept.by_crew.values(), kept.open) for block in blocks}
    own = {crew: tuple(b for b in blocks if left.get(b)) for crew, blocks in kept.by_crew.items()}
    nobody = [b for b in (*kept.open, *(b for b in left if b not in named)) if left.get(b)]
    return replace(kept, by_crew={crew: blocks for crew, blocks in own.items() if blocks}, open=tuple(nobody))


def queue_places(
    conn: Connection,
    at: Moment,
    size: Mapping[str, tuple[int, int]],
    done: Mapping[str, tuple[int, int, int]],
) -> dict[str, dict[str, str | int]]:
    """Return crew and place (1 is the next) of each block that tablets show as a crew's own.

    None where the farm wants no such order, nor of a day that is over.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        The day looked at.
    size : mapping of str to (int, int)
        Rows and trees of each block.
    done : mapping of str to (int, int, int)
        Pruned trees, overlap trees and finished rows of each block.
    """
    if at.season is None or at.until is not None:
        return {}
    found = standing_queues(conn, at.season.id, _left(size, size, done))
    return {
        block: {"crew_id": crew, "place": place}
        for crew, blocks in (found.by_crew.items() if found.own_first else ())
        for place, block in enumerate(blocks, start=1)
    }


def save_queues(store: Store, *, farm_id: str, wanted: Queues, actor: str = "shell", now: datetime) -> Queues:
    """Give blocks out: keep these queues instead of those before, and let tablets hear.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm; its season of today.
    wanted : Queues
        With the revision that they were made from.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Queues
        As they are kept, with their new revision.

    Raises
    ------
    UnknownError
        If the farm has no season, no such crew or no such block; nothing is changed then.
    InputError
        If a block is named twice.
    ConflictError
        If somebody saved others meanwhile.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        season = wanted_season(moment(conn, farm_id, None, now))
        kept = queue_store.queues(conn, season.id)
        if wanted.revision != kept.revision:
            raise ConflictError(
                "somebody gave blocks out meanwhile",
                where="revision",
                todo="Read the queues again and say what you change once more; nothing was overwritten.",
            )
        refuse_foreign(conn, farm_id, wanted)
        made = replace(
            wanted,
            revision=kept.revision + 1,
            by_crew={crew: blocks for crew, blocks in wanted.by_crew.items() if blocks},
        )
        queue_store.save_queues(conn, season.id, made)
        log.append_changes(conn, farm_id, [log.Change("queues", season.id)])
        audit.note(
            conn,
            "queues_saved",
            at=now,
            actor=actor,
            subject=season.id,
            farm_id=farm_id,
            revision=made.revision,
            moved=_moved(kept, made),
            own_first=made.own_first,
        )
    return made


def refuse_foreign(conn: Connection, farm_id: str, wanted: Queues) -> None:
    """Refuse queues that cannot be.

    Raises
    ------
    UnknownError
        If a crew or a block is not one of the farm's.
    InputError
        If a block is named twice.
    """
    named = [block for blocks in (*wanted.by_crew.values(), wanted.open) for block in blocks]
    if len(set(named)) < len(named):
        raise InputError(
            "a block is named twice", where="queues", todo="Give each block to one crew, or to nobody."
        )
    crews = {crew.id for crew in farm_store.crews(conn, farm_id)}
    for crew_id in wanted.by_crew:
        if crew_id not in crews:
            raise UnknownError("no such crew on this farm", where=crew_id)
    here = set(orchard.block_ids(conn, farm_id, named))
    for block_id in named:
        if block_id not in here:
            raise UnknownError("no such block", where=block_id)


def _moved(kept: Queues, made: Queues) -> int:
    """Count the blocks that another crew has now, or somebody instead of nobody, or nobody any more."""
    before, after = (
        {block: crew for crew, blocks in one.by_crew.items() for block in blocks} for one in (kept, made)
    )
    return sum(before.get(block) != after.get(block) for block in before.keys() | after.keys())


def set_terms(
    store: Store, *, block_id: str, terms: BlockTerms, actor: str = "shell", now: datetime
) -> BlockTerms:
    """Say by which day a block must be finished, and whether a platform goes in there, for the season of today.

    Parameters
    ----------
    store : Store
        Open for writing.
    block_id : str
        The block.
    terms : BlockTerms
        Instead of what was said before.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    BlockTerms

    Raises
    ------
    UnknownError
        If no block has that id, or its farm has no season.
    InputError
        If the day is not one of the season up to its must-finish date.
    """
    with store.write() as conn:
        block = orchard.block(conn, block_id)
        log.lock_farm(conn, block.farm_id)
        season = wanted_season(moment(conn, block.farm_id, None, now))
        _refuse_odd_day(terms.must_finish_on, season)
        if terms != queue_store.block_terms(conn, season.id).get(block_id, BlockTerms()):
            queue_store.save_terms(conn, season.id, block_id, terms)
            log.append_changes(conn, block.farm_id, [log.Change("terms", block_id, block_id)])
            day = terms.must_finish_on
            audit.note(
                conn,
                "block_terms_set",
                at=now,
                actor=actor,
                subject=block_id,
                farm_id=block.farm_id,
                must_finish_on=None if day is None else day.isoformat(),
                platform_fits=terms.platform_fits,
            )
    return terms


def _refuse_odd_day(day: date | None, season: Season) -> None:
    if day is not None and not season.opens_on <= day <= season.must_finish_on:
        raise InputError(
            "a block's own day lies within the season and is not later than the season's",
            where="must_finish_on",
            todo="Give a day of the season, or none.",
        )
