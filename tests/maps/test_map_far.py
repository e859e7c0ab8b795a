"""The map from far: what a ring says in each layer, how large it is, how far one can wander."""

import math
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from map_pages import colour_at, go_near, nearest_sign, open_file, open_served, ring_colours, rings
from map_samples import LAT, LON, Sample, block_id, copied, lonlat, one_block, sample_farm
from orchardmap.maps import signs

pytestmark = pytest.mark.browser

ALL_ROUND = [i / 16 for i in range(16)]


def row(n: int, y_m: float) -> dict[str, Any]:
    """A row of 100 m and 100 positions from west to east."""
    return {"n": n, "p": 100, "e": 0.0, "line": [(-50.0, y_m), (50.0, y_m)]}


def far_block(**facts: Any) -> Sample:
    """A farm of one block of one row, whose facts from far are set by hand."""
    sample = one_block([row(1, 0.0)], [], half_m=400.0)
    sample.overview["blocks"][0] |= facts
    return sample


def open_far(page: Page, folder: Any, sample: Sample, layer: str = "progress") -> None:
    """Open a file and look at it from so far that blocks are rings."""
    open_file(page, folder, sample)
    page.evaluate(
        "(layer) => { const {app} = orchardMap; app.canvasLayer.isNear = () => false; app.showLayer(layer); }",
        layer,
    )


@pytest.mark.parametrize("size", [(1280, 800), (700, 520)], ids=["page", "frame"])
def test_radius_is_one_factor_times_the_root_of_trees(size, watched, tmp_path):
    # so that the legend's "the larger the ring, the more trees" holds, whatever a block's outline
    watched.set_viewport_size({"width": size[0], "height": size[1]})
    sample = copied(sample_farm(16))
    for i, facts in enumerate(sample.overview["blocks"]):
        facts["trees"] = 400 + 137 * ((5 * i) % 16)
    open_far(watched, tmp_path, sample)
    factors = [ring["radius"] / math.sqrt(ring["trees"]) for ring in rings(watched).values()]
    assert len(factors) == 16
    assert factors == [pytest.approx(factors[0], rel=1e-9)] * 16


def test_radius_never_grows_against_the_trees_even_where_the_least_is_held(watched, tmp_path):
    sample = copied(sample_farm(12))
    for i, facts in enumerate(sample.overview["blocks"]):
        facts["trees"] = 20 * 2**i
    open_far(watched, tmp_path, sample)
    drawn = sorted(rings(watched).values(), key=lambda ring: ring["trees"])
    radii = [ring["radius"] for ring in drawn]
    assert radii == sorted(radii)
    assert radii[0] >= 6
    assert radii[-1] > 3 * radii[0]


def test_blocks_far_apart_keep_rings_that_can_be_read_and_a_second_tap_goes_there(watched, serve):
    # 40 km between them: each outline is a speck, the rings are not
    sample = copied(sample_farm(2))
    facts = sample.overview["blocks"][1]
    shape = sample.shapes[block_id(1)]
    facts["lonlat"][0] += 0.5
    facts["bbox"] = [facts["bbox"][0] + 0.5, facts["bbox"][1], facts["bbox"][2] + 0.5, facts["bbox"][3]]
    shape["origin"][0] += 0.5
    for ring in shape["outline"]["coordinates"]:
        ring[:] = [[lon + 0.5, lat] for lon, lat in ring]
    open_served(watched, serve(sample).address)
    found = rings(watched)
    assert min(ring["radius"] for ring in found.values()) >= 12
    assert all(ring["figure"].endswith("%") for ring in found.values())
    at = found[facts["code"]]
    watched.mouse.click(at["x"], at["y"])
    assert watched.get_by_role("button", name="Go to the block").is_visible()
    watched.mouse.click(at["x"], at["y"])
    watched.wait_for_function(
        "(id) => { const {app} = orchardMap; return app.canvasLayer.isNear(app.byId.get(id)); }",
        arg=block_id(1),
    )
    # the card goes when the zoom has ended, which may be a moment later
    expect(watched.get_by_role("button", name="Go to the block")).to_be_hidden()


def test_zoom_and_wandering_have_limits(watched, tmp_path):
    open_file(watched, tmp_path, sample_farm(12))
    state = """() => { const {map} = orchardMap.app; return {zoom: map.getZoom(), least: map.getMinZoom(),
      most: map.getMaxZoom(), wheel: map.options.wheelPxPerZoomLevel}; }"""
    at_rest = watched.evaluate(state)
    assert at_rest["zoom"] - at_rest["least"] == pytest.approx(1)
    assert (at_rest["most"], at_rest["wheel"]) == (21, 120)
    watched.evaluate("void orchardMap.app.map.setZoom(0, {animate: false})")
    assert watched.evaluate(state)["zoom"] == at_rest["least"]
    watched.evaluate("void orchardMap.app.map.setZoom(30, {animate: false})")
    assert watched.evaluate(state)["zoom"] == 21
    watched.evaluate("orchardMap.app.showAll(false)")
    box = watched.locator("#orchard-main").bounding_box()
    assert box is not None
    for _ in range(4):
        watched.mouse.move(box["x"] + 600, box["y"] + 300)
        watched.mouse.down()
        watched.mouse.move(box["x"] + 120, box["y"] + 300, steps=4)
        watched.mouse.up()
    watched.wait_for_timeout(400)
    assert rings(watched)


def across_line(page: Page) -> list[set[str]]:
    """Return, all round, the legend's colours that pixels on the way across the ring's line are nearest to."""
    lines = [
        ring_colours(page, "K1", ALL_ROUND, share_of_radius=part) for part in (0.95, 0.98, 1.0, 1.02, 1.05)
    ]
    return [{nearest_sign(colour) for colour in met} for met in zip(*lines, strict=True)]


def test_remaining_shows_a_finished_block_as_a_thin_solid_ring_and_says_done(watched, tmp_path):
    open_far(watched, tmp_path, far_block(trees=100, pruned=100), "remaining")
    assert rings(watched)["K1"]["figure"] == "done"
    assert [signs.PRUNED in seen for seen in across_line(watched)] == [True] * 16
    assert not any(signs.TO_PRUNE in seen for seen in across_line(watched))
    # thin: a pixel or two beside the middle of the line there is wood, not line
    assert ring_colours(watched, "K1", [0.25], share_of_radius=0.88) == [signs.SHEET]


def test_remaining_shows_what_is_left_in_the_colour_of_work_to_do(watched, tmp_path):
    open_far(watched, tmp_path, far_block(trees=100, pruned=50), "remaining")
    assert rings(watched)["K1"]["figure"] == "50"
    seen = across_line(watched)
    assert any(signs.TO_PRUNE in colours for colours in seen[1:8])
    assert not any(signs.PRUNED in colours for colours in seen[1:8])
    assert all(signs.PRUNED in colours for colours in seen[9:])


@pytest.mark.parametrize(
    ("pruned", "verdict", "has_pith"), [(0, "not_begun", False), (0, "too_few", False), (40, "too_few", True)]
)
def test_block_not_begun_has_no_pith(pruned, verdict, has_pith, watched, tmp_path):
    open_far(watched, tmp_path, far_block(trees=100, pruned=pruned, verdict=verdict))
    # the half pith of "too few checks" is ink left of the middle
    seen = ring_colours(watched, "K1", [0.75], share_of_radius=0.15)
    assert seen == [signs.INK if has_pith else signs.SHEET]


def test_block_not_begun_is_said_in_words(watched, tmp_path):
    open_far(
        watched, tmp_path, far_block(trees=100, pruned=0, verdict="not_begun", must_check=None, may_fail=None)
    )
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    words = watched.locator("#orchard-card").inner_text()
    assert "not begun" in words
    assert "too few" not in words


def test_block_judged_in_part_has_a_core_for_a_pith_and_says_of_how_many_trees(watched, tmp_path):
    """The core is ink in the middle, and paper left of it where "too few checks" is ink; gone over is told apart."""
    facts = {"pruned": 2060, "uninspected": 2000, "checked": 23, "faulty": 0, "drawn": 23, "drawn_faulty": 0}
    facts |= {"faulty_gone_over": 5, "must_check": 23, "may_fail": 2}
    open_far(watched, tmp_path, far_block(trees=2100, verdict="accepted_in_part", **facts))
    assert ring_colours(watched, "K1", [0.75], share_of_radius=0.02) == [signs.INK]
    assert ring_colours(watched, "K1", [0.75], share_of_radius=0.24) == [signs.SHEET]
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    words = watched.locator("#orchard-card").inner_text()
    assert "accepted as far as judged: 60 of 2,060 trees" in words
    assert "drawn 23, 5 were faulty, gone over since" in words


def test_quality_counts_drawn_trees_alone_like_the_verdict(watched, tmp_path):
    facts = {"pruned": 100, "checked": 181, "faulty": 26, "drawn": 148, "drawn_faulty": 7, "must_check": 125}
    sample = far_block(trees=100, verdict="accepted", may_fail=10, **facts)
    open_far(watched, tmp_path, sample, "quality")
    assert rings(watched)["K1"]["figure"] == "7/148"
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    words = watched.locator("#orchard-card").inner_text()
    assert "drawn 148, 7 faulty (at most 10)" in words
    assert "33 more, 19 faulty; outside the verdict" in words
    watched.get_by_role("button", name="Table", exact=True).click()
    assert "7 of 148 (at most 10)" in watched.locator("#orchard-table").inner_text()


def test_block_without_a_lot_promises_no_number_of_trees_to_draw(watched, tmp_path):
    """What the crew's last lots ask is known to the plan alone: it may want more than the farm's first guess."""
    seen = {"pruned": 100, "checked": 1, "faulty": 0, "drawn": 0, "drawn_faulty": 0, "must_check": 13}
    open_far(watched, tmp_path, far_block(trees=100, verdict="too_few", may_fail=1, **seen), "quality")
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    words = watched.locator("#orchard-card").inner_text()
    assert "none drawn" in words
    assert "13" not in words


def test_quality_bars_of_faulty_trees_end_where_the_share_ends(watched, tmp_path):
    facts = {"checked": 40, "faulty": 10, "drawn": 40, "drawn_faulty": 10, "verdict": "send_back"}
    open_far(watched, tmp_path, far_block(trees=100, pruned=100, **facts), "quality")
    around = [i / 200 for i in range(200)]
    seen = ring_colours(watched, "K1", around, share_of_radius=1.2)
    barred = [turn for turn, colour in zip(around, seen, strict=True) if nearest_sign(colour) == signs.AGAIN]
    # a quarter of the drawn trees faulty: bars from north to east, none beyond
    assert barred
    assert max(barred) <= 0.26
    assert max(barred) >= 0.2


def room_of_labels(page: Page) -> list[tuple[float, float, float]]:
    """Return how far each label is from all that is drawn of its own ring (0 on its own ground), from that ring's line, and from the nearest of the others'."""
    told: list[tuple[float, float, float]] = page.evaluate(
        """() => { const {canvasLayer: layer} = orchardMap.app; const said = []; const write = layer.writeLabel;
        layer.writeLabel = (it, box, taken) => { said.push([it.block, box]); write.call(layer, it, box, taken); };
        layer.redraw(); delete layer.writeLabel;
        return said.map(([block, [left, top, right, bottom]]) => {
          const away = ({x, y, radius}) => Math.hypot(Math.max(left - x, 0, x - right), Math.max(top - y, 0, y - bottom)) - radius;
          const own = layer.rings.find((ring) => ring.block === block);
          const drawn = orchardMap.reachOf(own.radius, layer.ringOf(block.facts)) - own.radius;
          const at = ([x, y]) => orchardMap.isInside(block.shape, (x + layer.view.x) / layer.view.scale, (y + layer.view.y) / layer.view.scale);
          const isHome = at([(left + right) / 2, (top + bottom) / 2]);
          return [isHome ? 0 : away(own) - drawn, away(own), Math.min(...layer.rings.filter((ring) => ring !== own).map(away))]; }); }"""
    )
    return told


def test_a_label_stands_at_its_own_ring_and_well_away_from_any_other(watched, tmp_path):
    # narrow blocks side by side, rings of many sizes: words under the wrong ring say that another block is done
    watched.set_viewport_size({"width": 640, "height": 480})
    sample = copied(sample_farm(28, parcel_m=(95.0, 190.0)))
    for i, facts in enumerate(sample.overview["blocks"]):
        facts |= {"trees": 300 + 700 * ((5 * i) % 7), "drawn": 20}
    open_far(watched, tmp_path, sample)
    for layer in ("progress", "quality"):
        watched.evaluate("(layer) => orchardMap.app.showLayer(layer)", layer)
        room = room_of_labels(watched)
        assert len(room) >= 8
        assert all(0 <= gap < 5 and others > own + 2 for gap, own, others in room)


def test_quality_labels_work_to_send_back_first(watched, tmp_path):
    sample = copied(sample_farm(6))
    for facts in sample.overview["blocks"]:
        facts |= {"verdict": "accepted", "drawn": 20, "drawn_faulty": 0}
    sample.overview["blocks"][4] |= {"verdict": "send_back", "drawn_faulty": 9, "trees": 50}
    open_far(watched, tmp_path, sample, "quality")
    order = watched.evaluate(
        """() => { const {canvasLayer: layer} = orchardMap.app; const said = [];
        layer.nameRing = (it) => said.push(it.block.facts.verdict); layer.redraw(); return said; }"""
    )
    assert order[0] == "send_back"
    assert len(order) == 6


def test_overlap_and_trees_to_go_over_again_mark_the_ring_and_a_weak_area_stands_beside_it(watched, tmp_path):
    plain = ring_colours_after(watched, tmp_path, overlap=0)
    assert signs.INK not in plain
    notched = ring_colours_after(watched, tmp_path, overlap=19)
    assert notched.count(signs.INK) >= 2
    assert signs.AGAIN not in notched
    ticked = ring_colours_after(watched, tmp_path, again=12, weak=1)
    # the ring keeps what is pruned: ticks stand in the west, outside its line; it is closed all round
    west = [i / 400 for i, colour in enumerate(ticked) if colour == signs.AGAIN]
    assert west
    assert 0.65 < min(west) <= max(west) < 0.85
    assert all(signs.PRUNED in colours for colours in across_line(watched))
    assert signs.INK in square_colours(watched)
    watched.get_by_role("button", name="Table", exact=True).click()
    cells = watched.locator("#orchard-table tbody td").all_inner_texts()
    assert cells[5:] == ["1", "12"]
    watched.evaluate("orchardMap.app.showLayer('remaining')")
    assert signs.INK not in square_colours(watched)


def square_colours(page: Page) -> set[str]:
    """Return the colours north-west of the ring, where the square of a weak area has its place."""
    parts = [1 + i / 40 for i in range(30)]
    return {ring_colours(page, "K1", [0.875], share_of_radius=part)[0] for part in parts}


def ring_colours_after(page: Page, folder: Any, **facts: Any) -> list[str]:
    """Return the colours all round just outside the line of a block pruned to the last tree."""
    open_far(page, folder, far_block(trees=100, pruned=100, verdict="accepted", **facts))
    return ring_colours(page, "K1", [i / 400 for i in range(400)], share_of_radius=1.2)


def test_closed_block_has_a_dotted_ring_and_no_way_to_mark_rows(watched, serve):
    closed = {"until": "2026-02-13T06:00:00+01:00", "reason": "spray re-entry"}
    open_served(watched, serve(far_block(trees=100, pruned=100, closed=closed)).address)
    watched.evaluate("orchardMap.app.canvasLayer.isNear = () => false")
    radius = rings(watched)["K1"]["radius"]
    outside = (radius + max(2.6, radius * 0.32) / 2 + 4) / radius
    dots = ring_colours(watched, "K1", [i / 400 for i in range(400)], share_of_radius=outside)
    assert dots.count(signs.CLOSED) > 20
    assert dots.count(signs.SHEET) > 20
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    card = watched.locator("#orchard-card")
    assert "Nobody may enter" in card.inner_text()
    assert card.get_by_role("link", name="Mark rows").count() == 0


def test_overlap_stays_wide_and_sound_buds_give_way_among_close_rows(watched, tmp_path):
    # rows 4 m apart at zoom 18 are 9.8 px apart: under the 10 px at which sound buds are drawn
    sample = one_block([row(n, 8.0 - 4.0 * n) for n in range(1, 4)], [[n, 1, 100, 1, 0] for n in (1, 3)])
    state = sample.states[block_id(1)]
    state["runs"] += [[2, 1, 40, 1, 0], [2, 41, 60, 2, -1], [2, 61, 100, 1, 1]]
    state["checks"] = [["c", 1, 50, "meets", "2026-02-10", "", "", True]]
    open_file(watched, tmp_path, sample)
    go_near(watched, zoom=18, lonlat=(LON, LAT))
    assert colour_at(watched, lonlat(0.0, 0.0)) == signs.PAPER
    # 0.406 m a pixel: 1.4 m off the middle is 3.4 px, still on a rail of the overlap; a pruned row is 3.5 px wide
    assert colour_at(watched, lonlat(0.0, 1.4)) == signs.PRUNED
    assert colour_at(watched, lonlat(-40.0, 1.4)) != signs.PRUNED
    bud = lonlat(-50 + 100 * 49 / 99, 4.0)
    assert colour_at(watched, bud) == signs.PRUNED
    watched.evaluate("orchardMap.app.showLayer('quality')")
    watched.wait_for_timeout(100)
    assert colour_at(watched, bud) == signs.INK


def test_turning_the_tablet_fits_the_farm_again_unless_somebody_looked_elsewhere(watched, tmp_path):
    open_file(watched, tmp_path, sample_farm(12))
    assert watched.locator("#orchard-legend").is_visible()
    watched.set_viewport_size({"width": 800, "height": 1280})
    watched.wait_for_timeout(500)
    assert watched.locator("#orchard-legend").is_hidden()
    inside = "() => orchardMap.app.map.getBounds().contains(orchardMap.app.extent.bounds())"
    assert watched.evaluate(inside)
    assert len(rings(watched)) + watched.evaluate("orchardMap.app.canvasLayer.rings.length") >= 12
    place = sample_farm(12).overview["blocks"][0]["lonlat"]
    go_near(watched, zoom=19, lonlat=tuple(place))
    watched.set_viewport_size({"width": 1280, "height": 800})
    watched.wait_for_timeout(500)
    assert watched.evaluate("orchardMap.app.map.getZoom()") == 19


def test_one_panel_at_a_time_where_there_is_room_for_one(watched, tmp_path):
    watched.set_viewport_size({"width": 800, "height": 1000})
    open_file(watched, tmp_path, sample_farm(4))
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    panels = {name: watched.locator(f"#orchard-{name}") for name in ("card", "legend", "table")}

    def shown() -> list[str]:
        return [name for name, panel in panels.items() if panel.is_visible()]

    assert shown() == ["card"]
    watched.get_by_role("button", name="Legend", exact=True).click()
    assert shown() == ["legend"]
    watched.get_by_role("button", name="Table", exact=True).click()
    assert shown() == ["table"]
    panels["table"].get_by_role("button").first.click()
    assert shown() == ["card"]


def test_escape_puts_away_what_lies_over_the_map(watched, tmp_path):
    open_file(watched, tmp_path, sample_farm(4))
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    watched.get_by_role("button", name="Table", exact=True).click()
    for panel in ("table", "card", "legend"):
        assert watched.locator(f"#orchard-{panel}").is_visible()
        watched.keyboard.press("Escape")
        assert watched.locator(f"#orchard-{panel}").is_hidden()


def test_table_keeps_words_and_numbers_whole_and_lies_above_the_scale(watched, serve):
    open_served(watched, serve(sample_farm(12)).address)
    watched.get_by_role("button", name="Table", exact=True).click()
    heights = watched.evaluate(
        """() => [...document.querySelectorAll("#orchard-table thead th, #orchard-table td:nth-child(n+3):nth-child(-n+7)")]
        .map((cell) => { const range = document.createRange(); range.selectNodeContents(cell);
          return range.getClientRects().length; })"""
    )
    assert max(heights) == 1
    over = watched.evaluate(
        """() => { const box = document.getElementById("orchard-table").getBoundingClientRect();
        return document.getElementById("orchard-table").contains(document.elementFromPoint(box.left + 20, box.bottom - 12)); }"""
    )
    assert over


def test_a_table_over_the_map_is_printed_whole_and_gives_way_to_the_block_chosen_in_it(watched, serve):
    """Thirty blocks do not fit on the screen: on paper the last one stands there all the same, and no map."""
    with watched.expect_request(lambda request: "/state" in request.url) as asked:
        open_served(watched, serve(sample_farm(30)).address, f"?lang=es&block={block_id(7)}")
    assert "lang=es" in asked.value.url
    watched.get_by_role("button", name="Table", exact=True).click()
    table = watched.locator("#orchard-table")
    cut = "(box) => box.scrollHeight > box.clientHeight"
    assert table.evaluate(cut)
    watched.emulate_media(media="print")
    assert not table.evaluate(cut)
    assert watched.locator("#orchard-side").is_hidden()
    watched.emulate_media(media="screen")
    table.get_by_role("button").last.click()
    assert table.is_hidden()


def test_address_and_framing_page_say_which_block_to_go_to(watched, serve):
    service = serve(sample_farm(12))
    open_served(watched, service.address, f"?block={block_id(7)}")
    chosen = "() => orchardMap.app.selected && orchardMap.app.selected.block.id"
    assert watched.evaluate(chosen) == block_id(7)
    watched.evaluate("(id) => window.postMessage({orchardmap: 'go to block', block: id}, '*')", block_id(3))
    watched.wait_for_function(f"() => ({chosen})() === '{block_id(3)}'")
    # a page of another origin is not listened to
    watched.evaluate(
        """(id) => window.dispatchEvent(new MessageEvent("message", {origin: "https://other.example",
        data: {orchardmap: "go to block", block: id}}))""",
        block_id(5),
    )
    assert watched.evaluate(chosen) == block_id(3)
    # and which weak area of it, once the block's state is there; the card leads to the page on quality
    area = service.sample.states[block_id(2)]["weak"][0]["id"]
    watched.goto(f"{service.address}/map?block={block_id(2)}&area={area}")
    link = watched.get_by_role("link", name="Quality of the block")
    assert link.get_attribute("href") == f"/quality?block={block_id(2)}&part=weak"
    assert watched.get_by_role("heading", name="A3, weak area").is_visible()
    # however little of the frame the card leaves, the patch is near enough to be drawn
    watched.set_viewport_size({"width": 740, "height": 560})
    # the map hears of its new size a moment later
    watched.wait_for_function("() => orchardMap.app.map.getSize().x <= 740")
    watched.evaluate(
        "(id) => { const {app} = orchardMap; app.showLayer('quality'); app.goToNamed(id, app.selected.area); }",
        block_id(2),
    )
    drawn = "() => { const {app} = orchardMap; return app.canvasLayer.areasIn(app.selected.block, app.canvasLayer.view).length; }"
    watched.wait_for_function(f"() => orchardMap.app.canvasLayer.hasNear && ({drawn})() === 1")


def test_framed_map_leaves_its_heading_out_and_its_links_lead_out_of_the_frame(watched, serve):
    watched.set_viewport_size({"width": 740, "height": 560})
    open_served(watched, serve(sample_farm(12), embedded=True).address)
    head = watched.locator("#orchard-head").bounding_box()
    assert head is not None
    assert head["height"] < 64
    # the wheel is the page's that frames it; with Ctrl it is the map's
    watched.evaluate(
        """() => { const {map} = orchardMap.app; window.zooms = []; map.on("zoomstart", () => window.zooms.push(1)); window.wheel = (ctrlKey) =>
        map.getContainer().dispatchEvent(new WheelEvent("wheel", {deltaY: -200, ctrlKey, bubbles: true, cancelable: true, clientX: 300, clientY: 300})); }"""
    )
    assert watched.evaluate("wheel(false)") is True, "left to the page"
    assert watched.evaluate("wheel(true)") is False, "taken by the map"
    watched.wait_for_function("() => window.zooms.length === 1")
    assert watched.get_by_role("heading", level=1).count() == 1
    watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
    for link in watched.locator("#orchard-card a").all():
        assert link.get_attribute("target") == "_top"
    assert watched.locator("#orchard-card a").count() == 2


def many_blocks(count: int = 169) -> Sample:
    """A farm of more blocks than are seated with care, on a grid, of very unlike numbers of trees."""
    sample = copied(sample_farm(count))
    for i, facts in enumerate(sample.overview["blocks"]):
        facts["trees"] = 300 + 4000 * ((7 * i) % 13 == 0) + 137 * ((5 * i) % 17)
    return sample


def test_of_many_blocks_no_words_stand_under_the_ring_of_another(watched, tmp_path):
    """There they would be taken for its own. Before, at three zooms of a farm of 600 blocks, 22 of 684 words stood so under rings that had none."""
    watched.set_viewport_size({"width": 1440, "height": 900})
    open_far(watched, tmp_path, many_blocks())
    said = 0
    for more in (0.0, 0.4, 0.8, 1.2):
        watched.evaluate(
            "(by) => { const {app} = orchardMap; app.showAll(false); app.map.setZoom(app.map.getZoom() + by, {animate: false}); }",
            more,
        )
        words, bare = watched.evaluate(
            """() => { const {canvasLayer: layer} = orchardMap.app; layer.redraw();
            const of = ({words}) => words.split(" ")[0], named = layer.labels.map(of);
            const under = ({box: [west, north, east]}, {x, y, radius}) => west < x && east > x && north > y && north - y - radius < 16;
            return [named.length, layer.labels.filter((one) => layer.rings.some((ring) => ring.block.facts.code !== of(one) && under(one, ring))).map(of)]; }"""
        )
        assert bare == [], more
        said += words
    assert said > 60


def test_seats_are_not_worked_out_again_while_nothing_changes_nor_at_a_zoom_that_was_there(watched, tmp_path):
    """Neither words measured, nor rings, nor seats: a pan of a farm of 600 blocks spent 1.2 ms on it at each paint."""
    open_far(watched, tmp_path, many_blocks())
    watched.evaluate(
        """() => { window.asked = []; for (const name of ["ringFactor", "planFar"]) { const was = orchardMap[name];
        orchardMap[name] = (...all) => { window.asked.push(name); return was(...all); }; } orchardMap.app.canvasLayer.redraw(); window.asked.length = 0; }"""
    )
    pan = "orchardMap.app.map.panBy([30, 10], {animate: false}); orchardMap.app.canvasLayer.redraw();"
    to = "(by) => { const {map} = orchardMap.app; map.setZoom(map.getZoom() + by, {animate: false}); return window.asked.splice(0); }"
    assert watched.evaluate(f"() => {{ {pan} {pan} {pan} return window.asked.splice(0); }}") == []
    assert "planFar" in watched.evaluate(to, 0.5)
    assert "planFar" not in watched.evaluate(to, -0.5)
    # but a block that has other trees is another ground
    told = watched.evaluate(
        """() => { const {app} = orchardMap; app.take({...app.overview, blocks: app.overview.blocks.map((facts, i) => (i ? facts : {...facts, trees: 9000}))});
        app.canvasLayer.redraw(); return window.asked.splice(0); }"""
    )
    assert "planFar" in told
