"""Files over the wire: by role, named so that they can be told apart, and nothing stays behind."""

import json
import tempfile
from pathlib import Path

import pytest

from orchardmap_api.routes import files


def test_a_layer_comes_as_a_file_with_a_name(shared_either):
    answer = shared_either.client.get(shared_either.at_farm("/files/rows.geojson"))
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/geo+json"
    named = answer.headers["content-disposition"]
    assert named.startswith("attachment; filename=\"rows.geojson\"; filename*=UTF-8''")
    assert "%2F" not in named
    assert len(json.loads(answer.content)["features"]) == 50


@pytest.mark.parametrize("name", ["orchard.gpkg", "orchard.xlsx", "checks.csv"])
def test_other_formats_come_whole(shared, name):
    answer = shared.client.get(shared.at_farm(f"/files/{name}"), params={"lang": "es"})
    start = {
        "orchard.gpkg": b"SQLite format 3\x00",
        "orchard.xlsx": b"PK",
        "checks.csv": b"\xef\xbb\xbfblock",
    }
    assert answer.content.startswith(start[name])
    assert list(Path(tempfile.gettempdir()).glob("orchardmap-file-*")) == []


def test_a_file_that_is_not_there_is_said(shared):
    for name in ("orchard.kml", "x" * 200, "%2e%2e"):
        answer = shared.client.get(shared.at_farm(f"/files/{name}"))
        assert answer.status_code in {404, 422}
        assert answer.headers["content-type"] == "application/problem+json"


def test_more_than_two_at_once_wait_and_are_then_told_so(shared, monkeypatch):
    """Each takes a core, and crews mark meanwhile; whoever made the two gives their places back."""
    monkeypatch.setattr(files, "_PATIENCE_S", 0.01)
    at = shared.at_farm("/files/blocks.csv")
    with files._scratch("a"), files._scratch("b"):
        answer = shared.client.get(at)
        assert answer.status_code == 503
    assert shared.client.get(at).status_code == 200
