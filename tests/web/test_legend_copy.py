"""The front end's copy of the legend is the library's legend."""

import json
from pathlib import Path

from orchardmap.maps.legend import as_json

COPY = Path(__file__).resolve().parents[2] / "web" / "src" / "ui" / "legend.json"
AGAIN = (
    'write it anew: python -c "import json; from orchardmap.maps.legend import as_json; '
    "open('web/src/ui/legend.json','w').write(json.dumps(as_json(), indent=2, ensure_ascii=False) + chr(10))\""
)


def test_legend_copy_is_what_the_library_says() -> None:
    assert json.loads(COPY.read_text("utf-8")) == json.loads(json.dumps(as_json())), AGAIN
