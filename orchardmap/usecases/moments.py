"""The farm, the season and the day that somebody looks at."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from orchardmap.errors import InputError
from orchardmap.model.orchard import Farm
from orchardmap.model.season import Season
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection

__all__ = ["Moment", "current_season", "moment", "moment_of_season", "refuse_day_to_come"]


@dataclass(frozen=True, slots=True)
class Moment:
    """The farm, the season and the day that somebody looks at."""

    farm: Farm
    season: Season | None
    today: date
    day: date
    now: datetime

    @property
    def until(self) -> date | None:
        """None where the day is today or later: the stored state answers then."""
        return None if self.day >= self.today else self.day

    @property
    def clock(self) -> datetime:
        """Now, by the farm's clock."""
        return self.now.astimezone(ZoneInfo(self.farm.time_zone))


def current_season(seasons: Sequence[Season], day: date) -> Season | None:
    """Return the season that a day belongs to: the last one opened by then, else the first one ahead."""
    opened = [season for season in seasons if season.opens_on <= day]
    return opened[-1] if opened else (seasons[0] if seasons else None)


def moment(conn: Connection, farm_id: str, day: date | None, now: datetime) -> Moment:
    """Return what is looked at: the farm's day (None is today) and the season that it belongs to."""
    farm = farm_store.farm(conn, farm_id)
    today = now.astimezone(ZoneInfo(farm.time_zone)).date()
    asked = day or today
    return Moment(farm, current_season(farm_store.seasons(conn, farm_id), asked), today, asked, now)


def moment_of_season(conn: Connection, farm_id: str, season_id: str, now: datetime) -> Moment:
    """Return the farm's day with a season that something belongs to, which may be over."""
    seasons = {season.id: season for season in farm_store.seasons(conn, farm_id)}
    return replace(moment(conn, farm_id, None, now), season=seasons[season_id])


def refuse_day_to_come(at: Moment) -> None:
    """Refuse a day that nothing can be told of yet.

    Raises
    ------
    InputError
        If that day has not come yet.
    """
    if at.day > at.today:
        raise InputError(f"{at.day} has not come yet", where="day", todo="Leave the day out for today.")
