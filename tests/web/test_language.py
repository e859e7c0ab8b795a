"""Another language: chosen at the door, kept without a connection, changed with nothing lost."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_tablets import wait_for_pack

pytestmark = pytest.mark.browser

SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def test_spanish_from_the_door_to_a_row_without_a_service_and_english_again_with_nothing_lost(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble += ["ERR_", "401 (Unauthorized)"]  # while the service is away, and at the door
    block = own_planted["block"]
    own_service.as_nobody(tablet)
    tablet.goto(f"{own_service.address}/sign-in")
    expect(tablet.get_by_role("heading", name="Sign in")).to_be_visible()
    tablet.get_by_role("button", name="Español").tap()  # before anybody is let in, in its own name
    expect(tablet.get_by_role("heading", name="Entrar")).to_be_visible()
    assert tablet.evaluate("document.documentElement.lang") == "es"
    assert axe_findings(tablet) == []

    own_service.pair(tablet, own_planted["farm"], own_planted["crews"][0])
    tablet.goto(f"{own_service.address}/rows?block={block}")
    tablet.get_by_role("button", name="Leído", exact=True).tap()
    wait_for_pack(tablet, block)
    own_service.kill()
    tablet.get_by_role("button", name=re.compile(r"^Fila 1\b")).tap()
    expect(tablet.locator(".queue-line")).to_contain_text("1 registro espera en esta tableta, a salvo.")
    tablet.reload()
    expect(tablet.locator(".queue-line")).to_contain_text(
        "1 registro espera"
    )  # the catalogue is on the tablet
    tablet.set_viewport_size({"width": 800, "height": 1280})
    tablet.get_by_role("button", name="Tableta", exact=True).tap()
    expect(tablet.get_by_role("radio", name="Español")).to_be_checked()
    assert tablet.evaluate(SIDEWAYS) == 0
    assert axe_findings(tablet) == []
    picture(tablet, "spanish-tablet")

    tablet.get_by_text("English", exact=True).first.tap()
    expect(tablet.locator(".queue-line")).to_contain_text("1 record waits on this tablet, safe.")
    assert tablet.evaluate("document.documentElement.lang") == "en"
    own_service.start()
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=60_000)
    assert [mark["row"] for mark in own_service.get(f"/blocks/{block}/marks")["marks"]] == [1]
