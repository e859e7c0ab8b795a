"""People, tablets and accounts from the manager's screen; and what the other side of each code and link sees."""

import io
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect

pytestmark = pytest.mark.browser

TARGETS = """() => [...document.querySelectorAll("button, a, input, select, summary")]
  .filter((it) => it.checkVisibility() && !it.matches(".skip"))
  .map((it) => ({what: it.textContent || it.id, box: it.getBoundingClientRect()}))
  .filter(({box}) => box.width < 55.5 || box.height < 55.5)
  .map(({what, box}) => `${what} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`)"""
SMALL_TEXT = """() => { const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  const small = []; while (walk.nextNode()) { const {parentElement: it, textContent: text} = walk.currentNode;
  if (text.trim() && it.checkVisibility() && parseFloat(getComputedStyle(it).fontSize) < 18) small.push(text); }
  return small; }"""


@pytest.fixture
def other(browser: Browser) -> Iterator[BrowserContext]:
    """Another tablet: nothing of the first one is on it."""
    context = browser.new_context(viewport={"width": 800, "height": 1280}, has_touch=True, locale="en-GB")
    context.set_default_timeout(15_000)
    yield context
    context.close()


def make_code(page: Page, service: Any, *, tablet: str, crew: str) -> str:
    """Make a pairing code on the manager's screen and return it as it is read there."""
    page.goto(f"{service.address}/people")
    form = page.locator("section.people-part").filter(
        has=page.get_by_role("heading", name="Tablets", exact=True)
    )
    form.get_by_label("What the tablet is called").fill(tablet)
    form.get_by_label("Crew").select_option(label=crew)
    form.get_by_role("button", name="Make a pairing code").click()
    large = form.locator(".code-large")
    expect(large).to_have_text(re.compile(r"^[A-Z2-7]{4} [A-Z2-7]{4}$"))
    expect(form.get_by_text("no tablet reaches it")).to_be_visible()  # 127.0.0.1 is this machine's own
    return large.inner_text()


def pair(page: Page, service: Any, code: str) -> None:
    page.goto(f"{service.address}/pair")
    page.get_by_label("Code, 8 letters and digits").fill(code.lower())
    page.get_by_role("button", name="Pair", exact=True).tap()


def test_tablet_is_paired_held_taken_back_and_paired_again(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    other: BrowserContext,
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    at = f"/farms/{planted['farm']}"
    for name, role in (("Bram Tuckwell", "foreman"), ("Ivo Lark", "worker")):
        service.post(f"{at}/people", {"name": name, "role": role, "crew_id": planted["crews"][0]})
    tablet.goto(f"{service.address}/people")
    tablet.get_by_role("button", name="Set a PIN: Bram Tuckwell").click()
    tablet.get_by_label("PIN", exact=True).fill("12345")
    tablet.get_by_role("button", name="Set this PIN").click()
    expect(tablet.get_by_text("A PIN has six digits.")).to_be_visible()
    tablet.get_by_role("button", name="Make one up").click()
    pin = tablet.get_by_label("PIN", exact=True).input_value()
    assert re.fullmatch(r"\d{6}", pin)
    tablet.get_by_role("button", name="Set this PIN").click()
    expect(tablet.get_by_text("The PIN of Bram Tuckwell is set.")).to_be_visible()

    code = make_code(tablet, service, tablet="Tablet 3", crew="Hollow")
    expect(tablet.locator(".code-left")).to_have_text("Good for 10 minutes more, once.")
    seen = Image.open(io.BytesIO(tablet.locator(".code-picture svg").screenshot()))
    address = [found.text for found in zxingcpp.read_barcodes(seen)]  # what a camera reads off the screen
    assert address == [f"{service.address}/pair#{code.replace(' ', '')}"]
    assert axe_findings(tablet) == []
    picture(tablet, "people")

    hand = other.new_page()
    hand.goto(address[0])
    expect(hand.get_by_label("Code, 8 letters and digits")).to_have_value(code.replace(" ", ""))
    assert "#" not in hand.evaluate("location.href")
    assert axe_findings(hand, besides=("color-contrast-enhanced",)) == []
    hand.get_by_role("button", name="Pair", exact=True).tap()
    expect(hand.get_by_role("heading", name="Tablet 3")).to_be_visible()
    expect(hand.get_by_text(re.compile("promise"))).to_be_visible()  # what the browser said about keeping
    expect(hand.get_by_role("button", name="Ivo Lark no PIN yet")).to_be_disabled()
    expect(tablet.locator(".code-left")).to_have_text(
        "The code was used: the tablet is paired.", timeout=20_000
    )

    hand.get_by_role("button", name="Bram Tuckwell").tap()
    keys = hand.locator(".pin-pad")
    one = keys.get_by_role("button", name="1", exact=True)
    expect(one).to_be_focused()  # once it is awake a keyboard serves without a touch
    hand.keyboard.type("1")
    expect(keys).to_contain_text("1 of 6 digits")
    place = one.bounding_box()
    for look in (TARGETS, SMALL_TEXT):
        assert hand.evaluate(look) == []
    assert axe_findings(hand, besides=("color-contrast-enhanced",)) == []
    picture(hand, "pin")
    keys.get_by_role("button", name="Take back the last digit").tap()
    wrong = "000000" if pin != "000000" else "111111"
    for digit in wrong:
        keys.get_by_role("button", name=digit, exact=True).tap()
    expect(hand.get_by_text("That PIN is not right.")).to_be_visible()
    assert one.bounding_box() == place  # the keys stay under the finger
    hand.keyboard.type(pin)
    expect(hand.get_by_text("Bram Tuckwell holds this tablet.")).to_be_visible()
    hand.get_by_role("button", name="To the work").tap()
    expect(hand).to_have_url(f"{service.address}/rows")
    expect(hand.get_by_role("navigation").get_by_role("link")).to_have_text(["Rows"])
    expect(hand.get_by_text("Crew: Hollow")).to_be_visible()
    hand.get_by_role("link", name="Tablet 3: Bram Tuckwell").tap()
    expect(hand.get_by_text("Bram Tuckwell holds this tablet.")).to_be_visible()
    # given back where there is no signal: nobody holds it from then on, and the service hears of it with the signal
    other.set_offline(True)
    hand.get_by_role("button", name="Somebody else takes the tablet").tap()
    expect(hand.get_by_text("Nobody holds the tablet now. Names and PINs need a connection")).to_be_visible()
    with hand.expect_response(lambda answer: answer.url.endswith("/device/holder") and answer.ok):
        other.set_offline(False)

    tablet.goto(f"{service.address}/people")
    line = tablet.locator(".tablet").filter(has_text="Tablet 3")
    expect(line).to_contain_text(re.compile(r"foreman, Hollow; last heard .+; held by nobody"))
    line.get_by_role("button", name="Take back: Tablet 3").click()
    expect(line).to_contain_text("Records still on it are kept there; when it is paired again, they are sent")
    expect(line.get_by_role("button", name="Leave it")).to_be_focused()  # the harmless answer
    line.get_by_role("button", name="Yes, take Tablet 3 back").click()
    expect(tablet.get_by_text("Tablet 3 is taken back.")).to_be_visible()
    expect(line).to_contain_text("taken back")

    hand.goto(f"{service.address}/rows")
    expect(hand.get_by_text("This tablet is no longer paired")).to_be_visible()
    pair(hand, service, code)
    expect(hand.get_by_text("This code was used already, has run out, or is none.")).to_be_visible()
    pair(hand, service, make_code(tablet, service, tablet="Tablet 3", crew="Thorn"))
    hand.get_by_role("button", name="Go on without a name").tap()
    expect(hand.get_by_text("Crew: Thorn")).to_be_visible()


def test_pin_pad_stands_still_across_and_takes_no_digit_while_it_is_locked(
    service: Any, planted: dict[str, Any], other: BrowserContext
) -> None:
    said = {"name": "Bram Tuckwell", "role": "worker", "crew_id": planted["crews"][0]}
    person = service.post(f"/farms/{planted['farm']}/people", said)["id"]
    service.post(f"/farms/{planted['farm']}/people/{person}/pin", {"pin": "274901"}, method="PUT")
    hand = other.new_page()
    hand.set_viewport_size({"width": 1280, "height": 800})
    service.pair(hand, planted["farm"], planted["crews"][0])
    hand.goto(f"{service.address}/pair")
    hand.get_by_role("button", name="Bram Tuckwell").tap()
    one = hand.get_by_role("button", name="1", exact=True)
    expect(one).to_be_focused()
    place = one.bounding_box()
    tries = 0
    while one.is_enabled() and tries < 10:
        with hand.expect_response(lambda answer: answer.url.endswith("/device/holder")):
            hand.keyboard.type("111222")
        expect(hand.get_by_text("0 of 6 digits")).to_be_attached()
        tries += 1
    expect(hand.get_by_text(re.compile(r"Try the PIN again after \d\d:\d\d"))).to_be_visible()
    assert one.bounding_box() == place
    hand.keyboard.type("2749")
    expect(hand.get_by_text("0 of 6 digits")).to_be_attached()


def test_ipad_in_its_browser_is_told_to_go_to_the_home_screen_first(browser: Browser, service: Any) -> None:
    agent = "Mozilla/5.0 (iPad; CPU OS 18_0 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.0 Safari/604.1"
    context = browser.new_context(user_agent=agent, has_touch=True)
    page = context.new_page()
    page.goto(f"{service.address}/pair#K7Q2M4XW")
    expect(page.get_by_role("heading", name="First put this page on the home screen")).to_be_visible()
    expect(page.get_by_text("Your code: K7Q2 M4XW. It is not used up yet.")).to_be_visible()
    page.get_by_role("button", name="Pair here all the same").tap()
    expect(page.get_by_label("Code, 8 letters and digits")).to_have_value("K7Q2M4XW")
    context.close()


def test_account_gets_a_link_that_signs_in_once_and_ends_when_the_manager_says_so(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    browser: Browser,
    other: BrowserContext,
    axe_findings: Callable[..., list[str]],
) -> None:
    tablet.goto(f"{service.address}/people")
    tablet.get_by_text("Another account").click()
    form = tablet.locator("section.people-part").filter(
        has=tablet.get_by_role("heading", name="Accounts", exact=True)
    )
    login = f"edwin{planted['farm'][-6:]}"
    form.get_by_label("Name", exact=True).fill("Edwin Hale")
    form.get_by_label("Login").fill(login)
    form.get_by_label("Role").select_option(label="foreman")
    form.get_by_role("button", name="Make the account").click()
    expect(form.get_by_text("A foreman belongs to a crew: choose it.")).to_be_visible()
    form.get_by_label("Role").select_option(label="adviser")
    form.get_by_role("button", name="Make the account").click()
    field = form.get_by_label("Link for Edwin Hale", exact=True)
    expect(field).to_be_visible()
    link = field.input_value()
    tablet.evaluate("window.scrollTo(0, 0)")  # what lies half under the sticky line would count as too small
    assert axe_findings(tablet) == []

    page = other.new_page()
    page.goto(link)
    expect(page.get_by_role("navigation").get_by_role("link")).to_have_text([
        "Briefs",
        "Overview",
        "Quality",
        "Forecast",
        "Timing",
    ])
    expect(page).to_have_url(f"{service.address}/briefs")  # where an adviser begins
    page.get_by_role("link", name="Overview").click()
    expect(page.get_by_text("trees left")).to_be_visible()
    expect(page.locator(".needs-you")).to_have_count(0)  # only a manager can answer it
    page.goto(f"{service.address}/people")  # not by its address either
    expect(page).to_have_url(f"{service.address}/briefs")
    again = browser.new_context()
    second = again.new_page()
    second.goto(link)
    expect(second.get_by_text("This link was used already or has run out.")).to_be_visible()
    again.close()

    line = form.locator(".account").filter(has_text="Edwin Hale")
    line.get_by_role("button", name="End the role here").click()
    line.get_by_role("button", name="Yes, end it for Edwin Hale").click()
    expect(tablet.get_by_text("Edwin Hale has no role here any more.")).to_be_visible()
    expect(form.get_by_role("button", name=re.compile("^End the role here: manager"))).to_have_count(0)
    page.goto(service.address)
    expect(page.get_by_text("No farm yet.")).to_be_visible()
    assert page.locator(".figure, .map-frame").count() == 0


def test_a_question_that_is_open_on_one_line_outlasts_what_becomes_of_another(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    for name in ("Nesta Rowe", "Idris Flint"):
        said = {"login": f"{name[:5].lower()}{planted['farm'][-6:]}", "name": name, "role": "adviser"}
        service.post(f"/farms/{planted['farm']}/accounts", said)
    tablet.goto(f"{service.address}/people")
    lines = [tablet.locator(".account").filter(has_text=name) for name in ("Nesta Rowe", "Idris Flint")]
    for line in lines:
        line.get_by_role("button", name="End the role here").click()
    lines[0].get_by_role("button", name="Yes, end it for Nesta Rowe").click()
    expect(lines[0]).to_have_count(0)  # the list was read anew
    lines[1].get_by_role("button", name="Yes, end it for Idris Flint").click(timeout=2_000)
    expect(lines[1]).to_have_count(0)


def test_picture_of_a_code_takes_in_shapes_and_nothing_that_runs(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    """The code's picture is text from the service: shapes are drawn, everything else falls away."""
    expected_trouble.append(
        "Content Security Policy"
    )  # which stops the handlers a first time, while the text is read
    hostile = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9" onload="window.__ran.push(1)">'
        "<script>window.__ran.push(2)</script><style>*{display:none}</style>"
        '<path d="M0 0h9v9H0z" onclick="window.__ran.push(3)" style="fill:red"/>'
        '<a href="javascript:window.__ran.push(4)"><path d="M0 0"/></a>'
        '<image href="x" onerror="window.__ran.push(5)"/><foreignObject><p>text</p></foreignObject></svg>'
    )

    def answer(route: Any) -> None:
        sent = route.fetch()
        route.fulfill(response=sent, json=sent.json() | {"qr_svg": hostile})

    tablet.route("**/devices/codes", answer)
    make_code(tablet, service, tablet="Tablet 9", crew="Hollow")
    drawn = tablet.locator(".code-picture svg")
    assert drawn.evaluate("it => [...it.querySelectorAll('*')].map((one) => one.tagName)") == ["path"]
    assert drawn.locator("path").evaluate("it => it.getAttributeNames()") == ["d"]
    drawn.click()
    assert tablet.evaluate("window.__ran") == []
    assert tablet.evaluate("window.__violations.splice(0).every((one) => /^(script|style)-src/.test(one))")
