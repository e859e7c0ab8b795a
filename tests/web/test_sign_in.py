"""Getting in: first start by the printed token, login and password, too many tries, and back to where one wanted to go."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

PASSWORD = "quern and kiln piece"


@pytest.fixture
def fresh_service(service: Any, tmp_path: Path) -> Iterator[Any]:
    """A service that nobody has an account on yet."""
    running = type(service)(tmp_path / "first.sqlite", service.web_dir, manager=False)
    try:
        running.start()
        yield running
    finally:
        running.stop()


def printed_address(service: Any) -> str:
    """Return the address with the set-up token that the service printed when it started."""
    said = "".join(service.said)
    found = re.search(r"(/first-start#token=\S+)", said)
    assert found, said
    return f"{service.address}{found[1]}"


def sign_in(page: Page, login: str, password: str) -> None:
    page.get_by_label("Login", exact=True).fill(login)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("button", name="Sign in", exact=True).click()


def test_from_first_start_to_signing_in_again_where_one_wanted_to_go(
    tablet: Page,
    fresh_service: Any,
    expected_trouble: list[str],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble.append("Failed to load resource")  # refused on purpose
    fresh_service.as_nobody(tablet)
    tablet.goto(f"{fresh_service.address}/rows")
    expect(tablet.get_by_role("heading", name="First start")).to_be_visible()  # nothing else can be done yet
    tablet.goto(printed_address(fresh_service))
    expect(tablet.get_by_text("The token was in the address and is filled in.")).to_be_visible()
    assert "#" not in tablet.evaluate("location.href")
    expect(
        tablet.get_by_text("At least 12 characters: several words do well.")
    ).to_be_visible()  # the rule, before
    assert axe_findings(tablet) == []
    tablet.get_by_label("Your name").fill("Maud Ottler")
    tablet.get_by_label("Login", exact=True).fill("Maud")
    make = tablet.get_by_role("button", name="Make the first account")
    tablet.get_by_label("Password", exact=True).fill("kiln")
    make.click()
    expect(tablet.get_by_text("Use at least 12 characters.")).to_be_visible()
    expect(tablet.get_by_label("Password", exact=True)).to_be_focused()
    tablet.get_by_label("Password", exact=True).fill(PASSWORD)
    tablet.get_by_label("Password once more").fill(f"{PASSWORD}s")
    make.click()
    expect(tablet.get_by_text("The two are not the same.")).to_be_visible()
    tablet.get_by_label("Password once more").fill(PASSWORD)
    picture(tablet, "first-start")
    make.click()
    expect(tablet.get_by_role("heading", name="A new farm")).to_be_visible()
    tablet.get_by_label("Name of the farm").fill("Quernstone")
    tablet.get_by_label("Time zone").fill("Europe/London")
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_role("heading", name="Set-up")).to_be_visible()
    # the token is used up
    tablet.goto(printed_address(fresh_service))
    expect(tablet.get_by_text("An account was made here already.")).to_be_visible()

    tablet.goto(fresh_service.address)
    tablet.get_by_role("link", name="Maud Ottler").click()
    expect(tablet.get_by_text("Quernstone: manager")).to_be_visible()
    tablet.get_by_text("Make another farm").click()  # who makes farms finds the form again
    tablet.get_by_label("Name of the farm").fill("Far Side")
    tablet.get_by_label("Time zone").fill("Los Ang")  # an underscore is nothing that people type
    picture(tablet, "another-farm")
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_role("heading", name="Set-up")).to_be_visible()
    expect(tablet.get_by_label("Farm", exact=True).locator("option:checked")).to_have_text("Far Side")
    tablet.get_by_role("link", name="Maud Ottler").click()
    expect(tablet.get_by_text("Far Side: manager")).to_be_visible()
    assert axe_findings(tablet) == []
    tablet.get_by_role("button", name="Sign out").click()
    expect(tablet.get_by_role("heading", name="Sign in")).to_be_visible()
    assert axe_findings(tablet, besides=("color-contrast-enhanced",)) == []

    tablet.goto(f"{fresh_service.address}/set-up")
    expect(tablet.get_by_role("heading", name="Sign in")).to_be_visible()
    tablet.get_by_role("button", name="Sign in", exact=True).click()
    expect(tablet.get_by_text("Type your login.")).to_be_visible()
    sign_in(tablet, "maud", "wrong, and long enough")
    problem = tablet.locator(".door .notice")
    expect(problem).to_contain_text("login and password do not go together")
    expect(tablet.get_by_label("Login", exact=True)).to_have_value("maud")
    expect(tablet.get_by_label("Password", exact=True)).to_have_value("")
    sign_in(tablet, "maud", PASSWORD)
    expect(tablet.get_by_role("heading", name="Set-up")).to_be_visible()
    assert tablet.evaluate("location.pathname") == "/set-up"

    tablet.get_by_role("link", name="Maud Ottler").click()
    tablet.get_by_label("Password now").fill(PASSWORD)
    tablet.get_by_label("New password", exact=True).fill("another piece of kiln")
    tablet.get_by_label("New password once more").fill("another piece of kiln")
    tablet.get_by_role("button", name="Change the password").click()
    expect(tablet.get_by_text("The password is changed.")).to_be_visible()
    tablet.get_by_role("button", name="Sign out").click()
    expect(tablet.get_by_role("heading", name="Sign in")).to_be_visible()
    for _ in range(5):
        sign_in(tablet, "maud", PASSWORD)
        expect(problem).to_contain_text(re.compile("do not go together|Too many"))
    sign_in(tablet, "maud", "another piece of kiln")
    expect(problem).to_contain_text(
        re.compile(r"^Too many wrong tries\. Sign in again after \d\d:\d\d, in 1[45] minutes\.$")
    )


def test_forgotten_password_is_mended_by_a_one_time_link(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    expected_trouble: list[str],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    """The page offers it to whom the link lets in; where the link stood for the password already, it asks for the old one."""
    expected_trouble.append("status of 401")
    said = {"login": f"idris{planted['farm'][-6:]}", "name": "Idris Vane", "role": "adviser"}
    made = service.post(f"/farms/{planted['farm']}/accounts", said)
    set_password = """async (said) => (await fetch("/api/password", {
        method: "POST", headers: {"content-type": "application/json"}, body: JSON.stringify(said) })).status"""
    service.as_nobody(tablet)
    tablet.goto(made["link"])
    expect(tablet.get_by_role("link", name="Idris Vane")).to_be_visible()
    assert tablet.evaluate(set_password, {"old": None, "new": PASSWORD}) == 204
    again = service.post(f"/farms/{planted['farm']}/accounts/{made['account']['id']}/link", {})
    tablet.goto(again["link"])
    expect(tablet.get_by_role("heading", name="A new password?")).to_be_visible()
    expect(tablet.get_by_role("button", name="Keep the one I have")).to_be_visible()
    assert axe_findings(tablet) == []
    picture(tablet, "by-link")
    fresh = "a third piece of kiln"
    for label in ("New password", "New password once more"):
        tablet.get_by_label(label, exact=True).fill(fresh)
    assert tablet.evaluate(set_password, {"old": None, "new": "set in another tab"}) == 204
    tablet.get_by_role("button", name="Set a new password").click()
    expect(tablet.get_by_label("Password now")).to_be_focused()
    expect(tablet.locator(".door .notice")).to_contain_text("a new password was set already")
    tablet.get_by_label("Password now").fill("set in another tab")
    for label in ("New password", "New password once more"):
        tablet.get_by_label(label, exact=True).fill(fresh)
    tablet.get_by_role("button", name="Change the password").click()
    expect(tablet.get_by_text("The password is changed.")).to_be_visible()
    tablet.get_by_role("button", name="Go on").click()
    expect(tablet.get_by_role("heading", name="A new password?")).to_have_count(0)


def test_nobody_at_the_door_asks_about_the_farm_that_was_looked_at_before(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """The page has the farm's id still; what it asked would be refused, time after time."""
    asked: list[str] = []
    service.as_nobody(tablet)
    tablet.on("request", lambda request: asked.append(request.url))
    tablet.goto(f"{service.address}/sign-in")
    expect(tablet.get_by_label("Password")).to_be_visible()
    assert tablet.evaluate("localStorage.getItem('orchardmap.farm')") == planted["farm"]
    for _ in range(2):
        # a round of following takes place every four seconds, and whenever the line is back
        tablet.evaluate("() => void dispatchEvent(new Event('online'))")
        tablet.wait_for_timeout(600)
    assert [url for url in asked if "/api/farms/" in url] == []


def test_session_that_ends_while_the_page_is_open_leads_to_the_door_and_back(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.append("Failed to load resource")
    service.account(tablet, planted["farm"], "manager")
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    expect(tablet.locator(".row-strip").first).to_be_visible()
    out = tablet.context.request.post(f"{service.address}/api/sign-out", headers={"Origin": service.address})
    assert out.status == 204  # as when it has run out
    # its stream is rung and ends at once: no beat of 15 s is waited for
    expect(tablet.get_by_role("heading", name="Sign in")).to_be_visible(timeout=10_000)
    service.as_manager(tablet)
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    expect(tablet.locator(".row-strip").first).to_be_visible()


@pytest.mark.parametrize(
    ("role", "screens", "first"),
    [
        (
            "manager",
            [
                *("Overview", "Rows", "Checks", "Quality", "To settle", "Forecast"),
                *("Plan", "Pay", "Briefs", "Timing", "People", "Set-up"),
            ],
            "/",
        ),
        ("foreman", ["Rows"], "/rows"),
        ("auditor", ["Checks", "Quality", "Overview"], "/checks"),
        ("adviser", ["Briefs", "Overview", "Quality", "Forecast", "Timing"], "/briefs"),
    ],
)
def test_role_is_shown_its_screens_and_no_others(
    tablet: Page, service: Any, planted: dict[str, Any], role: str, screens: list[str], first: str
) -> None:
    crew = planted["crews"][0] if role == "foreman" else None
    service.post(f"/farms/{planted['farm']}/people", {"name": "The auditor", "role": "auditor"})
    service.account(tablet, planted["farm"], role, crew)
    tablet.goto(f"{service.address}/people")
    if role == "manager":
        # what is wanted seldom is behind a word that says where one is
        expect(tablet.get_by_role("navigation").get_by_role("link")).to_have_text(screens[:8])
        tablet.locator("nav summary", has_text="People").click()
    expect(tablet.get_by_role("navigation").get_by_role("link")).to_have_text(screens)
    expect(tablet).to_have_url(f"{service.address}{'/people' if role == 'manager' else first}")
    # whoever makes no records has nothing to send; whoever checks by a name of the farm's is that auditor at once
    expect(tablet.locator(".queue-line")).to_be_visible(visible=role != "adviser")
    if role == "auditor":
        chosen = tablet.get_by_label("Who checks with this device?").locator("option:checked")
        expect(chosen).to_have_text("The auditor")
