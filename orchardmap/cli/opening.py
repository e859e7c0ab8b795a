"""Open the database that the command line names."""

from dataclasses import replace

from orchardmap.store.session import Store, open_store

__all__ = ["opened_store"]


def opened_store(database_url: str, *, read_only: bool = False) -> Store:
    """Return the store, with the password setting put into its address."""
    from orchardmap_api.settings import full_database_url, settings_from

    return open_store(
        full_database_url(replace(settings_from(), database_url=database_url)), read_only=read_only
    )
