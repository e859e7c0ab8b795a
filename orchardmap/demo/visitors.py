"""Who may look at the demo: one account a role, and a foreman's tablet. Links let in.

The manager has a password too, for what is done only with one given within ten minutes; it is another one at each start.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from orchardmap.demo import people
from orchardmap.errors import UnknownError
from orchardmap.model.access import AccessRole, Account
from orchardmap.store import access, tablets, tries
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.usecases import account_keeping
from orchardmap.usecases.confirming import own_tries
from orchardmap.usecases.credentials import hashed, new_code, token_hash

__all__ = ["Way", "ways_in"]

LASTING = timedelta(days=3)
PIN = "274901"
GANG = people.GANGS[0]
VISITORS: tuple[tuple[AccessRole, str, str], ...] = (
    ("manager", "gwenllian", people.MANAGER),
    ("auditor", "marit", people.AUDITORS[0]),
    ("adviser", "tomasz", people.ADVISER),
)


@dataclass(frozen=True, slots=True)
class Way:
    """One way into the demo."""

    words: str
    path: str
    """Behind the service's address."""


def ways_in(store: Store, *, now: datetime) -> list[Way]:
    """Make the demo's accounts where they are missing, and new links; those of an earlier start stop working.

    Raises
    ------
    UnknownError
        If the database holds no demo farm.
    """
    with store.read() as conn:
        farms = {farm.name: farm.id for farm in farm_store.farms(conn)}
    farm_id = farms.get(people.FARM_NAME)
    if farm_id is None:
        raise UnknownError("the demo farm is not here", where=people.FARM_NAME)
    made = []
    for role, login, name in VISITORS:
        account = _account(store, farm_id, role=role, login=login, name=name, now=now)
        if role == "adviser" and people.NEIGHBOUR_NAME in farms:
            account_keeping.give_role(
                store, account, farm_id=farms[people.NEIGHBOUR_NAME], role=role, now=now
            )
        code = _link(store, account, now=now)
        words = f"{role}, {name}"
        if role == "manager":
            words += f" (settling and pairing ask for a password: {_new_password(store, account)})"
        made.append(Way(words, f"/sign-in#link={code}"))
    return [*made, _tablet(store, farm_id, now=now)]


def _account(
    store: Store, farm_id: str, *, role: AccessRole, login: str, name: str, now: datetime
) -> Account:
    with store.read() as conn:
        found = access.account_by_login(conn, login)
    if found is None:
        found = account_keeping.add_account(
            store, login=login, name=name, password=None, makes_farms=role == "manager", now=now
        )
        account_keeping.give_role(store, found, farm_id=farm_id, role=role, now=now)
    return found


def _link(store: Store, account: Account, *, now: datetime) -> str:
    with store.write() as conn:
        access.drop_links(conn, account.id)
    return account_keeping.make_link(store, account, once=False, now=now)


def _new_password(store: Store, account: Account) -> str:
    """Give the account another password and return it: 60 random bits in groups that are easily typed."""
    letters = (new_code() + new_code()).lower()
    made = "-".join(letters[at : at + 4] for at in (0, 4, 8))
    with store.write() as conn:
        access.change_account(conn, account.id, password_hash=hashed(made))
        tries.forget_tries(conn, own_tries(account.id))
    return made


def _tablet(store: Store, farm_id: str, *, now: datetime) -> Way:
    code = new_code()
    with store.write() as conn:
        tablets.drop_lasting_codes(conn, farm_id)
        crew = next(crew for crew in farm_store.crews(conn, farm_id) if crew.name == GANG.name)
        foreman = next(one for one in farm_store.people(conn, farm_id) if one.name == GANG.foreman)
        tablets.set_pin(conn, foreman.id, hashed(PIN), now)
        tablets.add_code(
            conn,
            token_hash(code),
            farm_id=farm_id,
            device_name=f"Tablet of {GANG.name}",
            role="foreman",
            crew_id=crew.id,
            made_by=None,
            made_at=now,
            expires_at=now + LASTING,
            once=False,
        )
    return Way(f"foreman's tablet of crew {GANG.name} ({GANG.foreman} has the PIN {PIN})", f"/pair#{code}")
