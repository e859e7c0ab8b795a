"""Secrets: how they are made, and the only form in which they are kept."""

import hashlib
import secrets
from functools import cache

from pwdlib import PasswordHash
from pwdlib.exceptions import PwdlibError
from pwdlib.hashers.argon2 import Argon2Hasher

__all__ = ["hashed", "matches", "new_code", "new_token", "token_hash"]

# the least that OWASP's Password Storage Cheat Sheet asks of argon2id: 19 MiB, two passes, one lane
_HASHING = PasswordHash((Argon2Hasher(time_cost=2, memory_cost=19 * 1024, parallelism=1),))
_BASE_32 = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"
CODE_LENGTH = 8


def new_token() -> str:
    """Make a token of 256 random bits."""
    return secrets.token_urlsafe(32)


def new_code() -> str:
    """Make a code of eight base-32 characters (RFC 4648), 40 random bits: short enough to type."""
    return "".join(secrets.choice(_BASE_32) for _ in range(CODE_LENGTH))


def token_hash(secret: str) -> str:
    """Return how a random secret is kept. A fast hash is right for these: nobody tries out 2^256, and a code lives minutes."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def hashed(secret: str) -> str:
    """Return how a password or PIN is kept: argon2id with a salt."""
    return _HASHING.hash(secret)


@cache
def _nobodys() -> str:
    return _HASHING.hash(new_token())


def matches(secret: str, kept: str | None) -> bool:
    """Tell whether a password or PIN is the one kept; takes as long where there is none to compare with."""
    try:
        return _HASHING.verify(secret, kept or _nobodys()) and kept is not None
    except PwdlibError:  # kept in a form that this library does not know: nobody gets in by it
        return False
