"""What routes are given: the store, the clock, the day asked for."""

from datetime import UTC, date, datetime
from ipaddress import IPv6Address, IPv6Network, ip_address
from typing import Annotated
from uuid import UUID

from fastapi import Depends, Path, Query, Request
from pydantic import AfterValidator

from orchardmap.store.session import Store
from orchardmap_api.settings import Settings

__all__ = [
    "AskedDay",
    "AskedFarm",
    "AskedLanguage",
    "FarmId",
    "Now",
    "PathId",
    "ServiceSettings",
    "ServiceStore",
    "VersionNumber",
    "address_of",
]


# none of these waits: a thread of the pool for each would cost a request more than they do
async def _store(request: Request) -> Store:
    store: Store = request.app.state.store
    return store


async def _now(request: Request) -> datetime:
    moment: datetime = request.app.state.clock()
    return moment.astimezone(UTC)


def address_of(request: Request) -> str:
    """Return where a request comes from, as wrong tries are counted: an IPv6 address stands for its network of 64 bits.

    What a header claims counts only where the setting names the proxy that wrote it (`Settings.trusted_proxies`).
    """
    said = request.client.host if request.client else ""
    try:
        address = ip_address(said)
    except ValueError:
        return said  # a socket of this machine has none
    if isinstance(address, IPv6Address):
        mapped = address.ipv4_mapped
        # whoever has one address of such a network has all of them
        return str(mapped) if mapped else str(IPv6Network((int(address) >> 64 << 64, 64)))
    return str(address)


async def _settings(request: Request) -> Settings:
    settings: Settings = request.app.state.settings
    return settings


ServiceStore = Annotated[Store, Depends(_store)]
Now = Annotated[datetime, Depends(_now)]
ServiceSettings = Annotated[Settings, Depends(_settings)]
PathId = Annotated[UUID, AfterValidator(str)]
FarmId = PathId
VersionNumber = Annotated[int, Path(ge=1, le=2**31 - 1)]
"""Of a published brief."""
AskedDay = Annotated[date | None, Query(description="As of this day; today when left out.")]
AskedLanguage = Annotated[
    str, Query(max_length=3, description="Of the words; English where it is not known.")
]
AskedFarm = Annotated[UUID, AfterValidator(str), Query(description="Id of the farm.")]
