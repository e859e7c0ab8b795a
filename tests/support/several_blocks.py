"""A farm of several blocks, two varieties and two winters in a service that runs, and what crews mark in it."""

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from playwright.sync_api import Page, expect

from orchardmap.usecases.planting import new_id

RED, GREEN = "Irish Peach", "Lord Derby"
BLOCKS = {"K2": (RED, 52), "K10": (GREEN, 72), "K1": (RED, 92)}
"""Code: variety and length in metres, in the order in which they are planted."""


@dataclass(frozen=True)
class SeveralBlocks:
    """Ids by name, and how many positions each row has."""

    service: Any
    farm: str
    today: date
    seasons: dict[str, str]
    crews: dict[str, str]
    blocks: dict[str, str]
    rows: dict[str, dict[int, int]]

    def trees(self, code: str, *rows: int) -> int:
        """Trees of rows of a block; of all of them where none is named."""
        return sum(n for row, n in self.rows[code].items() if not rows or row in rows)

    def mark(
        self,
        code: str,
        row: int,
        crew: str,
        days_ago: int = 0,
        *,
        last: int | None = None,
        season: str = "This winter",
    ) -> str:
        """Let a crew mark a row (to a position, else to its end) and return what became of the record."""
        now = datetime.now(UTC).isoformat()
        one = {
            "id": new_id(),
            "season_id": self.seasons[season],
            "block_id": self.blocks[code],
            "row": row,
            "first": 1,
            "last": last or self.rows[code][row],
            "crew_id": self.crews[crew],
            "day": (self.today - timedelta(days_ago)).isoformat(),
            "method": "ladder",
            "device_at": now,
        }
        answer = self.service.post(f"/farms/{self.farm}/marks", {"sent_at": now, "marks": [one]})
        return str(answer["outcomes"][0]["outcome"])


def several_blocks(
    service: Any, name: str, *, winters: dict[str, tuple[int, int]] | None = None
) -> SeveralBlocks:
    """Make the farm; of each winter how many days from today it opens and must be finished."""
    service.post("/farms", {"name": name, "time_zone": "Europe/London"})
    farm = next(one for one in service.get("/farms")["farms"] if one["name"] == name)
    at, today = f"/farms/{farm['id']}", date.fromisoformat(farm["today"])
    spans = winters or {"Last winter": (-400, -300), "This winter": (-60, 60)}
    seasons = {
        winter: service.post(
            f"{at}/seasons",
            {
                "name": winter,
                "opens_on": (today + timedelta(opens)).isoformat(),
                "must_finish_on": (today + timedelta(must)).isoformat(),
            },
        )["id"]
        for winter, (opens, must) in spans.items()
    }
    crews = {
        crew: service.post(f"{at}/crews", {"name": crew, "method": "ladder"})["id"]
        for crew in ("Hollow", "Thorn", "Wren")
    }
    varieties = {
        variety: service.post(f"{at}/varieties", {"name": variety, "habit": "spur"})["id"]
        for variety in (RED, GREEN)
    }
    preview = service.upload(farm["id"], "blocks.geojson", _file())
    planting = {"bearing_deg": 0.0, "row_spacing_m": 5.0, "tree_spacing_m": 2.0, "first_row_offset_m": 2.0}
    wishes = [
        {"index": n, "code": code, "name": "", "variety_id": varieties[variety], "planting": planting}
        for n, (code, (variety, _)) in enumerate(BLOCKS.items())
    ]
    taken = service.post(f"/imports/{preview['token']}/take", {"blocks": wishes})
    blocks = {code: one["id"] for code, one in zip(BLOCKS, taken["blocks"], strict=True)}
    versions = {one["id"]: one["shape_version"] for one in service.get(f"{at}/overview")["blocks"]}
    rows = {
        code: {row["n"]: row["p"] for row in service.get(f"/blocks/{one}/shape?v={versions[one]}")["rows"]}
        for code, one in blocks.items()
    }
    return SeveralBlocks(service, farm["id"], today, seasons, crews, blocks, rows)


def _file() -> bytes:
    """Rectangles on the equator, beside each other: one degree of longitude is 111,320 m there, one of latitude 110,574 m (WGS 84)."""
    features = []
    for n, (code, (_, long_m)) in enumerate(BLOCKS.items()):
        west, east, north = 40 * n / 111_320, (40 * n + 19.9) / 111_320, long_m / 110_574
        ring = [[west, 0], [east, 0], [east, north], [west, north], [west, 0]]
        features.append({
            "type": "Feature",
            "properties": {"name": code},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        })
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


def opened(tablet: Page, farm: SeveralBlocks, query: str = "") -> None:
    """Open its Overview."""
    tablet.add_init_script(
        f"if (self === top && origin !== 'null') localStorage.setItem('orchardmap.farm', {json.dumps(farm.farm)})"
    )
    tablet.goto(f"{farm.service.address}/{query}")
    expect(tablet.locator(".figures")).to_be_visible()


def codes(tablet: Page) -> list[str]:
    """The blocks of the table, from top to bottom."""
    return [one.strip() for one in tablet.locator(".blocks tbody th").all_inner_texts()]
