"""The adviser's screens have a name for whatever a brief may hold."""

import re
from pathlib import Path

from orchardmap.pruning.cautions import CAUTIONS
from orchardmap.pruning.pictures import PICTURES

WORDS = Path(__file__).resolve().parents[2] / "web" / "src" / "core" / "briefs-wording.ts"


def test_every_drawing_and_caution_is_named() -> None:
    """Else a Spanish screen would show the key of a new one."""
    named = set(re.findall(r'^  "?([a-z-]+)"?: t\("', WORDS.read_text("utf-8"), re.MULTILINE))
    assert {*PICTURES, *CAUTIONS} <= named
