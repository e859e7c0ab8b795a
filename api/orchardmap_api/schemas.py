"""What may be sent to set a farm up. Strict: a number is a number, bounded; text holds no stray surrogate or NUL; unknown keys are refused."""

from datetime import UTC, date, datetime
from typing import Annotated, Any, Literal
from uuid import UUID

from fastapi import UploadFile
from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    PlainSerializer,
    StrictBool,
    StrictFloat,
    StrictInt,
    StringConstraints,
)

from orchardmap.model.orchard import Habit

__all__ = [
    "At",
    "BlockChangeBody",
    "BlocksBody",
    "Body",
    "ClosureBody",
    "ClosureEndBody",
    "CrewBody",
    "Day",
    "FarmBody",
    "FileForm",
    "HazardLineBody",
    "Id",
    "Name",
    "NameBody",
    "PersonBody",
    "PlantingBody",
    "RowCountBody",
    "SeasonBody",
    "SeasonChangeBody",
    "SettingsBody",
    "Text",
    "VarietyBody",
    "VarietyChangeBody",
    "clean",
]  # fmt: skip


def clean(text: str) -> str:
    """Return text as it is; refuse what no engine could store."""
    if "\x00" in text or any("\ud800" <= sign <= "\udfff" for sign in text):
        raise ValueError("holds a character that is not text")
    return text


def _canonical(value: UUID) -> str:
    return str(value)


Text = Annotated[str, StringConstraints(max_length=2_000), AfterValidator(clean)]
Name = Annotated[
    str, StringConstraints(min_length=1, max_length=200, strip_whitespace=True), AfterValidator(clean)
]
# checked as a UUID, handed on as the text that the library knows ids by
Id = Annotated[UUID, AfterValidator(_canonical), PlainSerializer(str, return_type=str)]
Count = Annotated[StrictInt, Field(ge=1, le=100_000)]
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


class FarmChangeBody(Body):
    """What is said anew of a farm; what is left out stays as it is."""

    name: Name | None = None
    time_zone: Name | None = None


class SeasonBody(Body):
    """A new season."""

    name: Name
    opens_on: Day
    must_finish_on: Day


class SeasonChangeBody(Body):
    """What is said anew of a season; what is left out stays as it is."""

    name: Name | None = None
    opens_on: Day | None = None
    must_finish_on: Day | None = None


class NameBody(Body):
    """Another name."""

    name: Name


class CrewChangeBody(Body):
    """What is said anew of a crew; what is left out stays as it is."""

    name: Name | None = None
    method: Literal["ladder", "platform", "ground"] | None = None


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
    habit: Habit = "unknown"
    habit_source: Text = ""
    is_biennial: StrictBool = False
    is_canker_prone: StrictBool = False


class VarietyChangeBody(Body):
    """What is said anew of a variety; what is left out stays as it is."""

    name: Name | None = None
    habit: Habit | None = None
    habit_source: Text | None = None
    is_biennial: StrictBool | None = None
    is_canker_prone: StrictBool | None = None


SettingsBody = Annotated[
    dict[
        Annotated[str, StringConstraints(max_length=60), AfterValidator(clean)],
        Annotated[StrictInt | StrictFloat, Field(ge=-1e6, le=1e6, allow_inf_nan=False)]
        | Annotated[str, StringConstraints(strict=True, max_length=60), AfterValidator(clean)],
    ],
    Field(max_length=100),
]
"""Numbers and choices by the names of `orchardmap.pruning.farm_settings.SETTINGS`, which also has the bounds of each."""


class HazardLineBody(Body):
    """A power line, drawn as GeoJSON; the library checks what it holds."""

    name: Name
    kv: Annotated[float, Field(ge=0, le=1_500, allow_inf_nan=False)]
    geojson: dict[str, Any]


class BlockChangeBody(Body):
    """What is said anew of a block; what is left out stays as it is, null takes it back."""

    variety_id: Id | None = None
    slope_percent: Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)] | None = None


class ClosureBody(Body):
    """A new closure."""

    starts_at: At
    ends_at: At
    reason: Name


class ClosureEndBody(Body):
    """An earlier end of a closure; its start takes it back wholly."""

    ends_at: At


class RowCountBody(Body):
    """What was counted in a row; what is left out stays as it is."""

    counted_positions: Annotated[StrictInt, Field(ge=0, le=10_000)] | None = None
    blanks: Annotated[list[Count], Field(max_length=10_000)] | None = None
    pollinizers: Annotated[list[Count], Field(max_length=10_000)] | None = None


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
    name: Annotated[str, StringConstraints(max_length=200), AfterValidator(clean)] = ""
    variety_id: Id | None = None
    planting: PlantingBody


class BlocksBody(Body):
    """The blocks to plan or take."""

    blocks: Annotated[list[BlockBody], Field(max_length=2_000)]


class TakeBlocksBody(BlocksBody):
    """The blocks to take."""

    as_placed: bool = False
    """Blocks far from the farm's, or from each other, do belong where they lie."""


Answer = Annotated[str, StringConstraints(max_length=200)]


class FileForm(BaseModel):
    """A file to read in, with the answers to what it leaves open."""

    file: UploadFile
    crs: Answer = ""
    layer: Answer = ""
    swap_axes: Answer = ""
    split_parts: Answer = ""
    decimal_comma: Answer = ""
