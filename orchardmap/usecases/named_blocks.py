"""Blocks as people name them: by code, in any case, or by id."""

from collections.abc import Collection, Sequence

from orchardmap.errors import UnknownError
from orchardmap.model.orchard import Block
from orchardmap.model.row_code import matching

__all__ = ["named_blocks"]


def named_blocks(blocks: Sequence[Block], asked: Collection[str]) -> list[Block]:
    """Return the blocks that are asked for, each once, in the order asked; all of them where none is.

    Parameters
    ----------
    blocks : sequence of Block
        Of one farm.
    asked : collection of str
        Codes or ids.

    Raises
    ------
    UnknownError
        If the farm has no such block, or several go by that code.
    """
    by_id, by_code = {block.id: block for block in blocks}, {block.code: block for block in blocks}
    found: dict[str, Block] = {}
    for said in asked:
        matched = [by_id[said]] if said in by_id else [by_code[code] for code in matching(said, by_code)]
        if len(matched) != 1:
            what = "several blocks go by that code" if matched else "no such block"
            raise UnknownError(what, where=said[:80])
        found[matched[0].id] = matched[0]
    return list(found.values()) if asked else list(blocks)
