"""Ids of the form UUIDv7 whose random bits come from the seed, so that the same seed gives the same ids."""

from datetime import datetime
from uuid import UUID

import numpy as np


def uuid7(at: datetime, rng: np.random.Generator) -> str:
    """Return a UUIDv7 (RFC 9562, section 5.7).

    Parameters
    ----------
    at : datetime with time zone
        The moment that goes into its first 48 bits, in milliseconds.
    rng : Generator
        Gives the other 74 bits.

    Returns
    -------
    str
        In the usual form, lower case.

    Examples
    --------
    >>> from datetime import UTC
    >>> uuid7(datetime(2026, 1, 1, tzinfo=UTC), np.random.default_rng(7))[:15]
    '019b76da-a800-7'
    """
    random_bits = int.from_bytes(rng.bytes(10), "big")
    bits = (int(at.timestamp() * 1000) & ((1 << 48) - 1)) << 80
    bits |= 0x7 << 76 | (random_bits >> 68) << 64
    bits |= 0b10 << 62 | random_bits & ((1 << 62) - 1)
    return str(UUID(int=bits))
