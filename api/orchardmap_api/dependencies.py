"""What routes are given: the store, the clock, the day asked for."""

from datetime import UTC, date, datetime
from typing import Annotated
from uuid import UUID

from fastapi import Depends, Query, Request
from pydantic import AfterValidator

from orchardmap.store.session import Store
from orchardmap_api.settings import Settings

__all__ = ["AskedDay", "AskedFarm", "FarmId", "Now", "PathId", "ServiceSettings", "ServiceStore"]


def _store(request: Request) -> Store:
    store: Store = request.app.state.store
    return store


def _now(request: Request) -> datetime:
    moment: datetime = request.app.state.clock()
    return moment.astimezone(UTC)


def _settings(request: Request) -> Settings:
    settings: Settings = request.app.state.settings
    return settings


ServiceStore = Annotated[Store, Depends(_store)]
Now = Annotated[datetime, Depends(_now)]
ServiceSettings = Annotated[Settings, Depends(_settings)]
PathId = Annotated[UUID, AfterValidator(str)]
FarmId = PathId
AskedDay = Annotated[date | None, Query(description="As of this day; today when left out.")]
AskedFarm = Annotated[UUID, AfterValidator(str), Query(description="Id of the farm.")]
