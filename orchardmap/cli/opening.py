"""Open the database that the command line names."""

from dataclasses import replace

from orchardmap.store.session import Store, open_store

__all__ = ["opened_store", "with_password"]


def opened_store(database_url: str, *, read_only: bool = False) -> Store:
    """Return the store, with the password setting put into its address."""
    return open_store(with_password(database_url), read_only=read_only)


def with_password(database_url: str) -> str:
    """Return the address of a database with the password setting put into it."""
    from orchardmap_api.settings import full_database_url, settings_from

    return full_database_url(replace(settings_from(), database_url=database_url))
