"""Briefs for browser tests, published through the service as an adviser's page does."""

from typing import Any


def publish_brief(service: Any, planted: dict[str, Any], *, habit: str = "spur_uncut") -> str:
    """Publish a ready-made brief for the variety of the planted block, and return its id."""
    at = f"/farms/{planted['farm']}/briefs"
    body = {
        "season_id": planted["season"],
        "variety_id": planted["variety"],
        "ready_made": {"habit": habit},
    }
    brief: str = service.post(at, body)["id"]
    service.post(f"{at}/{brief}/versions", {"revision": 1})
    return brief


def publish_again(service: Any, planted: dict[str, Any], brief: str, **changes: Any) -> dict[str, Any]:
    """Publish the brief anew with other parts of its content, and return the content before."""
    at = f"/farms/{planted['farm']}/briefs/{brief}"
    draft = service.get(at)["draft"]
    content: dict[str, Any] = draft["content"]
    saved = service.post(
        f"{at}/draft", {"revision": draft["revision"], "content": content | changes}, method="PUT"
    )
    service.post(f"{at}/versions", saved)
    return content
