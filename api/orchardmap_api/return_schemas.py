"""What is sent to make trees be gone over again."""

import json
from typing import Annotated, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StrictInt,
    StringConstraints,
    model_validator,
)

from orchardmap.model.returns import Stretch
from orchardmap.usecases.returning import NewReturn
from orchardmap_api.schemas import Body, Day, Id, Name, Text, clean

__all__ = ["ReturnBody", "ReturnCancelBody"]

MOST_AREA_BYTES = 20_000
Place = Annotated[StrictInt, Field(ge=1, le=100_000)]
Key = Annotated[str, StringConstraints(min_length=1, max_length=60), AfterValidator(clean)]


class AreaBody(BaseModel):
    """A weak area as it was told: its rows and positions, first and last; the rest is kept as sent."""

    model_config = ConfigDict(extra="allow", frozen=True)

    rows: tuple[Place, Place]
    positions: tuple[Place, Place]

    @model_validator(mode="after")
    def _kept_by_every_engine(self) -> Self:
        text = clean(json.dumps(self.model_dump(), allow_nan=False, ensure_ascii=False))
        if len(text) > MOST_AREA_BYTES or "\\u0000" in text:
            raise ValueError("holds too much, or what is not text")
        return self


class ReturnBody(Body):
    """A new return: over a lot, an area, or the stretches that are named."""

    id: Id
    block_id: Id
    crew_id: Id
    due_on: Day
    lot_id: Id | None = None
    area: AreaBody | None = None
    points: Annotated[tuple[Key, ...], Field(max_length=60)] = ()
    note: Text = ""
    stretches: Annotated[list[tuple[Place, Place, Place]], Field(min_length=1, max_length=5_000)] | None = (
        None
    )

    def asked(self) -> NewReturn:
        """Return it as the library knows it."""
        return NewReturn(
            id=str(self.id),
            block_id=str(self.block_id),
            crew_id=str(self.crew_id),
            due_on=self.due_on,
            lot_id=None if self.lot_id is None else str(self.lot_id),
            area=None if self.area is None else self.area.model_dump(mode="json"),
            points=self.points,
            note=self.note,
            stretches=None if self.stretches is None else tuple(Stretch(*one) for one in self.stretches),
        )


class ReturnCancelBody(Body):
    """Why a return is taken back."""

    reason: Name
