"""Code and figure of every block from far, on the demo farm in frames as large as the Overview's: as many as there is room for, plainly each block's own."""

from itertools import combinations
from typing import Any

import pytest
from playwright.sync_api import Page
from shapely import Point, box, unary_union
from shapely.geometry import shape

from demo_sample import demo_sample
from map_pages import open_served
from map_samples import Sample

pytestmark = pytest.mark.browser

LAYERS = ("progress", "quality", "remaining")
FRAMES = {"1280x800": (706, 440), "1440x900": (797, 540), "1024x768": (560, 432)}
"""Screen, and how large the map's frame is on the Overview there (measured)."""

LOOK = """(layer) => { const {app} = orchardMap, {canvasLayer} = app; app.showLayer(layer); canvasLayer.redraw();
  const {view} = canvasLayer;
  return {labels: canvasLayer.labels, seen: view.seen, covers: view.covers, at: [view.x, view.y],
    rings: canvasLayer.rings.map(({block, x, y, radius}) => ({code: block.facts.code, x, y, radius,
      words: canvasLayer.wordsOf(app.look.factsOf(block)).join(" "), closed: Boolean(block.facts.closed)})),
    scale: view.scale}; }"""
WAIT = """() => orchardMap.app.list.every((block) => block.shape && !block.shapeAsked) && orchardMap.app.ground.length > 0"""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Sample:
    """The demo farm in the middle of its season, as the service tells it."""
    return demo_sample(tmp_path_factory)


def open_frame(page: Page, address: str, size: tuple[int, int]) -> None:
    """Open the framed map and wait for outlines and features."""
    page.set_viewport_size({"width": size[0], "height": size[1]})
    open_served(page, address)
    page.wait_for_function(WAIT)


def meet(a: list[float], b: list[float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def holds(a: list[float], b: list[float]) -> bool:
    return a[0] <= b[0] and a[1] <= b[1] and b[2] <= a[2] and b[3] <= a[3]


def outlines(page: Page) -> dict[str, Any]:
    """Return the ground of each block in pixels of the canvas."""
    told = page.evaluate(
        """() => { const {app} = orchardMap, {view} = app.canvasLayer; return app.list.map(({facts, shape}) => [facts.code,
        [...shape.rings].map((xy) => Array.from({length: xy.length / 2}, (_, i) => [xy[2 * i] * view.scale - view.x, xy[2 * i + 1] * view.scale - view.y]))]); }"""
    )
    return {
        code: unary_union([shape({"type": "Polygon", "coordinates": [ring]}) for ring in rings])
        for code, rings in told
    }


def assert_plain(page: Page, told: dict[str, Any], foreign_share: float) -> None:
    """No words meet others, a ring, a button or the edge; none stand by more than a share on others' ground, or nearer to others' rings."""
    labels, rings = told["labels"], {ring["code"]: ring for ring in told["rings"]}
    assert [(a["words"], b["words"]) for a, b in combinations(labels, 2) if meet(a["box"], b["box"])] == []
    assert [one["words"] for one in labels for cover in told["covers"] if meet(one["box"], cover)] == []
    shown = [one for one in labels if meet(one["box"], told["seen"])]
    assert [one["words"] for one in shown if not holds(told["seen"], one["box"])] == [], "cut by the edge"
    grounds = outlines(page)
    for one in labels:
        code, words = one["words"].split(" ")[0], box(*one["box"])
        if code not in rings:  # the name of a track or the like
            continue
        away = {
            other: words.distance(Point(ring["x"], ring["y"])) - ring["radius"]
            for other, ring in rings.items()
        }
        assert min(away.values()) > 0, f"{one['words']} stands on a ring"
        assert min(away, key=lambda other: away[other]) == code, (
            f"{one['words']} is nearer to another block's ring"
        )
        foreign = sum(words.intersection(ground).area for other, ground in grounds.items() if other != code)
        assert foreign <= foreign_share * words.area, f"{one['words']} stands on another block's ground"


def complete(told: dict[str, Any]) -> list[str]:
    """Return the codes of the blocks that have all their words where they are seen."""
    said = {one["words"] for one in told["labels"] if holds(told["seen"], one["box"])}
    return [ring["code"] for ring in told["rings"] if ring["words"] in said]


# 1280x800 and 1440x900: all 32 blocks; before words and rings were seated together 15, 24, 16 and 27, 29, 28 of them on the three layers.
# 1024x768: 31 px from block to block do not hold all; 30, 28 and 30 were measured (before 9, 12, 11), with room for another font.
# A block as small as L5 has no ground as wide as its words there: up to 0.4 of them lie upon others' (reckoned in slices).
@pytest.mark.parametrize(
    ("screen", "least", "foreign_share"),
    [("1280x800", 32, 0.3), ("1440x900", 32, 0.3), ("1024x768", 26, 0.45)],
)
def test_blocks_have_code_and_figure_on_the_overview(screen, least, foreign_share, watched, serve, demo):
    open_frame(watched, serve(demo, embedded=True).address, FRAMES[screen])
    for layer in LAYERS:
        told = watched.evaluate(LOOK, layer)
        assert len(told["rings"]) == 32
        done = complete(told)
        assert len(done) >= least, (layer, sorted({ring["code"] for ring in told["rings"]} - set(done)))
        assert_plain(watched, told, foreign_share)
        radii = [ring["radius"] for ring in told["rings"]]
        assert (min(radii) >= 6, max(radii) >= 11) == (True, True), "rings that say something"


def test_rings_and_words_keep_their_place_from_layer_to_layer_from_day_to_day_and_while_the_map_is_dragged(
    watched, serve, demo
):
    """What each word says changes with layer and day, and how wide it is; where it stands does not. Only what comes under a button or the edge moves."""
    open_frame(watched, serve(demo, embedded=True).address, FRAMES["1280x800"])
    told = {layer: watched.evaluate(LOOK, layer) for layer in LAYERS}
    first = told["progress"]
    places = [(ring["code"], ring["x"], ring["y"], ring["radius"]) for ring in first["rings"]]
    for layer in LAYERS[1:]:
        assert [
            (ring["code"], ring["x"], ring["y"], ring["radius"]) for ring in told[layer]["rings"]
        ] == places

    watched.evaluate(
        """() => { const {app} = orchardMap; app.take({...app.overview, blocks: app.overview.blocks.map((facts, i) =>
        ({...facts, pruned: Math.floor(facts.trees * ((7 * i) % 11) / 10)}))}); }"""
    )
    later = watched.evaluate(LOOK, "progress")
    assert {ring["words"] for ring in later["rings"]} != {ring["words"] for ring in first["rings"]}
    assert [(ring["code"], ring["x"], ring["y"], ring["radius"]) for ring in later["rings"]] == places
    assert len(complete(later)) == 32

    stay = 0
    for step in ([23, 0], [0, 17], [-41, -9], [30, 26]):
        before = watched.evaluate(LOOK, "progress")
        watched.evaluate(
            "(by) => { orchardMap.app.map.panBy(by, {animate: false}); orchardMap.app.canvasLayer.redraw(); }",
            step,
        )
        after = watched.evaluate(LOOK, "progress")
        moved = [before["at"][0] - after["at"][0], before["at"][1] - after["at"][1]]
        now = {one["words"]: one["box"] for one in after["labels"]}
        codes = {ring["words"] for ring in before["rings"]}
        for one in before["labels"]:
            there = [value + moved[i % 2] for i, value in enumerate(one["box"])]
            wide = [there[0] - 24, there[1], there[2] + 24, there[3]]  # its seat has room for wider words
            is_clear = holds(after["seen"], wide) and not any(meet(wide, cover) for cover in after["covers"])
            if one["words"] not in codes or not is_clear:
                continue
            stay += 1
            assert now.get(one["words"]) == pytest.approx(there, abs=0.01), one["words"]
    assert stay > 100


def test_words_keep_off_the_brook_where_another_place_is_free(watched, serve, demo):
    """Line of the brook against the words of the blocks along it, on the whole map at 1440 x 900: none stands on it."""
    open_frame(watched, serve(demo, embedded=True).address, FRAMES["1440x900"])
    told = watched.evaluate(LOOK, "progress")
    brook = watched.evaluate(
        """() => { const {app} = orchardMap, {view} = app.canvasLayer; return app.ground.filter(({name}) => name === "Ottle Brook").flatMap(({lines}) =>
        lines.map((xy) => Array.from({length: xy.length / 2}, (_, i) => [xy[2 * i] * view.scale - view.x, xy[2 * i + 1] * view.scale - view.y]))); }"""
    )
    assert brook
    line = unary_union([shape({"type": "LineString", "coordinates": part}) for part in brook])
    codes = {ring["code"] for ring in told["rings"]}
    named = [one for one in told["labels"] if one["words"].split(" ")[0] in codes]
    assert [one["words"] for one in named if box(*one["box"]).intersects(line)] == []
