"""Accounts of a farm, and people's PINs: a manager's business."""

from datetime import timedelta
from typing import Any

from fastapi import APIRouter, Request

from orchardmap.model.access import LINK_LIFE, Account, Membership
from orchardmap.usecases import accounts, tablets
from orchardmap_api.access import FarmCaller, needs
from orchardmap_api.access_schemas import AccountBody, PinBody
from orchardmap_api.cookies import own_address
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["people"])
Json = dict[str, Any]


def _account_json(account: Account, member: Membership) -> Json:
    return {
        "id": account.id,
        "login": account.login,
        "name": account.name,
        "role": member.role,
        "crew_id": member.crew_id,
        "disabled": account.disabled_at is not None,
    }


def _link_json(request: Request, code: str, now: Now) -> Json:
    life: timedelta = LINK_LIFE
    return {
        "link": f"{own_address(request)}/sign-in#link={code}",
        "expires_at": (now + life).isoformat(),
    }


@router.get("/accounts", dependencies=[needs("manager")])
def list_accounts(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return the farm's accounts by login."""
    return {"accounts": [_account_json(*one) for one in accounts.listed(store, str(farm_id))]}


@router.post("/accounts", status_code=201, dependencies=[needs("manager", confirmed=True)])
def add_account(
    farm_id: FarmId, body: AccountBody, request: Request, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Make an account, and a one-time link for it that is shown once."""
    wish = accounts.AccountWish(**body.model_dump())
    account, member, code = accounts.invite(store, caller=caller, farm_id=str(farm_id), wish=wish, now=now)
    return {"account": _account_json(account, member), **_link_json(request, code, now)}


@router.post("/accounts/{account_id}/link", status_code=201, dependencies=[needs("manager", confirmed=True)])
def renew_link(
    farm_id: FarmId, account_id: PathId, request: Request, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Make a new one-time link; earlier ones stop working."""
    code = accounts.renew_link(
        store, caller=caller, farm_id=str(farm_id), account_id=str(account_id), now=now
    )
    return _link_json(request, code, now)


@router.delete("/accounts/{account_id}", status_code=204, dependencies=[needs("manager", confirmed=True)])
def end_membership(
    farm_id: FarmId, account_id: PathId, store: ServiceStore, caller: FarmCaller, now: Now
) -> None:
    """End what an account is on the farm, at once."""
    accounts.end_membership(store, caller=caller, farm_id=str(farm_id), account_id=str(account_id), now=now)


@router.put("/people/{person_id}/pin", status_code=204, dependencies=[needs("manager", confirmed=True)])
def set_pin(
    farm_id: FarmId, person_id: PathId, body: PinBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> None:
    """Set the PIN by which a person takes a tablet."""
    tablets.set_pin(
        store, actor=caller.actor, farm_id=str(farm_id), person_id=str(person_id), pin=body.pin, now=now
    )
