"""The words of the map's page: every one its script asks for is there, none is left over, the legend's all have theirs."""

import re
from collections.abc import Sequence
from importlib import resources
from typing import Any

import pytest

from orchardmap.maps import signs
from orchardmap.maps.assets import SCRIPT_PARTS
from orchardmap.maps.legend import legend_html
from orchardmap.maps.page import MapConfig, map_page
from orchardmap.maps.words import LEGEND, SENTENCES, page_words

SCRIPT = {
    part: resources.files("orchardmap.maps").joinpath("assets", part).read_text("utf-8")
    for part in SCRIPT_PARTS
}
PAGE = resources.files("orchardmap.maps").joinpath("page.py").read_text("utf-8")


def asked_for() -> set[str]:
    """Keys that the script or the page names, whole or by the pattern of a template."""
    text = "\n".join(SCRIPT.values())
    counted = {f"{key}_{end}" for key in re.findall(r'OM\.counted\("(\w+)"', text) for end in ("one", "many")}
    patterns = [
        re.compile(prefix + r"\w+$") for prefix in re.findall(r"OM\.(?:words|counted)\(`(\w+_)\$\{", text)
    ]
    by_pattern = {key for key in SENTENCES if any(pattern.match(key) for pattern in patterns)}
    quoted = set(re.findall(r'"(\w+)"', text)) | set(
        re.findall(r'said\("(\w+)"\)|SENTENCES\["(\w+)"\]', PAGE)
    )
    named = {key for one in quoted for key in (one if isinstance(one, tuple) else (one,))}
    return counted | by_pattern | (named & set(SENTENCES))


def test_every_key_of_the_script_has_its_sentence_and_every_sentence_is_used():
    text = "\n".join(SCRIPT.values())
    literal = set(re.findall(r'OM\.words\("(\w+)"', text)) | set(re.findall(r'said\("(\w+)"\)', PAGE))
    assert literal
    assert literal - set(SENTENCES) == set()
    assert set(SENTENCES) - asked_for() == set()


@pytest.mark.parametrize("part", SCRIPT)
def test_no_sentence_stands_in_the_script_itself(part):
    """Text that would reach a reader in English whatever the language: two words in quotes that are no code."""
    found = re.findall(r'"([A-Z][a-z]+ [a-z][^"]*)"|`([A-Z][a-z]+ [a-z][^`]*)`', SCRIPT[part])
    no_reader_sees = {"Segoe UI", "use strict"}
    assert [
        one
        for pair in found
        for one in pair
        if one and one not in no_reader_sees and "has no words" not in one
    ] == []


def test_every_word_of_the_legend_is_known_in_every_language():
    shown = set(signs.WORDS.values()) - {"no checks yet", "done"} | {
        signs.FEATURES_TITLE,
        signs.NORTH.words,
        signs.SEEN_WALKING,
    }
    groups: list[Sequence[Any]] = [
        signs.LINES,
        signs.PATCHES,
        signs.BUDS,
        signs.PLACES,
        signs.FEATURES,
        *signs.RINGS.values(),
    ]
    for kinds in groups:
        shown |= {sign.words for sign in kinds}
    shown |= {words for pair in signs.VIEWS.values() for words in pair}
    assert shown - set(LEGEND) == set()
    assert set(page_words("es")["legend"]) == set(LEGEND)
    assert "por podar" in legend_html("es") or "falta podar" in legend_html("es")


def test_a_page_in_spanish_says_so_and_holds_no_english_of_its_own():
    page = map_page(MapConfig(farm_id="f", language="es"), nonce="n")
    assert '<html lang="es">' in page
    assert "Mapa de los cuarteles" in page
    for sentence in ("Nobody may enter", "Copy link", "clockwise from north.<"):
        assert sentence not in page
