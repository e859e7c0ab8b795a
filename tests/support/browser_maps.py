"""The map's own canvas in browser tests, looked at pixel by pixel."""

from collections.abc import Sequence
from typing import Any

from playwright.sync_api import Page

LOOK = """([lon, lat, reach]) => {
    const {map} = orchardMap.app, canvas = document.querySelector("canvas.orchard-canvas");
    const at = map.latLngToContainerPoint([lat, lon]), frame = map.getContainer().getBoundingClientRect();
    const box = canvas.getBoundingClientRect(), scale = canvas.width / box.width;
    const x = (at.x + frame.left - box.left) * scale, y = (at.y + frame.top - box.top) * scale;
    const side = Math.ceil(2 * reach * scale);
    const copy = Object.assign(document.createElement("canvas"), {width: side, height: side});
    const pen = copy.getContext("2d", {willReadFrequently: true});
    pen.drawImage(canvas, x - side / 2, y - side / 2, side, side, 0, 0, side, side);
    const {data} = pen.getImageData(0, 0, side, side);
    const found = {};
    for (let i = 0; i < data.length; i += 4) {
        if (data[i + 3] < 250) continue;
        const key = [data[i], data[i + 1], data[i + 2]].map((part) => part.toString(16).padStart(2, "0")).join("");
        found["#" + key.toUpperCase()] = (found["#" + key.toUpperCase()] || 0) + 1;
    }
    return found;
}"""
"""Count the colours of a square of the canvas: around longitude and latitude, so many pixels to each side."""

SHOWS = f"""({{spots, areas, allOf, noneOf, some}}) => {{
    const app = window.orchardMap?.app, block = app?.list?.[0];
    if (!(app?.map.getZoom() > 17 && block?.shape && block.areas?.length === areas)) return false;
    if (!document.querySelector("canvas.orchard-canvas")) return false;
    const look = {LOOK};
    const isSo = (found) => allOf.every((one) => found[one]) && !noneOf.some((one) => found[one]);
    const so = spots.filter((spot) => isSo(look(spot)));
    return (some ? so.length > 0 : so.length === spots.length) && {{so}};
}}"""
"""The spots with these colours and without those once the first block is drawn from near, with so many weak areas; false until all, or some where asked for, are so."""


def wait_for_colours(
    page: Page,
    spots: Sequence[tuple[float, float, float]],
    *,
    areas: int,
    all_of: Sequence[str] = (),
    none_of: Sequence[str] = (),
) -> None:
    """Wait until the map shows so many weak areas, and each spot (longitude, latitude, reach in px) these colours and not those."""
    told = {"spots": spots, "areas": areas, "allOf": all_of, "noneOf": none_of, "some": False}
    page.wait_for_function(SHOWS, arg=told, polling=100)


def wait_for_some(
    page: Page, spots: Sequence[tuple[float, float, float]], *, areas: int, colour: str, but: str
) -> list[tuple[float, float, float]]:
    """Wait until the map shows so many weak areas and one colour without another at some spot; return all such spots."""
    told = {"spots": spots, "areas": areas, "allOf": [colour], "noneOf": [but], "some": True}
    found = page.wait_for_function(SHOWS, arg=told, polling=100).json_value()["so"]
    return [(lon, lat, reach) for lon, lat, reach in found]


def at_position(
    planted: dict[str, Any], shape: dict[str, Any], row: int, position: float
) -> tuple[float, float]:
    """Longitude and latitude of a position: evenly spread over the row's one part, which has no end offset here."""
    told = next(one for one in shape["rows"] if one["n"] == row)
    (positions, (x1, y1, x2, y2)) = told["parts"][0]
    along = (position - 1) / (positions - 1)
    lon, lat = shape["origin"]
    return lon + shape["unit_deg"] * (x1 + along * (x2 - x1)), lat + shape["unit_deg"] * (
        y1 + along * (y2 - y1)
    )
