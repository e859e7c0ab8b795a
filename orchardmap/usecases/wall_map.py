"""The wall map of a farm as PDF."""

from datetime import date, datetime

from orchardmap.paper.pdf import pdf_of
from orchardmap.paper.wall_map import WallMapWish, wall_map_document
from orchardmap.store.session import Store
from orchardmap.usecases.map_content import map_content

__all__ = ["wall_map_pdf"]


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
    content = map_content(store, farm_id, blocks=wish.blocks, day=day, language=wish.language, now=now)
    return pdf_of(wall_map_document(content, wish))
