"""What is sent for pay. Money and rates are text, so that they stay exactly what was typed; the library checks what rules hold."""

import json
from typing import Annotated, Any, Self

from pydantic import (
    AfterValidator,
    Field,
    StrictBool,
    StrictFloat,
    StrictInt,
    StringConstraints,
    model_validator,
)

from orchardmap.usecases.pay_reckoning import RunDays
from orchardmap.usecases.person_hours import TypedHours
from orchardmap_api.schemas import Body, Day, Id, clean

__all__ = ["BudgetBody", "HoursBody", "PayRulesBody", "PayRunBody"]

MOST_RULES_BYTES = 200_000
Revision = Annotated[StrictInt, Field(ge=0, le=2**31 - 2)]
Hours = Annotated[StrictInt | StrictFloat, Field(ge=0, le=24, allow_inf_nan=False)]
Money = Annotated[str, StringConstraints(pattern=r"^[0-9]{1,12}(\.[0-9]{1,6})?$", max_length=19)]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]


class PayRulesBody(Body):
    """What the farm pays by, made from the revision that was read."""

    revision: Revision
    rules: dict[Annotated[str, StringConstraints(max_length=60), AfterValidator(clean)], Any]

    @model_validator(mode="after")
    def _kept_by_every_engine(self) -> Self:
        text = clean(json.dumps(self.rules, allow_nan=False, ensure_ascii=False))
        if len(text) > MOST_RULES_BYTES or "\\u0000" in text:
            raise ValueError("holds too much, or what is not text")
        return self


class BudgetBody(Body):
    """What the season may cost; no amount forgets it."""

    amount: Money | None
    is_per_tree: StrictBool


class HoursEntryBody(Body):
    """Hours of a person with a crew on a day."""

    id: Id
    person_id: Id
    crew_id: Id
    day: Day
    hours: Hours
    rest_minutes: Annotated[StrictInt, Field(ge=0, le=1440)] = 0
    replaces_id: Id | None = None


class HoursBody(Body):
    """Hours by person, taken all or none."""

    hours: Annotated[list[HoursEntryBody], Field(min_length=1, max_length=2_000)]

    def typed(self) -> list[TypedHours]:
        """Return them as the library knows them."""
        return [TypedHours(**one.model_dump()) for one in self.hours]


class PayRunBody(Body):
    """Days to be paid, and what was looked at."""

    id: Id
    first: Day
    last: Day
    crew_id: Id | None = None
    seen: Digest

    def days(self) -> RunDays:
        """Return the days as the library knows them."""
        return RunDays(self.first, self.last, None if self.crew_id is None else str(self.crew_id))
