"""`orchardmap paper`: each command writes one PDF and says so."""

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from orchardmap.store.session import open_store, sqlite_url
from pdf_pages import codes, opened, pictures
from small_farm import small_farm

DATABASE = "sqlite:///farm.sqlite"


@pytest.fixture
def made(tmp_path, orchardmap):
    """A farm in the folder that the commands run in."""
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    farm = small_farm(store)
    store.close()
    return farm


def text_of(pdf: bytes) -> str:
    with opened(pdf) as document:
        return re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_range() for page in document))


def made_today(farm):
    """The farm's day: in its own time zone it may be tomorrow by now."""
    return datetime.now(ZoneInfo(farm.farm.time_zone)).date()


def test_each_command_writes_its_sheets(orchardmap, made, tmp_path):
    for words, name, says in (
        (("wall-map", "--size", "a4", "--block", "K1", "--scale", "1500"), "wall-map.pdf", "Scale 1:1500"),
        (
            ("crew-sheets", "--block", "K1", "--address", "https://orchard.lan:8420"),
            "crew-sheets.pdf",
            "Start: row 1",
        ),
        (("weekly", "--no-cost"), "weekly-report.pdf", f"{made_today(made).day}"),
    ):
        said = orchardmap("paper", *words, "--database", DATABASE)
        assert said.code == 0, said.err
        assert f"Wrote {name} (" in said.out
        assert says in text_of((tmp_path / name).read_bytes())
    assert codes(pictures((tmp_path / "crew-sheets.pdf").read_bytes())[0]) == [
        "HTTPS://ORCHARD.LAN:8420/R/K1/1"
    ]


def test_what_cannot_be_written_is_one_sentence(orchardmap, made):
    for words in (
        ("wall-map", "--size", "a1"),
        ("crew-sheets", "--block", "Z9"),
        ("weekly", "--language", "xx"),
    ):
        said = orchardmap("paper", *words, "--database", DATABASE)
        assert (said.code, said.out) == (1, "")
        assert said.err.startswith("orchardmap: ")
        assert len(said.err.splitlines()) == 1
