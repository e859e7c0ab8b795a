"""What may be sent about who is who. A secret is bounded text; nothing of it comes back in a refusal."""

from typing import Annotated, Literal

from pydantic import StringConstraints

from orchardmap_api.schemas import Body, Day, Id, Name, Text

__all__ = [
    "AccountBody", "CodeBody", "ConfirmBody", "DeviceCodeBody", "FirstStartBody", "HolderBody", "PasswordBody", "PinBody", "ReadingKeyBody",
    "SignInBody",
]  # fmt: skip

Pin = Annotated[str, StringConstraints(pattern=r"^[0-9]{6}$")]


class SignInBody(Body):
    """Login and password."""

    login: Name
    password: Text


class FirstStartBody(Body):
    """The first account, by the token that the service printed."""

    token: Text
    login: Name
    name: Name
    password: Text


class CodeBody(Body):
    """A one-time link's code, or the one that pairs a tablet."""

    code: Text


class ConfirmBody(Body):
    """One's own password, given once more."""

    password: Text


class PasswordBody(Body):
    """One's own password; the old one where there is one and it is not forgotten."""

    old: Text | None
    new: Text


class AccountBody(Body):
    """A new account of a farm."""

    login: Name
    name: Name
    role: Literal["manager", "foreman", "auditor", "adviser"]
    crew_id: Id | None = None


class DeviceCodeBody(Body):
    """A tablet to be paired."""

    name: Name
    role: Literal["foreman", "auditor"]
    crew_id: Id | None = None


class HolderBody(Body):
    """Who takes a tablet."""

    person_id: Id
    pin: Pin


class ReadingKeyBody(Body):
    """A key for a program that reads the farm's features."""

    name: Name
    sees: Literal["all", "work"] = "all"
    ends_on: Day | None = None


class PinBody(Body):
    """A person's new PIN."""

    pin: Pin
