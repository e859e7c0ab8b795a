"""The weekly report as printed says what the overview and `orchardmap report` say of the same day; one week, named by its days."""

import re
from contextlib import closing
from datetime import UTC, date, datetime, timedelta

import pytest

from orchardmap.cli.season_report import report_lines
from orchardmap.errors import InputError
from orchardmap.paper.burn_up_chart import BurnUp, burn_up_svg
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases.glance import overview
from orchardmap.usecases.history import progress
from orchardmap.usecases.report_words import finish_lines
from orchardmap.usecases.season_report import season_report
from orchardmap.usecases.weekly_report import weekly_report, weekly_report_pdf
from pdf_pages import letters, opened, texts
from pdf_strokes import is_tagged
from printed_farm import NOW, TODAY, printed_farm

MONDAY = TODAY - timedelta(2)


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    with closing(open_store(sqlite_url(tmp_path_factory.mktemp("week") / "farm.sqlite"))) as store:
        yield store, printed_farm(store)


def told(farm, *, day=None, with_cost=True, language="en"):
    store, made = farm
    return weekly_report(store, made.farm.id, day=day, language=language, with_cost=with_cost, now=NOW)


def printed(farm, *, day=None, language="en") -> bytes:
    store, made = farm
    return weekly_report_pdf(store, made.farm.id, day=day, language=language, with_cost=True, now=NOW)


@pytest.fixture(scope="module")
def this_week(farm) -> bytes:
    return printed(farm)


def said(pdf: bytes) -> str:
    with opened(pdf) as document:
        return re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_range() for page in document))


def test_its_sentences_are_those_of_the_report_in_the_shell(farm, this_week):
    """Progress, finish and lots: every line that `orchardmap report` prints of them stands on paper."""
    store, made = farm
    lines = report_lines(season_report(store, made.farm.id, day=None, now=NOW))
    ends = lines.index("Blocks, in the order in which they are worked")
    wanted = [
        line.strip().replace("\N{NO-BREAK SPACE}", " ") for line in lines[2:ends] if line.startswith("  ")
    ]
    assert len(wanted) > 5
    found = said(this_week)
    for line in wanted:
        assert line in found


def test_its_table_holds_the_figures_of_the_overview(farm):
    store, made = farm
    glance = overview(store, made.farm.id, day=None, now=NOW)
    lines = {one.code: one for one in told(farm).blocks}
    for block in glance["blocks"]:
        line = lines[block["code"]]
        assert (line.trees, line.pruned, line.verdict) == (block["trees"], block["pruned"], block["verdict"])
    assert sum(one.pruned for one in lines.values()) == glance["figures"]["pruned"]
    assert len(lines) == 4


def test_the_trees_of_the_week_are_those_of_its_days(farm, this_week):
    store, made = farm
    week = told(farm)
    assert (week.first, week.last, week.is_over) == (MONDAY, TODAY, False)
    days = progress(store, made.farm.id, day=None, now=NOW)["days"]
    of_week = sum(one["trees"] for one in days if one["day"] >= MONDAY.isoformat())
    assert week.week == of_week > 0
    assert sum(one.week for one in week.crews) <= of_week, "what two crews claim is credited to none of them"
    assert f"{of_week} trees pruned this week." in said(this_week)
    assert "Week of 19 to 21 January 2026, so far" in said(this_week)


def test_weeks_add_up_to_the_season(farm):
    """Each tree is of one week; a week that is over is told up to its Sunday and without what only today knows."""
    before = told(farm, day=MONDAY - timedelta(1))
    assert (before.first, before.last, before.is_over) == (MONDAY - timedelta(7), MONDAY - timedelta(1), True)
    assert before.week + told(farm).week == sum(one.pruned for one in told(farm).blocks)
    assert (before.lots, before.cost) == ((), ())
    found = said(printed(farm, day=MONDAY - timedelta(7)))
    assert "Week of 12 to 18 January 2026" in found
    assert "2026, so far" not in found
    assert "as they stand today" in found


def test_the_parts_of_the_report_are_there(this_week):
    found = said(this_week)
    for part in (
        "Progress",
        "Finish",
        "Map",
        "Burn-up",
        "Blocks",
        "Quality",
        "Weak areas",
        "Crews",
        "Trees per person-hour",
        "Cautions",
    ):
        assert part in found
    assert "S2: Closed block: nobody goes in" in found
    assert "Scale 1:" in found
    assert re.search(r"Rook Court Pendu Plat ladder \d", found)
    with opened(this_week) as document:
        pages = len(document)
        assert document.get_metadata_value("Title").startswith(
            "Low Meadow & Sons: Weekly report, Week of 19 to 21"
        )
    assert [f"{at} / {pages}" in found for at in range(1, pages + 1)] == [True] * pages
    assert is_tagged(this_week)
    assert all(one.embedded for page in texts(this_week) for one in page)
    for letter in (letter for page in letters(this_week) for letter in page):
        assert 5 < letter.left < letter.right < 205
        assert 5 < letter.top < letter.bottom < 292


def test_in_spanish_no_english_is_left(farm):
    found = said(printed(farm, language="es"))
    for part in (
        "Informe semanal",
        "Semana del 19 a 21 de enero de 2026, hasta ahora",
        "Debe terminarse el",
        "Cuadrillas",
    ):
        assert part in found
    assert not re.search(r"\b(trees|pruned|Likely|Week|Blocks|Verdict)\b", found)
    with pytest.raises(InputError, match="No report is made in this language"):
        printed(farm, language="xx")


def test_a_day_to_come_has_no_report(farm):
    with pytest.raises(InputError, match="has not come yet"):
        told(farm, day=TODAY + timedelta(1))


def test_a_farm_without_anything_has_a_report_that_says_what_is_missing(tmp_path):
    from orchardmap.usecases import planting

    with closing(open_store(sqlite_url(tmp_path / "farm.sqlite"))) as store:
        made = planting.create_farm(store, name="Empty", time_zone="UTC", now=NOW)
        found = said(weekly_report_pdf(store, made.id, day=None, with_cost=True, now=NOW))
    assert "Nothing can be forecast yet. Missing: a season that is open (Set-up)." in found


def test_the_chart_draws_what_was_pruned_and_the_fan_at_their_days():
    """Heights and days of the drawn lines are those told: half the trees half way up."""
    first = date(2026, 1, 1)
    pruned = [(first + timedelta(10), 500)]
    fan = [(first + timedelta(10), 500, 500, 500), (first + timedelta(20), 600, 750, 1000)]
    drawn = burn_up_svg(
        BurnUp(first, pruned, fan, 1000, first + timedelta(30), first + timedelta(10)), (100, 60), "en"
    )
    paths = re.findall(r'<path d="(M[^"]*)" fill="none" stroke="[^"]*" stroke-width="([^"]*)"', drawn)
    (steps,) = [path for path, width in paths if width == "0.8" and "V" in path]
    (likely,) = [path for path, width in paths if width == "0.5" and "L" in path]
    all_y, none_y = 9.0, 54.0
    assert float(re.findall(r"V([\d.]+)", steps)[-1]) == pytest.approx((all_y + none_y) / 2, abs=0.01)
    (x0, y0), (x1, y1) = [tuple(map(float, pair)) for pair in re.findall(r"([\d.]+),([\d.]+)", likely)]
    assert y0 == pytest.approx((all_y + none_y) / 2, abs=0.01)
    assert y1 == pytest.approx(none_y - 0.75 * (none_y - all_y), abs=0.01)
    start = float(re.findall(r"M([\d.]+),", steps)[0])
    assert x1 - start == pytest.approx(2 * (x0 - start), abs=0.02)
    assert "must finish 31 January" in drawn


def test_the_clock_decides_which_week_is_so_far(farm):
    store, made = farm
    later = datetime(2026, 1, 25, 23, 0, tzinfo=UTC)
    week = weekly_report(store, made.farm.id, day=TODAY, language="en", with_cost=True, now=later)
    assert (week.first, week.last, week.is_over) == (MONDAY, date(2026, 1, 25), False)


@pytest.mark.parametrize(
    ("language", "wanted"), [("en", "Every tree is pruned."), ("es", "Todos los árboles están podados.")]
)
def test_a_season_that_is_done_does_not_ask_for_what_a_forecast_lacks(language, wanted):
    """Nobody entered people or paces, and every tree is pruned: there is nothing to forecast, and nothing is missing."""
    told = {
        "must_finish_on": "",
        "finish": None,
        "unsaid_today": [],
        "missing": ["expected_pace"],
        "trees": 40,
        "trees_left": 0,
    }
    assert list(finish_lines(told, language)) == [wanted]
    unbegun = list(finish_lines(told | {"trees_left": 40}, language))
    assert unbegun != [wanted]
    assert len(unbegun) == 1
