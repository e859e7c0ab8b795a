"""What is printed by the browser's own keys and menu, and what is seen of power lines, by hand and in a small window."""

from typing import Any

import pytest
from playwright.sync_api import Page, Route

from map_pages import colours_at, go_near, nearest_sign, open_served
from map_samples import LAT, LON, copied, lonlat, sample_farm
from orchardmap.maps import signs

pytestmark = pytest.mark.browser

NOTE_PRINTS = """() => { window.prints = []; window.print = () => window.prints.push({
    isHere: orchardMap.app.paper.isHere(), isLaid: orchardMap.app.paper.isLaid,
    words: document.querySelector(".paper-words").textContent }); }"""
LACKS = "some rows had not arrived yet"


class SlowLine:
    """Holds back what is known of rows until it is to be delivered."""

    def __init__(self, page: Page) -> None:
        self.held: list[Route] = []
        self.is_open = False
        page.route("**/state*", self.hear)

    def hear(self, route: Route) -> None:
        if self.is_open:
            route.continue_()
        else:
            self.held.append(route)

    def deliver(self) -> None:
        self.is_open = True
        while self.held:
            self.held.pop().continue_()


def near_unread(page: Page) -> None:
    """Look at a place where rows are drawn, and do not wait for what is known of them."""
    page.evaluate(
        "([lon, lat]) => void orchardMap.app.map.setView([lat, lon], 17.5, {animate: false})", [LON, LAT]
    )
    page.wait_for_function("() => orchardMap.app.canvasLayer.hasNear && !orchardMap.app.paper.isHere()")


@pytest.mark.parametrize("keys", ["Control+p", "Meta+p"])
def test_the_keys_that_print_wait_until_the_rows_are_here(watched, serve, keys):
    line = SlowLine(watched)
    open_served(watched, serve(sample_farm(6)).address)
    watched.evaluate(NOTE_PRINTS)
    near_unread(watched)
    watched.keyboard.press(keys)
    watched.wait_for_timeout(600)
    assert watched.evaluate("window.prints") == [], "nothing is printed while rows are on their way"
    watched.keyboard.press(keys)  # once is enough
    line.deliver()
    watched.wait_for_function("() => window.prints.length > 0")
    watched.wait_for_timeout(300)
    (told,) = watched.evaluate("window.prints")
    assert told["isHere"]
    assert told["isLaid"]
    assert LACKS not in told["words"]
    watched.wait_for_function("() => !orchardMap.app.paper.isLaid")


def test_a_sheet_from_the_browsers_menu_says_that_rows_are_missing_and_only_then(watched, serve):
    """The menu does not wait for anybody: what is not there is said on the sheet itself."""
    line = SlowLine(watched)
    open_served(watched, serve(sample_farm(6)).address)
    near_unread(watched)
    said = "() => document.querySelector('.paper-words').textContent"
    for event, is_missing in (("beforeprint", True), ("afterprint", None)):
        watched.evaluate("(event) => window.dispatchEvent(new Event(event))", event)
        if is_missing is not None:
            assert LACKS in watched.evaluate(said)
    line.deliver()
    go_near(watched, zoom=17.5, lonlat=(LON, LAT))
    watched.wait_for_function("() => orchardMap.app.paper.isHere()")
    watched.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")
    assert LACKS not in watched.evaluate(said)
    watched.evaluate("() => window.dispatchEvent(new Event('afterprint'))")


@pytest.mark.parametrize("ends", [((-300, 20), (300, 25)), ((10, -300), (5, 300))], ids=["across", "upright"])
def test_a_power_line_is_wide_says_its_voltage_and_is_not_hidden_by_its_name(watched, serve, ends):
    sample: Any = copied(sample_farm(6))
    line = {"type": "LineString", "coordinates": [lonlat(*one) for one in ends]}
    sample.features = {
        "features": [],
        "power_lines": [{"id": "l", "name": "Pump line", "kv": 11.0, "geometry": line}],
    }
    open_served(watched, serve(sample).address)
    go_near(watched, zoom=17.5, lonlat=(LON, LAT))
    found = watched.evaluate(
        "() => { const {canvasLayer: layer} = orchardMap.app; layer.redraw(); return layer.labels; }"
    )
    (label,) = [one for one in found if one["words"] == "Pump line 11 kV"]
    spots = [
        tuple(a + share / 40 * (b - a) for a, b in zip(*line["coordinates"], strict=True))
        for share in range(8, 33)
    ]
    dark = [one for one in colours_at(watched, spots) if one and nearest_sign(one) == signs.INK]
    assert len(dark) >= 20, "of 25 places; a bud or a number may stand on it"
    west, north, east, south = label["box"]
    on_page = watched.evaluate(
        """(spots) => { const {view} = orchardMap.app.canvasLayer;
        return spots.map(([lon, lat]) => [orchardMap.worldX(lon) * view.scale - view.x, orchardMap.worldY(lat) * view.scale - view.y]); }""",
        [list(one) for one in spots],
    )
    assert not [at for at in on_page if west < at[0] < east and north < at[1] < south]


@pytest.mark.parametrize("size", [(390, 844), (390, 640), (360, 560)])
def test_a_block_gone_to_on_a_telephone_is_seen_beside_its_card(watched, serve, size):
    watched.set_viewport_size({"width": size[0], "height": size[1]})
    open_served(watched, serve(sample_farm(6)).address)
    watched.evaluate("() => orchardMap.app.goTo(orchardMap.app.list[2], false)")
    watched.wait_for_timeout(400)
    watched.evaluate(
        "() => orchardMap.app.goTo(orchardMap.app.list[2], false)"
    )  # by now its card has its height
    zoom, x, y, high, wide = watched.evaluate(
        """() => { const {map, list} = orchardMap.app; const [lon, lat] = list[2].facts.lonlat;
        const at = map.latLngToContainerPoint([lat, lon]); const size = map.getSize();
        return [map.getZoom(), at.x, at.y, size.y, size.x]; }"""
    )
    card = watched.locator("#orchard-card").bounding_box()
    frame = watched.locator("#orchard-main").bounding_box()
    assert 14 < zoom < 19.5
    assert 0 < x < wide
    assert 0 < y < max(high - card["height"], 0.5 * high), (y, high, card, frame)
