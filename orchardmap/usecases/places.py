"""Which farm an address belongs to, told only to those who are somebody there."""

from collections.abc import Collection

from orchardmap.errors import UnknownError
from orchardmap.store import whose
from orchardmap.store.session import Store

__all__ = ["farm_of"]


def farm_of(store: Store, kind: str, value: str, known: Collection[str]) -> str:
    """Return the farm of a block, a lot, a photo, a return, an import or a farm's own id.

    Parameters
    ----------
    store : Store
        Open for reading.
    kind : str
        ``farm_id``, ``block_id``, ``lot_id``, ``photo_id``, ``return_id`` or ``token``.
    value : str
        The id or token.
    known : collection of str
        Farms that whoever asks has a role on.

    Returns
    -------
    str

    Raises
    ------
    UnknownError
        If there is no such thing on those farms; in the same words whether it is another farm's or nobody's.
    """
    if kind == "farm_id":
        if value not in known:
            raise UnknownError("no such farm", where=value)
        return value
    ask, refuse = _ASKED[kind]
    with store.read() as conn:
        farm_id = ask(conn, value)
    if farm_id is None or farm_id not in known:
        refuse(value)
    return farm_id


_ASKED = {
    "block_id": (whose.farm_of_block, whose.refuse_block),
    "lot_id": (whose.farm_of_lot, whose.refuse_lot),
    "photo_id": (whose.farm_of_photo, whose.refuse_photo),
    "return_id": (whose.farm_of_return, whose.refuse_return),
    "token": (whose.farm_of_draft, whose.refuse_draft),
}
"""What an address names -> what finds its farm, and what says that it is not there."""
