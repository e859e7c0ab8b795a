"""Who may do what: accounts with a role per farm, tablets paired to a farm, and whoever asks."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal, get_args

__all__ = [
    "ACCOUNT_ROLES", "CONFIRMED_FOR", "DEVICE_IDLE", "DEVICE_ROLES", "KEY_LIFE", "KEY_LONGEST", "KEY_SEEN_STEP", "KEY_SIGHTS", "LINK_LIFE", "NOBODY",
    "PAIR_CODE_LIFE", "SEEN_STEP", "SESSION_IDLE", "SESSION_LIFE", "AccessRole", "Account", "Caller", "ConfirmedBy", "Device", "Grant", "KeySight", "Lapsed",
    "Membership", "ReadingKey",
]  # fmt: skip

AccessRole = Literal["manager", "foreman", "auditor", "adviser"]
ACCOUNT_ROLES: tuple[AccessRole, ...] = get_args(AccessRole)
DEVICE_ROLES: tuple[AccessRole, ...] = ("foreman", "auditor")

SESSION_IDLE = timedelta(hours=12)
SESSION_LIFE = timedelta(days=30)
DEVICE_IDLE = timedelta(days=180)
LINK_LIFE = timedelta(days=3)
PAIR_CODE_LIFE = timedelta(minutes=10)
CONFIRMED_FOR = timedelta(minutes=10)
"""How long after the password was given it need not be given again for what weighs most."""
SEEN_STEP = timedelta(minutes=5)
"""How exactly the last request of a session or tablet is kept: not every reading is a write."""
KEY_LIFE, KEY_LONGEST = timedelta(days=365), timedelta(days=5 * 366)
"""How long a reading key is good unless said, and at most."""
KEY_SEEN_STEP = timedelta(hours=1)
"""The same of a reading key: whoever looks over a list of keys thinks in days."""

KeySight = Literal["all", "work"]
"""What a reading key sees: all that an adviser reads, or the same without checks and weak areas."""
KEY_SIGHTS: tuple[KeySight, ...] = get_args(KeySight)
Lapsed = Literal["", "session", "device", "key"]
ConfirmedBy = Literal["password", "one_time_link", "lasting_link", "shell"]
"""What a session was last confirmed by: the password itself, or what it was opened by."""


@dataclass(frozen=True, slots=True)
class Account:
    """Somebody who signs in with a login."""

    id: str
    login: str
    """In lower case; unique over all farms."""
    name: str
    makes_farms: bool = False
    disabled_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Membership:
    """What an account is on one farm."""

    account_id: str
    farm_id: str
    role: AccessRole
    crew_id: str | None = None


@dataclass(frozen=True, slots=True)
class Device:
    """A tablet paired to one farm."""

    id: str
    farm_id: str
    name: str
    role: AccessRole
    crew_id: str | None
    paired_at: datetime
    last_seen_at: datetime
    revoked_at: datetime | None = None
    holder_id: str | None = None
    """The person who holds it now, known by a PIN."""


@dataclass(frozen=True, slots=True)
class ReadingKey:
    """What lets a program read one farm's features until a day."""

    id: str
    farm_id: str
    name: str
    """What it is for, as its maker calls it."""
    sight: KeySight
    made_at: datetime
    made_by: str | None
    """The account's id; None where the shell made it."""
    expires_at: datetime
    """The first moment after its last day, in the farm's zone."""
    last_used_at: datetime | None = None
    ended_at: datetime | None = None

    def is_good(self, now: datetime) -> bool:
        """Tell whether it opens anything."""
        return self.ended_at is None and now < self.expires_at


@dataclass(frozen=True, slots=True)
class Grant:
    """A role on a farm; a foreman's is bound to one crew."""

    role: AccessRole
    crew_id: str | None = None
    sees_checks: bool = True
    """False for a reading key that is told of the work alone."""


@dataclass(frozen=True, slots=True)
class Caller:
    """Whoever sent a request: an account, a tablet, a program with a reading key, or nobody."""

    account: Account | None = None
    device: Device | None = None
    key: ReadingKey | None = None
    grants: Mapping[str, Grant] = field(default_factory=dict)
    """Farm id -> what the caller is there."""
    lapsed: Lapsed = ""
    """Nobody now, but was somebody: the session or the reading key has ended, or the tablet was revoked."""
    confirmed_at: datetime | None = None
    """When the account's password was last given in this session, or what let it in; None for a tablet."""
    confirmed_by: ConfirmedBy | None = None
    session_seen_at: datetime | None = field(default=None, compare=False)
    """When its session was last heard of, as it is kept."""

    @property
    def is_nobody(self) -> bool:
        """Tell whether nothing is known of the caller."""
        return self.account is None and self.device is None and self.key is None

    def is_confirmed(self, now: datetime) -> bool:
        """Tell whether the password was given within the last ten minutes."""
        return self.confirmed_at is not None and now < self.confirmed_at + CONFIRMED_FOR

    def has_just_given_password(self, now: datetime) -> bool:
        """Tell whether the password itself was given within the last ten minutes."""
        return self.confirmed_by == "password" and self.is_confirmed(now)

    def has_fresh_link(self, now: datetime) -> bool:
        """Tell whether a one-time link let it in within the last ten minutes, and no password was set or given since."""
        return self.confirmed_by == "one_time_link" and self.is_confirmed(now)

    def is_seen_long_ago(self, now: datetime) -> bool:
        """Tell whether it is time to keep anew when the session, tablet or key was last heard of."""
        if self.key is not None:
            return self.key.last_used_at is None or self.key.last_used_at + KEY_SEEN_STEP <= now
        kept = self.device.last_seen_at if self.device else self.session_seen_at
        return kept is not None and kept + SEEN_STEP <= now

    @property
    def id(self) -> str | None:
        """Id of the account, tablet or key."""
        known = self.account or self.device or self.key
        return known.id if known else None

    @property
    def actor(self) -> str:
        """As the audit log names the caller."""
        if self.account:
            return f"account:{self.account.id}"
        if self.key:
            return f"key:{self.key.id}"
        return f"device:{self.device.id}" if self.device else "nobody"


NOBODY = Caller()
