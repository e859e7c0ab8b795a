"""The ground of a block in the browser: by finger and by keyboard, every edit is told before it is taken, and goes back again."""

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser


def rows(service: Any, planted: dict[str, Any]) -> dict[int, dict[str, Any]]:
    return {row["number"]: row for row in service.get(f"/blocks/{planted['block']}/ground")["rows"]}


AT_THE_FOOT = "scrollTo(0, document.documentElement.scrollHeight)"
"""Where the bar with what is taken covers nothing: elsewhere it covers half of whatever has just been scrolled to, and axe calls that half a target too small."""


def drag(page: Page, begin: tuple[float, float], by: tuple[float, float]) -> None:
    """Draw a finger over the screen, as a touch screen tells it."""
    session = page.context.new_cdp_session(page)

    def touch(kind: str, *points: dict[str, float]) -> None:
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": list(points)})

    touch("touchStart", {"x": begin[0], "y": begin[1]})
    for step in range(1, 5):
        touch("touchMove", {"x": begin[0] + by[0] * step / 4, "y": begin[1] + by[1] * step / 4})
    touch("touchEnd")
    session.detach()


def middle(page: Page, selector: str) -> tuple[float, float]:
    """Where the first point of a path of the plan is on the screen."""
    x, y = page.locator(selector).evaluate(
        "e => { const p = e.getPointAtLength(0).matrixTransform(e.getScreenCTM()); return [p.x, p.y]; }"
    )
    return x, y


def test_ends_are_dragged_and_blocks_moved_joined_and_surveyed_again_from_a_file(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    expected_trouble: list[str],
) -> None:
    """A finger pans the plan and drags an end, each for itself; the rest goes by keyboard: each edit is listed, and all are taken at once."""
    expected_trouble.append("422")  # the drag that is refused
    tablet.set_viewport_size({"width": 800, "height": 1280})
    before = rows(service, planted)
    block = service.get(f"/blocks/{planted['block']}/ground")
    other = json.loads(json.dumps(block["outline"]))
    other["coordinates"] = [[[lon + 3e-4, lat] for lon, lat in ring] for ring in other["coordinates"]]
    change = {"kind": "new-block", "block": new_id(), "code": "K9", "name": "K9"}
    change |= {"outline": other, "planting": block["planting"] | {"first_row": None}}
    service.post(f"/farms/{planted['farm']}/ground-changes", {"id": new_id(), "edits": [change]})
    tablet.goto(f"{service.address}/set-up?block={planted['block']}")
    told = tablet.locator("ul.ground-changes").first
    tablet.get_by_role("button", name="Row 2: ").click()

    # a drag on bare ground pans, one at the grip moves the end, one against the row is refused in sight
    picture = tablet.locator(".plan-picture")
    picture.evaluate("e => e.scrollIntoView({ block: 'center' })")
    view, box = picture.get_attribute("viewBox") or "", picture.bounding_box()
    assert box is not None
    drag(tablet, (box["x"] + 60, box["y"] + box["height"] / 2), (40, 30))
    expect(picture).not_to_have_attribute("viewBox", view)
    expect(tablet.get_by_text("Nothing is changed yet.").first).to_be_visible()
    ends = {end: middle(tablet, f".ground-grip[data-end={end}]") for end in ("first", "last")}
    up = ends["last"][1] - ends["first"][1]
    drag(tablet, (ends["last"][0], ends["last"][1] + 20), (0, -up / 4))
    expect(told).to_contain_text(re.compile(r"K1, row 2: \d+ to \d+ trees"))
    drag(tablet, middle(tablet, ".ground-grip[data-end=last]"), (0, -up * 1.5))
    expect(tablet.locator(".ground-foot .notice")).to_contain_text("begin at its other end")
    expect(tablet.locator(".ground-foot").get_by_text("1 edit, not taken yet")).to_be_visible()

    tablet.get_by_label("Choose row 3").check()
    tablet.get_by_role("button", name="Join 3 to the end of 2").press("Enter")
    expect(told).to_contain_text("K1, row 3: taken away")
    tablet.locator("summary", has_text="Move the block").press("Enter")
    tablet.get_by_label("To the east, m").last.fill("12")
    tablet.get_by_role("button", name="Move the block so").press("Enter")
    expect(told).to_contain_text("moved by up to")
    tablet.locator("summary", has_text="Join another block").press("Enter")
    tablet.get_by_role("button", name="Join it").press("Enter")
    expect(told).to_contain_text("Block K9 leaves")
    tablet.evaluate(AT_THE_FOOT)
    assert axe_findings(tablet) == []
    for _ in range(4):
        tablet.get_by_role("button", name="Undo the last edit").press("Enter")
    expect(told).to_have_text("")

    # the surveyor's rows lie 1.5 m (of 5) beside the old ones: which they are is asked before anything is taken
    lines = [[[lon + 1.5 / 111_320, lat] for lon, lat in before[n]["parts"][0]] for n in (2, 1, 4, 3)]
    features = [
        {"type": "Feature", "properties": {}, "geometry": {"type": "LineString", "coordinates": line}}
        for line in lines
    ]
    file = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    tablet.locator("summary", has_text="Survey it again").press("Enter")
    survey = {"name": "again.geojson", "mimeType": "application/geo+json", "buffer": file}
    tablet.get_by_label("Choose a file").set_input_files(survey)  # type: ignore[arg-type]
    tablet.get_by_role("button", name="Compare it with what is here").press("Enter")
    expect(told).to_contain_text("all rows would lie about 1.5 m to one side")
    tablet.evaluate(AT_THE_FOOT)
    assert axe_findings(tablet) == []
    tablet.get_by_role("button", name="Take these changes").press("Enter")
    expect(tablet.get_by_text("Taken. Tablets fetch the block anew.")).to_be_visible()
    after = rows(service, planted)
    assert sorted(after) == sorted(before)
    for number, row in after.items():
        assert row["parts"][0][0][0] - before[number]["parts"][0][0][0] == pytest.approx(
            1.5 / 111_320, rel=0.01
        )


def test_rows_are_counted_numbered_and_taken_away_after_a_look_and_it_goes_back_again(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    before = rows(service, planted)
    last = max(before)
    tablet.goto(f"{service.address}/set-up")
    tablet.get_by_role("link", name=re.compile("^K1")).click()
    expect(tablet.get_by_role("heading", name="Ground of block K1")).to_be_visible()

    # a finger on the plan chooses a row; fingers and keys turn its places
    tablet.locator(".ground-touch").nth(1).dispatch_event("click")
    expect(tablet.get_by_role("heading", name="Row 2", exact=True)).to_be_visible()
    tablet.get_by_role("button", name="Position 3: tree").tap()
    tablet.get_by_role("button", name="Position 3: blank").focus()
    tablet.keyboard.press("ArrowRight")
    tablet.keyboard.press("Enter")
    tablet.keyboard.press("Enter")
    expect(tablet.get_by_role("button", name="Position 4: pollinizer")).to_be_focused()
    trees = before[2]["trees"]
    expect(tablet.locator(".ground-changes")).to_contain_text(
        f"K1, row 2: {trees} to {trees - 2} trees, 1 blank more, 1 pollinizer more."
    )

    # the list does what the plan does
    tablet.get_by_role("button", name=f"Row {last}: ").click()
    tablet.get_by_role("button", name="Take away").click()
    expect(tablet.locator(".ground-changes")).to_contain_text(f"K1, row {last}: taken away")
    assert axe_findings(tablet) == []
    assert rows(service, planted) == before, "nothing is taken by being looked at"
    tablet.get_by_role("button", name="Take these changes").click()
    expect(tablet.get_by_text("Taken. Tablets fetch the block anew.")).to_be_visible()
    taken = rows(service, planted)
    assert last not in taken
    assert (taken[2]["blanks"], taken[2]["pollinizers"]) == ([3], [4])

    tablet.get_by_text("Changes that were taken").click()
    tablet.get_by_role("button", name="Look what taking it back would do").first.click()
    expect(tablet.locator(".ground-history")).to_contain_text(f"K1, row {last}: new")
    tablet.get_by_role("button", name="Take it back", exact=True).click()
    expect(tablet.get_by_text("Taken back.")).to_be_visible()
    assert rows(service, planted) == before


def test_a_block_is_drawn_by_its_corners_and_opened(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    tablet.goto(f"{service.address}/set-up?block=new")
    tablet.get_by_role("button", name="Tap corners on the plan").click()
    plan = tablet.locator(".plan-picture")
    box = plan.bounding_box()
    assert box is not None
    for x, y in ((0.3, 0.3), (0.6, 0.3), (0.6, 0.7)):
        tablet.touchscreen.tap(box["x"] + x * box["width"], box["y"] + y * box["height"])
    expect(tablet.get_by_text("3 corners so far.")).to_be_visible()
    tablet.get_by_role("button", name="Finish the outline").click()
    tablet.get_by_label("Code").fill("DRAWN")
    tablet.get_by_label("Row spacing, m", exact=True).fill("4")
    tablet.get_by_label("Tree to tree in the row, m").fill("2")
    tablet.get_by_label("Bearing of rows, degrees").fill("90")
    tablet.get_by_role("button", name="Show its rows").click()
    expect(tablet.get_by_text(re.compile(r"Block DRAWN is new: \d+ rows?, "))).to_be_visible()
    assert axe_findings(tablet) == []
    tablet.get_by_role("button", name="Take these changes").click()
    expect(tablet.get_by_role("heading", name="Ground of block DRAWN")).to_be_visible()
    tablet.get_by_text("Take the block away").first.click()
    tablet.get_by_role("button", name="Take the block away").click()
    expect(tablet.get_by_text("Block DRAWN would not be there any more.")).to_be_visible()
    tablet.get_by_role("button", name="Take these changes").click()
    expect(tablet.get_by_role("link", name=re.compile("^K1"))).to_be_visible()
    expect(tablet.get_by_role("link", name="DRAWN")).to_have_count(0)


def change_places(service: Any, planted: dict[str, Any], a: int, b: int) -> None:
    """Another manager numbers two rows anew."""
    version = service.get(f"/blocks/{planted['block']}/ground")["version"]
    edit = {"kind": "number-rows", "block": planted["block"], "numbers": [[a, b], [b, a]]}
    body = {"id": new_id(), "edits": [edit], "seen": {planted["block"]: version}}
    service.post(f"/farms/{planted['farm']}/ground-changes", body)


def test_rows_renumbered_while_a_tablet_works_are_said_and_what_it_marked_unknowing_is_put_right(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    expected_trouble: list[str],
) -> None:
    """Rows 1 and 2 change places twice: a page that is open says so; a mark made out of reach waits, and counts on its trees by one touch."""
    tablet.goto(f"{service.address}/rows")
    tablet.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_role("button", name="Read", exact=True).tap()
    row = tablet.locator(".row-strip")
    row.first.locator(".row-tap").tap(trial=True)
    change_places(service, planted, 3, 4)
    expect(tablet.get_by_text("The rows of this block were changed just now.")).to_be_visible()

    expected_trouble += ["ERR_INTERNET_DISCONNECTED", "ERR_FAILED"]
    tablet.context.set_offline(True)
    row.first.locator(".row-tap").tap()
    expect(row.first).to_contain_text("done")
    change_places(service, planted, 1, 2)
    tablet.context.set_offline(False)
    expect(tablet.get_by_text(re.compile("its row was changed after it was made")).first).to_be_visible()
    state = f"/blocks/{planted['block']}/state?day={planted['today']}"
    assert service.get(state)["runs"] == [], "it is on no tree yet"

    tablet.goto(f"{service.address}/settling")
    trees = planted["rows"][1]
    button = tablet.get_by_role("button", name=f"Count it where its trees are: row 2, positions 1 to {trees}")
    expect(button).to_be_visible()
    assert axe_findings(tablet) == []
    button.tap()
    expect(tablet.get_by_text("It is recorded on its trees and counts there")).to_be_visible()
    assert [run[:3] for run in service.get(state)["runs"]] == [[2, 1, trees]]
    assert service.get(f"/farms/{planted['farm']}/matters")["set_aside"] == []


def test_an_auditor_is_told_that_rows_were_changed_and_has_them_shown_when_the_tree_is_done(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    """Nothing moves under whoever judges a tree: what is saved meanwhile names the old rows and is set aside for its place, not counted on another tree."""
    tablet.goto(f"{service.address}/checks?block={planted['block']}")
    verdict = tablet.get_by_role("button", name="Faulty", exact=True)
    all_the_same = tablet.get_by_role("button", name=re.compile("all the same", re.IGNORECASE))
    verdict.tap(trial=True)
    change_places(service, planted, 1, 2)
    told = tablet.get_by_text("The rows of this block were changed just now, and a number")
    expect(told).to_be_visible()
    assert axe_findings(tablet) == []
    verdict.tap()
    all_the_same.tap()
    expect(tablet.get_by_text(re.compile("^1 record set aside: stored, not counted"))).to_be_visible()
    state = f"/blocks/{planted['block']}/state?day={planted['today']}"
    assert service.get(state)["checks"] == [], "it is on no tree yet"

    tablet.get_by_role("button", name="Show the rows as they are now").tap()
    expect(told).to_have_count(0)
    verdict.tap()
    all_the_same.tap()
    expect(tablet.get_by_text("Saved: row 1, position 1, faulty.")).to_be_visible()
    assert [check[1:4] for check in service.get(state)["checks"]] == [[1, 1, "faulty"]]
