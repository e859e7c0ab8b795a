"""What the front end has of the library's own, for blocks and days without a service: general cautions, and the key of the drawings."""

import json
from pathlib import Path

import pytest

from orchardmap.locale.catalogue import languages
from orchardmap.paper.brief_card import key_words
from orchardmap.paper.brief_signs import key_signs
from orchardmap.pruning.cautions import ALWAYS_SHOWN, caution_texts

CORE = Path(__file__).resolve().parents[2] / "web" / "src" / "core"
COPIES = {
    "general-cautions.json": {
        language: list(caution_texts(ALWAYS_SHOWN, language)) for language in languages()
    },
    "brief-key.json": {
        "signs": key_signs(),
        "words": {language: key_words(language) for language in languages()},
    },
}


@pytest.mark.parametrize("name", COPIES)
def test_copy_is_what_the_library_says(name: str) -> None:
    anew = json.dumps(COPIES[name], indent=2, ensure_ascii=False) + "\n"
    assert (CORE / name).read_text("utf-8") == anew, f"write it anew:\n{anew}"
