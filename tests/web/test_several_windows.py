"""Several windows of one browser on the same farm: they share its six connections to the service, and a mark shows on each all the same."""

import re
import time
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_marks import prune_row
from browser_trouble import KILLED
from cutting_proxy import CuttingProxy
from orchardmap.usecases.planting import new_id

RECKONED = re.compile(r"/(forecast|season-days|needs-today|timing|lots|returns|pay-cost)(\?|$)")
HELD_S = 8.0
"""So long a slow service reckons at each long question here."""
SOON_MS = 5_000
"""The promise of two seconds is measured by bench/live.py: here other tests run beside it. It must stay well below `HELD_S`."""


@pytest.fixture
def proxy(own_service: Any) -> Iterator[CuttingProxy]:
    made = CuttingProxy(own_service.port)
    made.start()
    yield made
    made.stop()


def shown_on(pages: list[Page], trees: int, within_ms: float) -> None:
    """Wait until each page tells so many pruned trees."""
    end = time.monotonic() + within_ms / 1000
    for page in pages:
        left_ms = max(1.0, 1000 * (end - time.monotonic()))
        expect(page.locator(".figures")).to_contain_text(f"{trees} of ", timeout=left_ms)


def opened(tablet: Page, planted: dict[str, Any], proxy: CuttingProxy, windows: int) -> list[Page]:
    """Open the farm in so many windows, all of them visible."""
    pages = [*(tablet.context.new_page() for _ in range(windows - 1)), tablet]
    for page in pages:
        page.add_init_script(
            f"if (self === top) localStorage.setItem('orchardmap.farm', '{planted['farm']}')"
        )
        page.goto(proxy.address)
    return pages


def until(holds: Any, within_s: float = 40.0) -> None:
    end = time.monotonic() + within_s
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.05)


def test_a_mark_shows_on_each_while_they_have_much_reckoned(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], proxy: CuttingProxy
) -> None:
    """Four windows read all of it anew once marks pause: the next mark does not wait for what is reckoned for any of them."""
    rows = own_planted["rows"]
    prune_row(own_service, own_planted, row=1)
    pages = opened(tablet, own_planted, proxy, 4)
    shown_on(pages, rows[1], 15_000)
    for page in pages:
        page.locator(".map-frame").element_handle().content_frame().wait_for_function(  # type: ignore[union-attr]
            "() => window.orchardMap?.app?.overview !== undefined", polling=100
        )
    time.sleep(3)
    proxy.late_s = lambda path: HELD_S if RECKONED.search(path) else 0.0
    prune_row(own_service, own_planted, row=2)
    shown_on(pages, rows[1] + rows[2], SOON_MS)
    # five seconds after it all windows have the rest reckoned
    until(lambda: len(proxy.held) > 0)
    time.sleep(1.5)
    assert proxy.held
    prune_row(own_service, own_planted, row=3)
    shown_on(pages, rows[1] + rows[2] + rows[3], SOON_MS)
    assert proxy.held, "nothing was being reckoned for any window any more: this test has shown nothing"
    proxy.late_s = lambda _path: 0.0


def test_more_windows_than_a_browser_opens_connections_share_one_stream_and_hand_it_on(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    proxy: CuttingProxy,
    expected_trouble: list[str],
) -> None:
    """Seven windows with a stream each would leave no connection to ask anything by. The one that has the stream is closed, then the service is killed."""
    expected_trouble += KILLED
    rows = own_planted["rows"]
    prune_row(own_service, own_planted, row=1)
    streams: list[str] = []

    def seen(method: str, path: str) -> bool:
        if path.endswith("/events"):
            streams.append(method)
        return False

    proxy.spoil = seen
    holders: list[Page] = []
    tablet.context.on(
        "request", lambda one: holders.append(one.frame.page) if one.url.endswith("/events") else None
    )
    pages = opened(tablet, own_planted, proxy, 7)
    shown_on(pages, rows[1], 15_000)
    until(lambda: streams)
    for page in pages:
        # each page looks after its stream once more, as it does every four seconds
        page.evaluate("() => void dispatchEvent(new Event('online'))")
    time.sleep(1)
    assert len(streams) == 1
    prune_row(own_service, own_planted, row=2)
    shown_on(pages, rows[1] + rows[2], SOON_MS)
    # mostly the first one that came has it; on a busy machine another may have been quicker
    pages.remove(holders[0])
    holders[0].close()
    prune_row(own_service, own_planted, row=3)
    shown_on(pages, rows[1] + rows[2] + rows[3], SOON_MS)
    assert len(streams) == 2
    own_service.kill()
    own_service.start()
    prune_row(own_service, own_planted, row=4)
    shown_on(pages, sum(rows.values()), 2 * SOON_MS)


def test_windows_at_different_farms_each_show_the_marks_of_their_own(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], own_planted_besides: dict[str, Any]
) -> None:
    """Whoever opens another farm in another window takes nothing from the first; loaded again, each is at its own."""
    first, second = own_planted, own_planted_besides
    picked = tablet.context.new_page()
    for page, planted in ((tablet, first), (picked, second)):
        page.goto(own_service.address)
        page.get_by_role("combobox", name="Farm").select_option(planted["farm"])
        prune_row(own_service, planted, row=1)
        shown_on([page], planted["rows"][1], 15_000)
    # the one of the second farm was chosen last; each follows its own
    prune_row(own_service, first, row=2)
    shown_on([tablet], first["rows"][1] + first["rows"][2], SOON_MS)
    prune_row(own_service, second, row=2)
    shown_on([picked], second["rows"][1] + second["rows"][2], SOON_MS)
    prune_row(own_service, first, row=3)
    for page in (tablet, picked):
        page.reload()
    shown_on([tablet], sum(first["rows"][row] for row in (1, 2, 3)), 15_000)
    shown_on([picked], second["rows"][1] + second["rows"][2], 15_000)


def link_of(service: Any, planted: dict[str, Any], role: str, crew: str | None = None) -> Any:
    """Make an account, and return the link that signs it in."""
    said = {"login": f"{role}-{new_id()}", "name": f"The {role}", "role": role, "crew_id": crew}
    return service.post(f"/farms/{planted['farm']}/accounts", said)["link"]


def test_whoever_is_signed_in_in_one_window_is_so_in_all(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    """What a manager has open is not left before the eyes of whoever signs in next; who comes back goes on where she was."""
    expected_trouble.append("Failed to load resource")
    door = tablet.context.new_page()
    door.goto(link_of(service, planted, "manager"))
    door.get_by_role("heading", name=re.compile("You are signed in as")).wait_for()
    other = tablet.context.new_page()
    for page, part in ((tablet, "pay?part=cost"), (other, "plan")):
        page.add_init_script(
            f"if (self === top) localStorage.setItem('orchardmap.farm', '{planted['farm']}')"
        )
        page.goto(f"{service.address}/{part}")
        expect(page.get_by_role("heading", level=1)).to_have_text(part.split("?")[0].capitalize())
    # the manager's session goes on: nothing but the other window tells that somebody else asks now
    door.goto(link_of(service, planted, "foreman", planted["crews"][0]))
    for page in (tablet, other):
        expect(page.locator("header")).to_contain_text("The foreman", timeout=SOON_MS)
        expect(page.get_by_role("heading", level=1)).to_have_text("Rows")
    door.goto(f"{service.address}/sign-in")
    door.get_by_role("button", name="Sign out").click()
    for page in (tablet, other):
        expect(page.get_by_label("Password", exact=True)).to_be_visible(timeout=SOON_MS)
    # a link that lets somebody in brings the others back to what they showed
    door.goto(link_of(service, planted, "manager"))
    for page in (tablet, other):
        expect(page.locator("header")).to_contain_text("The manager", timeout=SOON_MS)
        expect(page.get_by_role("heading", level=1)).to_have_text("Rows")


def test_a_map_that_nobody_is_let_in_to_asks_seldom_and_goes_on_at_once_when_somebody_is(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.append("Failed to load resource")
    rows = own_planted["rows"]
    door = tablet.context.new_page()
    door.goto(link_of(own_service, own_planted, "manager"))
    door.get_by_role("heading", name=re.compile("You are signed in as")).wait_for()
    pruned = "window.orchardMap?.app?.overview?.figures?.pruned"
    tablet.goto(f"{own_service.address}/map?farm={own_planted['farm']}")
    until(lambda: tablet.evaluate(pruned) == 0)
    door.goto(f"{own_service.address}/sign-in")
    door.get_by_role("button", name="Sign out").click()
    expect(door.get_by_label("Password", exact=True)).to_be_visible()
    expect(tablet.locator("#orchard-status")).to_contain_text("Sign in", timeout=SOON_MS)
    asked: list[str] = []
    tablet.on("request", lambda one: asked.append(one.url))
    tablet.wait_for_timeout(10_000)
    assert len(asked) <= 2, asked
    door.goto(link_of(own_service, own_planted, "manager"))
    door.get_by_role("heading", name=re.compile("You are signed in as")).wait_for()
    prune_row(own_service, own_planted, row=1)
    until(lambda: tablet.evaluate(pruned) == rows[1], SOON_MS / 1000)


def test_who_is_taken_off_a_farm_sees_it_no_longer_and_asks_no_more(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    """Her account goes on, for she may work elsewhere; the windows that show the farm do not stand there as they were."""
    expected_trouble.append("Failed to load resource")
    tablet.goto(link_of(service, planted, "manager"))
    tablet.get_by_role("heading", name=re.compile("You are signed in as")).wait_for()
    account = tablet.request.get(f"{service.address}/api/who").json()["login"]
    tablet.goto(f"{service.address}/pay?part=cost")
    expect(tablet.get_by_role("heading", level=1)).to_have_text("Pay")
    accounts = service.get(f"/farms/{planted['farm']}/accounts")["accounts"]
    whose = next(one["id"] for one in accounts if one["login"] == account)
    service.post(f"/farms/{planted['farm']}/accounts/{whose}", {}, method="DELETE")
    expect(tablet.get_by_role("heading", level=1, name="Pay")).to_have_count(
        0, timeout=30_000
    )  # at its next beat the stream looks whether she may
    tablet.wait_for_timeout(1_000)
    asked: list[str] = []
    tablet.on("request", lambda one: asked.append(one.url))
    tablet.wait_for_timeout(9_000)
    assert asked == []
