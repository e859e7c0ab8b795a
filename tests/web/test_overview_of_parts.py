"""The Overview of a farm of several blocks, two varieties and two winters: parts of it, days that are over, seasons that are over."""

import re
from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from several_blocks import GREEN, RED, SeveralBlocks, codes, opened, several_blocks

# the promise of two seconds is measured by bench/live.py: here other tests run beside it
SOON_MS = 15_000
IN_K10 = 20


@pytest.fixture(scope="module")
def farm(service: Any) -> SeveralBlocks:
    """Hollow is in K1 and K2, Thorn in K2 (over Hollow's trees), in K10, and with a record of no row."""
    made = several_blocks(service, "Quernstone Parts")
    assert [
        made.mark("K1", 1, "Hollow", 3),
        made.mark("K1", 2, "Hollow", 2),
        made.mark("K2", 1, "Hollow", 2),
        made.mark("K2", 1, "Thorn", 1, last=5),
        made.mark("K10", 3, "Thorn", 1, last=IN_K10),
        made.mark("K1", 3, "Hollow", 390, season="Last winter"),
    ] == ["taken"] * 6
    made.rows["K10"][99] = 5  # no such row: its record is set aside
    assert made.mark("K10", 99, "Thorn") == "set_aside"
    del made.rows["K10"][99]
    return made


def test_figures_needs_and_table_are_of_what_is_chosen_and_of_nothing_else(
    tablet: Page, farm: SeveralBlocks
) -> None:
    opened(tablet, farm)
    figures, needs = tablet.locator(".figures"), tablet.locator(".needs-you")
    crew, variety = tablet.get_by_label("Crew", exact=True), tablet.get_by_label("Variety", exact=True)
    overlap, aside = "5 trees claimed by two crews", "1 record set aside"
    red = farm.trees("K1", 1, 2) + farm.trees("K2", 1)
    done, all_red = red + IN_K10, farm.trees("K1") + farm.trees("K2")
    expect(figures).to_contain_text(f"{done} of {all_red + farm.trees('K10')} trees")
    expect(needs).to_contain_text(overlap)
    expect(needs).to_contain_text(aside)
    assert codes(tablet) == ["K1", "K2", "K10"]

    variety.select_option(label=RED)
    expect(figures).to_contain_text(f"{red} of {all_red} trees")
    expect(needs).to_contain_text(overlap)
    expect(needs).not_to_contain_text("set aside:")
    assert codes(tablet) == ["K1", "K2"]
    variety.select_option(label=GREEN)
    expect(figures).to_contain_text(f"{IN_K10} of {farm.trees('K10')} trees")
    expect(needs).to_contain_text(aside)
    expect(needs).not_to_contain_text(overlap)
    assert codes(tablet) == ["K10"]

    # Hollow has no record set aside, though Thorn has one; of one crew neither cost nor what comes is told, and why
    variety.select_option(label="All varieties")
    crew.select_option(label="Hollow")
    expect(figures).to_contain_text(re.compile(r"trees pruned by Hollow"))
    expect(needs).to_contain_text(overlap)
    expect(needs).not_to_contain_text("Looking at")
    expect(needs).not_to_contain_text("set aside:")
    expect(tablet.get_by_text("Cost is of all crews that worked in a block")).to_be_visible()
    expect(tablet.get_by_text("What is to come is forecast of blocks")).to_be_visible()
    assert codes(tablet) == ["K1", "K2"]
    crew.select_option(label="Thorn")
    expect(needs).to_contain_text(aside)
    expect(needs).to_contain_text(overlap)
    assert codes(tablet) == ["K10"]  # in K2 it marked nothing that Hollow had not pruned before

    # nobody works for Wren: nothing is "pruned to the last tree"
    crew.select_option(label="Wren")
    variety.select_option(label=RED)
    expect(figures).to_contain_text("No block fits what is chosen.")
    expect(figures).not_to_contain_text("Every tree is pruned")
    expect(needs).to_contain_text("No block fits what is chosen.")
    expect(tablet.locator(".blocks tfoot")).to_contain_text("0 of 3 blocks")

    # an overlap leads a manager to where it is settled
    tablet.get_by_role("button", name="Show everything").click()
    needs.get_by_role("button", name="K2, row 1").click()
    expect(tablet).to_have_url(re.compile(rf"/settling\?block={farm.blocks['K2']}&row=1$"))
    expect(tablet.locator(":focus")).to_contain_text("Block K2, row 1")
    tablet.go_back()
    needs.get_by_role("button", name="K10: 1").click()
    expect(tablet.locator(":focus")).to_contain_text("K10")


@pytest.mark.parametrize("crew", [None, "Wren"])
def test_a_mark_of_a_day_that_is_over_shows_while_one_looks_at_that_day(
    tablet: Page, service: Any, crew: str | None
) -> None:
    """Also while others go on marking, which puts the reading of all of it off."""
    farm = several_blocks(service, f"Quernstone Past {crew}")
    assert farm.mark("K1", 1, "Wren", 5) == "taken"
    chosen = "" if crew is None else f"&crew={farm.crews[crew]}"
    opened(tablet, farm, f"?day={farm.today - timedelta(5)}{chosen}")
    figures = tablet.locator(".figures")
    own = f"{farm.trees('K1', 1)}"
    expect(figures).to_contain_text(own)
    expect(tablet.get_by_text("Looking at quality")).to_be_hidden()
    for row in (2, 3):
        assert farm.mark("K1", row, "Wren", 5) == "taken"
        assert farm.mark("K10", row, "Thorn", 0) == "taken"  # of another day: it shows on none but its own
        so_far = farm.trees("K1", *range(1, row + 1))
        words = (
            f"{so_far} of {sum(map(farm.trees, farm.blocks))} trees"
            if crew is None
            else f"{so_far} trees pruned by Wren"
        )
        expect(figures).to_contain_text(words, timeout=SOON_MS)
    cell = tablet.locator(".blocks tbody tr", has_text="K1").first
    share = 100 * farm.trees("K1", 1, 2, 3) // farm.trees("K1")
    expect(cell).to_contain_text(f"{share} %")


def test_a_day_is_of_its_own_season_and_one_before_all_seasons_is_refused(
    tablet: Page, farm: SeveralBlocks
) -> None:
    opened(tablet, farm)
    figures, day = tablet.locator(".figures"), tablet.get_by_label("As of")
    whole = sum(map(farm.trees, farm.blocks))
    expect(figures).to_contain_text("Last winter by")
    day.fill((farm.today - timedelta(380)).isoformat())
    day.press("Tab")
    expect(figures).to_contain_text(f"{farm.trees('K1', 3)} of {whole} trees")
    expect(figures).to_contain_text("Last winter")
    expect(figures).to_contain_text("No season before this one to compare with.")
    expect(figures).not_to_contain_text("Last winter by")
    # the slider is of that season, from the eve of its first mark to the eve of the next season
    slider = tablet.get_by_role("slider", name="Day shown")
    expect(slider).to_be_enabled()
    slider.press("Home")
    expect(figures).to_contain_text(f"0 of {whole} trees")
    slider.press("End")
    expect(tablet).to_have_url(re.compile(rf"day={farm.today - timedelta(61)}$"))
    expect(figures).to_contain_text("Last winter ended on")
    tablet.get_by_role("button", name="Today").click()
    expect(figures).to_contain_text("Last winter by")
    expect(slider).to_be_enabled()

    early = (farm.today - timedelta(401)).isoformat()
    day.fill(early)
    day.press("Tab")
    refusal = "The first season here, Last winter, opened on"
    expect(tablet.locator(".day-slider")).to_contain_text(refusal)
    expect(figures).to_contain_text("Last winter by")
    tablet.goto(f"{farm.service.address}/?day={early}")
    expect(tablet.get_by_text(refusal)).to_be_visible()
    expect(figures).to_contain_text("Last winter by")


@pytest.mark.parametrize("is_finished", [False, True])
def test_a_season_that_is_over_is_told_and_leads_to_the_next_one(
    tablet: Page, service: Any, picture: Any, *, is_finished: bool
) -> None:
    farm = several_blocks(service, f"Quernstone Over {is_finished}", winters={"Old winter": (-300, -250)})
    for code, rows in farm.rows.items():
        for row in rows if is_finished else [1]:
            assert farm.mark(code, row, "Hollow", 260, season="Old winter") == "taken"
    opened(tablet, farm)
    figures, needs = tablet.locator(".figures"), tablet.locator(".needs-you")
    expect(figures).to_contain_text("Old winter ended on")
    expect(figures).not_to_contain_text("working day")
    expect(needs).not_to_contain_text("Looking at")
    expect(needs).not_to_contain_text("nothing heard today")
    if is_finished:
        expect(figures).to_contain_text("Every tree is pruned. The last of them on")
    expect(tablet.get_by_text("forecast yet")).to_have_count(0)
    picture(tablet, f"season-over-{is_finished}")
    needs.get_by_role("button", name="Open the next season").click()
    expect(tablet.get_by_role("heading", name="Set-up", exact=True)).to_be_visible()
    expect(tablet.locator("summary", has_text="Old winter")).to_be_visible()
