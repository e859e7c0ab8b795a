"""Loading files by hand: what a file cannot say is asked, what cannot be read says why, nothing is half taken."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Dialog, FilePayload, Page, expect
from typer.testing import CliRunner

from orchardmap.cli.main import app
from pdf_pages import codes, pictures

pytestmark = pytest.mark.browser


def choose(page: Page, service: Any, name: str, data: bytes) -> None:
    page.goto(f"{service.address}/set-up")
    file = FilePayload(name=name, mimeType="application/octet-stream", buffer=data)
    page.get_by_label("Choose a file").set_input_files(file)


def test_file_of_unknown_kind_shows_the_services_sentence(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.append("status of 422")
    choose(tablet, service, "plan.geojson", b"not a map at all")
    expect(tablet.locator(".import .notice")).to_contain_text("plan.geojson: This is text of unknown kind")
    expect(tablet.get_by_label("Choose a file")).to_be_attached()  # another can be chosen at once


def test_missing_coordinate_system_is_asked_and_the_answer_used(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    # a hectare in metres of UTM zone 10 north, named nowhere
    wkt = "POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200100, 500000 4200000))"
    choose(tablet, service, "north.csv", f'name;wkt\nNorth;"{wkt}"\n'.encode())
    question = tablet.locator(".questions")
    expect(question).to_contain_text("does not say in which coordinate system")
    expect(tablet.locator(".desk")).to_have_count(0)  # nothing to take before it is answered
    assert axe_findings(tablet) == []
    tablet.get_by_label("Another coordinate system").fill("EPSG:32610")
    tablet.get_by_role("button", name="Read it so").click()
    expect(tablet.get_by_text("1 block can be taken.")).to_be_visible()
    # 100 m x 100 m on the grid is 1.0008 ha on the ground: UTM's scale there is 0.9996, squared, inverted
    expect(tablet.locator(".block-form")).to_contain_text("1.00 ha")


def test_outline_that_crosses_itself_is_named_and_left_out(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    bow = [[0.01, 0], [0.011, 0.001], [0.011, 0], [0.01, 0.001], [0.01, 0]]
    good = [[0.02, 0], [0.021, 0], [0.021, 0.001], [0.02, 0.001], [0.02, 0]]
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        }
        for name, ring in (("bow", bow), ("good", good))
    ]
    choose(
        tablet,
        service,
        "two.geojson",
        json.dumps({"type": "FeatureCollection", "features": features}).encode(),
    )
    first = tablet.locator(".block-list li").first
    expect(first).to_contain_text("cross")
    expect(first.get_by_role("checkbox")).to_be_disabled()
    expect(tablet.locator(".block-list li").last.get_by_role("checkbox")).to_be_checked()


def test_code_that_the_farm_has_already_is_refused_and_nothing_is_taken(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.append("status of 409")
    choose(
        tablet, service, "apples.geojson", Path("sample_geodata/apple_blocks_california.geojson").read_bytes()
    )
    tablet.get_by_label("Code").fill("K1")
    tablet.get_by_label("Row spacing, m", exact=True).fill("4.5")
    tablet.get_by_label("Tree to tree in the row, m").fill("1.8")
    tablet.get_by_label("Bearing of rows, degrees").fill("130")
    tablet.get_by_role("button", name="Use these numbers for all blocks").click()
    expect(tablet.locator(".import-total")).to_contain_text("6 blocks,")
    tablet.get_by_label("Take into this farm all the same").check()  # the planted farm lies on the equator
    tablet.get_by_role("button", name="Take these blocks").click()
    expect(tablet.locator(".import .notice")).to_contain_text("K1")
    blocks = service.get(f"/farms/{planted['farm']}/overview?day={planted['today']}")["blocks"]
    assert [block["code"] for block in blocks] == ["K1"]


def test_file_half_set_up_is_there_again_after_another_screen_and_not_lost_to_a_reload_unasked(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    asked: list[str] = []

    def stay(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    choose(
        tablet, service, "apples.geojson", Path("sample_geodata/apple_blocks_california.geojson").read_bytes()
    )
    tablet.get_by_label("Row spacing, m", exact=True).fill("4.7")
    tablet.get_by_role("link", name="Overview").click()
    expect(tablet.locator(".figures")).to_be_visible()
    tablet.go_back()
    expect(tablet.get_by_label("Row spacing, m", exact=True)).to_have_value("4.7")
    expect(tablet.get_by_label("Take into this farm all the same")).to_be_visible()
    tablet.on("dialog", stay)
    tablet.evaluate("setTimeout(() => location.reload(), 0)")
    tablet.wait_for_timeout(500)
    assert asked == ["beforeunload"]
    expect(tablet.get_by_label("Row spacing, m", exact=True)).to_have_value("4.7")
    # another file, or none: nothing is half set up any more
    tablet.get_by_role("button", name="Another file").click()
    expect(tablet.get_by_label("Choose a file")).to_be_attached()
    tablet.reload()
    assert asked == ["beforeunload"]


def test_shell_and_browser_make_the_same_blocks_of_the_same_file(
    tablet: Page, service: Any, planted: dict[str, Any], tmp_path: Path
) -> None:
    """Ten fields, two of one name, numbered by both; the rows of each by its own edges, tree for tree."""
    file, database = (
        Path("sample_geodata/fields_sweden_shapefile.zip"),
        f"sqlite:///{tmp_path / 'shell.sqlite'}",
    )
    shell = CliRunner()
    assert shell.invoke(app, ["farm", "By the shell", "--database", database]).exit_code == 0
    spacings = ["--row-spacing", "4", "--tree-spacing", "1.5", "--bearing", "longest-edge"]
    said = shell.invoke(app, ["load", str(file), *spacings, "--preview", "--json", "--database", database])
    blocks = json.loads(said.stdout)["blocks"]
    choose(tablet, service, file.name, file.read_bytes())
    tablet.get_by_label("Row spacing, m", exact=True).fill("4")
    expect(tablet.locator(".plan-result")).to_contain_text("Still needs: tree to tree, a bearing.")
    tablet.get_by_label("Tree to tree in the row, m").fill("1.5")
    tablet.get_by_role("button", name="along the longest edge").click()
    tablet.get_by_role("button", name="Use these numbers for all blocks").click()
    expect(tablet.locator(".import-total")).to_contain_text("10 blocks,")
    expect(tablet.locator(".block-list")).not_to_contain_text("Working out")
    found = tablet.locator(".draft-choice").all_inner_texts()
    assert [text.split()[0] for text in found] == [block["code"] for block in blocks]
    assert [text.splitlines()[-1] for text in found] == [
        f"{block['rows']} rows, {block['trees']:,} trees" for block in blocks
    ]


def test_number_that_is_none_is_said_at_its_field(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    choose(
        tablet, service, "apples.geojson", Path("sample_geodata/apple_blocks_california.geojson").read_bytes()
    )
    field = tablet.get_by_label("Row spacing, m", exact=True)
    field.fill("four")
    expect(field).to_have_attribute("aria-invalid", "true")
    problem = tablet.locator(f"[id='{field.get_attribute('aria-describedby')}']")
    expect(problem).to_have_text("Give a number.")
    field.fill("4")
    expect(field).not_to_have_attribute("aria-invalid", "true")


def test_surveyed_rows_are_taken_as_they_are(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    # ten rows surveyed in a real vineyard; source and licence stand in sample_geodata
    choose(tablet, service, "rows.geojson", Path("sample_geodata/vine_rows_lincoln.geojson").read_bytes())
    expect(tablet.get_by_text("10 surveyed rows of the file are used as they are")).to_be_visible()
    tablet.get_by_label("Row spacing, m", exact=True).fill("2.4")
    tablet.get_by_label("Tree to tree in the row, m").fill("1.5")
    expect(tablet.locator(".plan-count")).to_contain_text("10 rows")
    tablet.get_by_label("Take into this farm all the same").check()  # the planted farm lies on the equator
    tablet.get_by_role("button", name="Take these blocks").click()
    expect(tablet.get_by_role("heading", name="Taken")).to_be_visible()


def test_labels_of_a_block_are_made_with_the_address_that_tablets_use(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    tablet.goto(f"{service.address}/set-up")
    tablet.get_by_text("Labels for the ends of rows").click()
    # a variety's habit is not known until somebody says it, here as under Briefs
    expect(tablet.get_by_label("Bearing habit")).to_have_value("unknown")
    part = tablet.locator(".row-labels")
    expect(part.get_by_label("Block")).to_contain_text("K1 Kiln Piece, 4 rows")
    assert axe_findings(tablet) == []
    part.get_by_label("Rows").fill("2")
    part.get_by_label("where position 1 is").check()
    for address, says in (
        (None, "Its codes lead to this machine alone"),
        ("https://orchard.lan:8420", "labels-K1.pdf is saved."),
    ):
        if address is not None:
            part.get_by_label("Address that tablets use").fill(address)
        with tablet.expect_download() as fetched:
            part.get_by_role("button", name="Make the labels").click()
        expect(part).to_contain_text(says)
        assert fetched.value.suggested_filename == "labels-K1.pdf"
        (page,) = pictures(Path(fetched.value.path()).read_bytes())
        assert codes(page) == [f"{address or service.address}/R/K1/2".upper()]
