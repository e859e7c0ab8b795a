"""A reading key from the manager's screen to a program: made with the password, copied, read by, and out once it is ended."""

import json
import urllib.error
import urllib.request
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser
PASSWORD = "a ladder in the rain"
SMALL = """() => [...document.querySelectorAll("#reading-keys :is(button, a, input, select, summary)")]
  .filter((it) => it.checkVisibility())
  .map((it) => ({what: it.textContent || it.id, box: it.getBoundingClientRect()}))
  .filter(({box}) => box.width < 55.5 || box.height < 55.5)
  .map(({what, box}) => `${what} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`)"""


def answer(address: str, key: str, **more: str) -> tuple[int, Any]:
    """What a program gets that sends the key as a header."""
    request = urllib.request.Request(address, headers={"Authorization": f"Bearer {key}"} | more)
    try:
        with urllib.request.urlopen(request, timeout=30) as found:
            return found.status, json.loads(found.read())
    except urllib.error.HTTPError as error:
        with error:
            return error.code, json.loads(error.read())


def as_manager_with_password(page: Page, service: Any, planted: dict[str, Any]) -> None:
    said = {"login": f"olwen{planted['farm'][-6:]}", "name": "Olwen Vane", "role": "manager"}
    link = service.post(f"/farms/{planted['farm']}/accounts", said)["link"]
    service.as_nobody(page)
    page.goto(link)
    page.get_by_label("New password", exact=True).fill(PASSWORD)
    page.get_by_label("New password once more").fill(PASSWORD)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Your password is set.")).to_be_visible()
    service.forget_confirmation(page)


def copied(page: Page, section: Locator, button: str) -> str:
    """Touch a button that copies, and return what is pasted elsewhere."""
    page.evaluate("navigator.clipboard.writeText('something else')")
    section.get_by_role("button", name=button).tap()
    expect(section.get_by_text("Copied.").first).to_be_visible()
    return str(page.evaluate("navigator.clipboard.readText()"))


def test_key_is_made_on_the_screen_reads_the_farm_and_nothing_else_and_is_ended(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    expected_trouble: list[str],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble.extend(["status of 403"])  # the password that is asked for
    as_manager_with_password(tablet, service, planted)
    tablet.context.grant_permissions(["clipboard-read", "clipboard-write"])
    other = service.post("/farms", {"name": f"Not that one {planted['farm'][-6:]}", "time_zone": "UTC"})["id"]
    tablet.goto(service.address)
    # from where files for other programs are taken away
    files = tablet.get_by_role("region", name="Files for other programs")
    expect(files).to_contain_text(f"{service.address}/ogc/farms/{planted['farm']}")
    files.get_by_role("link", name="Make a reading key").tap()
    expect(tablet).to_have_url(f"{service.address}/people?part=keys")
    keys = tablet.locator("#reading-keys")
    expect(keys).to_contain_text("No reading key yet.")

    # the whole form by the keyboard
    expect(keys.locator("summary")).to_be_focused()
    expect(keys.get_by_role("heading")).to_be_in_viewport()
    tablet.keyboard.press("Tab")
    expect(keys.get_by_label("What the key is for")).to_be_focused()
    tablet.keyboard.press("Enter")
    expect(keys.get_by_text("Say what the key is for.")).to_be_visible()
    tablet.keyboard.type("QGIS in the office")
    expect(keys.get_by_label("What it sees")).to_have_value("all")
    year = int(planted["today"][:4])
    assert keys.get_by_label("Good up to").input_value().startswith(str(year + 1))
    keys.get_by_label("Good up to").fill(f"{year + 7}-01-01")
    tablet.keyboard.press("Enter")
    expect(keys.get_by_text("Choose its last day, in five years at the latest.")).to_be_visible()
    keys.get_by_label("Good up to").fill(f"{year + 2}-03-31")
    assert tablet.evaluate(SMALL) == []
    tablet.evaluate("window.scrollTo(0, 0)")  # what lies half under the sticky line would count as too small
    assert axe_findings(tablet) == []
    keys.get_by_label("Good up to").press("Enter")
    tablet.get_by_role("dialog").get_by_label("Password").fill(PASSWORD)
    tablet.keyboard.press("Enter")

    expect(keys.get_by_label("Key for QGIS in the office")).to_be_visible()
    expect(keys.get_by_text("By this address only programs on the machine of the service")).to_be_visible()
    assert tablet.evaluate(SMALL) == []
    tablet.evaluate("window.scrollTo(0, 0)")
    assert axe_findings(tablet, besides=("color-contrast-enhanced",)) == []
    key, address = copied(tablet, keys, "Copy the key"), copied(tablet, keys, "Copy the address")
    assert key == keys.get_by_label("Key for QGIS in the office").input_value()
    assert address == f"{service.address}/ogc/farms/{planted['farm']}"
    keys.scroll_into_view_if_needed()
    picture(tablet, "reading-keys")

    line = keys.locator("li").filter(has_text="QGIS in the office")
    expect(line).to_contain_text(
        f"good up to 31 Mar {year + 2}; sees all that an adviser reads; made by Olwen Vane, "
    )
    expect(line).to_contain_text("not used yet")
    told = answer(f"{address}/collections/rows/items", key)
    assert (told[0], told[1]["numberMatched"]) == (200, len(planted["rows"]))
    assert answer(f"{service.address}/ogc/farms/{other}", key)[0] == 404
    for elsewhere in (
        "/api/farms",
        f"/api/farms/{planted['farm']}/overview",
        f"/api/farms/{planted['farm']}/events",
    ):
        status, said = answer(service.address + elsewhere, key)
        assert (status, said["detail"]) == (
            401,
            "a reading key reads the farm's features below /ogc, and opens nothing else",
        )
    # nor does it sign a browser in
    beside = tablet.context.browser.new_context()  # type: ignore[union-attr]
    beside.add_cookies([{"name": "orchardmap_session", "value": key, "url": service.address}])
    assert beside.request.get(f"{service.address}/api/who").json()["state"] == "nobody"
    beside.close()

    tablet.reload()
    expect(line).to_contain_text("last used ")
    expect(keys.get_by_label("Key for QGIS in the office")).to_have_count(0)
    assert key not in tablet.content()
    end = line.get_by_role("button", name="End the key: QGIS in the office")
    end.focus()
    tablet.keyboard.press("Enter")
    expect(line.get_by_role("button", name="Leave it")).to_be_focused()  # the harmless answer
    assert tablet.evaluate(SMALL) == []
    line.get_by_role("button", name="Yes, end the key for QGIS in the office").tap()
    expect(keys.get_by_text("The key for QGIS in the office has ended.")).to_be_visible()
    expect(line).to_contain_text("ended ")
    status, said = answer(address, key)
    assert (status, said["detail"]) == (401, "this reading key has ended")


def test_whoever_ends_a_managers_role_is_told_that_keys_go_on(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """An adviser makes none, so nothing is said of keys."""
    for name, role in (("Nesta Rowe", "manager"), ("Idris Flint", "adviser")):
        said = {"login": f"{name[:5].lower()}{planted['farm'][-6:]}", "name": name, "role": role}
        service.post(f"/farms/{planted['farm']}/accounts", said)
    tablet.goto(f"{service.address}/people")
    goes_on = "Reading keys go on until they are ended below: end those that {} may still have."
    for name, is_told in (("Nesta Rowe", 1), ("Idris Flint", 0)):
        line = tablet.locator(".account").filter(has_text=name)
        line.get_by_role("button", name="End the role here").click()
        line.get_by_role("button", name=f"Yes, end it for {name}").click()
        expect(tablet.get_by_text(f"{name} has no role here any more.")).to_be_visible()
        expect(tablet.get_by_text(goes_on.format(name))).to_have_count(is_told)


def test_who_manages_nothing_is_offered_no_key(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    service.account(tablet, planted["farm"], "adviser")
    tablet.goto(service.address)
    tablet.get_by_role("link", name="Overview").click()
    files = tablet.get_by_role("region", name="Files for other programs")
    expect(files).to_contain_text("with a reading key, which a manager makes")
    expect(files.get_by_role("link", name="Make a reading key")).to_have_count(0)
