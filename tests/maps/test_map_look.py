"""What the map is asked to show: by the page that frames it, by its address, by a link that was copied."""

from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import Page, Route, expect

from map_pages import READY, go_near, open_served, ring_colours
from map_samples import block_id, sample_farm
from orchardmap.maps import signs

pytestmark = pytest.mark.browser

SAY = "(look) => window.postMessage({orchardmap: 'look', ...look}, location.origin)"


def asked_of(page: Page) -> dict[str, str]:
    """Return the query of the page's address."""
    return {name: values[0] for name, values in parse_qs(urlsplit(page.url).query).items()}


def test_a_framing_page_changes_what_is_looked_at_without_a_reload(watched, serve, troubles):
    """Blocks, crew and day: what is not of it stands back, the heading counts what is shown, and words say so."""
    sample = sample_farm(12)
    sample.farm["crews"] = [{"id": "c2", "name": "Rooks"}]
    service = serve(sample)
    open_served(watched, service.address)
    facts = {block["id"]: block for block in sample.overview["blocks"]}
    done = [block["code"] for block in facts.values() if block["pruned"] == block["trees"]]
    kept, back = done[0], done[1]
    kept_id = next(key for key, block in facts.items() if block["code"] == kept)
    watched.evaluate(SAY, {"day": None, "blocks": [kept_id], "crew": None})
    note = watched.locator("#orchard-look")
    expect(note).to_contain_text("Shown: 1 of 12 blocks.")
    expect(watched.locator(".figures")).to_contain_text("0 trees left")
    assert ring_colours(watched, kept, [0.5]) == [signs.PRUNED]
    assert ring_colours(watched, back, [0.5]) != [signs.PRUNED]
    watched.get_by_role("button", name="Table", exact=True).click()
    expect(watched.locator("#orchard-table tbody tr")).to_have_count(1)
    watched.get_by_role("button", name="Table", exact=True).click()
    watched.evaluate(SAY, {"day": "2026-02-05", "blocks": None, "crew": "c2"})
    expect(note).to_contain_text("Rows pruned by Rooks stand out")
    watched.wait_for_function("() => orchardMap.app.overview.day === '2026-02-05'")
    # its rows and its checks alone are drawn in full
    go_near(watched, zoom=19, lonlat=facts[kept_id]["lonlat"])
    told = watched.evaluate(
        """(id) => { const {app} = orchardMap; const block = app.byId.get(id);
        return block.shape.rows.map((row) => [row.number, app.look.ownStretches(block, row).length]); }""",
        kept_id,
    )
    rooks = {run[0] for run in sample.states[kept_id]["runs"] if run[4] == 1 or run[3] == 2}
    assert {number for number, count in told if count} == rooks
    # another origin is not listened to, and the page itself was fetched once
    watched.evaluate(
        """() => window.dispatchEvent(new MessageEvent("message", {origin: "https://other.example",
        data: {orchardmap: "look", blocks: [], crew: null}}))"""
    )
    assert watched.evaluate("orchardMap.app.look.crew") == "c2"
    assert len([path for path in service.asked if path.startswith("/map")]) == 1
    watched.get_by_role("button", name="Show all").click()
    expect(note).to_be_hidden()
    assert troubles == []


def test_what_is_said_while_the_map_still_reads_its_farm_is_kept(watched, serve):
    """The frame has loaded, its farm is still on its way: what the page chose in between holds, the last word of it."""
    service = serve(sample_farm(12))
    held: list[Route] = []
    watched.route("**/farms/*/overview*", lambda route: route.continue_() if held else held.append(route))
    watched.goto(f"{service.address}/map?farm=f&lang=en", wait_until="load")
    while not held:
        watched.wait_for_timeout(20)
    watched.evaluate(SAY, {"blocks": [block_id(1)], "crew": None})
    watched.evaluate(SAY, {"blocks": [block_id(1), block_id(2)], "crew": None})
    watched.wait_for_timeout(50)
    held[0].continue_()
    expect(watched.locator("#orchard-look")).to_contain_text("Shown: 2 of 12 blocks.")


def test_the_address_follows_and_shows_the_same_when_opened_anew(watched, serve):
    """Place, day, layer, what is picked and what is looked at; the copied link keeps today's day tomorrow."""
    sample = sample_farm(12)
    service = serve(sample)
    open_served(watched, service.address, "?farm=f&lang=en")
    key, other = block_id(2), block_id(5)
    go_near(watched, zoom=19.3, lonlat=sample.overview["blocks"][2]["lonlat"])
    watched.get_by_role("radio", name="Remaining").check()
    watched.evaluate(SAY, {"day": "2026-02-03", "blocks": [key, other], "crew": "c1"})
    watched.evaluate(
        """(id) => { const {app} = orchardMap; const block = app.byId.get(id);
        app.select({block, row: block.shape.byNumber.get(4)}); }""",
        key,
    )
    watched.wait_for_url("**&row=4*")
    said = asked_of(watched)
    assert {name: said[name] for name in ("farm", "lang", "layer", "day", "block", "row", "crew")} == {
        "farm": "f", "lang": "en", "layer": "remaining", "day": "2026-02-03", "block": key, "row": "4", "crew": "c1",
    }  # fmt: skip
    assert said["blocks"] == f"{key},{other}"
    state = """() => { const {app} = orchardMap; const {lat, lng} = app.map.getCenter(); return {zoom: app.map.getZoom(), lat, lng,
        layer: app.layer, row: app.selected && app.selected.row && app.selected.row.number, blocks: [...app.look.blocks], crew: app.look.crew}; }"""
    before = watched.evaluate(state)
    service.config |= {
        "day": said["day"],
        "layer": said["layer"],
    }  # the service reads these two of the address
    watched.goto(watched.url)
    watched.wait_for_function(READY)
    watched.wait_for_function("() => orchardMap.app.selected && orchardMap.app.selected.row")
    after = watched.evaluate(state)
    for name in ("lat", "lng"):
        assert after.pop(name) == pytest.approx(before.pop(name), abs=2e-6)
    assert after == before
    # plain http is no secure context elsewhere than on this machine: there the link is shown to be copied by hand
    watched.evaluate("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
    watched.get_by_role("button", name="Copy link").click()
    link = watched.get_by_label("Link to this map")
    expect(link).to_be_focused()
    assert "day=2026-02-03" in link.input_value()
    assert link.input_value().startswith(f"{service.address}/map?")
    # nonsense in an address is left aside
    watched.goto(f"{service.address}/map?at=1,2&blocks=&row=x")
    watched.wait_for_function(READY)
    assert watched.evaluate("orchardMap.app.look.isWhole && !orchardMap.app.extent.isMoved")
