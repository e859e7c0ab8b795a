"""Layers of a farm for other programs: what files and the pages of features are made from."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime

from orchardmap.errors import UnknownError
from orchardmap.model.layer import Features, Layer
from orchardmap.model.orchard import Block
from orchardmap.store import row_tables
from orchardmap.store.session import Store
from orchardmap.usecases import layer_ground, layer_work
from orchardmap.usecases.layer_beside import BESIDE
from orchardmap.usecases.layer_fields import LAYERS
from orchardmap.usecases.layer_reading import Found, Reading
from orchardmap.usecases.moments import moment

__all__ = ["BESIDE", "LAYERS", "Reading", "batches", "layer_of", "reading"]

_Made = Callable[[Reading, Sequence[Block]], Mapping[str, list[Found]]]
_MAKERS: Mapping[str, _Made] = {
    "blocks": layer_ground.block_features,
    "rows": layer_ground.row_features,
    "positions": layer_ground.position_features,
    "marks": layer_work.mark_features,
    "checks": layer_work.check_features,
    "weak_areas": layer_work.weak_area_features,
    "progress": layer_ground.progress_features,
}
_ROWS_AT_ONCE = 2_000
"""Rows of the blocks that are read together: what bounds the memory, whatever the farm's size."""
_POSITIONS_AT_ONCE = 200
"""The same where each row gives a hundred features."""


@contextmanager
def reading(
    store: Store,
    farm_id: str,
    *,
    day: date | None,
    now: datetime,
    people_of: Collection[str] | None,
    language: str = "en",
) -> Iterator[Reading]:
    """Yield a farm as of a day; everything asked of it is of one moment of the database.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        As of this day; None is today.
    now : datetime with time zone
        The clock.
    people_of : collection of str or None
        Roles of the people whose names whoever asks may know (`orchardmap.usecases.whoami.named_roles`); None is all.
    language : str
        Of sentences in values, ISO 639-1; English where it has no catalogue.

    Yields
    ------
    Reading

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        yield Reading(conn, moment(conn, farm_id, day, now), people_of, language)


def layer_of(name: str) -> Layer:
    """Return a layer by its name.

    Raises
    ------
    UnknownError
        If there is none of that name.
    """
    if name not in LAYERS:
        raise UnknownError("no such layer", where=name, todo=f"There are {', '.join(LAYERS)}.")
    return LAYERS[name]


def batches(reading: Reading, name: str, block_ids: Collection[str] | None = None) -> Iterator[Features]:
    """Yield all features of a layer, some whole blocks at a time, so that memory does not grow with the farm.

    Parameters
    ----------
    reading : Reading
        From `reading`, still open.
    name : str
        Of the layer.
    block_ids : collection of str, optional
        Only what lies in these blocks; of what lies beside the blocks there is no part.

    Yields
    ------
    Features
        By block code, then by what orders them in it; none without a feature.
    """
    layer = layer_of(name)
    if name in BESIDE:
        beside = BESIDE[name](reading)
        if beside:
            yield _columns(layer, beside)
        return
    asked = [block for block in reading.blocks if block_ids is None or block.id in block_ids]
    for blocks in _together(reading, name, asked):
        made = _MAKERS[name](reading, blocks)
        here = [one for block in blocks for one in made.get(block.id, ())]
        if here:
            yield _columns(layer, here)


def _together(reading: Reading, name: str, blocks: Sequence[Block]) -> Iterator[list[Block]]:
    """Yield blocks in pieces of so many rows, at least one block each."""
    size = row_tables.block_trees(reading.conn, reading.at.farm.id)
    most = _POSITIONS_AT_ONCE if name == "positions" else _ROWS_AT_ONCE
    piece: list[Block] = []
    rows = 0
    for block in blocks:
        own = size.get(block.id, (0, 0))[0]
        if piece and rows + own > most:
            yield piece
            piece, rows = [], 0
        piece.append(block)
        rows += own
    if piece:
        yield piece


def _columns(layer: Layer, found: Sequence[Found]) -> Features:
    columns = zip(*(one.values for one in found), strict=True) if found else ((),) * len(layer.fields)
    return Features(
        layer,
        tuple(one.id for one in found),
        tuple(one.geometry for one in found),
        dict(zip(layer.field_names, columns, strict=True)),
    )
