"""The page: asks for nothing from outside, accessible, and no name of anybody's runs."""

import json
from pathlib import Path

import folium
import folium.plugins
import pytest
from playwright.sync_api import Page

from map_pages import noted, open_file, open_served
from map_samples import Sample, block_id, copied, sample_farm, weak_area
from orchardmap.errors import InputError, UnknownError
from orchardmap.maps.offline import OfflineFigure, PlainMap
from orchardmap.maps.page import MapConfig, asset_files, content_security_policy, map_file, map_page

AXE = Path(__file__).parents[2] / "web" / "node_modules" / "axe-core" / "axe.min.js"
PAYLOADS = {
    "img": '<img src=x onerror="window.__ran.push(1)">',
    "script": "</script><script>window.__ran.push(2)</script>",
    "dollar": "${window.__ran.push(3)}{{ 7*7 }}",
    "backtick": "`;window.__ran.push(4);//'\"",
}


def hostile(payload: str) -> Sample:
    sample = copied(sample_farm(3))
    sample.farm["name"] = f"farm {payload}"
    facts = sample.overview["blocks"][1]
    facts.update(code=f"code {payload}", name=f"name {payload}", variety=f"variety {payload}")
    closed = {"until": "2026-02-13T06:00:00+01:00", "reason": f"reason {payload}"}
    facts["closed"] = closed
    state = sample.states[block_id(1)]
    state["crews"][0]["name"] = f"crew {payload}"
    state["runs"] = [[2, 1, 5, 1, 0]]
    failed = [f"key {payload}", "named"]
    state["checks"] = [
        [
            "c",
            2,
            3,
            "faulty",
            "2026-02-10",
            f"auditor {payload}",
            f"note {payload}",
            True,
            None,
            failed,
            False,
            False,
        ]
    ]
    state["point_words"] = {"named": f"sentence {payload}"}
    area = weak_area(sample.shapes[block_id(1)], (1, 3), (2, 6), state["checks"])
    area["odds_words"] = f"odds {payload}"
    area["points"] = [{"key": "named", "sentence": f"point {payload}", "failed": 1}]
    area["crews"] = [{"crew_id": "c1", "crew": f"gang {payload}", "checked": 1, "faulty": 1}]
    state["weak"] = [area]
    return sample


def read_everything(page: Page) -> str:
    """Open every place where a name is shown, and return what can be read there."""
    page.get_by_role("button", name="Table", exact=True).click()
    read: str = page.locator("#orchard-table").inner_text()
    page.get_by_role("button", name="Table", exact=True).click()
    for row in ("null", "2"):
        page.evaluate(
            f"""async () => {{ const {{app}} = orchardMap; const block = app.list[1];
            await app.wantShape(block); await app.wantState(block);
            app.goTo(block); app.select({{block, row: block.shape.byNumber.get({row})}}); }}"""
        )
        page.wait_for_timeout(400)
        read += page.locator("#orchard-card").inner_text()
    page.locator("#orchard-card").get_by_role("button", name="row", exact=False).click()
    read += page.locator("#orchard-card").inner_text()
    page.evaluate("orchardMap.app.showLayer('quality')")
    read += "\n".join(page.locator("#orchard-checks option").all_text_contents())
    return read + page.locator("#orchard-head h1").inner_text() + page.title()


@pytest.mark.browser
@pytest.mark.parametrize("payload", PAYLOADS.values(), ids=PAYLOADS)
@pytest.mark.parametrize("mode", ["served", "file"])
def test_hostile_names_are_shown_and_never_run(mode, payload, watched, troubles, serve, tmp_path):
    sample = hostile(payload)
    if mode == "served":
        open_served(watched, serve(sample, farm_name=sample.farm["name"]).address)
    else:
        open_file(watched, tmp_path, sample)
    read = read_everything(watched)
    for place in (
        *("farm", "code", "name", "variety", "reason", "crew", "auditor", "note"),
        *("key", "sentence", "odds", "point", "gang"),
    ):
        assert f"{place} {payload}" in read, place
    assert noted(watched, "__ran") == []
    assert noted(watched, "__violations") == []
    assert troubles == []


@pytest.mark.browser
def test_served_page_asks_its_own_origin_only(watched, asked, troubles, serve):
    service = serve()
    open_served(watched, service.address)
    assert asked
    assert [url for url in asked if not url.startswith(service.address)] == []
    assert noted(watched, "__violations") == []
    assert troubles == []


@pytest.mark.browser
def test_file_opens_from_disk_without_any_request(watched, asked, tmp_path):
    watched.context.set_offline(True)
    open_file(watched, tmp_path, sample_farm(40))
    assert [url for url in asked if not url.startswith("file:")] == []
    assert len(asked) == 1
    drawn = watched.evaluate(
        "() => { const c = orchardMap.app.canvasLayer.canvas;"
        "return c.getContext('2d').getImageData(0, 0, c.width, c.height).data.some((v) => v > 0); }"
    )
    assert drawn
    assert watched.evaluate("orchardMap.app.canvasLayer.rings.length") == 40
    assert noted(watched, "__violations") == []


@pytest.mark.browser
def test_policy_of_the_file_stops_a_script_that_was_not_in_it(watched, tmp_path):
    # proves that the hashes are in force, so that the tests above can fail
    open_file(watched, tmp_path, sample_farm(2))
    watched.evaluate(
        "() => { const tag = document.createElement('script'); tag.textContent = 'window.__ran.push(9)';"
        "document.body.append(tag); }"
    )
    assert noted(watched, "__ran") == []
    assert noted(watched, "__violations")


def violations(page: Page) -> list[tuple[str, list[str]]]:
    """Return what axe finds on the page: rule, and the elements that break it."""
    found = page.evaluate("axe.run()")
    return [(rule["id"], [node["html"][:120] for node in rule["nodes"]]) for rule in found["violations"]]


@pytest.mark.browser
@pytest.mark.parametrize("size", [(1280, 800), (1440, 900)], ids=["tablet", "desktop"])
@pytest.mark.parametrize("mode", ["served", "file"])
def test_axe_finds_nothing(mode, size, watched, serve, tmp_path):
    if not AXE.exists():
        pytest.fail("axe-core is missing: run npm ci in web/")
    watched.set_viewport_size({"width": size[0], "height": size[1]})
    if mode == "served":
        open_served(watched, serve().address)
    else:
        open_file(watched, tmp_path, sample_farm(6))
    watched.evaluate(AXE.read_text(encoding="utf-8"))
    for opened in ("", "Table"):
        if opened:
            watched.get_by_role("button", name=opened, exact=True).click()
        watched.evaluate("orchardMap.app.select({block: orchardMap.app.list[0]})")
        assert violations(watched) == []
    watched.get_by_label("Quality").check()
    watched.evaluate(
        """async () => { const {app} = orchardMap; const block = app.list[2];
        await app.wantShape(block); await app.wantState(block); app.goToArea(block, block.areas[0]); }"""
    )
    assert watched.get_by_role("heading", name="A3, weak area").is_visible()
    assert violations(watched) == []


def test_map_page_twice_is_the_same_page():
    config = MapConfig(farm_id="f")
    assert map_page(config, nonce="n") == map_page(config, nonce="n")


def test_map_page_unknown_layer_is_refused():
    with pytest.raises(InputError, match="no layer"):
        map_page(MapConfig(farm_id="f", layer="weather"), nonce="n")


def test_map_page_every_running_script_carries_the_nonce():
    text = map_page(MapConfig(farm_id="f"), nonce="abc")
    tags = [part.split(">")[0] for part in text.split("<script")[1:]]
    assert [tag for tag in tags if "application/json" not in tag and 'nonce="abc"' not in tag] == []
    assert "http://" not in text
    assert "https://" not in text


def test_map_page_allows_zooming_by_hand():
    text = map_page(MapConfig(farm_id="f"), nonce="n")
    assert "user-scalable" not in text
    assert "maximum-scale" not in text
    assert '<html lang="en">' in text


def test_offline_figure_unknown_link_is_refused():
    figure = OfflineFigure()
    chart = PlainMap()
    figure.add_child(chart)
    chart.add_child(folium.plugins.Fullscreen())
    with pytest.raises(UnknownError, match="from outside"):
        figure.render()


def test_offline_figure_leaves_other_maps_as_they_were():
    map_page(MapConfig(farm_id="f"), nonce="n")
    assert dict(folium.Map().default_js)["leaflet"].startswith("https://")


def test_map_file_data_cannot_end_its_own_element():
    sample = sample_farm(1)
    text = map_file(sample.overview, {}, {}, features={}, farm_name="</script><!--", day="2026-02-12")
    inside = text.split('id="orchard-config">')[1].split("</script>")[0]
    assert json.loads(inside)["farm_name"] == "</script><!--"


def test_asset_files_names_follow_their_bytes():
    for path, (content, kind) in asset_files().items():
        assert path.startswith("/assets/")
        assert content
        assert kind.split(";")[0] in {"text/javascript", "text/css", "application/json"}
        assert b"sourceMappingURL" not in content


def test_content_security_policy_names_the_tile_host_only_when_set():
    assert "https:" not in content_security_policy("n")
    assert "img-src 'self' data: https://*.tiles.example;" in content_security_policy(
        "n", tile_url="https://{s}.tiles.example/{z}/{x}/{y}.png"
    )


@pytest.mark.parametrize(
    ("address", "host"),
    [
        ("https://{s}.tiles.example/{z}/{x}/{y}.png", "https://*.tiles.example"),
        ("http://10.0.0.5:8080/{z}/{x}/{y}.png", "http://10.0.0.5:8080"),
        ("", None),
    ],
)
def test_policy_lets_pictures_in_from_the_tile_host_and_from_nowhere_else(address, host):
    policy = dict(
        part.strip().split(" ", 1) for part in content_security_policy("n", tile_url=address).split(";")
    )
    assert policy["img-src"].split() == ["'self'", "data:", *([host] if host else [])]
    assert [key for key, sources in policy.items() if host and host in sources] == (
        ["img-src"] if host else []
    )
