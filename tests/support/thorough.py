"""How often a law is tried over a real store or service, where each try takes a tenth of a second: little at each commit, much at night."""

import os

__all__ = ["tries"]

NIGHT = 20


def tries(at_commit: int) -> int:
    """Return so many at each commit, and twenty times as many under `make nightly`; every run draws anew."""
    return at_commit * (NIGHT if os.environ.get("NIGHTLY") else 1)
