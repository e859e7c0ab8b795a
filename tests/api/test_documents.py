"""What is fetched: shapes that never change, GeoJSON by RFC 7946, boxes, the legend; two apps side by side; readiness."""

import json

import pytest
import shapely
from shapely.geometry import shape as from_geojson

from orchardmap.errors import InputError
from orchardmap.store.session import sqlite_url
from orchardmap_api.settings import Settings, settings_from
from small_farm import NOW, OUTLINE, POSITIONS, ROWS


def test_shape_is_for_good_only_under_its_own_version(service):
    address = service.at_block("/shape")
    plain = service.client.get(address)
    version = plain.json()["version"]
    assert plain.headers["cache-control"] == "no-cache"
    assert plain.headers["etag"] == f'W/"{version}"'
    fixed = service.client.get(address, params={"v": version})
    assert "immutable" in fixed.headers["cache-control"]
    assert "public" not in fixed.headers["cache-control"]
    assert "immutable" not in service.client.get(address, params={"v": "older"}).headers["cache-control"]
    for tags in (f'"{version}"', f'W/"{version}"', f'"older", "{version}"', "*"):
        again = service.client.get(address, headers={"If-None-Match": tags})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", f'W/"{version}"')
    assert service.client.get(address, headers={"If-None-Match": '"older"'}).status_code == 200
    overview = service.client.get(service.at_farm("/overview")).json()
    assert overview["blocks"][0]["shape_version"] == version
    service.client.patch(service.at_block("/rows/1"), json={"blanks": [4]})
    after = service.client.get(address, params={"v": version}, headers={"If-None-Match": f'"{version}"'})
    assert after.status_code == 200, "the shape has changed"
    assert after.json()["version"] != version
    assert "immutable" not in after.headers["cache-control"]


def test_shape_carries_the_true_rows_within_a_centimetre(shared):
    """Whole units of 1e-7 degree: the largest rounding is half of 11.1 mm in latitude."""
    from orchardmap.store import orchard

    told = shared.client.get(shared.at_block("/shape")).json()
    unit, (west, south) = told["unit_deg"], told["origin"]
    with shared.store.read() as conn:
        rows = orchard.rows(conn, shared.farm.blocks[0].id)
    assert from_geojson(told["outline"]).equals(OUTLINE)
    assert [(r["n"], r["p"]) for r in told["rows"]] == [(n, POSITIONS) for n in range(1, ROWS + 1)]
    for mine, row in zip(told["rows"], rows, strict=True):
        for (positions, whole), line, on_part in zip(
            mine["parts"], row.line.geoms, row.part_positions, strict=True
        ):
            assert positions == on_part
            assert all(isinstance(number, int) for number in whole)
            points = [
                (west + x * unit, south + y * unit) for x, y in zip(whole[::2], whole[1::2], strict=True)
            ]
            away = [
                abs(a - b)
                for p, q in zip(points, line.coords, strict=True)
                for a, b in zip(p, q, strict=True)
            ]
            assert max(away) <= 0.5001e-7


@pytest.mark.parametrize(("path", "features"), [("/blocks", 2), ("/rows", ROWS)])
def test_geojson_is_by_rfc_7946(shared, path, features):
    answer = shared.client.get(shared.at_farm(path) if path == "/blocks" else shared.at_block(path))
    assert answer.headers["content-type"] == "application/geo+json"
    told = answer.json()
    assert told["type"] == "FeatureCollection"
    assert "crs" not in told
    assert len(told["features"]) == features
    assert len({f["id"] for f in told["features"]}) == features
    for feature in told["features"]:
        assert feature["type"] == "Feature"
        assert isinstance(feature["properties"], dict)
        geometry = shapely.from_geojson(json.dumps(feature["geometry"]))
        west, south, east, north = geometry.bounds
        assert 11.29 < west < east < 11.31 or 11.29 < west <= east < 11.31
        assert 46.49 < south < north < 46.51


def test_rows_in_a_box_by_the_service(shared):
    told = shared.client.get(shared.at_farm("/rows-in-box"), params={"bbox": "-180,-90,180,90"}).json()[
        "rows"
    ]
    assert len(told) == 2 * ROWS
    none = shared.client.get(shared.at_farm("/rows-in-box"), params={"bbox": "0,0,1,1"}).json()["rows"]
    assert none == []


def test_another_farms_block_is_served_by_its_own_id_only_where_it_is(shared):
    """Rows are asked of a farm: another farm's box holds none of them."""
    other = shared.client.post("/api/farms", json={"name": "Other Ground", "time_zone": "UTC"}).json()["id"]
    told = shared.client.get(f"/api/farms/{other}/rows-in-box", params={"bbox": "-180,-90,180,90"}).json()
    assert told == {"rows": []}


def test_legend_is_the_maps_own(shared):
    from orchardmap.maps import legend

    assert shared.client.get("/api/legend").json() == json.loads(json.dumps(legend.as_json()))


def test_assets_are_named_by_content_and_kept_for_good(shared):
    from orchardmap.maps.page import asset_files

    files = asset_files()
    assert files
    for address, (data, kind) in files.items():
        answer = shared.client.get(address)
        assert answer.content == data
        assert answer.headers["content-type"].startswith(kind)
        assert "immutable" in answer.headers["cache-control"]


def test_alive_asks_nothing_of_the_database_and_ready_does(service):
    assert service.client.get("/healthz").json() == {"status": "alive"}
    assert service.client.get("/readyz").json() == {"status": "ready", "faults": []}
    with service.store.write() as conn:
        conn.exec_driver_sql("UPDATE alembic_version SET version_num = 'older'")
    told = service.client.get("/readyz")
    assert told.status_code == 503
    assert told.json()["faults"] == ["the tables are not of this version"]
    assert service.client.get("/healthz").status_code == 200


def test_ready_leaves_no_trace(service):
    before = service.contents()
    for _ in range(3):
        service.client.get("/readyz")
    assert service.contents() == before


def test_two_apps_with_different_settings_in_one_process(start, tmp_path):
    one = start(sqlite_url(tmp_path / "one.sqlite"), allowed_hosts="localhost")
    two = start(sqlite_url(tmp_path / "two.sqlite"), allowed_hosts="localhost,two.example")
    one.client.post("/api/farms", json={"name": "Only in one", "time_zone": "UTC"})
    names = [{f["name"] for f in s.client.get("/api/farms").json()["farms"]} for s in (one, two)]
    assert names == [{"Small Farm", "Only in one"}, {"Small Farm"}]
    hosts = [s.client.get("/healthz", headers={"host": "two.example"}).status_code for s in (one, two)]
    assert hosts == [400, 200]


def test_second_app_on_the_same_file_does_not_start(start, tmp_path):
    from fastapi.testclient import TestClient

    from orchardmap.errors import StoreError
    from orchardmap_api.main import create_app

    url = sqlite_url(tmp_path / "one.sqlite")
    start(url)
    with pytest.raises(StoreError, match="another orchardmap process"), TestClient(create_app(Settings(url))):
        pass


def test_settings_are_read_from_the_environment(tmp_path):
    secret = tmp_path / "password"
    secret.write_text("plum stone\n", "utf-8")
    made = settings_from({
        "ORCHARDMAP_DATABASE_URL": "postgresql://o@db/o",
        "ORCHARDMAP_DATABASE_PASSWORD_FILE": str(secret),
        "ORCHARDMAP_PORT": "0",
        "ORCHARDMAP_REQUEST_LOG": "TRUE",
        "ORCHARDMAP_SKIP_WEB": "1",
        "PATH": "/bin",
    })
    assert made == Settings("postgresql://o@db/o", "plum stone", port=0, request_log=True)
    assert settings_from({}) == Settings()


@pytest.mark.parametrize(
    "environment",
    [
        {"ORCHARDMAP_DATABASE": "x"},
        {"ORCHARDMAP_": "x"},
        {"ORCHARDMAP_PORT": "80a"},
        {"ORCHARDMAP_PORT": "-1"},
        {"ORCHARDMAP_PORT": "65536"},
        {"ORCHARDMAP_HOST_FILE": "/nowhere/at/all"},
        {"ORCHARDMAP_SOMETHING_FILE": "/nowhere/at/all"},
        {"ORCHARDMAP_REQUEST_LOG": "perhaps"},
    ],
)
def test_setting_that_is_none_is_an_error(environment):
    with pytest.raises(InputError):
        settings_from(environment)


def test_today_is_a_day_of_the_farms_own_zone(start):
    served = start()
    served.clock.now = NOW.replace(hour=23, minute=30)  # half past midnight in Rome
    assert served.client.get(served.at_farm()).json()["today"] == "2026-01-21"
    assert served.client.get(served.at_farm("/overview")).json()["day"] == "2026-01-21"
