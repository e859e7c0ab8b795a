"""What may be sent to write a brief. A content itself is checked by the library, key by key."""

import json
from typing import Annotated, Any, Self

from pydantic import AfterValidator, Field, StrictBool, StrictInt, StringConstraints, model_validator

from orchardmap.model.brief import BearingHabit
from orchardmap.paper.brief_card_sheet import CardSize
from orchardmap.pruning.general_points import TrainingSystem
from orchardmap_api.schemas import Body, Id, clean

__all__ = [
    "BriefBody",
    "CardBody",
    "CropLoadJobs",
    "DraftBody",
    "Limit",
    "PublishBody",
    "ReadyMadeBody",
    "SeasonCopyBody",
]

CONTENT_BYTES = 200_000
"""Ten times a ready-made brief."""
JOBS = 1_000

Revision = Annotated[StrictInt, Field(ge=1, le=2**31 - 1)]
Limit = Annotated[float | None, Field(ge=-1e6, le=1e6, allow_inf_nan=False)]


def _clean_text(value: Any) -> Any:  # noqa: ANN401 - anything that JSON can carry
    """Refuse text that no engine or page could hold, however deep it stands."""
    texts = [value]
    while texts:
        one = texts.pop()
        if isinstance(one, str):
            clean(one)
        elif isinstance(one, dict):
            texts += [*one, *one.values()]
        elif isinstance(one, list):
            texts += one
    return value


def _bounded(value: dict[str, Any]) -> dict[str, Any]:
    if len(json.dumps(value, ensure_ascii=False).encode()) > CONTENT_BYTES:
        raise ValueError(f"holds more than {CONTENT_BYTES:,} bytes")
    return value


Content = Annotated[dict[str, Any], AfterValidator(_clean_text), AfterValidator(_bounded)]
"""A brief's content as `orchardmap.pruning.brief_json` writes it."""

Job = Annotated[dict[str, Any], AfterValidator(_clean_text)]
CropLoadJobs = Job | Annotated[list[Job], Field(min_length=1, max_length=JOBS)]


class ReadyMadeBody(Body):
    """Which ready-made brief to start from."""

    habit: BearingHabit
    is_heavy_setter: StrictBool = False
    system: TrainingSystem = "axis"


class CardBody(Body):
    """A draft to be shown as the card that it would be printed as."""

    content: Content
    title: Annotated[str, StringConstraints(max_length=200), AfterValidator(clean)] = ""
    language: Annotated[str, StringConstraints(max_length=3)] = "en"
    size: CardSize = "a4"


class BriefBody(Body):
    """A new brief: of a variety or of a block, from a habit or from another brief."""

    season_id: Id
    variety_id: Id | None = None
    block_id: Id | None = None
    ready_made: ReadyMadeBody | None = None
    copy_of: Id | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.variety_id is None) == (self.block_id is None):
            raise ValueError("give a variety or a block, one of the two")
        if (self.ready_made is None) == (self.copy_of is None):
            raise ValueError("give a ready-made brief or one to copy, one of the two")
        return self


class DraftBody(Body):
    """A draft, and the revision that it was made from."""

    revision: Revision
    content: Content


class PublishBody(Body):
    """The revision of the draft that was looked at."""

    revision: Revision


class SeasonCopyBody(Body):
    """From which season to which."""

    from_season_id: Id
    season_id: Id
