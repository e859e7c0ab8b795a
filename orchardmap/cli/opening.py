"""Open the database that the command line names."""

from dataclasses import replace
from pathlib import Path

from orchardmap.errors import OrchardmapError, StoreError
from orchardmap.store.schema import refuse_other_tables
from orchardmap.store.session import Store, open_store

__all__ = ["opened_store", "with_password"]


def opened_store(
    database_url: str, *, read_only: bool = False, makes: bool = False, of_any_age: bool = False
) -> Store:
    """Return the store, with the password setting put into its address.

    Parameters
    ----------
    database_url : str
        As the command line names it.
    read_only : bool
        See `orchardmap.store.session.open_store`.
    makes : bool
        For commands that a new database may begin with; of any other an address that was mistyped would make an empty one,
        and the answer be about nothing.
    of_any_age : bool
        For a copy, which may be wanted before the tables are brought up to date.

    Raises
    ------
    StoreError
        As there; if one that is only read was made by another version; and if the file is not there, unless the command makes it.
    """
    file = Path(database_url.removeprefix("sqlite:///"))
    if database_url.startswith("sqlite:///") and not makes and not file.exists():
        raise StoreError(
            "there is no database yet",
            where=str(file),
            todo="Look at --database; `orchardmap farm` begins one, then load a file.",
        )
    store = open_store(with_password(database_url), read_only=read_only)
    if read_only and not of_any_age:
        try:
            refuse_other_tables(store)
        except OrchardmapError:
            store.close()
            raise
    return store


def with_password(database_url: str) -> str:
    """Return the address of a database with the password setting put into it."""
    from orchardmap_api.settings import full_database_url, settings_from

    return full_database_url(replace(settings_from(), database_url=database_url))
