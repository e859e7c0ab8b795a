"""What may be sent about the working calendar, the people of crews, and what if."""

from typing import Annotated

from pydantic import Field, StrictBool, StrictInt, StringConstraints

from orchardmap.model.calendar import CrewStrength, DayOff, SeasonCalendar
from orchardmap_api.schemas import Body, Day, Id, Text

__all__ = ["CalendarBody", "StrengthBody", "StrengthsBody"]

Number = Annotated[float, Field(strict=True, ge=-1e6, le=1e6, allow_inf_nan=False)]
"""The library has the bounds of each, and says so in its sentence."""


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
    """People of a crew in a span of days."""

    crew_id: Id
    first: Day
    last: Day
    people: Annotated[StrictInt, Field(ge=-1_000_000, le=1_000_000)]

    def strength(self) -> CrewStrength:
        """Return it as use cases take it."""
        return CrewStrength(str(self.crew_id), self.first, self.last, self.people)


class StrengthsBody(Body):
    """All spans of a farm's crews."""

    strengths: Annotated[list[StrengthBody], Field(max_length=2_000)]
