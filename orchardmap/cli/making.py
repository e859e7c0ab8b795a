"""Make one document of a farm and write it: what maps and all papers have in common."""

from collections.abc import Callable
from pathlib import Path

from orchardmap.cli.opening import opened_store
from orchardmap.cli.waiting import shown_steps
from orchardmap.cli.writing import put_in_place, tell_written
from orchardmap.model.orchard import Farm
from orchardmap.paper.progress import heard_by
from orchardmap.store.session import Store
from orchardmap.usecases import reporting

__all__ = ["write_paper"]


def write_paper(
    out: Path, source: tuple[str, str], make: Callable[[Store, Farm], bytes], *, more: str = "."
) -> None:
    """Write a document, and say how far it is while it is made.

    Parameters
    ----------
    out : Path
        Where to; nothing is made for a place that cannot be written.
    source : (str, str)
        The database, and the name of the farm where there are several.
    make : callable
        From an open store and a farm to the document.
    more : str
        Stands behind what is said of the file.

    Raises
    ------
    InputError
        If it cannot be written.
    """
    database, farm = source
    store = opened_store(database, read_only=True)
    try:
        chosen = reporting.chosen_farm(store, farm)
        with (
            put_in_place(out, named="written") as written,
            shown_steps("Gathering ...") as told,
            heard_by(told),
        ):
            made = make(store, chosen)
            written.write_bytes(made)
    finally:
        store.close()
    tell_written(out, len(made), more)
