"""What lies on the farm beside its blocks, words that keep out of one another's way, keys, and the sheet of paper."""

from itertools import combinations
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from shapely import Polygon, box, unary_union

from map_pages import colours_at, open_file, open_served, ring_colours
from map_samples import Sample, block_id, copied, lonlat, sample_farm
from orchardmap.maps import signs
from pdf_pages import MM, letters, opened

pytestmark = pytest.mark.browser


def with_ground(sample: Sample) -> Sample:
    """A farm with one of everything west of its blocks, and a power line across them."""
    made = copied(sample)

    def feature(kind: str, name: str, form: str, coordinates: Any) -> dict[str, Any]:
        return {
            "id": f"{kind}-{name}",
            "kind": kind,
            "name": name,
            "geometry": {"type": form, "coordinates": coordinates},
        }

    shed = [lonlat(x, y) for x, y in ((-700, 0), (-640, 0), (-640, 40), (-700, 40), (-700, 0))]
    made.features = {
        "features": [
            feature("shed", "Packing shed", "Polygon", [shed]),
            feature("gate", "Low gate", "Point", lonlat(-600, -60)),
            feature("track", "Mill lane", "LineString", [lonlat(-800, -120), lonlat(-500, -120)]),
            feature("water", "Brook", "LineString", [lonlat(-800, 120), lonlat(-500, 130)]),
            feature("other", "", "Point", lonlat(-650, -20)),
        ],
        "power_lines": [feature("", "Pump line", "LineString", [lonlat(-500, 20), lonlat(500, 25)])],
    }  # fmt: skip
    return made


def labels(page: Page) -> list[dict[str, Any]]:
    """Return the words on the canvas with their boxes, drawn anew."""
    found: list[dict[str, Any]] = page.evaluate(
        "() => { const {canvasLayer: layer} = orchardMap.app; layer.redraw(); return layer.labels; }"
    )
    return found


def on_other_ground(page: Page, found: list[dict[str, Any]]) -> list[str]:
    """Return the words of blocks whose rows are drawn that stand to a fifth or more on the ground of another block."""
    drawn: list[dict[str, Any]] = page.evaluate(
        """() => { const {app} = orchardMap, {canvasLayer: layer} = app, {x, y, scale} = layer.view;
        return layer.seenBlocks.filter((block) => block.shape).map((block) => ({code: block.facts.code, isNear: layer.isNear(block),
          outlines: block.shape.rings.map((xy) => Array.from({length: xy.length / 2}, (_, i) => [xy[2 * i] * scale - x, xy[2 * i + 1] * scale - y]))})); }"""
    )
    grounds = {one["code"]: unary_union([Polygon(ring) for ring in one["outlines"]]) for one in drawn}
    near = {one["code"] for one in drawn if one["isNear"]}
    wrong = []
    for one in found:
        code = one["words"].split("  ")[0]
        if "  " not in one["words"] or code not in near:
            continue
        words = box(*one["box"])
        others = [ground for name, ground in grounds.items() if name != code]
        if sum(words.intersection(ground).area for ground in others) > 0.2 * words.area:
            wrong.append(one["words"])
    return wrong


def meet(a: list[float], b: list[float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def test_features_are_drawn_in_ink_named_and_switched_off_but_power_lines_stay(watched, serve, troubles):
    sample = with_ground(sample_farm(6))
    open_served(watched, serve(sample).address)
    go = "([lon, lat, zoom]) => void orchardMap.app.map.setView([lat, lon], zoom, {animate: false})"
    watched.evaluate("void orchardMap.app.map.setMaxBounds(null)")
    watched.evaluate(go, [*lonlat(-640, 0), 17])
    in_shed, on_pole = lonlat(-670, 20), lonlat(-500, 20)
    assert colours_at(watched, [in_shed, on_pole]) == [signs.INK, signs.INK]
    assert {"Packing shed", "Mill lane", "Brook"} <= {label["words"] for label in labels(watched)}
    legend = watched.locator("#legend-features")
    expect(legend.get_by_text("track", exact=True)).to_be_visible()
    legend.get_by_role("checkbox", name="Show on the map").uncheck()
    watched.wait_for_url("**hide=features*")
    watched.evaluate("orchardMap.app.canvasLayer.redraw()")
    assert colours_at(watched, [in_shed, on_pole]) == ["", signs.INK], "a danger is not switched off"
    # a farm without any has no such part of the legend
    open_served(watched, serve(sample_farm(6)).address)
    expect(legend).to_be_hidden()
    assert troubles == []


def test_a_manager_draws_by_tapping_and_nobody_else_is_offered_it(watched, serve, troubles):
    """A name that is markup stays text in the list and on the map."""
    name = '<img src=x onerror="window.__ran.push(1)">${1}'
    service = serve(copied(sample_farm(4)))
    open_served(watched, service.address)
    draw = watched.get_by_role("button", name="Draw what lies on the farm")
    watched.wait_for_load_state("networkidle")
    expect(draw).to_be_hidden()
    service.role = "manager"
    open_served(watched, service.address)
    draw.click()
    panel = watched.get_by_role("region", name="Draw what lies on the farm")
    panel.get_by_label("What it is", exact=True).select_option("Pond")
    panel.get_by_label("What it is called").fill(name)
    save = panel.get_by_role("button", name="Save")
    box = watched.locator("#orchard-main").bounding_box()
    assert box is not None
    corners = [(90, 300), (130, 300), (130, 350), (400, 500)]
    for x, y in corners:
        expect(save).to_be_disabled() if (x, y) in corners[:3] else expect(save).to_be_enabled()
        watched.mouse.click(box["x"] + x, box["y"] + y, delay=20)
        watched.wait_for_timeout(300)  # sooner it would be a double tap, which zooms
    panel.get_by_role("button", name="One point back").click()
    save.click()
    expect(panel.get_by_role("button", name=f"water: {name}")).to_be_visible()
    (sent,) = service.sent
    ring = sent["geojson"]["coordinates"][0]
    assert (sent["path"], sent["kind"], sent["name"]) == ("/api/farms/farm-1/farm-features", "water", name)
    assert (len(ring), ring[0]) == (4, ring[-1])
    assert ring[0][0] < ring[1][0]
    assert ring[1][1] > ring[2][1]
    assert watched.evaluate("window.__ran") == []
    watched.keyboard.press("Escape")
    expect(panel).to_be_hidden()
    assert troubles == []


def test_no_words_meet_at_any_zoom_and_the_same_view_says_the_same(watched, tmp_path):
    """From the whole farm to single trees, what somebody must see to first; and whoever came to the view by another way reads the same."""
    sample = with_ground(sample_farm(24, parcel_m=(120.0, 110.0)))
    open_file(watched, tmp_path, sample)
    middle = sample.overview["blocks"][11]["lonlat"]
    order = watched.evaluate(
        """() => { const {canvasLayer: layer} = orchardMap.app; const said = []; const name = layer.nameRing;
        layer.nameRing = ({block: {facts}}) => said.push([facts.verdict === "send_back" || facts.overlap + facts.again + facts.weak > 0, facts.trees]);
        layer.redraw(); layer.nameRing = name; return said; }"""
    )
    needy = [trees for is_needy, trees in order if is_needy]
    rest = [trees for is_needy, trees in order if not is_needy]
    assert needy
    assert rest
    assert [trees for _, trees in order] == sorted(needy, reverse=True) + sorted(rest, reverse=True)
    seen = {}
    for zoom in (15.5, 16.3, 17.2, 19.4):
        watched.evaluate(
            "([lon, lat, zoom]) => void orchardMap.app.map.setView([lat, lon], zoom, {animate: false})",
            [*middle, zoom],
        )
        watched.wait_for_function(
            "() => orchardMap.app.canvasLayer.blocksIn(orchardMap.app.canvasLayer.view).every((block) => block.shape || !orchardMap.app.canvasLayer.hasNear)"
        )
        found = labels(watched)
        assert found
        met = [(a["words"], b["words"]) for a, b in combinations(found, 2) if meet(a["box"], b["box"])]
        assert met == [], zoom
        wide, high = watched.evaluate(
            "[orchardMap.app.canvasLayer.view.width, orchardMap.app.canvasLayer.view.height]"
        )
        cut = [
            one["words"]
            for one in found
            if not (one["box"][0] >= 0 <= one["box"][1] and one["box"][2] <= wide and one["box"][3] <= high)
        ]
        assert cut == [], zoom
        west, north, east, south = watched.evaluate("orchardMap.app.canvasLayer.view.seen")
        assert 0 < west < east < wide
        half = [
            one["words"]
            for one in found
            if meet(one["box"], [west, north, east, south])
            and not (
                west <= one["box"][0]
                and one["box"][2] <= east
                and north <= one["box"][1]
                and one["box"][3] <= south
            )
        ]
        assert half == [], f"cut by the edge of the map at zoom {zoom}"
        covers = watched.evaluate("orchardMap.app.canvasLayer.view.covers")
        assert len(covers) > watched.locator("#orchard-tools > *:visible").count() >= 1
        assert [one["words"] for one in found for box in covers if meet(one["box"], box)] == [], zoom
        assert on_other_ground(watched, found) == [], zoom
        seen[zoom] = found
    watched.evaluate("orchardMap.app.showAll(false)")
    for zoom in (17.2, 15.5):
        watched.evaluate(
            "([lon, lat, zoom]) => void orchardMap.app.map.setView([lat, lon], zoom, {animate: false})",
            [*middle, zoom],
        )
        assert labels(watched) == seen[zoom]


def test_every_block_and_row_is_reached_by_keyboard_and_said_to_those_who_listen(watched, tmp_path):
    sample = sample_farm(5)
    open_file(watched, tmp_path, sample)
    said = watched.locator("#orchard-said")
    watched.locator(".folium-map").focus()
    codes = sorted(block["code"] for block in sample.overview["blocks"])
    for code in [*codes, codes[0]]:
        watched.keyboard.press("PageDown")
        expect(said).to_contain_text(f"Picked: block {code} ")
    watched.keyboard.press("PageUp")
    expect(said).to_contain_text(f"Picked: block {codes[-1]} ")
    watched.keyboard.press("Escape")
    expect(said).not_to_contain_text("Picked")
    zoom = "orchardMap.app.map.getZoom()"
    stands = "() => !orchardMap.app.glide.isOn && orchardMap.app.glide.next === null && !orchardMap.app.extent.isMoved"
    watched.evaluate("orchardMap.app.showAll(false)")
    watched.wait_for_function(stands)
    before = watched.evaluate(zoom)
    # what is to be shown and the steps asked for after it, while the map glides: both are made good, in this order
    watched.evaluate(
        "() => { const { glide, map } = orchardMap.app; glide.zoomBy(2); orchardMap.app.showAll(); glide.zoomBy(1); }"
    )
    watched.wait_for_function(f"(before) => Math.abs({zoom} - before - 1) < 0.01", arg=before)
    watched.evaluate("orchardMap.app.showAll()")
    watched.wait_for_function(f"(before) => {zoom} === before && !orchardMap.app.glide.isOn", arg=before)
    # three steps in one go, the later ones while the map still glides: none is lost
    for _ in range(3):
        watched.keyboard.press("+")
    watched.wait_for_function(f"(before) => Math.abs({zoom} - before - 3) < 0.01", arg=before)
    watched.get_by_role("button", name="Farther").dblclick()
    watched.wait_for_function(f"(before) => Math.abs({zoom} - before - 1) < 0.01", arg=before)
    watched.locator(".folium-map").focus()
    watched.keyboard.press("Home")
    watched.wait_for_function(f"(before) => !orchardMap.app.extent.isMoved && {zoom} === before", arg=before)
    # the table holds what is in view, and the rows of what is picked; what it points at is shown before it is picked
    watched.evaluate("(id) => orchardMap.app.goTo(orchardMap.app.byId.get(id), false)", block_id(2))
    watched.get_by_role("button", name="Table", exact=True).press("Enter")
    table = watched.locator("#orchard-table")
    rows = table.locator("table.rows tbody tr")
    expect(rows).to_have_count(len(sample.shapes[block_id(2)]["rows"]))
    expect(table.locator("caption").first).to_contain_text("in view")
    rows.nth(4).get_by_role("button").focus()
    assert watched.evaluate("orchardMap.app.pointed.row.number") == 5
    watched.keyboard.press("Enter")
    expect(said).to_contain_text("row 5")
    watched.locator(".folium-map").focus()
    watched.keyboard.press("PageDown")
    expect(said).to_contain_text("row 6")
    for button in watched.locator("#orchard button:visible").all():
        box = button.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= 44, button.inner_text()


def test_the_map_prints_on_one_sheet_with_legend_scale_and_what_is_shown(watched, tmp_path):
    """As Chromium prints it; and afterwards the screen shows what it showed."""
    watched.set_viewport_size({"width": 800, "height": 1280})
    sample = with_ground(sample_farm(12))
    open_file(watched, tmp_path, sample)
    watched.evaluate("(id) => orchardMap.app.look.take({blocks: [id], crew: null})", block_id(3))
    watched.evaluate("() => { orchardMap.app.paper.sheet = 'A3'; }")
    state = "() => { const {app} = orchardMap; const {lat, lng} = app.map.getCenter(); return [lat, lng, app.map.getZoom(), app.extent.isMoved]; }"
    before = watched.evaluate(state)
    printed = watched.pdf(prefer_css_page_size=True, print_background=False)
    with opened(printed) as document:
        (sheet_drawn,) = document
        assert [side / MM for side in sheet_drawn.get_size()] == pytest.approx((297, 420), abs=1)
    (page,) = letters(printed)
    text = "".join(letter.said for letter in page)
    for words in (
        sample.farm["name"],
        "Shown: 1 of 12 blocks",
        "Thu, 12 Feb 2026",
        "Progress",
        "about 1 :",
        "on A3",
        "On the farm",
        "power line",
    ):
        assert words.replace(" ", "") in text, words
    assert "Onlywhatisinview" not in text
    watched.wait_for_function("() => !orchardMap.app.paper.isLaid")
    assert watched.evaluate(state) == pytest.approx(before, abs=1e-5)
    assert ring_colours(watched, sample.overview["blocks"][3]["code"], [0.01])
