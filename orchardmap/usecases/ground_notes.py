"""Sentences about blocks that paper carries beside a map: weak areas with their odds, dangers and closures."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import range_text
from orchardmap.model.orchard import Block
from orchardmap.store import orchard
from orchardmap.store.session import Connection
from orchardmap.usecases.hazards import block_hazards
from orchardmap.usecases.moments import Moment

__all__ = ["caution_notes", "weak_notes"]

_WEAK = message("{block}, rows {rows}, trees {positions}: {odds}")
_CAUTION = message("{block}: {caution}")


def caution_notes(conn: Connection, at: Moment, blocks: Sequence[Block], language: str) -> Iterator[str]:
    """Return what is dangerous about blocks, and when they are closed, block by block."""
    rows = orchard.rows_of_blocks(conn, [block.id for block in blocks])
    found = block_hazards(conn, at.farm, blocks, rows, now=at.now)
    for block in blocks:
        for hazard in found[block.id]:
            words = {"block": block.code, "caution": translated(hazard.texts, language)}
            yield translated(_CAUTION, language).format(**words)


def weak_notes(areas: Iterable[Mapping[str, Any]], language: str) -> Iterator[str]:
    """Return where weak areas stand, and their odds, as `orchardmap.usecases.weak_telling` tells them in that language."""
    for area in areas:
        if area["state"] == "none":
            continue
        rows, positions = (
            range_text(str(first), str(last), language) for first, last in (area["rows"], area["positions"])
        )
        yield translated(_WEAK, language).format(
            block=area["block_code"], rows=rows, positions=positions, odds=area["odds_words"]
        )
