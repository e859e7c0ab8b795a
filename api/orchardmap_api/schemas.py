"""What may be sent. Strict: a number is a number, bounded; text holds no stray surrogate or NUL; unknown keys are refused."""

from datetime import UTC, date, datetime
from typing import Annotated, Literal
from uuid import UUID

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    PlainSerializer,
    StrictBool,
    StrictInt,
    StringConstraints,
)

__all__ = [
    "BlocksBody", "CheckBatch", "ClosureBody", "CrewBody", "FarmBody", "MarkBatch", "PersonBody", "PlantingBody", "RowCountBody",
    "SeasonBody", "VarietyBody", "WithdrawalBatch",
]  # fmt: skip


def _clean(text: str) -> str:
    if "\x00" in text or any("\ud800" <= sign <= "\udfff" for sign in text):
        raise ValueError("holds a character that is not text")
    return text


def _canonical(value: UUID) -> str:
    return str(value)


Text = Annotated[str, StringConstraints(max_length=2_000), AfterValidator(_clean)]
Name = Annotated[
    str, StringConstraints(min_length=1, max_length=200, strip_whitespace=True), AfterValidator(_clean)
]
# checked as a UUID, handed on as the text that the library knows ids by
Id = Annotated[UUID, AfterValidator(_canonical), PlainSerializer(str, return_type=str)]
Count = Annotated[StrictInt, Field(ge=1, le=100_000)]
# a stretch that cannot be is an outcome of its own mark, not a reason to refuse the batch
Stretch = Annotated[StrictInt, Field(ge=-1_000_000, le=1_000_000)]
Metres = Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)]
Degrees = Annotated[float, Field(ge=-360, le=360, allow_inf_nan=False)]
LonLat = tuple[
    Annotated[float, Field(ge=-540, le=540, allow_inf_nan=False)],
    Annotated[float, Field(ge=-90, le=90, allow_inf_nan=False)],
]
Day = Annotated[date, Field(ge=date(1900, 1, 1), le=date(2199, 12, 31))]
# a tablet's clock may be decades wrong; beyond these years no calendar here can carry it
At = Annotated[
    AwareDatetime, Field(ge=datetime(1900, 1, 1, tzinfo=UTC), le=datetime(2199, 12, 31, tzinfo=UTC))
]


class Body(BaseModel):
    """Any body: unknown keys are refused, so that a misspelt one is not silently dropped."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class FarmBody(Body):
    """A new farm."""

    name: Name
    time_zone: Name


class SeasonBody(Body):
    """A new season."""

    name: Name
    opens_on: Day
    must_finish_on: Day


class CrewBody(Body):
    """A new crew."""

    name: Name
    method: Literal["ladder", "platform", "ground"] = "ladder"


class PersonBody(Body):
    """A new person."""

    name: Name
    role: Literal["manager", "foreman", "auditor", "adviser", "worker"]
    crew_id: Id | None = None


class VarietyBody(Body):
    """A new variety."""

    name: Name
    habit: Literal["spur", "tip", "both", "unknown"] = "unknown"
    habit_source: Text = ""


class ClosureBody(Body):
    """A new closure."""

    starts_at: At
    ends_at: At
    reason: Name


class RowCountBody(Body):
    """What was counted in a row; what is left out stays as it is."""

    counted_positions: Annotated[StrictInt, Field(ge=0, le=10_000)] | None = None
    blanks: Annotated[list[Count], Field(max_length=10_000)] | None = None
    pollinizers: Annotated[list[Count], Field(max_length=10_000)] | None = None


class MarkBody(Body):
    """A mark as the tablet made it."""

    id: Id
    season_id: Id
    block_id: Id
    row: Stretch
    first: Stretch
    last: Stretch
    crew_id: Id
    day: Day
    method: Literal["ladder", "platform", "ground"]
    recorder_id: Id | None = None
    device_id: Annotated[str, StringConstraints(max_length=100), AfterValidator(_clean)] | None = None
    device_at: At
    return_id: Id | None = None


class WithdrawalBody(Body):
    """A withdrawal as the tablet made it."""

    id: Id
    mark_id: Id
    reason: Text = ""
    recorder_id: Id | None = None
    device_id: Annotated[str, StringConstraints(max_length=100), AfterValidator(_clean)] | None = None
    device_at: At


class CheckBody(Body):
    """A check as the tablet made it."""

    id: Id
    season_id: Id
    block_id: Id
    row: Stretch
    position: Stretch
    auditor_id: Id | None = None
    day: Day
    verdict: Literal["meets", "minor", "faulty"]
    drawn: StrictBool = False
    note: Text = ""
    device_id: Annotated[str, StringConstraints(max_length=100), AfterValidator(_clean)] | None = None
    device_at: At


class MarkBatch(Body):
    """Marks in one upload."""

    sent_at: At
    marks: Annotated[list[MarkBody], Field(max_length=500)]


class WithdrawalBatch(Body):
    """Withdrawals in one upload."""

    sent_at: At
    withdrawals: Annotated[list[WithdrawalBody], Field(max_length=500)]


class CheckBatch(Body):
    """Checks in one upload."""

    sent_at: At
    checks: Annotated[list[CheckBody], Field(max_length=500)]


class PlantingBody(Body):
    """The numbers that turn an outline into rows."""

    bearing_deg: Degrees = 0.0
    row_spacing_m: Metres
    tree_spacing_m: Metres
    end_offset_m: Metres = 0.0
    first_row_offset_m: Metres = 0.0
    headland_m: Metres = 0.0
    min_row_length_m: Metres = 3.0
    lines_per_row: Annotated[StrictInt, Field(ge=1, le=2)] = 1
    pair_spacing_m: Metres = 0.0
    first_row: tuple[LonLat, LonLat] | None = None
    baseline: Annotated[tuple[LonLat, ...], Field(min_length=2, max_length=2_000)] | None = None


class BlockBody(Body):
    """A block of a previewed file."""

    index: Annotated[StrictInt, Field(ge=0)] | None = None
    rows: Annotated[list[StrictInt], Field(max_length=5_000)] = []
    code: Name
    name: Annotated[str, StringConstraints(max_length=200), AfterValidator(_clean)] = ""
    variety_id: Id | None = None
    planting: PlantingBody


class BlocksBody(Body):
    """The blocks to plan or take."""

    blocks: Annotated[list[BlockBody], Field(max_length=2_000)]
