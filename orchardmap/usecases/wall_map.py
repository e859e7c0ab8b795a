"""The wall map of a farm as PDF."""

from dataclasses import replace
from datetime import date, datetime

from orchardmap.locale.catalogue import message, translated
from orchardmap.paper.pdf import pdf_of
from orchardmap.paper.wall_map import WallMapWish, wall_map_document
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases.glance import overview
from orchardmap.usecases.ground_notes import caution_notes, weak_notes
from orchardmap.usecases.map_content import map_content
from orchardmap.usecases.moments import moment, refuse_day_to_come
from orchardmap.usecases.weak_telling import standing_areas

__all__ = ["wall_map_pdf"]

_CAUTIONS = message("Dangers and closures")
_WEAK = message("Weak areas")


def wall_map_pdf(store: Store, farm_id: str, wish: WallMapWish, *, day: date | None, now: datetime) -> bytes:
    """Return the wall map of a farm, or of some of its blocks, as of a day (None: today).

    Raises
    ------
    InputError
        If no map is made in that size or language, the day has not come yet, or there is no row to draw.
    UnknownError
        If the farm has no such block.
    PaperError
        If this machine lacks what paper is made with.
    """
    with store.read() as conn:
        refuse_day_to_come(at := moment(conn, farm_id, day, now))
    glance = overview(store, farm_id, day=day, now=now)
    content = map_content(store, farm_id, glance, blocks=wish.blocks, language=wish.language, now=now)
    shown = {block.id for block in content.blocks}
    with store.read() as conn:
        areas = standing_areas(conn, at, shown, language=wish.language)
        # what is closed now is read first, also where the panel has no room for all
        closed = {block.id for block in content.blocks if block.closed_until}
        found = [block for block in orchard.blocks(conn, farm_id) if block.id in shown]
        blocks = sorted(found, key=lambda block: block.id not in closed)
        cautions = tuple(caution_notes(conn, at, blocks, wish.language))
    # in the order of the blocks: two prints of one day are alike
    told = (area for block in content.blocks for area in areas.get(block.id, ()))
    weak = tuple(weak_notes(told, wish.language))
    notes = {translated(_CAUTIONS, wish.language): cautions, translated(_WEAK, wish.language): weak}
    return pdf_of(wall_map_document(replace(content, notes=notes), wish))
