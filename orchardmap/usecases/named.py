"""What people name by its name, found in a farm: a block by its code, a crew, an auditor."""

from typing import TypeVar

from orchardmap.errors import UnknownError
from orchardmap.model.orchard import Block
from orchardmap.model.people import Crew, Person
from orchardmap.model.season import Season
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases.named_blocks import named_blocks

__all__ = ["auditor_named", "block_named", "crew_named", "season_named"]

Named = TypeVar("Named", Crew, Person, Season)


def block_named(store: Store, farm_id: str, code: str) -> Block:
    """Return the block of a code (in any case) or id.

    Raises
    ------
    UnknownError
        If the farm has no such block, or several go by that code.
    """
    with store.read() as conn:
        (found,) = named_blocks(orchard.blocks(conn, farm_id), [code])
    return found


def crew_named(store: Store, farm_id: str, name: str) -> Crew:
    """Return the crew of a name.

    Raises
    ------
    UnknownError
        If the farm has no crew of that name, or several.
    """
    with store.read() as conn:
        crews = farm_store.crews(conn, farm_id)
    return _only([one for one in crews if one.name == name], name, [one.name for one in crews])


def season_named(store: Store, farm_id: str, name: str) -> Season:
    """Return the season of a name.

    Raises
    ------
    UnknownError
        If the farm has no season of that name, or several.
    """
    with store.read() as conn:
        seasons = farm_store.seasons(conn, farm_id)
    return _only([one for one in seasons if one.name == name], name, [one.name for one in seasons])


def auditor_named(store: Store, farm_id: str, name: str) -> Person:
    """Return the auditor of a name.

    Raises
    ------
    UnknownError
        If the farm has no auditor of that name, or several.
    """
    with store.read() as conn:
        auditors = [one for one in farm_store.people(conn, farm_id) if one.role == "auditor"]
    return _only([one for one in auditors if one.name == name], name, [one.name for one in auditors])


def _only(found: list[Named], name: str, known: list[str]) -> Named:
    if len(found) == 1:
        return found[0]
    todo = f"There are: {', '.join(sorted(known))}." if known else "There is none yet."
    raise UnknownError(
        "several go by that name" if found else "nobody goes by that name", where=name, todo=todo
    )
