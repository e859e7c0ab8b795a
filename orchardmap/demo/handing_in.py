"""What the demo hands in is taken, or its making stops."""

from collections.abc import Sequence

from orchardmap.errors import ConflictError
from orchardmap.model.work import Receipt

__all__ = ["all_taken"]


def all_taken(receipts: Sequence[Receipt]) -> None:
    """Stop with `ConflictError` where a record was not taken."""
    for receipt in receipts:
        if receipt.outcome != "taken":
            raise ConflictError(
                f"a demo record was {receipt.outcome.replace('_', ' ')}: {receipt.reason}", where=receipt.id
            )
