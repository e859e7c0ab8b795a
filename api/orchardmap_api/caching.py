"""Answers that a browser may keep for good, once it asks for them by their version."""

__all__ = ["FOREVER", "is_named", "version_headers"]

FOREVER = "private, max-age=31536000, immutable"


def is_named(version: str, if_none_match: str) -> bool:
    """Tell whether a list of entity tags names a version (RFC 9110, section 13.1.2: weak comparison)."""
    tags = {tag.strip().removeprefix("W/") for tag in if_none_match.split(",")}
    return "*" in tags or f'"{version}"' in tags


def version_headers(version: str, asked: str | None) -> dict[str, str]:
    """Return the headers of an answer: kept for good when asked for by this version, else asked about each time.

    Weak, for the bytes differ with the compression that a client takes, and 200 and 304 must say the same.
    """
    return {"ETag": f'W/"{version}"', "Cache-Control": FOREVER if asked == version else "no-cache"}
