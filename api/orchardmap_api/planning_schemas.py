"""What may be sent about the working calendar, the people of crews, and what if."""

from typing import Annotated

from pydantic import Field, StrictBool, StrictInt, StringConstraints

from orchardmap.model.calendar import OPEN_END, CrewStrength, DayOff, SeasonCalendar
from orchardmap.model.people import Method
from orchardmap.usecases.what_if import Case, NewCrew
from orchardmap_api.schemas import Body, Day, Id, Text

__all__ = ["CalendarBody", "StrengthBody", "StrengthsBody", "WhatIfBody"]

Number = Annotated[float, Field(strict=True, ge=-1e6, le=1e6, allow_inf_nan=False)]
"""The library has the bounds of each, and says so in its sentence."""


Whole = Annotated[StrictInt, Field(ge=-1_000_000, le=1_000_000)]


class DayOffBody(Body):
    """A day on which nobody works."""

    day: Day
    name: Annotated[Text, StringConstraints(max_length=200)] = ""


class CalendarBody(Body):
    """The working calendar of a season, whole."""

    season_id: Id
    weekdays: Annotated[str, StringConstraints(max_length=20)]
    hours_per_day: Number
    days_off: Annotated[list[DayOffBody], Field(max_length=400)]
    lost_percent: Annotated[list[Number], Field(max_length=20)]
    expected_pace: Number | None = None
    respects_daylight: StrictBool = True

    def calendar(self) -> SeasonCalendar:
        """Return it as use cases take it."""
        return SeasonCalendar(
            self.weekdays,
            self.hours_per_day,
            tuple(DayOff(one.day, one.name) for one in self.days_off),
            tuple(self.lost_percent),
            self.expected_pace,
            self.respects_daylight,
        )


class StrengthBody(Body):
    """People of a crew in a span of days; without a last one, until the work is done."""

    crew_id: Id
    first: Day
    last: Day | None
    people: Whole

    def strength(self) -> CrewStrength:
        """Return it as use cases take it."""
        return CrewStrength(str(self.crew_id), self.first, self.last or OPEN_END, self.people)


class StrengthsBody(Body):
    """All spans of a farm's crews."""

    strengths: Annotated[list[StrengthBody], Field(max_length=2_000)]


class NewCrewBody(Body):
    """A crew that may come."""

    people: Annotated[StrictInt, Field(ge=1, le=1_000)]
    method: Method | None = None


class CaseBody(Body):
    """What is done otherwise from the next day on; what is left out stays as it is."""

    people: Annotated[dict[Id, Whole], Field(max_length=200)] = Field(default_factory=dict)
    crews: Annotated[list[NewCrewBody], Field(max_length=20)] = Field(default_factory=list)
    weekdays: Annotated[str, StringConstraints(max_length=20)] | None = None
    hours_per_day: Number | None = None
    lost_days: Whole = 0
    methods: Annotated[dict[Id, Method], Field(max_length=200)] = Field(default_factory=dict)
    ratios: dict[Method, Number] = Field(default_factory=dict)

    def case(self) -> Case:
        """Return it as use cases take it."""
        return Case(
            {str(crew): more for crew, more in self.people.items()},
            tuple(NewCrew(one.people, one.method) for one in self.crews),
            self.weekdays,
            self.hours_per_day,
            self.lost_days,
            {str(crew): method for crew, method in self.methods.items()},
            {str(method): ratio for method, ratio in self.ratios.items()},
        )


class WhatIfBody(Body):
    """Cases to put side by side."""

    cases: Annotated[list[CaseBody], Field(max_length=8)]
    certainty: Annotated[float, Field(ge=0.5, le=0.99)] = 0.9
