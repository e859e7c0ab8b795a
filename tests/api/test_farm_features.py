"""Farm features over the service: a manager draws them, everybody reads them beside the power lines."""

import json

import pytest

GATE = {"type": "Point", "coordinates": [11.3, 46.499]}
LANE = {"type": "LineString", "coordinates": [[11.299, 46.499], [11.301, 46.501]]}


def added(service, **changes):
    body = {"kind": "gate", "name": "Low gate", "geojson": GATE} | changes
    return service.client.post(service.at_farm("/farm-features"), json=body)


def test_features_are_drawn_said_anew_and_listed_with_the_power_lines(service, is_problem):
    gate = added(service).json()["id"]
    collection = {
        "type": "FeatureCollection",
        "features": [{"type": "Feature", "properties": {}, "geometry": LANE}] * 2,
    }
    lane = added(service, kind="track", name="", geojson=collection).json()["id"]
    hung = {"name": "Mill line", "kv": 11, "geojson": LANE}
    assert service.client.post(service.at_farm("/hazard-lines"), json=hung).status_code == 201
    address = service.at_farm(f"/farm-features/{gate}")
    assert service.client.patch(address, json={"name": "High gate"}).status_code == 204
    told = service.tablet().get(service.at_farm("/farm-features")).json()
    assert told["features"] == [
        {"id": gate, "kind": "gate", "name": "High gate", "geometry": GATE},
        {"id": lane, "kind": "track", "name": "", "geometry": {"type": "MultiLineString", "coordinates": [LANE["coordinates"]] * 2}},
    ]  # fmt: skip
    assert [line["name"] for line in told["power_lines"]] == ["Mill line"]
    assert service.client.delete(address).status_code == 204
    is_problem(service.client.delete(address), 404)
    is_problem(service.client.patch(address, json={"name": "x"}), 404)


@pytest.mark.parametrize(
    "changes",
    [
        {"kind": "castle"},
        {"geojson": LANE},
        {"geojson": {"type": "Point", "coordinates": [400, 0]}},
        {"geojson": {"type": "Point", "coordinates": ["a", 0]}},
        {"geojson": {"type": "GeometryCollection", "geometries": [GATE, LANE]}},
        {"kind": "water", "geojson": {"type": "Polygon", "coordinates": [[[11.3, 46.5], [11.301, 46.501], [11.301, 46.5], [11.3, 46.501], [11.3, 46.5]]]}},
        {"kind": "track", "geojson": {"type": "LineString", "coordinates": [[11.3, 46.5], [11.3, 46.5]]}},
        {"name": "x" * 200},
        {"geojson": {}},
    ],
)  # fmt: skip
def test_nonsense_is_refused_as_a_problem_and_nothing_is_kept(shared, is_problem, changes):
    is_problem(added(shared, **changes), 422)
    assert shared.client.get(shared.at_farm("/farm-features")).json()["features"] == []


def test_a_file_gives_features_through_its_preview(service):
    file = {
        "type": "FeatureCollection",
        "features": [{"type": "Feature", "properties": {"name": "Lane"}, "geometry": LANE}],
    }
    sent = service.client.post(
        service.at_farm("/imports"), files={"file": ("x.geojson", json.dumps(file).encode())}
    ).json()
    take = {"features": [{"index": sent["features"][0]["index"], "kind": "track"}]}
    answer = service.client.post(f"/api/imports/{sent['token']}/farm-features", json=take)
    assert answer.status_code == 201
    (kept,) = service.client.get(service.at_farm("/farm-features")).json()["features"]
    assert ([kept["id"]], kept["name"]) == (answer.json()["ids"], "Lane")
