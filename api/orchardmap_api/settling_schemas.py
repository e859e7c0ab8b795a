"""What a manager sends to settle a matter."""

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap_api.record_schemas import Stretch
from orchardmap_api.schemas import Body, Id, Text

__all__ = ["SettlementBody"]

Hash = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Seen = Annotated[
    str, StringConstraints(pattern=r"^([0-9a-f]{64}|[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12})$")
]
"""The content hash of what was looked at; or a mark's id, as pages of before 0.2 name it."""


class StretchBody(Body):
    """Positions that two crews claim, and who is credited with them."""

    season_id: Id
    block_id: Id
    row: Stretch
    first: Stretch
    last: Stretch
    credited_crew_id: Id | None


class RecordBody(Body):
    """A record that was set aside, and which version of it counts; null for none."""

    kind: Literal["mark", "withdrawal", "check", "crew_day", "tree_count"]
    id: Id
    content_hash: Hash | None
    reason_code: Annotated[str, Field(max_length=40)] | None = None
    """Why it was set aside, as it was shown; pages of before 0.2 do not tell."""


class SettlementBody(Body):
    """A manager's word on one matter, with everything that was looked at."""

    id: Id
    stretch: StretchBody | None = None
    record: RecordBody | None = None
    seen: Annotated[list[Seen], Field(min_length=1, max_length=10_000)]
    note: Text = ""

    @model_validator(mode="after")
    def _of_one_matter(self) -> Self:
        if (self.stretch is None) == (self.record is None):
            raise ValueError("give a stretch or a record, one of the two")
        return self

    def said(self) -> StretchSettlement | RecordSettlement:
        """Return it as the library knows it; the farm gives the number."""
        seen = frozenset(self.seen)
        if self.stretch is not None:
            return StretchSettlement(
                id=str(self.id), number=0, seen=seen, note=self.note, **self.stretch.model_dump()
            )
        assert self.record is not None  # noqa: S101 - checked above
        about = self.record
        return RecordSettlement(
            str(self.id), 0, about.kind, str(about.id), about.content_hash, seen, self.note, about.reason_code
        )
