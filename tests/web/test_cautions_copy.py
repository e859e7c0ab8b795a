"""The cautions that the front end has for blocks without a brief are the library's."""

import json
from pathlib import Path

from orchardmap.locale.catalogue import languages
from orchardmap.pruning.cautions import ALWAYS_SHOWN, caution_texts

COPY = Path(__file__).resolve().parents[2] / "web" / "src" / "core" / "general-cautions.json"


def test_cautions_copy_is_what_the_library_says() -> None:
    said = {language: list(caution_texts(ALWAYS_SHOWN, language)) for language in languages()}
    anew = json.dumps(said, indent=2, ensure_ascii=False) + "\n"
    assert COPY.read_text("utf-8") == anew, f"write it anew:\n{anew}"
