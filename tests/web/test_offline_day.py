"""A tablet without a signal: cold start, marks, restarts and kills of the browser, a hanging service; everything arrives once."""

import re
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserType, Error, Page, expect

from browser_briefs import publish_brief
from browser_tablets import Tablet, plant_rows, wait_for_pack

pytestmark = pytest.mark.browser

VERSION = "async () => (await indexedDB.databases()).find(({ name }) => name === 'orchardmap').version"
PAIR = """
async (code) => (await fetch("/api/pair", {
  method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify({ code }),
})).status
"""
HALF_DONE = """
async ({ key, number }) => {
  const base = await new Promise((done, fail) => {
    const opening = indexedDB.open("orchardmap");
    opening.onsuccess = () => done(opening.result);
    opening.onerror = () => fail(opening.error);
  });
  const kept = await new Promise((done) => {
    const asked = base.transaction("settings").objectStore("settings").get(key);
    asked.onsuccess = () => done(asked.result);
  });
  base.close();
  return kept?.number === number;
}
"""
HALF_AN_UPGRADE = """
async () => {
  const { version } = (await indexedDB.databases()).find(({ name }) => name === "orchardmap");
  await new Promise((begun, fail) => {
    const opening = indexedDB.open("orchardmap", version + 1);
    opening.onerror = () => fail(opening.error);
    opening.onupgradeneeded = () => {
      opening.result.createObjectStore("more");
      const outbox = opening.transaction.objectStore("outbox");
      outbox.clear().onsuccess = begun;
      const goOn = () => { outbox.count().onsuccess = goOn; };
      goOn();
    };
  });
}
"""


@pytest.fixture
def own_tablet(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], tmp_path: Path
) -> Iterator[Tablet]:
    """A tablet with a profile of its own; a script of its pages that breaks fails the test."""
    tablet = Tablet(browser_type, browser_type_launch_args, tmp_path / "profile")
    yield tablet
    tablet.close()
    assert tablet.trouble == []


def begin(page: Page, service: Any, planted: dict[str, Any], block: str) -> None:
    """Open the block with a connection, until everything of it is on the tablet."""
    service.pair(page, planted["farm"], planted["crews"][0])
    page.goto(f"{service.address}/rows?block={block}")
    page.get_by_role("button", name="Read", exact=True).tap()
    wait_for_pack(page, block)


def tap_rows(page: Page, rows: range) -> None:
    for row in rows:
        page.get_by_role("button", name=re.compile(rf"^Row {row}\b")).tap()
        expect(page.locator(".row-strip").nth(row - 1)).to_contain_text("done")


def marks_of(service: Any, block: str) -> list[tuple[int, bool]]:
    return sorted((mark["row"], mark["withdrawn"]) for mark in service.get(f"/blocks/{block}/marks")["marks"])


def queue_line(page: Page) -> Any:
    return page.locator(".queue-line")


def test_a_day_without_a_service_survives_restart_and_kill_and_arrives_once(
    own_tablet: Tablet, own_service: Any, own_farm: dict[str, Any], picture: Callable[[Page, str], None]
) -> None:
    block = plant_rows(own_service, own_farm, 20)
    publish_brief(own_service, own_farm)
    page = own_tablet.start()
    begin(page, own_service, own_farm, block)
    expect(queue_line(page)).to_contain_text("All sent.")
    own_service.kill()

    tap_rows(page, range(1, 11))
    expect(queue_line(page)).to_contain_text("10 records wait on this tablet, safe.")
    expect(page.get_by_role("alert")).to_have_count(0)
    picture(page, "offline-ten-wait")
    own_tablet.close()

    page = own_tablet.start()
    started = time.monotonic()
    page.goto(f"{own_service.address}/rows?block={block}")
    expect(page.locator(".row-strip").nth(9)).to_contain_text("done")
    print(f"cold start without a service: {time.monotonic() - started:.1f} s until the rows are drawn")
    expect(page.locator(".row-strip").nth(10)).not_to_contain_text("done")
    expect(queue_line(page)).to_contain_text("10 records wait on this tablet, safe.")
    expect(page.locator(".connection")).to_contain_text("No connection: shown as of")
    expect(page.locator(".queue-line")).to_contain_text("No connection: shown as of")
    # a row-end label, opened by the tablet's own camera: its block and row, or words, and never another block
    page.goto(f"{own_service.address}/R/k2/12")
    expect(page.get_by_role("heading", name="K2")).to_be_visible()
    expect(page.get_by_role("button", name=re.compile(r"^Row 12\b"))).to_be_in_viewport()
    page.goto(f"{own_service.address}/R/k2/99")
    expect(page.get_by_text("Block K2 has no row 99: its rows go from 1 to 20.")).to_be_visible()
    page.goto(f"{own_service.address}/R/ZZ/3")
    expect(page.get_by_text("No block here goes by “ZZ”.")).to_be_visible()
    expect(page.locator(".row-strip")).to_have_count(0)
    # that list counts what only this tablet has, as the rows do; and so does the crew's day
    expect(page.get_by_role("button", name="K2 ")).to_contain_text("50\xa0% of 200 trees")
    page.get_by_role("button", name="Knock-off").tap()
    expect(page.locator(".day-work")).to_have_text("Hollow: 100 trees in 10 rows of K2.")
    # the next morning: what was read is one tap, the whole brief with its drawings is at hand, in the crew's language
    page.evaluate("(block) => localStorage.removeItem(`orchardmap.cautioned.${block}`)", block)
    page.goto(f"{own_service.address}/rows?block={block}")
    brief = page.locator(".brief")
    expect(brief).to_contain_text("Nothing has changed since")
    expect(brief.locator(".brief-points")).to_have_count(0)
    page.get_by_role("button", name="The whole brief").tap()
    page.get_by_label("Español").check()
    expect(brief.locator(".brief-sentence[lang='es']").first).to_contain_text(
        "Corte primero la madera muerta"
    )
    drawings = brief.get_by_role("img")
    assert drawings.count() == brief.locator(".brief-sentence").count() > 5
    assert drawings.last.evaluate("(drawn) => drawn.decode().then(() => drawn.naturalWidth)") > 0
    page.reload()
    expect(brief.locator(".brief-cautions")).to_contain_text("Ojos: use gafas")
    expect(brief).to_contain_text(
        "Trabaje con seguridad"
    )  # and so are the words around them, without a service
    page.get_by_role("button", name="Leído", exact=True).tap()
    page.reload()
    tap_rows(page, range(11, 21))
    # killed while a later version of the pages brings the database up to date: the outbox is emptied and not yet filled
    before = page.evaluate(VERSION)
    page.evaluate(HALF_AN_UPGRADE)
    own_tablet.kill()

    page = own_tablet.start()
    page.goto(f"{own_service.address}/rows?block={block}")
    expect(queue_line(page)).to_contain_text("20 records wait on this tablet, safe.")
    assert page.evaluate(VERSION) == before
    own_service.start()
    expect(queue_line(page)).to_contain_text("All sent.", timeout=70_000)
    assert marks_of(own_service, block) == [(row, False) for row in range(1, 21)]
    figures = own_service.get(f"/farms/{own_farm['farm']}/overview?day={own_farm['today']}")["figures"]
    assert figures["overlap_trees"] == 0


def test_two_tabs_send_each_record_once(
    own_tablet: Tablet, own_service: Any, own_farm: dict[str, Any]
) -> None:
    block = plant_rows(own_service, own_farm, 6)
    page = own_tablet.start()
    begin(page, own_service, own_farm, block)
    assert own_tablet.context is not None
    other = own_tablet.context.new_page()
    other.goto(f"{own_service.address}/rows?block={block}")
    expect(other.locator(".row-strip").first).to_be_visible()
    own_service.kill()
    tap_rows(page, range(1, 4))
    tap_rows(other, range(4, 7))
    sent: list[str] = []

    def heard(request: Any) -> None:
        if request.method == "POST" and request.url.endswith("/marks"):
            sent.extend(mark["id"] for mark in request.post_data_json["marks"])

    own_tablet.context.on("request", heard)
    own_service.start()
    expect(queue_line(page)).to_contain_text("All sent.", timeout=70_000)
    expect(queue_line(other)).to_contain_text("All sent.", timeout=70_000)
    assert marks_of(own_service, block) == [(row, False) for row in range(1, 7)]
    # a try that met the service half started may repeat; what the service has is what counts
    assert len(set(sent)) == 6


def test_hanging_service_holds_nobody_up(
    own_tablet: Tablet, own_service: Any, own_farm: dict[str, Any]
) -> None:
    block = plant_rows(own_service, own_farm, 4)
    page = own_tablet.start()
    begin(page, own_service, own_farm, block)
    assert own_service.process is not None
    own_service.process.send_signal(signal.SIGSTOP)
    try:
        started = time.monotonic()
        page.goto(f"{own_service.address}/rows?block={block}")
        expect(page.locator(".row-strip").first).to_be_visible()
        print(f"opened beside a hanging service: {time.monotonic() - started:.1f} s")
        started = time.monotonic()
        tap_rows(page, range(1, 2))
        print(f"tap to done beside a hanging service: {time.monotonic() - started:.1f} s")
        expect(queue_line(page)).to_contain_text("safe")
    finally:
        own_service.process.send_signal(signal.SIGCONT)
    expect(queue_line(page)).to_contain_text("All sent.", timeout=70_000)
    assert marks_of(own_service, block) == [(1, False)]


@pytest.fixture
def farm_network(monkeypatch: pytest.MonkeyPatch) -> str:
    """A name that is another machine's to the browser, as on a farm's network; a service started after it goes by it."""
    monkeypatch.setenv("ORCHARDMAP_ALLOWED_HOSTS", "127.0.0.1,localhost,orchard.lan")
    return "orchard.lan"


def test_plain_http_on_a_network_says_what_will_not_work_and_keeps_and_sends_what_is_marked(
    farm_network: str, own_tablet: Tablet, own_service: Any, own_farm: dict[str, Any]
) -> None:
    """No service worker and no Web Locks are to be had there."""
    resolved = [*own_tablet.arguments["args"], f"--host-resolver-rules=MAP {farm_network} 127.0.0.1"]
    own_tablet.arguments = {**own_tablet.arguments, "args": resolved}
    said = {"name": "Tablet", "role": "foreman", "crew_id": own_farm["crews"][0]}
    code = own_service.post(f"/farms/{own_farm['farm']}/devices/codes", said)["code"]
    page = own_tablet.start()
    address = f"http://{farm_network}:{own_service.port}"
    page.goto(address)
    assert page.evaluate(PAIR, code) == 201
    page.goto(f"{address}/rows?block={own_farm['block']}")
    page.get_by_role("button", name="Read", exact=True).tap()
    assert (
        page.evaluate("[isSecureContext, 'serviceWorker' in navigator, 'locks' in navigator]") == [False] * 3
    )
    expect(page.locator(".lacking")).to_contain_text(
        "This address is plain http: the pages cannot open without a connection here, "
    )
    own_service.kill()
    tap_rows(page, range(1, 3))
    expect(queue_line(page)).to_contain_text("2 records wait on this tablet, safe.")
    expect(page.locator(".lacking")).not_to_contain_text("home screen")  # it would protect nothing here
    assert [entry["state"] for entry in own_tablet.outbox(page)] == ["waiting"] * 2
    own_service.start()
    expect(queue_line(page)).to_contain_text("All sent.", timeout=70_000)
    assert marks_of(own_service, own_farm["block"]) == [(1, False), (2, False)]


def newer_pages(dist: Path, folder: Path) -> Path:
    """Return a copy of the built pages as a later version would be: other script, other names, other list."""
    shutil.copytree(dist, folder)
    script = next(folder.glob("assets/main-*.js"))
    script.write_text(script.read_text("utf-8") + "\nwindow.__newer = true;\n", "utf-8")
    # what is named by its content has another name, and so has what names it
    names = {
        path.name: f"{path.name.partition('-')[0]}-newer000.js"
        for path in (script, next(folder.glob("assets/boot-*.js")))
    }
    for old, new in names.items():
        (folder / "assets" / old).rename(folder / "assets" / new)
    for file in [folder / "index.html", folder / "sw.js", *folder.glob("assets/*.js")]:
        text = re.sub(r'"version":"[0-9a-f]+"', '"version":"0123456789abcdef"', file.read_text("utf-8"))
        for old, new in names.items():
            text = text.replace(old, new)
        file.write_text(text, "utf-8")
    return folder


def wait_newer(page: Page) -> None:
    """Wait for the later version's script; the pages' policy lets no test evaluate words as code in them."""
    deadline = time.monotonic() + 45  # the older worker must come to rest first
    while True:
        assert time.monotonic() < deadline, "still the older pages"
        try:
            if page.evaluate("() => window.__newer === true"):
                return
        except Error as error:  # asked while the page was being loaded anew
            if "context was destroyed" not in str(error):
                raise
        page.wait_for_load_state()
        time.sleep(0.1)  # the page needs the machine more than the question does


def test_update_arrives_with_a_full_queue(
    own_tablet: Tablet, own_service: Any, own_farm: dict[str, Any], front_end: Path, tmp_path: Path
) -> None:
    block = plant_rows(own_service, own_farm, 4)
    page = own_tablet.start()
    begin(page, own_service, own_farm, block)
    own_service.kill()
    tap_rows(page, range(1, 4))
    own_service.web_dir = newer_pages(front_end, tmp_path / "newer")
    assert own_tablet.context is not None
    own_tablet.context.route("**/api/farms/*/marks", lambda route: route.abort())
    own_service.start()
    page.evaluate("async () => (await navigator.serviceWorker.ready).update()")
    banner = page.get_by_role("alert").filter(has_text="A newer version of these pages is here.")
    expect(banner).to_be_visible()
    assert page.evaluate("window.__newer") is None
    banner.get_by_role("button", name="Take it now").tap()
    wait_newer(page)
    expect(queue_line(page)).to_contain_text("3 records wait on this tablet, safe.")
    expect(banner).to_have_count(0)
    # the newer pages open without the service too, and the older ones are gone
    own_service.kill()
    page.reload()
    wait_newer(page)
    expect(page.locator(".row-strip").nth(2)).to_contain_text("done")
    assert len(page.evaluate("caches.keys()")) == 1
    own_tablet.context.unroute("**/api/farms/*/marks")
    own_service.start()
    expect(queue_line(page)).to_contain_text("All sent.", timeout=70_000)
    assert marks_of(own_service, block) == [(row, False) for row in range(1, 4)]


def test_revoked_tablet_keeps_what_waits_until_it_is_paired_again(
    own_tablet: Tablet, own_service: Any, own_farm: dict[str, Any]
) -> None:
    block = plant_rows(own_service, own_farm, 4)
    page = own_tablet.start()
    begin(page, own_service, own_farm, block)
    own_service.kill()
    tap_rows(page, range(1, 3))
    # the manager revokes it while it is out of reach: the service comes back on the same file
    own_tablet.close()
    own_service.start()
    at = f"/farms/{own_farm['farm']}/devices"
    lost = own_service.get(at)["devices"][0]["id"]
    own_service.post(f"{at}/{lost}/revoke", {})
    page = own_tablet.start()
    page.goto(f"{own_service.address}/rows?block={block}")
    expect(page.get_by_role("heading", name="Pair it anew")).to_be_visible()
    assert marks_of(own_service, block) == []
    own_service.pair(page, own_farm["farm"], own_farm["crews"][0])
    page.goto(f"{own_service.address}/rows?block={block}")
    expect(queue_line(page)).to_contain_text("2 records set aside", timeout=70_000)
    # both are stored, and wait for the manager's word: they were made on a tablet that was revoked
    assert [mark[0] for mark in marks_of(own_service, block)] == [1, 2]


def count_up(page: Page, taps: int, *, last: bool = True) -> None:
    """Count with +1 as fast as it goes, and go on to the next tree."""
    for _ in range(taps):
        page.get_by_role("button", name="One more").tap()
    if last:
        page.get_by_role("button", name="Next tree").tap()
        expect(page.get_by_role("status").filter(has_text="Kept.")).to_be_visible()


def test_trees_counted_without_a_service_survive_a_kill_as_far_as_the_disk_had_them(
    own_tablet: Tablet,
    own_service: Any,
    own_farm: dict[str, Any],
    picture: Callable[[Page, str], None],
    axe_findings: Callable[..., list[str]],
) -> None:
    block = own_farm["block"]
    page = own_tablet.start()
    begin(page, own_service, own_farm, block)
    own_service.kill()
    own_tablet.close()  # in good order once: a browser writes down what lets it in, and that the cautions were read, later

    page = own_tablet.start()
    page.goto(f"{own_service.address}/rows?block={block}")
    page.get_by_role("button", name="Count trees").tap()
    page.get_by_role("radio", name="Limbs").check()
    count_up(page, 4)
    count_up(page, 3, last=False)
    place = page.locator(".count-where").inner_text()
    page.wait_for_function(HALF_DONE, arg={"key": f"half-done:count:{block}", "number": 3})
    own_tablet.kill()

    page = own_tablet.start()
    page.goto(f"{own_service.address}/rows?block={block}")
    page.get_by_role("button", name="Count trees").tap()
    expect(page.locator(".count-where")).to_have_text(place)
    expect(page.get_by_label("Counted on this tree")).to_have_value("3")
    page.get_by_role("button", name="Five more").tap()
    count_up(page, 0)
    count_up(page, 9)
    expect(page.locator(".count-so-far")).to_contain_text("So far 7 limbs a tree")
    # the last one was wrong: taken back, and counted anew on the same tree
    page.get_by_role("button", name=re.compile("^Undo: Row")).tap()
    expect(page.get_by_label("Counted on this tree")).to_have_value("9")
    count_up(page, 3)
    expect(page.locator(".count-so-far")).to_contain_text("So far 8 limbs a tree, likely")
    assert axe_findings(page) == []
    picture(page, "counting-trees")
    own_service.start()
    page.get_by_role("button", name="Back", exact=True).tap()
    expect(queue_line(page)).to_contain_text("All sent.", timeout=70_000)
    (told,) = own_service.get(f"/blocks/{block}/counts")["told"]
    assert (told["what"], told["trees"], told["mean"], told["chosen"]) == ("limbs", 3, 8.0, 0)
