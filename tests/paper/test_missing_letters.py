"""Letters that no font of the machine has are told on a page of their own, never left to be found in the rows."""

import logging
import re

from orchardmap.paper.pdf import pdf_of
from pdf_pages import opened

GOTHIC = "\U00010330\U00010331"
"""Gothic ahsa and bairkan: in none of the fonts that Debian installs by itself."""


def pages(pdf: bytes) -> list[str]:
    with opened(pdf) as document:
        return [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in document]


def document(words: str, language: str = "en") -> str:
    return f'<!doctype html><html lang="{language}"><head><title>x</title></head><body><p>{words}</p></body></html>'


def test_a_name_without_a_font_is_told_on_one_page_more(caplog):
    with caplog.at_level(logging.WARNING):
        made = pages(pdf_of(document(f"Block {GOTHIC}")))
    assert len(made) == 2
    assert "Letters are missing" in made[1]
    assert "U+10330 Gothic Letter Ahsa" in made[1]
    assert "U+10331 Gothic Letter Bairkan" in made[1]
    assert not [record for record in caplog.records if "notdef" in record.message], "the shell stays quiet"
    assert "Faltan letras" in pages(pdf_of(document(GOTHIC, "es")))[1]


def test_names_that_can_be_written_cost_no_page():
    assert len(pages(pdf_of(document("Žluťoučký kůň, Ñandú, Αγρός, Сад")))) == 1
