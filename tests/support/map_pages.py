"""Ways to open a map in a browser and to look at it, for the tests of the map."""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from map_samples import Sample
from orchardmap.maps.page import map_file

READY = """() => window.orchardMap && orchardMap.app && orchardMap.app.overview
  && !document.getElementById("orchard").classList.contains("loading")"""


def open_served(page: Page, address: str) -> None:
    """Open the served map and wait until it is drawn."""
    page.goto(f"{address}/map")
    page.wait_for_function(READY)


def open_file(page: Page, folder: Path, sample: Sample) -> None:
    """Write the self-contained map, open it from disk, wait until it is drawn."""
    path = folder / "map.html"
    made = map_file(
        sample.overview,
        sample.shapes,
        sample.states,
        farm_name=sample.farm["name"],
        day=sample.overview["day"],
    )
    path.write_text(made, encoding="utf-8")
    page.goto(path.as_uri())
    page.wait_for_function(READY)


def go_near(page: Page, *, zoom: float, lonlat: tuple[float, float]) -> None:
    """Put a place in the middle at a zoom, and wait for the rows' state to be drawn."""
    page.evaluate(
        "([lon, lat, zoom]) => { orchardMap.app.map.setView([lat, lon], zoom, {animate: false}); }",
        [*lonlat, zoom],
    )
    page.wait_for_function(
        """() => { const {app} = orchardMap; const {canvasLayer: layer} = app;
        const near = layer.blocksIn(layer.view).filter((block) => layer.isNear(block));
        return near.length && near.every((block) => block.state) && !layer.waiting; }"""
    )


def screen_point(page: Page, lonlat: tuple[float, float]) -> tuple[float, float]:
    """Return where on the page a place stands, in pixels."""
    x, y = page.evaluate(
        """([lon, lat]) => { const {map} = orchardMap.app; const at = map.latLngToContainerPoint([lat, lon]);
        const box = map.getContainer().getBoundingClientRect(); return [at.x + box.left, at.y + box.top]; }""",
        list(lonlat),
    )
    return float(x), float(y)


def colour_at(page: Page, lonlat: tuple[float, float]) -> str:
    """Return the colour the canvas has at a place, as ``#RRGGBB``; empty where nothing is drawn."""
    colour: str = page.evaluate(
        """([lon, lat]) => { const {canvasLayer: layer} = orchardMap.app; const {view} = layer;
        const dots = window.devicePixelRatio;
        const x = (orchardMap.worldX(lon) * view.scale - view.x) * dots;
        const y = (orchardMap.worldY(lat) * view.scale - view.y) * dots;
        const [r, g, b, a] = layer.ctx.getImageData(Math.round(x), Math.round(y), 1, 1).data;
        return a ? "#" + [r, g, b].map((v) => v.toString(16).padStart(2, "0")).join("").toUpperCase() : ""; }""",
        list(lonlat),
    )
    return colour


def noted(page: Page, name: str) -> list[Any]:
    """Return what the page noted in ``__ran`` or ``__violations``."""
    found: list[Any] = page.evaluate(f"window.{name}")
    return found
