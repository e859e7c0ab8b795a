"""The first page after a start waits for nothing that every start has to work out."""

from typing import Any

import pytest
from fastapi.dependencies import utils
from fastapi.testclient import TestClient

from orchardmap.store.session import sqlite_url
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings


@pytest.fixture
def analysed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Note each parameter of a route that FastAPI works out."""
    seen: list[str] = []
    analyse = utils.analyze_param

    def noted(**told: Any) -> Any:
        seen.append(told["param_name"])
        return analyse(**told)

    monkeypatch.setattr(utils, "analyze_param", noted)
    return seen


def test_what_routes_take_is_worked_out_before_anybody_asks(analysed, tmp_path):
    """Else the first request of all, whatever it is for, waits until it is worked out for all of them."""
    app = create_app(Settings(database_url=sqlite_url(tmp_path / "farm.sqlite")))
    before = len(analysed)
    assert "farm_id" in analysed
    with TestClient(app, base_url="http://localhost") as service:
        assert service.get("/api/who").status_code == 200
        assert service.get("/no such page").status_code in (200, 404)
        assert service.post("/api/farms/none/marks", json={}).status_code >= 400
    assert analysed[before:] == []
