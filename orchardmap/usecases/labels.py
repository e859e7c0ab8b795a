"""Row-end labels: printed for a block's rows, and found again from what a camera read."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.orchard import Block, Row
from orchardmap.model.row_code import matching, read_origin, read_row_list, row_address
from orchardmap.paper.labels import End, Label, labels_document
from orchardmap.paper.pdf import pdf_of
from orchardmap.paper.sheet import DEFAULT_SIZE, read_size
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard, row_codes
from orchardmap.store.session import Store
from orchardmap.usecases.named_blocks import named_blocks

__all__ = ["MOST_LABELS", "LabelWish", "RowPlace", "labels_pdf", "row_places"]

MOST_LABELS = 1_000
"""In one document: a label takes about 24 ms of one core (measured: 25 s for 1,064), and a service has other work."""
ENDS: dict[str, tuple[End, ...]] = {"both": ("A", "B"), "first": ("A",), "far": ("B",)}


@dataclass(frozen=True, slots=True)
class LabelWish:
    """Which labels, and how."""

    blocks: tuple[str, ...]
    """Codes or ids."""
    origin: str
    """Scheme, host and port that tablets use for the service; stands in every code."""
    rows: str = ""
    """Such as ``1-20``; empty for all."""
    ends: str = "both"
    """both, first or far."""
    size: str = DEFAULT_SIZE
    """Width x height of a label, in mm."""


@dataclass(frozen=True, slots=True)
class RowPlace:
    """What a row-end code can mean."""

    block_id: str
    code: str
    farm_name: str
    row: int
    is_there: bool
    """Whether the block has that row."""


def labels_pdf(store: Store, farm_id: str, wish: LabelWish) -> bytes:
    """Return row-end labels as PDF: of each block all first ends in order, then all far ends, as they are walked along.

    Raises
    ------
    InputError
        If the wish cannot be met, or asks for too many at once.
    UnknownError
        If the farm has no such block, or the block no such row.
    PaperError
        If this machine lacks what paper is made with.
    """
    origin, sheet = read_origin(wish.origin), read_size(wish.size)
    if wish.ends not in ENDS:
        raise InputError("is no choice of ends", where=wish.ends[:20], todo="Give both, first or far.")
    with store.read() as conn:
        farm = farm_store.farm(conn, farm_id)
        codes = [one.code for one in row_codes.coded_blocks(conn, [farm_id])]
        names = {v.id: v.name for v in farm_store.varieties(conn, farm_id)}
    chosen = _chosen(store, farm_id, wish)
    labels = [
        Label(
            block.code, row.number, end, row.positions,
            names.get(block.variety_id or "", ""), row_address(origin, block.code, row.number, others=codes),
        )
        for block, rows in chosen
        for end in ENDS[wish.ends]
        for row in rows
    ]  # fmt: skip
    if len(labels) > MOST_LABELS:
        raise InputError(
            f"that is {len(labels)} labels, {MOST_LABELS} at a time are made",
            todo="Ask for fewer rows at once.",
        )
    title = f"Row-end labels, {farm.name}: {', '.join(block.code for block, _ in chosen)}"
    return pdf_of(labels_document(title, labels, sheet))


def _chosen(store: Store, farm_id: str, wish: LabelWish) -> list[tuple[Block, Sequence[Row]]]:
    if not wish.blocks:
        raise InputError("no block was named")
    with store.read() as conn:
        shown = named_blocks(orchard.blocks(conn, farm_id), wish.blocks)
        rows = orchard.rows_of_blocks(conn, [block.id for block in shown])
    return [(block, _asked_rows(block, rows[block.id], wish.rows)) for block in shown]


def _asked_rows(block: Block, rows: Sequence[Row], asked: str) -> Sequence[Row]:
    if not asked.strip():
        return rows
    numbers = set(read_row_list(asked))
    missing = sorted(numbers - {row.number for row in rows})
    if missing:
        raise UnknownError(
            f"block {block.code} has no row {missing[0]}",
            todo=f"Its rows are {rows[0].number} to {rows[-1].number}." if rows else "It has no rows.",
        )
    return [row for row in rows if row.number in numbers]


def row_places(store: Store, farm_ids: Collection[str], *, code: str, row: int) -> list[RowPlace]:
    """Return what a row-end code can mean in the given farms: one place, or none, or one in each of several farms.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_ids : collection of str
        Those that the asker may see.
    code : str
        Of the block, in any case.
    row : int
        Its number.
    """
    with store.read() as conn:
        found = []
        coded = row_codes.coded_blocks(conn, farm_ids)
        for farm_id in sorted(set(farm_ids)):
            own = {one.code: one.id for one in coded if one.farm_id == farm_id}
            name = farm_store.farm(conn, farm_id).name
            for match in matching(code, own):
                there = row_codes.has_row(conn, own[match], row)
                found.append(RowPlace(own[match], match, name, row, there))
    return found
