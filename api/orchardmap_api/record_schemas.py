"""What tablets may send: records, in batches that say what version they were made under.

Strict in what is known here; keys that are not known are kept as sent, for a newer front end may say more.
"""

import json
import math
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictInt, StringConstraints, model_validator
from pydantic.functional_validators import AfterValidator

from orchardmap.model.check import NotJudged, TreeVerdict
from orchardmap.model.tree_count import CountedThing
from orchardmap_api.schemas import At, Body, Day, Id, Text, clean
from orchardmap_api.upcasting import upcast_batch

__all__ = ["CheckBatch", "CrewDayBatch", "MarkBatch", "TreeCountBatch", "WithdrawalBatch"]

MOST_COUNTED = 9_999
MOST_FINDINGS, MOST_FOUND = 60, 1e6
EXTRA_BYTES, EXTRA_DEPTH, EXTRA_KEY_LENGTH = 4_096, 4, 100
_LARGEST_WHOLE = 2**53 - 1
"""RFC 8259, section 6: beyond it programs disagree about a whole number."""

# a stretch that cannot be is an outcome of its own mark, not a reason to refuse the batch
Stretch = Annotated[StrictInt, Field(ge=-1_000_000, le=1_000_000)]
DeviceId = Annotated[str, StringConstraints(max_length=100), AfterValidator(clean)]
Method = Literal["ladder", "platform", "ground"]


class Record(BaseModel):
    """Any record as the tablet made it."""

    model_config = ConfigDict(extra="allow", frozen=True)

    id: Id
    device_id: DeviceId | None = None
    device_at: At

    @model_validator(mode="after")
    def _bounded(self) -> Self:
        for key, value in (self.model_extra or {}).items():
            _refuse_wild(key, value, depth=1)
        if self.model_extra and len(json.dumps(self.model_extra).encode()) > EXTRA_BYTES:
            raise ValueError(f"holds more than {EXTRA_BYTES} bytes beyond the known keys")
        return self

    def values(self) -> dict[str, Any]:
        """Return the fields by name; under ``extra`` what else was sent, or None. Where somebody stood is never kept."""
        known = {name: getattr(self, name) for name in type(self).model_fields}
        return known | {"extra": _without_places(self.model_extra or {}) or None}


_PLACES = frozenset({
    "accuracy", "accuracy_m", "altitude", "coordinates", "coords", "fix", "geolocation", "gps", "lat", "latitude", "lng", "location",
    "lon", "long", "longitude", "lonlat", "track",
})  # fmt: skip


def _without_places(value: Any) -> Any:  # noqa: ANN401 - anything that JSON can carry
    """Leave out keys that tell where the device was: no track of people is ever stored (reliability rule 11)."""
    if isinstance(value, dict):
        return {k: _without_places(v) for k, v in value.items() if k.lower() not in _PLACES}
    return [_without_places(one) for one in value] if isinstance(value, list) else value


def _refuse_wild(key: str, value: object, *, depth: int) -> None:
    """Raise for what a JSON column of either engine, or another program, would not give back as it was."""
    if depth > EXTRA_DEPTH:
        raise ValueError(f"is nested deeper than {EXTRA_DEPTH} beyond the known keys")
    if len(key) > EXTRA_KEY_LENGTH:
        raise ValueError(f"has a key longer than {EXTRA_KEY_LENGTH} characters")
    clean(key)
    if isinstance(value, str):
        clean(value)
    elif isinstance(value, float) and not math.isfinite(value):
        raise ValueError("holds a number that JSON cannot carry")
    elif isinstance(value, int) and abs(value) > _LARGEST_WHOLE:
        raise ValueError("holds a whole number beyond 2**53 - 1")
    elif isinstance(value, dict):
        for inner, one in value.items():
            _refuse_wild(inner, one, depth=depth + 1)
    elif isinstance(value, list):
        for one in value:
            _refuse_wild("", one, depth=depth + 1)


class MarkBody(Record):
    """A mark."""

    season_id: Id
    block_id: Id
    row: Stretch
    first: Stretch
    last: Stretch
    crew_id: Id
    day: Day
    method: Method
    recorder_id: Id | None = None
    return_id: Id | None = None


class WithdrawalBody(Record):
    """A withdrawal."""

    mark_id: Id
    reason: Text = ""
    recorder_id: Id | None = None


PointKey = Annotated[str, StringConstraints(min_length=1, max_length=60), AfterValidator(clean)]
Found = Annotated[float, Field(strict=True, ge=-MOST_FOUND, le=MOST_FOUND, allow_inf_nan=False)]
FindingBody = tuple[PointKey, StrictBool | Found]
"""Key of a point, and what was found: yes or no, or a number in the point's unit."""


class CheckBody(Record):
    """A check: of a tree that was judged, or of a lot's tree that could not be."""

    season_id: Id
    block_id: Id
    row: Stretch
    position: Stretch
    auditor_id: Id | None = None
    day: Day
    verdict: TreeVerdict | None = None
    drawn: StrictBool = False
    note: Text = ""
    brief_id: Id | None = None
    brief_version: Annotated[StrictInt, Field(ge=1, le=2**31 - 1)] | None = None
    lot_id: Id | None = None
    findings: Annotated[tuple[FindingBody, ...], Field(max_length=MOST_FINDINGS)] | None = None
    second: StrictBool | None = None
    not_judged: NotJudged | None = None

    @model_validator(mode="after")
    def _judged_or_not(self) -> Self:
        if self.not_judged is None:
            if self.verdict is None:
                raise ValueError("needs a verdict, or why the tree could not be judged")
        elif self.verdict is not None or self.findings is not None:
            raise ValueError("a tree that could not be judged has neither verdict nor findings")
        elif self.lot_id is None or self.second:
            raise ValueError("only a first look at a lot's tree says that it could not be judged")
        return self


class CrewDayBody(Record):
    """A crew-day: so many people worked so many hours each."""

    season_id: Id
    crew_id: Id
    day: Day
    people: Annotated[StrictInt, Field(ge=1, le=200)]
    hours: Annotated[float, Field(strict=True, gt=0, le=24, allow_inf_nan=False)]
    method: Method
    recorder_id: Id | None = None
    replaces_id: Id | None = None


class TreeCountBody(Record):
    """The count of one sample tree; without a number it takes back the one that it replaces."""

    season_id: Id
    block_id: Id
    row: Stretch
    position: Stretch
    what: CountedThing
    number: Annotated[StrictInt, Field(ge=0, le=MOST_COUNTED)] | None
    day: Day
    recorder_id: Id | None = None
    seed: Annotated[StrictInt, Field(ge=0, le=2**31 - 1)] | None = None
    replaces_id: Id | None = None


class Batch(Body):
    """Records in one upload."""

    kind: ClassVar[str]

    sent_at: At
    made_under: Annotated[StrictInt, Field(alias="schema", ge=1)] = 1
    """The wire version; records of an older one were brought up to date before they came here."""

    @model_validator(mode="before")
    @classmethod
    def _risen(cls, body: object) -> object:
        return upcast_batch(cls.kind, body)


class MarkBatch(Batch):
    """Marks in one upload."""

    kind = "marks"
    marks: Annotated[list[MarkBody], Field(max_length=500)]


class WithdrawalBatch(Batch):
    """Withdrawals in one upload."""

    kind = "withdrawals"
    withdrawals: Annotated[list[WithdrawalBody], Field(max_length=500)]


class CheckBatch(Batch):
    """Checks in one upload."""

    kind = "checks"
    checks: Annotated[list[CheckBody], Field(max_length=500)]


class CrewDayBatch(Batch):
    """Crew-days in one upload."""

    kind = "crew_days"
    crew_days: Annotated[list[CrewDayBody], Field(max_length=500)]


class TreeCountBatch(Batch):
    """Tree counts in one upload."""

    kind = "tree_counts"
    tree_counts: Annotated[list[TreeCountBody], Field(max_length=500)]
