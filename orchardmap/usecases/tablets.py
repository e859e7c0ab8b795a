"""Tablets: paired by a one-time code, held by whoever knows a PIN, revoked at once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from orchardmap.errors import GoneError, InputError, SignInError, UnknownError
from orchardmap.model.access import PAIR_CODE_LIFE, AccessRole, Device
from orchardmap.model.people import Person
from orchardmap.model.tries import CODE_TRIES, PERSON_TRIES, PIN_TRIES
from orchardmap.store import audit, log, tablets, tries
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.accounts import refuse_foreign_crew
from orchardmap.usecases.credentials import CODE_LENGTH, hashed, matches, new_code, new_token, token_hash
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.signing_in import note_wrong_tries, refuse_locked, wrong_try

__all__ = [
    "NewCode",
    "TabletWish",
    "drop_holder",
    "listed",
    "make_code",
    "pair",
    "people",
    "revoke",
    "set_pin",
    "take",
]


@dataclass(frozen=True, slots=True)
class NewCode:
    """A code that pairs one tablet; only its hash is kept."""

    code: str
    expires_at: datetime


@dataclass(frozen=True, slots=True)
class TabletWish:
    """What a tablet is to be called, and whose it is to be."""

    name: str
    role: AccessRole
    crew_id: str | None = None


def listed(store: Store, farm_id: str) -> list[Device]:
    """Return the farm's tablets, the last paired first; revoked ones too."""
    with store.read() as conn:
        return tablets.devices(conn, farm_id)


def make_code(store: Store, *, actor: str, farm_id: str, tablet: TabletWish, now: datetime) -> NewCode:
    """Make a code that pairs one tablet to a farm within ten minutes.

    Raises
    ------
    InputError
        If a foreman's tablet has no crew, or an auditor's has one.
    UnknownError
        If the crew is not one of the farm.
    """
    name = " ".join(tablet.name.split())
    if not name or len(name) > 200:
        raise InputError("a tablet needs a name of 1 to 200 characters", where="name")
    made = NewCode(new_code(), now + PAIR_CODE_LIFE)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        refuse_foreign_crew(conn, farm_id, tablet.role, tablet.crew_id)
        tablets.add_code(
            conn,
            token_hash(made.code),
            farm_id=farm_id,
            device_name=name,
            role=tablet.role,
            crew_id=tablet.crew_id,
            made_by=_id_of(actor),
            made_at=now,
            expires_at=made.expires_at,
            once=True,
        )
        audit.note(conn, "pair_code_made", at=now, actor=actor, farm_id=farm_id, role=tablet.role)
    return made


def _id_of(actor: str) -> str | None:
    kind, _, actor_id = actor.partition(":")
    return actor_id if kind == "account" else None


def pair(store: Store, *, code: str, place: str, now: datetime) -> str:
    """Pair a tablet and return its token.

    Parameters
    ----------
    store : Store
        Open for writing.
    code : str
        As typed: blanks, dashes and small letters do no harm.
    place : str
        Where the try comes from: a session, a tablet or an address. Wrong codes are counted there, for
        a wrong one does not tell which code was meant.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    str

    Raises
    ------
    GoneError
        If the code is unknown, used or too old.
    LockedError
        After five wrong ones.
    """
    plain = "".join(sign for sign in code.upper() if sign.isalnum())
    subject, token = f"pair:{token_hash(place)}", new_token()
    with store.write() as conn:
        refuse_locked(conn, subject, now, hold=True)
        asked = tablets.use_code(conn, token_hash(plain), now) if len(plain) == CODE_LENGTH else None
        if asked is None:
            wrong_try(conn, subject, CODE_TRIES, now=now)
            note_wrong_tries(conn, "pair_failed", now=now)
        else:
            made = Device(new_id(), asked.farm_id, asked.device_name, asked.role, asked.crew_id, now, now)
            tablets.add_device(conn, made, token_hash=token_hash(token), paired_by=asked.made_by)
            audit.note(
                conn, "paired", at=now, actor=f"device:{made.id}", subject=made.id, farm_id=made.farm_id
            )
    if asked is None:
        raise GoneError(
            "this code was used already, is too old, or has a typing error",
            todo="Ask a manager for a new one.",
        )
    return token


def revoke(store: Store, *, actor: str, farm_id: str, device_id: str, now: datetime) -> None:
    """Revoke a tablet: its next request comes from nobody. What it still holds is kept on it."""
    with store.write() as conn:
        if tablets.revoke(conn, farm_id, device_id, now):
            audit.note(conn, "revoked", at=now, actor=actor, subject=device_id, farm_id=farm_id)


def people(store: Store, device: Device) -> Sequence[tuple[Person, bool]]:
    """Return who may hold a tablet, by name, and whether each has a PIN."""
    with store.read() as conn:
        return tablets.holders(conn, device)


def take(store: Store, device: Device, *, person_id: str, pin: str, now: datetime) -> Device:
    """Let a person take a tablet by a PIN, and return the tablet as it is now.

    Raises
    ------
    SignInError
        If the PIN is wrong, none was set, or the person may not hold this tablet: nobody is told which.
    LockedError
        After too many wrong tries.

    Notes
    -----
    Two counters: one of this person on this tablet (five tries), one of the person over all tablets
    (twenty). Only the first five wrong tries on a tablet count for the second, so one tablet in the
    wrong hands cannot lock a person out of the others.
    """
    here, everywhere = f"pin:{device.id}:{person_id}", f"pin:{person_id}"
    with store.read() as conn:
        refuse_locked(conn, here, now)
        refuse_locked(conn, everywhere, now)
        may = any(person.id == person_id for person, _ in tablets.holders(conn, device))
        kept = tablets.pin_hash(conn, person_id) if may else None
    right = matches(pin, kept)
    with store.write() as conn:
        # looked at again: many tries at once must not all slip through before the first is counted
        refuse_locked(conn, here, now, hold=True)
        refuse_locked(conn, everywhere, now, hold=True)
        if right:
            tries.forget_tries(conn, here)
            tries.forget_tries(conn, everywhere)
            tablets.set_holder(conn, device.id, person_id, now)
            what = "tablet_taken"
        else:
            _count_wrong_pin(conn, here, everywhere, now)
            what = "pin_failed"
        audit.note(conn, what, at=now, actor=f"device:{device.id}", subject=person_id, farm_id=device.farm_id)
    if not right:
        raise SignInError("this PIN is not the right one", where="pin", todo="A manager can set a new one.")
    return replace(device, holder_id=person_id)


def _count_wrong_pin(conn: Connection, here: str, everywhere: str, now: datetime) -> None:
    so_far = tries.add_failure(conn, here, PIN_TRIES, now)
    if so_far.failures <= PIN_TRIES.tries:
        tries.add_failure(conn, everywhere, PERSON_TRIES, now)


def drop_holder(store: Store, device: Device, *, now: datetime) -> None:
    """Let nobody known hold a tablet."""
    with store.write() as conn:
        tablets.set_holder(conn, device.id, None, now)
        audit.note(
            conn,
            "tablet_put_down",
            at=now,
            actor=f"device:{device.id}",
            subject=device.holder_id or "",
            farm_id=device.farm_id,
        )


def set_pin(store: Store, *, actor: str, farm_id: str, person_id: str, pin: str, now: datetime) -> None:
    """Set a person's PIN; wrong tries so far are forgotten.

    Raises
    ------
    InputError
        If it is among the first that anybody would try.
    UnknownError
        If the person is not one of the farm.
    """
    ordered = "0123456789" * 2
    if len(set(pin)) == 1 or pin in ordered or pin[::-1] in ordered:
        raise InputError(
            "this PIN is among the first that anybody tries", where="pin", todo="Take six digits in no order."
        )
    kept = hashed(pin)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        if person_id not in {person.id for person in farm_store.people(conn, farm_id)}:
            raise UnknownError("no such person on this farm", where=person_id)
        tablets.set_pin(conn, person_id, kept, now)
        tries.forget_person(conn, person_id)
        audit.note(conn, "pin_set", at=now, actor=actor, subject=person_id, farm_id=farm_id)
