"""What was marked and checked through the service is really drawn: the map's own canvas is looked at, pixel by pixel."""

from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Page

from browser_maps import LOOK, at_position
from orchardmap.maps import signs
from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser


def test_part_of_a_row_and_a_check_are_drawn_where_they_are(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    now = datetime.now(UTC).isoformat()
    place = {
        "season_id": planted["season"],
        "block_id": planted["block"],
        "day": planted["today"],
        "device_at": now,
    }
    mark = place | {
        "id": new_id(),
        "row": 2,
        "first": 1,
        "last": 13,
        "crew_id": planted["crews"][0],
        "method": "ladder",
    }
    check = place | {"id": new_id(), "row": 2, "position": 5, "verdict": "faulty", "drawn": True}
    at = f"/farms/{planted['farm']}"
    assert service.post(f"{at}/marks", {"sent_at": now, "marks": [mark]})["outcomes"][0]["outcome"] == "taken"
    assert (
        service.post(f"{at}/checks", {"sent_at": now, "checks": [check]})["outcomes"][0]["outcome"] == "taken"
    )

    tablet.goto(f"{service.address}/map?farm={planted['farm']}&block={planted['block']}")
    tablet.wait_for_function("() => window.orchardMap?.app?.overview && orchardMap.app.map.getZoom() > 17")
    shape = service.get(f"/blocks/{planted['block']}/shape")
    pruned, twig, bud = signs.PRUNED, signs.TO_PRUNE, signs.AGAIN

    def colours(position: float, reach_px: float, row: int = 2) -> dict[str, int]:
        found: dict[str, int] = tablet.evaluate(LOOK, [*at_position(planted, shape, row, position), reach_px])
        return found

    tablet.wait_for_function("() => document.querySelector('canvas.orchard-canvas')")
    tablet.wait_for_timeout(1500)  # shapes and states are fetched and drawn after the view is set
    done, ahead, other = colours(9, 4), colours(19, 14), colours(9, 14, row=3)
    assert done.get(pruned, 0) > 0
    assert twig not in done
    assert ahead.get(twig, 0) > 0
    assert pruned not in ahead
    assert other.get(twig, 0) > 0
    assert pruned not in other
    # the crew stopped at 13: at 13 it is pruned, at 14 it is not
    assert pruned in colours(12.8, 2)
    assert pruned not in colours(14.2, 2)
    # the faulty tree's bud, in its own colour, at its own position and not two trees on
    assert colours(5, 8).get(bud, 0) > 0
    assert bud not in colours(8, 4)
