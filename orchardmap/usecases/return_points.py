"""The points of a brief that a return names: what to do better this time."""

from collections.abc import Mapping, Sequence
from typing import Any

from orchardmap.locale.catalogue import languages
from orchardmap.model.brief import BriefVersion, Point
from orchardmap.model.returns import Return
from orchardmap.pruning.sentences import point_text
from orchardmap.store import briefs as brief_store
from orchardmap.store import orchard
from orchardmap.store.recheck_lots import lot_briefs
from orchardmap.store.session import Connection
from orchardmap.usecases.brief_reading import held_briefs
from orchardmap.usecases.moments import Moment

__all__ = ["named_points"]

Json = dict[str, Any]


def named_points(conn: Connection, at: Moment, found: Sequence[Return]) -> dict[str, list[Json]]:
    """Return the points that each return names, by its id: ``key``, and ``sentences`` by language.

    They are those of the version that the return's lot was judged by, else of the brief that holds for the block. A point
    that is in neither is told by its key.
    """
    naming = [one for one in found if one.points]
    if not naming:
        return {one.id: [] for one in found}
    of_lot = lot_briefs(conn, {one.lot_id for one in naming if one.lot_id is not None})
    versions = {name: brief_store.version(conn, *name) for name in set(of_lot.values())}
    blocks = [orchard.block(conn, block_id) for block_id in sorted({one.block_id for one in naming})]
    held = held_briefs(conn, at, {block.id: block.variety_id for block in blocks})
    told = {}
    for one in found:
        name = of_lot.get(one.lot_id or "")
        points = _by_key(held.get(one.block_id)) | _by_key(versions.get(name) if name else None)
        told[one.id] = [_told(key, points) for key in one.points]
    return told


def _by_key(version: BriefVersion | None) -> dict[str, Point]:
    return {point.key: point for point in version.content.points} if version else {}


def _told(key: str, points: Mapping[str, Point]) -> Json:
    point = points.get(key)
    said = {language: point_text(point, language) if point else key for language in languages()}
    return {"key": key, "sentences": said}
