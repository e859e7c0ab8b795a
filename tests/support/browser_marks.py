"""What somebody elsewhere does while a page is open: rows marked, and what forecast and pay go by said."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from orchardmap.usecases.planting import new_id


def prune_row(service: Any, planted: dict[str, Any], row: int, *, crew: int = 0, days_ago: int = 0) -> None:
    """Let one of the two crews mark a whole row."""
    now = datetime.now(UTC).isoformat()
    mark = {
        "id": new_id(),
        "season_id": planted["season"],
        "block_id": planted["block"],
        "row": row,
        "first": 1,
        "last": planted["rows"][row],
        "crew_id": planted["crews"][crew],
        "day": (date.fromisoformat(planted["today"]) - timedelta(days_ago)).isoformat(),
        "method": "ladder",
        "device_at": now,
    }
    answer = service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": [mark]})
    assert answer["outcomes"][0]["outcome"] == "taken", answer


def say_pace_and_people(service: Any, planted: dict[str, Any]) -> None:
    """Say the expected pace, and four people in each crew from today on."""
    at = f"/farms/{planted['farm']}"
    calendar = service.get(f"{at}/calendar")
    said = {name: calendar[name] for name in calendar if name != "is_set"} | {"expected_pace": 9.0}
    service.post(f"{at}/calendar", said, method="PUT")
    people = [
        {"crew_id": crew, "first": planted["today"], "last": None, "people": 4} for crew in planted["crews"]
    ]
    service.post(f"{at}/strengths", {"strengths": people}, method="PUT")


def say_pay_rules(service: Any, planted: dict[str, Any]) -> None:
    """Say what a tree is worth, in a currency that nobody has, and a floor."""
    rules = {
        "currency": "XTS",
        "rates": [{"per": "tree", "rate": "2"}],
        "minimum_wage": [{"per_hour": "10"}],
    }
    service.post(f"/farms/{planted['farm']}/pay-rules", {"revision": 0, "rules": rules}, method="PUT")
