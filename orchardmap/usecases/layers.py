"""Layers of a farm for other programs: files, and pages of features for services that hand them out."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from itertools import islice

from orchardmap.errors import InputError, UnknownError
from orchardmap.geodata.globe import in_box
from orchardmap.model.layer import Features, Layer
from orchardmap.model.orchard import Block
from orchardmap.store import log, row_tables
from orchardmap.store.session import Store
from orchardmap.usecases import layer_ground, layer_work
from orchardmap.usecases.layer_fields import LAYERS
from orchardmap.usecases.layer_reading import Found, Reading
from orchardmap.usecases.moments import moment

__all__ = ["LAYERS", "Box", "Reading", "batches", "feature", "layer_of", "page", "reading"]

Box = tuple[float, float, float, float]
"""West, south, east, north in degrees, WGS 84; west above east crosses the antimeridian (RFC 7946, 5.2)."""
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
        Only what lies in these blocks.

    Yields
    ------
    Features
        By block code, then by what orders them in it; none without a feature.
    """
    layer = layer_of(name)
    asked = [block for block in reading.blocks if block_ids is None or block.id in block_ids]
    for blocks in _together(reading, name, asked):
        made = _MAKERS[name](reading, blocks)
        here = [one for block in blocks for one in made.get(block.id, ())]
        if here:
            yield _columns(layer, here)


def page(
    reading: Reading, name: str, *, box: Box | None = None, after: str | None = None, limit: int
) -> Features:
    """Return some features of a layer, in the order of `batches`.

    Parameters
    ----------
    reading : Reading
        From `reading`, still open.
    name : str
        Of the layer.
    box : Box, optional
        Only features that touch it; those without a geometry are left out then.
    after : str, optional
        ``next_after`` of the page before. Features that came or went meanwhile move no other one.
    limit : int, at least 1
        How many at most.

    Returns
    -------
    Features

    Raises
    ------
    UnknownError
        If there is no layer of that name.
    InputError
        If ``after`` is not what a page told.
    """
    layer = layer_of(name)
    found = islice(_found_after(reading, name, box, after), limit + 1)
    here = list(found)
    if len(here) <= limit:
        return _columns(layer, [one for _, one in here])
    block, last = here[limit - 1]
    return _columns(layer, [one for _, one in here[:limit]], next_after=f"{last.key}~{block.code}")


def feature(reading: Reading, name: str, feature_id: str) -> Features:
    """Return one feature of a layer.

    Parameters
    ----------
    reading : Reading
        From `reading`, still open.
    name : str
        Of the layer.
    feature_id : str
        As in ``ids``.

    Returns
    -------
    Features
        With that one alone.

    Raises
    ------
    UnknownError
        If there is no layer of that name, or no such feature in it on that day.
    """
    layer = layer_of(name)
    within = _blocks_of(reading, name, feature_id)
    for blocks in _together(reading, name, within):
        made = _MAKERS[name](reading, blocks)
        here = [one for block in blocks for one in made.get(block.id, ()) if one.id == feature_id]
        if here:
            return _columns(layer, here)
    raise UnknownError("no such feature", where=feature_id[:100])


def _blocks_of(reading: Reading, name: str, feature_id: str) -> Sequence[Block]:
    """Return the blocks that a feature can be of."""
    if name == "weak_areas":
        return reading.blocks
    block_ids = {feature_id.partition(".")[0]}
    if name in {"marks", "checks"}:
        kept = log.records_by_id(reading.conn, name[:-1], reading.at.farm.id, _as_ids(feature_id))
        block_ids = {record.block_id for record in kept}
    return [block for block in reading.blocks if block.id in block_ids]


def _as_ids(text: str) -> list[str]:
    """Return what may be a record's id: an engine is never asked for anything else."""
    plain = text.replace("-", "")
    return [text] if len(text) == 36 and len(plain) == 32 and set(plain) <= set("0123456789abcdef") else []


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


def _found_after(
    reading: Reading, name: str, box: Box | None, after: str | None
) -> Iterator[tuple[Block, Found]]:
    key, code = _mark_of(after)
    ahead = [block for block in reading.blocks if after is None or block.code >= code]
    for blocks in _together(reading, name, ahead):
        made = _MAKERS[name](reading, blocks)
        for block in blocks:
            for one in made.get(block.id, ()):
                if block.code == code and after is not None and one.key <= key:
                    continue
                if box is None or in_box(one.geometry, box):
                    yield block, one


def _mark_of(after: str | None) -> tuple[str, str]:
    if after is None:
        return "", ""
    key, sign, code = after.partition("~")
    if not sign:
        raise InputError("no page ends there", where="after", todo="Follow the link to the next page.")
    return key, code


def _columns(layer: Layer, found: Sequence[Found], *, next_after: str | None = None) -> Features:
    columns = zip(*(one.values for one in found), strict=True) if found else ((),) * len(layer.fields)
    return Features(
        layer,
        tuple(one.id for one in found),
        tuple(one.geometry for one in found),
        dict(zip(layer.field_names, columns, strict=True)),
        next_after,
    )
