"""Rows on the map: split where the crew stopped, tapped where meant, fresh when marked. Numbers by hand."""

from typing import Any

import pytest
from playwright.sync_api import Page

from map_pages import colour_at, colours_at, go_near, open_file, open_served, screen_point
from map_samples import LAT, LON, POINTS, block_id, lonlat, one_block, sample_farm, weak_area
from orchardmap.maps import signs

pytestmark = pytest.mark.browser


def row(n: int, y_m: float, *, p: int = 11, e: float = 0.0) -> dict[str, Any]:
    """A row of 100 m from west to east."""
    return {"n": n, "p": p, "e": e, "line": [(-50.0, y_m), (50.0, y_m)]}


def ends_m(page: Page, number: int) -> list[Any]:
    """Return each stretch of a row as (kind, first, last, start, end), metres from the row's first end."""
    found: list[Any] = page.evaluate(
        """(number) => { const block = orchardMap.app.list[0]; const row = block.shape.byNumber.get(number);
        const origin = row.parts[0].xy; const whole = row.parts[row.parts.length - 1].xy;
        const metre = Math.hypot(whole[whole.length - 2] - origin[0], whole[whole.length - 1] - origin[1]) / 100;
        const off = (x, y) => Math.round(1000 * Math.hypot(x - origin[0], y - origin[1]) / metre) / 1000;
        return orchardMap.stretches(row, orchardMap.runsOf(block, number)).map((s) => [s.kind, s.first, s.last,
          off(s.xy[0], s.xy[1]), off(s.xy[s.xy.length - 2], s.xy[s.xy.length - 1])]); }""",
        number,
    )
    return found


def test_row_is_split_midway_between_last_pruned_tree_and_next(watched, tmp_path):
    # 11 positions on 100 m, no end offset: trees at 0, 10, ... 100 m; the crew stopped at tree 4 (30 m),
    # tree 5 stands at 40 m, so the line changes at 35 m
    open_file(watched, tmp_path, one_block([row(1, 0.0)], [[1, 1, 4, 1, 0]]))
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    assert ends_m(watched, 1) == [
        [1, 1, 4, pytest.approx(0, abs=0.05), pytest.approx(35, abs=0.05)],
        [0, 5, 11, pytest.approx(35, abs=0.05), pytest.approx(100, abs=0.05)],
    ]
    # 5 cm for the 1e-7 degree grid of the shape document; the pixels say the same
    assert colour_at(watched, lonlat(-50 + 34.5, 0.0)) == signs.PRUNED
    assert colour_at(watched, lonlat(-50 + 35.5, 0.0)) != signs.PRUNED


def test_row_end_offset_moves_the_trees_and_the_split(watched, tmp_path):
    # 11 positions, 5 m end offset: trees at 5, 14, 23, 32, 41 ... 95 m; midway between 32 and 41 is 36.5 m
    open_file(watched, tmp_path, one_block([row(1, 0.0, e=5.0)], [[1, 1, 4, 1, 0]]))
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    # the offset is turned into map units on a sphere, 0.3 % off at most: 5 m * 0.003 = 0.015 m
    assert [s[4] for s in ends_m(watched, 1)] == [pytest.approx(36.5, abs=0.07), pytest.approx(100, abs=0.05)]


def test_row_overlap_and_again_stand_between_their_trees(watched, tmp_path):
    runs = [[1, 1, 4, 1, 0], [1, 5, 6, 2, -1], [1, 9, 11, 3, 1]]
    open_file(watched, tmp_path, one_block([row(1, 0.0)], runs))
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    made = ends_m(watched, 1)
    assert [s[:3] for s in made] == [[1, 1, 4], [2, 5, 6], [0, 7, 8], [3, 9, 11]]
    assert [s[3] for s in made] == [pytest.approx(x, abs=0.05) for x in (0, 35, 55, 75)]
    # cased: paper in the middle of the overlap; again has its own colour
    assert colour_at(watched, lonlat(-50 + 45, 0.0)) == signs.PAPER
    assert colour_at(watched, lonlat(-50 + 97, 0.0)) == signs.AGAIN


def test_row_in_parts_numbers_run_on_and_the_gap_stays_empty(watched, tmp_path):
    # parts of 40 m with 5 positions (0, 10 ... 40 m) and of 40 m from 60 m on with 5 (60 ... 100 m);
    # positions 1 to 6 pruned: the first part whole, then up to midway between 60 and 70 m = 65 m
    sample = one_block([row(1, 0.0, p=10)], [[1, 1, 6, 1, 0]])
    shape = sample.shapes[block_id(1)]
    x0, y0, x1, y1 = shape["rows"][0]["parts"][0][1]

    def at(t: float) -> list[int]:
        return [round(x0 + (x1 - x0) * t), round(y0 + (y1 - y0) * t)]

    shape["rows"][0]["parts"] = [[5, [*at(0), *at(0.4)]], [5, [*at(0.6), *at(1)]]]
    open_file(watched, tmp_path, sample)
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    made = ends_m(watched, 1)
    assert [s[:3] for s in made] == [[1, 1, 5], [1, 6, 6], [0, 7, 10]]
    assert [s[4] for s in made] == [pytest.approx(x, abs=0.05) for x in (40, 65, 100)]
    assert colour_at(watched, lonlat(0.0, 0.0)) == signs.SHEET


def test_row_counted_positions_override_the_rule(watched, tmp_path):
    # the rule says 11, the count 21: trees every 5 m; tree 4 at 15 m, tree 5 at 20 m, split at 17.5 m
    sample = one_block([row(1, 0.0)], [[1, 1, 4, 1, 0]])
    sample.shapes[block_id(1)]["rows"][0] |= {"p": 21, "counted": True}
    open_file(watched, tmp_path, sample)
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    assert ends_m(watched, 1)[0][4] == pytest.approx(17.5, abs=0.05)


def test_check_stands_as_a_bud_at_its_position(watched, tmp_path):
    sample = one_block([row(1, 0.0)], [[1, 1, 11, 1, 0]])
    sample.states[block_id(1)]["checks"] = [
        ["c", 1, 6, "meets", "2026-02-10", "Orla", "", True],
        # gone over again since, and another auditor's second look: no bud
        ["d", 1, 7, "meets", "2026-02-10", "Orla", "", True, None, [], True, False],
        ["e", 1, 5, "meets", "2026-02-10", "Orla", "", True, None, [], False, True],
    ]
    open_file(watched, tmp_path, sample)
    go_near(watched, zoom=21, lonlat=(LON, LAT))
    # position 6 of 11 on 100 m is at 50 m, the middle of the block; the bud is ink, the row is not
    assert colour_at(watched, lonlat(0.0, 0.0)) == signs.INK
    for x_m in (5.0, 10.0, -10.0):
        assert colour_at(watched, lonlat(x_m, 0.0)) == signs.PRUNED
    watched.evaluate(
        "() => { const [block] = orchardMap.app.list; orchardMap.app.select({block, row: block.shape.byNumber.get(1)}); }"
    )
    words = watched.locator("#orchard-card").inner_text()
    assert (
        "position 7: tree meets the brief, Tue, 10 Feb 2026, Orla, before the tree was gone over again"
        in words
    )
    assert "position 5: tree meets the brief, Tue, 10 Feb 2026, Orla, second look" in words


def test_weak_area_is_hatched_over_its_rows_said_in_words_and_checks_shown_by_point_and_crew(
    watched, tmp_path
):
    # rows 4 m apart with trees every 10 m; the patch is rows 1 and 2 from tree 3 (20 m) to tree 9 (80 m)
    rows = [row(n, 8.0 - 4.0 * n) for n in range(1, 5)]
    sample = one_block(rows, [[n, 1, 11, 1, n % 2] for n in range(1, 5)])
    state = sample.states[block_id(1)]
    state["checks"] = [
        ["a", 1, 6, "faulty", "2026-02-10", "Orla", "", True, None, ["stubs"], False, False],
        ["b", 4, 6, "meets", "2026-02-10", "Orla", "", True, None, [], False, False],
    ]
    state["weak"] = [weak_area(sample.shapes[block_id(1)], (1, 2), (3, 9), state["checks"])]
    sample.overview["blocks"][0]["weak"] = 1
    open_file(watched, tmp_path, sample)
    # 4 m are 19.6 px at zoom 19, so a tap means the patch and no row yet
    go_near(watched, zoom=19, lonlat=(LON, LAT))

    def met(x_m: range, y_m: float) -> set[str]:
        seen = colours_at(watched, [lonlat(x / 4, y_m) for x in x_m])
        return {key for key in ("ink", "sheet", "pruned") if signs.PALETTE[key] in seen}

    # between the two rows hatching is met every few metres, on a row too, and the row is seen through it
    inside, beside = range(-100, 100), range(130, 190)
    assert met(inside, 2.0) == {"ink", "sheet"}
    assert {"ink", "pruned"} <= met(inside, 0.0)
    assert met(beside, 2.0) == {"sheet"}
    assert met(beside, 0.0) == {"pruned"}
    assert tap(watched, -15.0, 2.0) == ["K1", None]
    card = watched.locator("#orchard-card")
    for words in (
        "K1, weak area",
        "1 of 1 faulty; chance alone: 1 in 1,000",
        "rows 1 to 2, positions 3 to 9",
        POINTS["stubs"],
        "Larches: 1 of 1 faulty",
    ):
        assert words in card.inner_text()
    # the block's card leads there by keyboard, from far as well
    tap(watched, 0.0, -9.0)
    card.get_by_role("button", name="rows 1 to 2, positions 3 to 9").press("Enter")
    assert "K1, weak area" in card.inner_text()
    watched.keyboard.press("Escape")

    def buds(choice: str) -> list[str]:
        watched.get_by_label("Checks").select_option(label=choice)
        said: list[str] = watched.evaluate(
            "() => orchardMap.app.list[0].state.checks.map((c) => orchardMap.signOf(orchardMap.app, orchardMap.app.list[0], c))"
        )
        return said

    assert watched.get_by_label("Checks").is_hidden()
    watched.get_by_label("Quality").check()
    assert buds("all") == ["faulty", "meets"]
    assert buds(POINTS["stubs"]) == ["faulty", "dot"]
    assert buds("Rooks") == ["faulty", ""]
    assert buds("Larches") == ["", "meets"]
    watched.get_by_label("Remaining").check()
    # the block's card has the map glide to the area: until it stands, pixels are those of the way there
    watched.wait_for_function(
        "() => { const { canvasLayer, glide, map } = orchardMap.app;"
        " return !canvasLayer.waiting && !glide.isOn && !(map._panAnim && map._panAnim._inProgress); }"
    )
    assert met(inside, 2.0) == {"sheet"}


def test_closed_block_is_dotted_where_it_is_not_pruned(watched, tmp_path):
    sample = one_block([row(1, 0.0)], [[1, 1, 4, 1, 0]])
    sample.overview["blocks"][0]["closed"] = {"until": "2026-02-13T06:00:00+01:00", "reason": "spray"}
    open_file(watched, tmp_path, sample)
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    keys = watched.evaluate(
        "() => { const {app} = orchardMap; const found = app.canvasLayer.stretchesIn(app.list[0], app.canvasLayer.view, true);"
        "return Object.entries(found).filter(([, s]) => s.length).map(([key]) => key); }"
    )
    assert keys == ["closed", "pruned"]


def tap(page: Page, x_m: float, y_m: float) -> list[Any]:
    page.mouse.click(*screen_point(page, lonlat(x_m, y_m)))
    chosen: list[Any] = page.evaluate(
        "() => { const s = orchardMap.app.selected; return s && [s.block.facts.code, s.row ? s.row.number : null]; }"
    )
    return chosen


def test_tap_takes_the_nearest_row_where_rows_are_far_apart(watched, tmp_path):
    # rows 4 m apart at 47 degrees north: 0.1491 m / px * cos(47) at zoom 20 = 0.1018 m, so 39 px apart
    rows = [row(n, 8.0 - 4.0 * n) for n in range(1, 4)]
    open_file(watched, tmp_path, one_block(rows, []))
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    assert tap(watched, -20.0, 4.0) == ["K1", 1]
    assert tap(watched, -20.0, 2.3) == ["K1", 1]
    assert tap(watched, -20.0, 1.7) == ["K1", 2]
    assert tap(watched, -20.0, -3.2) == ["K1", 3]
    assert tap(watched, -20.0, 20.0) == ["K1", None]


def test_tap_takes_the_block_where_rows_are_too_close(watched, tmp_path):
    # the same at zoom 18: 4 m are 9.8 px, under the 24 px of WCAG 2.2 SC 2.5.8
    rows = [row(n, 8.0 - 4.0 * n) for n in range(1, 4)]
    open_file(watched, tmp_path, one_block(rows, []))
    go_near(watched, zoom=18, lonlat=(LON, LAT))
    assert tap(watched, -20.0, 4.0) == ["K1", None]


def test_mark_of_another_tablet_shows_within_four_seconds(watched, serve):
    # polled every 2 s; only the touched block is asked for again
    service = serve(one_block([row(1, 0.0)], [[1, 1, 4, 1, 0]]))
    open_served(watched, service.address)
    go_near(watched, zoom=20, lonlat=(LON, LAT))
    place = lonlat(-50 + 60, 0.0)
    assert colour_at(watched, place) != signs.PRUNED
    service.sample.states[block_id(1)]["runs"] = [[1, 1, 11, 1, 0]]
    service.sample.overview["blocks"][0]["pruned"] = 11
    service.asked.clear()
    service.change(block_id(1), 1)
    watched.wait_for_function("() => orchardMap.runsOf(orchardMap.app.list[0], 1)[0][2] === 11", timeout=4000)
    watched.wait_for_timeout(100)
    assert colour_at(watched, place) == signs.PRUNED
    assert not [path for path in service.asked if "/shape" in path]
    assert len([path for path in service.asked if "/state" in path]) == 1


def test_service_gone_is_said_and_the_map_stays(watched, serve):
    service = serve()
    open_served(watched, service.address)
    service.is_down = True
    watched.wait_for_function(
        "() => document.getElementById('orchard-status').textContent !== ''", timeout=5000
    )
    assert watched.evaluate("orchardMap.app.list.length") == 6
    service.is_down = False
    watched.wait_for_function(
        "() => document.getElementById('orchard-status').textContent === ''", timeout=6000
    )


def test_day_before_asks_for_that_day_and_never_beyond_today(watched, serve):
    service = serve()
    open_served(watched, service.address)
    assert watched.get_by_role("button", name="Day after").is_disabled()
    watched.get_by_role("button", name="Day before").click()
    watched.wait_for_function("() => orchardMap.app.overview.day === '2026-02-11'")
    assert any("overview?day=2026-02-11" in path for path in service.asked)
    assert (
        watched.get_by_label("Day", exact=True).and_(watched.locator("input")).input_value() == "2026-02-11"
    )


def test_layers_are_chosen_by_keyboard_and_change_the_ring(watched, serve):
    open_served(watched, serve().address)
    watched.get_by_label("Progress").focus()
    watched.keyboard.press("ArrowRight")
    assert watched.evaluate("orchardMap.app.layer") == "quality"
    assert watched.locator("#ring-words").inner_text() == signs.VIEWS["quality"][1]
    watched.keyboard.press("ArrowRight")
    assert watched.evaluate("orchardMap.app.layer") == "remaining"


def test_shapes_are_fetched_once_and_only_for_blocks_in_view(watched, serve):
    service = serve(sample_farm(60))
    open_served(watched, service.address)
    facts = service.sample.overview["blocks"][0]
    go_near(watched, zoom=19, lonlat=tuple(facts["lonlat"]))
    go_near(watched, zoom=18.75, lonlat=tuple(facts["lonlat"]))
    shapes = [path for path in service.asked if "/shape" in path]
    states = [path for path in service.asked if "/state" in path]
    assert len(shapes) == len(set(shapes))
    assert 0 < len(states) < 10


def test_ring_closes_clockwise_from_north_by_the_share_of_trees(watched, tmp_path):
    sample = one_block([row(1, 0.0, p=100)], [[1, 1, 50, 1, 0]], half_m=400.0)
    open_file(watched, tmp_path, sample)
    watched.evaluate(f"void orchardMap.app.map.setView([{LAT}, {LON}], 15, {{animate: false}})")
    # shape of one row has no pitch to speak of; look at the ring where the page drew it
    ring = watched.evaluate(
        """() => { const {canvasLayer: layer} = orchardMap.app; layer.isNear = () => false; layer.redraw();
        const {x, y, radius} = layer.rings[0]; const dots = window.devicePixelRatio;
        const look = (turn) => { const at = turn * 2 * Math.PI - Math.PI / 2;
          const [r, g, b] = layer.ctx.getImageData(Math.round((x + radius * Math.cos(at)) * dots),
            Math.round((y + radius * Math.sin(at)) * dots), 1, 1).data;
          return "#" + [r, g, b].map((v) => v.toString(16).padStart(2, "0")).join("").toUpperCase(); };
        return [0.02, 0.25, 0.48, 0.52, 0.75, 0.98].map(look); }"""
    )
    # half the trees: pruned from north (0) over east (0.25) to south (0.5), not beyond
    assert ring[:3] == [signs.PRUNED] * 3
    assert signs.PRUNED not in ring[3:]
