"""Ways to open a map in a browser and to look at it, for the tests of the map."""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from map_samples import Sample
from orchardmap.maps import signs
from orchardmap.maps.page import map_file

READY = """() => window.orchardMap && orchardMap.app && orchardMap.app.overview
  && !document.getElementById("orchard").classList.contains("loading")"""


def open_served(page: Page, address: str, query: str = "") -> None:
    """Open the served map and wait until it is drawn."""
    page.goto(f"{address}/map{query}")
    page.wait_for_function(READY)


def open_file(page: Page, folder: Path, sample: Sample) -> None:
    """Write the self-contained map, open it from disk, wait until it is drawn."""
    path = folder / "map.html"
    made = map_file(
        sample.overview,
        sample.shapes,
        sample.states,
        features=sample.features,
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


def colours_at(page: Page, lonlats: list[tuple[float, float]]) -> list[str]:
    """Return the colour the canvas has at each place, as ``#RRGGBB``; empty where nothing is drawn."""
    colours: list[str] = page.evaluate(
        """(places) => { const {canvasLayer: layer} = orchardMap.app; const {view} = layer;
        const dots = window.devicePixelRatio;
        return places.map(([lon, lat]) => {
          const x = (orchardMap.worldX(lon) * view.scale - view.x) * dots;
          const y = (orchardMap.worldY(lat) * view.scale - view.y) * dots;
          const [r, g, b, a] = layer.ctx.getImageData(Math.round(x), Math.round(y), 1, 1).data;
          return a ? "#" + [r, g, b].map((v) => v.toString(16).padStart(2, "0")).join("").toUpperCase() : ""; }); }""",
        [list(place) for place in lonlats],
    )
    return colours


def colour_at(page: Page, lonlat: tuple[float, float]) -> str:
    """Return the colour the canvas has at a place, as ``#RRGGBB``; empty where nothing is drawn."""
    return colours_at(page, [lonlat])[0]


def noted(page: Page, name: str) -> list[Any]:
    """Return what the page noted in ``__ran`` or ``__violations``."""
    found: list[Any] = page.evaluate(f"window.{name}")
    return found


def rings(page: Page) -> dict[str, dict[str, Any]]:
    """Return each ring drawn, by block code: trees, radius, middle on the page, and what it says."""
    found: dict[str, dict[str, Any]] = page.evaluate(
        """() => { const {app} = orchardMap; const {canvasLayer: layer, map} = app; layer.redraw();
        const frame = map.getContainer().getBoundingClientRect();
        return Object.fromEntries(layer.rings.map(({block, x, y, radius}) => {
          const at = map.layerPointToContainerPoint([x + layer.origin.x, y + layer.origin.y]);
          return [block.facts.code, {trees: block.facts.trees, radius, x: at.x + frame.left, y: at.y + frame.top,
            figure: layer.figure(block.facts)}]; })); }"""
    )
    return found


def ring_colours(page: Page, code: str, turns: list[float], *, share_of_radius: float = 1.0) -> list[str]:
    """Return the colours of a ring at shares of a turn clockwise from north, at a share of its radius."""
    found: list[str] = page.evaluate(
        """([code, turns, part]) => { const {canvasLayer: layer} = orchardMap.app; layer.redraw();
        const {x, y, radius} = layer.rings.find((ring) => ring.block.facts.code === code);
        const dots = window.devicePixelRatio;
        return turns.map((turn) => { const at = turn * 2 * Math.PI - Math.PI / 2;
          const [r, g, b] = layer.ctx.getImageData(Math.round((x + part * radius * Math.cos(at)) * dots),
            Math.round((y + part * radius * Math.sin(at)) * dots), 1, 1).data;
          return "#" + [r, g, b].map((v) => v.toString(16).padStart(2, "0")).join("").toUpperCase(); }); }""",
        [code, turns, share_of_radius],
    )
    return found


def nearest_sign(colour: str) -> str:
    """Return the legend's colour that a pixel on the soft edge of a line is nearest to, by its red, green and blue."""

    def channels(text: str) -> list[int]:
        return [int(text[i : i + 2], 16) for i in (1, 3, 5)]

    def off(sign: str) -> int:
        return sum((a - b) ** 2 for a, b in zip(channels(sign), channels(colour), strict=True))

    return min(signs.PALETTE.values(), key=off)
