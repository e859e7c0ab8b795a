"""Edit the ground: work out what a list of edits comes to, take it in one transaction or not at all, and take it back again."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from orchardmap.errors import ChangedError, ConflictError, InputError, UnknownError
from orchardmap.geometry.block_edits import JoinBlocks, LayBlock, NewBlock, SplitBlock
from orchardmap.geometry.ground import BlockGround, Ground, ground_of
from orchardmap.geometry.ground_changes import Edit, PutBack, applied, put_back
from orchardmap.geometry.ground_problems import block_problems, problems
from orchardmap.model.orchard import Block
from orchardmap.store import audit, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store import ground as ground_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.counting import shape_version
from orchardmap.usecases.folding import refold_block
from orchardmap.usecases.ground_json import put_back_from_json, put_back_json
from orchardmap.usecases.ground_telling import Difference, difference_json, ground_version, row_uses, told_of
from orchardmap.usecases.rejudging import rejudge

__all__ = ["Wish", "answered", "back_wish", "preview", "take"]

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to become of the ground, and of which ground it was said."""

    edits: Sequence[Edit]
    seen: Mapping[str, str]
    """Block id -> version (`ground_version`) of every block that the edits name and that is there."""
    id: str = ""
    """Of the change, made where it was made; a repeat is answered as the first."""
    undoes: str | None = None


def preview(store: Store, *, farm_id: str, wish: Wish) -> Json:
    """Return what the edits come to; nothing is taken (see `orchardmap.usecases.ground_telling.difference_json`).

    Raises
    ------
    UnknownError
        If the farm has no such block or row.
    ChangedError
        If a block is another one than was seen.
    ConflictError
        If a code or number is taken.
    InputError
        If an edit cannot be.
    """
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        return difference_json(_difference(conn, farm_id, wish))


def take(
    store: Store, *, farm_id: str, wish: Wish, actor: str, may_touch_work: bool = False, now: datetime
) -> Json:
    """Take the edits, all or none.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    wish : Wish
        With the change's id.
    actor : str
        As the audit log names who says so.
    may_touch_work : bool
        Rows in which work was recorded may change too, as far as that leaves each record its trees.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``id`` of the change and ``versions``: block id -> version, None of one that left.

    Raises
    ------
    UnknownError, InputError
        As in `preview`; nothing is taken then.
    ChangedError
        If a block is another one than was seen, or work was recorded in its rows meanwhile; nothing is taken then.
    ConflictError
        If something hinders the change; nothing is taken then.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        told = _answer(conn, farm_id, wish.id)
        if told is not None:
            return told
        found = _difference(conn, farm_id, wish)
        _refuse(found)
        if found.touches_work and not may_touch_work:
            raise ChangedError(
                "work was recorded in its rows meanwhile",
                where="edits",
                todo="Look at the changes once more.",
            )
        versions = _write(conn, farm_id, found)
        made = {"id": wish.id, "made_at": now, "made_by": actor, "versions": versions, "undoes": wish.undoes}
        back = put_back_json(put_back(found.before, found.after))
        number = ground_store.append_change(conn, farm_id, {**made, "told": told_of(found), "back": back})
        # only now is the change among those that tell where trees went
        for key in found.touched:
            if key in found.after:
                rejudge(conn, orchard.block(conn, key))
        changes = [log.Change("block", key, key) for key in versions]
        log.append_changes(conn, farm_id, changes)
        audit.note(
            conn,
            "ground_changed",
            at=now,
            actor=actor,
            subject=wish.id,
            farm_id=farm_id,
            number=number,
            blocks=len(versions),
            rows=len(found.rows),
        )
    return {"id": wish.id, "versions": versions}


def answered(store: Store, *, farm_id: str, change_id: str) -> Json | None:
    """Return what was answered when a change was taken; None where none of that id was.

    Raises
    ------
    ConflictError
        If another farm has a change of that id.
    """
    with store.read() as conn:
        return _answer(conn, farm_id, change_id)


def _answer(conn: Connection, farm_id: str, change_id: str) -> Json | None:
    known = ground_store.known_change(conn, change_id)
    if known is None:
        return None
    if known[0] != farm_id:
        raise ConflictError("there is a change of that id already", where="id")
    return {"id": change_id, "versions": known[1].versions}


def back_wish(store: Store, *, farm_id: str, change_id: str, made_id: str) -> Wish:
    """Return the wish that takes a change back; it is judged as any other.

    Raises
    ------
    UnknownError
        If the farm has no such change.
    ConflictError
        If a block was changed again since.
    """
    with store.read() as conn:
        known = ground_store.known_change(conn, change_id)
        if known is None or known[0] != farm_id:
            raise UnknownError("no such change of the ground on this farm", where=change_id)
        now = {block.id: ground_version(block) for block in orchard.blocks(conn, farm_id)}
        undoable = ground_store.undoable(conn, farm_id)
    versions = known[1].versions
    if change_id not in undoable or any(now.get(key) != version for key, version in versions.items()):
        raise ConflictError(
            "a block of it was changed again since",
            where=f"change {known[1].number}",
            todo="Take the later change back first, or edit the rows by hand.",
        )
    seen = {key: version for key, version in versions.items() if version is not None}
    return Wish([put_back_from_json(known[1].back)], seen, made_id, undoes=change_id)


def _named(edits: Sequence[Edit]) -> set[str]:
    """Return ids of blocks that must be there for the edits."""
    found: set[str] = set()
    made: set[str] = set()
    for edit in edits:
        if isinstance(edit, NewBlock):
            made.add(edit.block.id)
        elif isinstance(edit, PutBack):
            found |= {one.origin[0] for one in edit.rows if one.origin} | set(edit.dropped)
            found |= {key for key, _ in edit.away}
        else:
            found.add(edit.block_id)
            if isinstance(edit, JoinBlocks):
                found.add(edit.other_id)
            if isinstance(edit, SplitBlock):
                made.add(edit.made.id)
    return found - made


def _difference(conn: Connection, farm_id: str, wish: Wish) -> Difference:
    blocks = {block.id: block for block in orchard.blocks(conn, farm_id)}
    wanted = {key for key in _named(wish.edits) | set(wish.seen) if key in blocks}
    changed = [
        blocks[key].code for key in sorted(wanted) if wish.seen.get(key) != ground_version(blocks[key])
    ]
    if changed:
        raise ChangedError(
            "somebody changed it since you opened it",
            where=f"block {', '.join(changed)}"[:200],
            todo="Open it anew and look at what it is now; nothing of yours was taken.",
        )
    before = ground_of([blocks[key] for key in sorted(wanted)], orchard.rows_of_blocks(conn, sorted(wanted)))
    after = applied(before, wish.edits)
    _refuse_blocks(conn, farm_id, blocks, before, after)
    ids = sorted({*before, *after})
    uses = row_uses(conn, ids)
    beside = [block for key, block in blocks.items() if key not in before]
    surveyed = {edit.block_id for edit in wish.edits if isinstance(edit, LayBlock)}
    known = block_problems(before, after, surveyed=surveyed, others=beside)
    found = [*problems(before, after, uses), *known]
    return Difference(before, after, uses, ground_store.named_blocks(conn, ids), found)


def _refuse_blocks(
    conn: Connection, farm_id: str, blocks: Mapping[str, Block], before: Ground, after: Ground
) -> None:
    """Refuse codes and varieties that cannot be, and a block without rows."""
    made = [ground.block for key, ground in after.items() if key not in before]
    codes = Counter(block.code for key, block in blocks.items() if key not in before)
    codes.update(ground.block.code for ground in after.values())
    twice = [ground.block.code for ground in after.values() if codes[ground.block.code] > 1]
    if twice:
        raise ConflictError(
            "the farm has a block of that code already", where=twice[0], todo="Give it another one."
        )
    if ground_store.ids_taken(conn, [block.id for block in made]):
        raise ConflictError("there is a block of that id already", where="block", todo="Draw it once more.")
    farm_store.refuse_foreign_varieties(conn, farm_id, [one.block.variety_id for one in after.values()])
    bare = [ground.block.code for ground in after.values() if not ground.rows]
    if bare:
        raise InputError(
            "a block without rows cannot be",
            where=f"block {bare[0]}",
            todo="Take the whole block away instead.",
        )


def _refuse(found: Difference) -> None:
    """Refuse what cannot be taken; what hinders it in each row, the preview lists."""
    hindering = [one for one in found.problems if one.hinders]
    if hindering:
        one = hindering[0]
        code = (found.before.get(one.block_id) or found.after[one.block_id]).block.code
        raise ConflictError(
            "work was recorded in it, and would come to mean other trees",
            where=f"block {code}, row {one.row}",
            todo="Leave this row's number, first end and trees as they are.",
        )
    if found.leaving:
        block, named = found.leaving[0]
        raise ConflictError(
            f"it cannot leave: it has a {', a '.join(named)} of its own",
            where=f"block {block.code}",
            todo="Keep the block.",
        )
    if not found.touched:
        raise InputError("nothing would change", where="edits", todo="Make an edit first.")


def _write(conn: Connection, farm_id: str, found: Difference) -> dict[str, str | None]:
    """Write what changes and return each block's version, None of one that left."""
    versions: dict[str, str | None] = {}
    gone = [key for key in found.touched if key not in found.after]
    for key in gone:
        ground_store.drop_block(conn, key)
        versions[key] = None
    for key in found.touched:
        if key in found.after:
            versions[key] = _write_block(conn, farm_id, found.before.get(key), found.after[key])
    return versions


def _write_block(conn: Connection, farm_id: str, before: BlockGround | None, after: BlockGround) -> str:
    rows = [one.row for one in after.rows]
    block = replace(after.block, farm_id=farm_id)
    block = replace(block, shape_version=shape_version(block, rows))
    if before is None:
        orchard.add_blocks(conn, [block], rows)
    else:
        ground_store.write_block(conn, block, [one.row for one in before.rows], rows)
        refold_block(conn, block)
    # as it will be read: a number that was typed whole may come back as one with a point
    return ground_version(orchard.block(conn, block.id))
