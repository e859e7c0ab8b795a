"""Checks: one verdict a tree, asked again before another one, and a question before a tree that cannot be judged."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import FilePayload, Locator, Page, expect

from browser_briefs import publish_brief
from browser_checks import go_on, open_checks
from browser_marks import prune_row
from browser_tablets import wait_for_pack
from browser_trouble import KILLED
from jpegs import camera_jpeg, where_taken
from orchardmap.quality.bare_jpeg import picture_size
from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser


def top_of(found: Locator) -> float:
    box = found.bounding_box()
    assert box is not None
    return box["y"]


def checks_of(service: Any, planted: dict[str, Any]) -> list[list[Any]]:
    found: list[list[Any]] = service.get(f"/blocks/{planted['block']}/state?day={planted['today']}")["checks"]
    return found


def test_second_tap_on_a_verdict_stores_no_second_check(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """And the one that is sent names the version of the brief that it was judged by, which is to be seen beside the tree."""
    prune_row(service, planted, 1)
    brief_id = publish_brief(service, planted)
    open_checks(tablet, service, planted)
    # twice before the first one is answered: a glove that trembles lays one card
    tablet.get_by_role("button", name="Brief", exact=True).evaluate("(one) => { one.click(); one.click(); }")
    expect(tablet.locator(".brief")).to_have_count(1)
    expect(tablet.locator(".brief")).to_contain_text(re.compile(r"Version 1 of [\w ]+\."))
    expect(tablet.get_by_role("button", name="Faulty", exact=True)).to_be_hidden()
    tablet.get_by_role("button", name="Brief", exact=True).tap()
    expect(tablet.locator(".brief")).to_have_count(0)
    faulty = tablet.get_by_role("button", name="Faulty", exact=True)
    with tablet.expect_request(
        lambda asked: asked.method == "POST" and asked.url.endswith("/checks")
    ) as sent:
        faulty.tap()
    body = sent.value.post_data_json
    assert body is not None
    (check,) = body["checks"]
    assert (check["brief_id"], check["brief_version"]) == (brief_id, 1)
    expect(tablet.get_by_text("Saved: row 1, position 1, faulty.")).to_be_visible()
    expect(faulty).to_be_disabled()
    box = faulty.bounding_box()
    assert box is not None
    tablet.touchscreen.tap(box["x"] + 40, box["y"] + 40)
    tablet.wait_for_timeout(500)
    assert len(checks_of(service, planted)) == 1
    # another tree is open again, and coming back says what is known
    tablet.get_by_role("button", name="One position on").tap()
    expect(faulty).to_be_enabled()
    tablet.get_by_role("button", name="One position back").tap()
    expect(faulty).to_be_disabled()
    expect(tablet.get_by_text("This tree is checked already: faulty,")).to_be_visible()


def test_slip_is_mended_by_checking_again_and_the_counts_follow(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    prune_row(service, planted, 1)
    open_checks(tablet, service, planted)
    tablet.get_by_role("button", name="Faulty", exact=True).tap()
    tablet.get_by_role("button", name="Check this tree again").tap()
    expect(tablet.get_by_text("A later check of the same tree takes its place in all counts")).to_be_visible()
    tablet.get_by_role("button", name="Meets the brief").tap()
    expect(tablet.get_by_text("Saved: row 1, position 1, meets the brief.")).to_be_visible()
    expect(tablet.locator(".checks-list li").last).to_contain_text("a later check took its place")
    figures = service.get(f"/farms/{planted['farm']}/overview?day={planted['today']}")["figures"]
    assert (figures["checked"], figures["meets"], figures["faulty"]) == (1, 1, 0)


def test_unpruned_tree_is_asked_about_before_anything_is_stored(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_checks(tablet, service, planted)
    faulty = tablet.get_by_role("button", name="Faulty", exact=True)
    faulty.tap()
    tablet.wait_for_timeout(300)
    assert checks_of(service, planted) == []
    expect(tablet.get_by_role("status").filter(has_text="This tree is not marked as pruned.")).to_be_visible()
    # however much is said on however low a screen, the bar leaves room for the tree, and verdicts stay in sight
    tablet.set_viewport_size({"width": 640, "height": 400})
    tablet.evaluate("document.querySelector('.verdict-said .notice').style.minHeight = '3000px'")
    assert top_of(tablet.locator(".verdict-bar")) >= 63
    expect(faulty).to_be_in_viewport(ratio=1)
    tablet.reload()
    faulty.tap()
    tablet.get_by_role("button", name="Leave it").tap()
    assert checks_of(service, planted) == []
    faulty.tap()
    tablet.get_by_role("button", name='Record "Faulty" all the same').tap()
    expect(tablet.get_by_text("Saved: row 1, position 1, faulty.")).to_be_visible()
    assert len(checks_of(service, planted)) == 1


@pytest.mark.parametrize("size", [(1280, 800), (800, 1280)], ids=["landscape", "upright"])
def test_verdicts_stay_where_they_are_whatever_is_said(
    tablet: Page, service: Any, planted: dict[str, Any], size: tuple[int, int]
) -> None:
    tablet.set_viewport_size({"width": size[0], "height": size[1]})
    prune_row(service, planted, 1)
    open_checks(tablet, service, planted)
    faulty = tablet.get_by_role("button", name="Faulty", exact=True)
    expect(faulty).to_be_in_viewport(ratio=1)
    before = top_of(faulty)
    faulty.tap()
    expect(tablet.get_by_text("Saved: row 1, position 1, faulty.")).to_be_visible()
    assert abs(top_of(faulty) - before) < 1
    tablet.get_by_role("button", name="One position on").tap()
    tablet.get_by_role("button", name="One position back").tap()
    expect(tablet.get_by_text("This tree is checked already: faulty,")).to_be_visible()
    assert abs(top_of(faulty) - before) < 1


def test_verdict_words_show_the_numbers_it_was_made_from(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    prune_row(service, planted, 1)
    open_checks(tablet, service, planted)
    expect(tablet.get_by_text("Only drawn trees count for the verdict.")).to_be_visible()
    tablet.get_by_text("Drawn by plan", exact=True).tap()
    tablet.get_by_role("button", name="Faulty", exact=True).tap()
    expect(tablet.get_by_text("Saved: row 1, position 1, faulty.")).to_be_visible()
    tablet.get_by_role("button", name="One position on").tap()
    tablet.get_by_text("Seen while walking", exact=True).tap()
    tablet.get_by_role("button", name="Faulty", exact=True).tap()
    expect(tablet.get_by_text("Saved: row 1, position 2, faulty.")).to_be_visible()
    block = service.get(f"/farms/{planted['farm']}/overview?day={planted['today']}")["blocks"][0]
    assert (block["drawn"], block["drawn_faulty"], block["checked"]) == (1, 1, 2)
    wanted = f"drawn 1 of {block['must_check']}, 1 faulty (at most {block['may_fail']}); 1 seen while walking"
    tablet.goto(service.address)
    expect(tablet.get_by_role("row", name="K1")).to_contain_text(wanted)
    tablet.goto(f"{service.address}/checks")
    expect(tablet.get_by_role("button", name="K1 ")).to_contain_text(wanted)


def draw_lot(service: Any, planted: dict[str, Any]) -> dict[str, Any]:
    """Draw a lot of 20 trees over the first crew's four rows, by ISO 2859-1 at level II (code letter F)."""
    for row in planted["rows"]:
        prune_row(service, planted, row)
    plan = {"kind": "attributes", "level": "II", "aql": 4.0}
    asked = {"id": new_id(), "block_id": planted["block"], "crew_id": planted["crews"][0], "plan": plan}
    made: dict[str, Any] = service.post(f"/farms/{planted['farm']}/lots", asked)
    return made


def tree_at_hand(tablet: Page) -> str:
    """The tree that the walk is at, as lists name it."""
    row, position = re.findall(r"\d+", tablet.locator(".walk-where h2").inner_text())
    return f"Row {row}, tree {position}"


def test_a_lot_is_walked_without_a_service_and_everything_arrives(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    axe_findings: Callable[..., list[str]],
) -> None:
    """Twenty trees with a reload among them: two touches for a clean one, three for a fault; the photo loses its place.

    One is dead: three touches write that down, and another tree stands in, which the tablet knows by itself.
    """
    expected_trouble += KILLED
    publish_brief(own_service, own_planted)
    lot = draw_lot(own_service, own_planted)
    assert (lot["n"], lot["accept"], lot["reject"], len(lot["trees"])) == (20, 2, 3, 20)
    own_service.pair(tablet, own_planted["farm"], None, "auditor")
    open_checks(tablet, own_service, own_planted)
    clean = tablet.get_by_role("button", name="All as the brief says")
    expect(clean).to_be_visible()
    assert axe_findings(tablet) == []
    wait_for_pack(tablet, own_planted["block"])
    own_service.kill()
    tablet.reload()
    expect(tablet.locator(".walk-points img").first).to_be_visible()
    expect(tablet.locator(".walk-save")).to_be_disabled()
    bad = ""
    for done in range(20):
        if done == 3:
            dead = tree_at_hand(tablet)
            tablet.get_by_role("button", name="Cannot be judged").tap()
            tablet.get_by_role("button", name="The tree is not there, or dead").tap()
            expect(tablet.locator(".walk-said")).to_contain_text("stands in for it.")
        if done == 7:
            bad = tree_at_hand(tablet)
            # what is half answered outlives the page; a photo and an answer are there again
            jpeg = FilePayload(name="tree.jpg", mimeType="image/jpeg", buffer=camera_jpeg(2000, 1500))
            tablet.locator(".walk-camera").set_input_files(jpeg)
            expect(tablet.get_by_role("img", name="Photo of this tree")).to_be_visible()
            clean.tap()
            # a glove that trembles does not take its answer back
            tablet.get_by_role("button", name=re.compile("^Not OK: ")).first.evaluate(
                "(one) => { one.click(); one.click(); }"
            )
            # what is half answered waits while one looks at another tree
            tablet.get_by_role("button", name="All trees").tap()
            tablet.get_by_role("button", name=re.compile("^Row")).nth(done + 3).tap()
            expect(tablet.locator(".walk-save")).to_be_disabled()
            tablet.get_by_role("button", name="All trees").tap()
            tablet.get_by_role("button", name=re.compile("half answered$")).tap()
            expect(tablet.locator(".walk-save")).to_have_text("Save: faulty. Next tree")
            tablet.reload()
            expect(tablet.get_by_role("img", name="Photo of this tree")).to_be_visible()
            expect(tablet.locator(".walk-save")).to_have_text("Save: faulty. Next tree")
        else:
            clean.tap()
        go_on(tablet, done + 1)
    expect(tablet.locator(".walk-verdict")).to_have_text("Accepted")
    expect(tablet.locator(".walk-end")).to_contain_text("20 of 20 drawn trees checked, 1 faulty.")
    expect(tablet.locator(".queue-line")).to_contain_text("21 records wait on this tablet, safe.")
    expect(tablet.locator(".queue-line")).to_contain_text("1 photo waits on this tablet, safe.")
    # a tree seen on the way back is judged point by point, and enters no lot
    tablet.get_by_role("button", name="A tree seen while walking").tap()
    not_drawn = next(at for at in range(1, own_planted["rows"][1]) if [1, at] not in lot["walk"])
    for _ in range(not_drawn - 1):
        tablet.get_by_role("button", name="One position on").tap()
    tablet.get_by_role("button", name="Point by point").tap()
    expect(tablet.get_by_role("button", name="Meets the brief")).to_be_disabled()
    clean.tap()
    tablet.get_by_role("button", name="Meets the brief").tap()
    expect(tablet.locator(".queue-line")).to_contain_text("22 records wait on this tablet, safe.")
    tablet.get_by_role("button", name="Back to the lot").tap()

    own_service.start()
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=70_000)
    told = own_service.get(f"/lots/{lot['id']}")
    assert (told["verdict"], told["checked"], told["faulty"]) == ("accepted", 20, 1)
    for sentence in told["sentences"]:
        expect(tablet.locator(".walk-end")).to_contain_text(sentence)
    (faulty,) = [tree for tree in told["trees"] if (tree["check"] or {}).get("verdict") == "faulty"]
    assert f"Row {faulty['row']}, tree {faulty['position']}" == bad
    (unjudged,) = [tree for tree in told["trees"] if tree["not_judged"]]
    assert f"Row {unjudged['row']}, tree {unjudged['position']}" == dead
    assert [tree["number"] for tree in told["trees"] if tree["stands_in"]] == [21]
    assert len(faulty["check"]["failed"]) == 1
    (photo,) = faulty["check"]["photos"]
    kept = tablet.context.request.get(f"{own_service.address}/api/photos/{photo}").body()
    assert (picture_size(kept), where_taken(kept)) == ((1280, 960), {})
    assert len(kept) <= 300_000
