"""The manager's ten seconds: on the Overview of the demo, made today and served, the code and figure of every block can be read on the map."""

from contextlib import closing
from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Page

from orchardmap.demo.build import build_demo
from orchardmap.demo.season import ZONE
from orchardmap.store.session import open_store, sqlite_url
from signing import manages_too

# the demo is made for it: what frames of this size show is tested with each commit (`test_map_far_words.py`)
pytestmark = [pytest.mark.browser, pytest.mark.nightly]

SHOWN = """() => { const app = window.orchardMap?.app; return Boolean(app?.overview && app.ground.length
  && !document.getElementById("orchard").classList.contains("loading") && app.list.every((block) => block.shape && !block.shapeAsked)); }"""
SAID = """(layer) => { const {app} = orchardMap, {canvasLayer} = app; app.showLayer(layer); canvasLayer.redraw();
  const [west, north, east, south] = canvasLayer.view.seen, {labels} = canvasLayer;
  const seen = new Set(labels.filter(({box}) => box[0] >= west && box[1] >= north && box[2] <= east && box[3] <= south).map(({words}) => words));
  const meet = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];
  return {blocks: app.list.length, without: app.list.map(({facts}) => canvasLayer.wordsOf(facts).join(" ")).filter((words) => !seen.has(words)),
    met: labels.filter((one, i) => labels.some((other, j) => j > i && meet(one.box, other.box))).map(({words}) => words)}; }"""


def test_every_block_of_the_demo_has_its_code_and_figure_on_the_overview(
    tablet: Page, own_service: Any
) -> None:
    """At 1280 x 800, the smallest screen of the office: all 32 were measured. With other closures, weak areas and checks (60 drawn at random) it was 57 times all and 3 times all but one."""
    now = datetime.now(UTC)
    own_service.stop()
    with closing(open_store(sqlite_url(own_service.database))) as store:
        farm = build_demo(store, today=now.astimezone(ZONE).date(), now=now).farm_id
        manages_too(store, "manager", farm, now=now)
    own_service.start()
    tablet.goto(f"{own_service.address}/")
    frame = tablet.locator("iframe.map-frame").element_handle().content_frame()
    assert frame is not None
    frame.wait_for_function(SHOWN, timeout=60_000)
    for layer, may_lack in (("progress", 0), ("quality", 1), ("remaining", 1)):
        told = frame.evaluate(SAID, layer)
        assert told["blocks"] == 32
        assert len(told["without"]) <= may_lack, (layer, told["without"])
        assert told["met"] == [], layer
