"""Every route of the service, walked as it really is, and a working body for each."""

import json
from collections.abc import Iterator
from typing import Any

from orchardmap.pruning.brief_json import content_to_json
from orchardmap.pruning.habits import ready_made
from orchardmap_api.access import every_route
from orchardmap_api.main import create_app
from orchardmap_api.routes.pages import WEB_PATHS
from orchardmap_api.settings import Settings
from small_farm import NOW

ONE_OUTLINE = json.dumps({
    "type": "Feature",
    "properties": {"name": "W1"},
    "geometry": {
        "type": "Polygon",
        "coordinates": [[[11.31, 46.5], [11.311, 46.5], [11.311, 46.501], [11.31, 46.501], [11.31, 46.5]]],
    },
})
NOBODY = "00000000-0000-7000-8000-000000000000"
NOT_IN_DOCUMENT = {
    "/openapi.json",
    *WEB_PATHS,
    "/sw.js",
    "/manifest.webmanifest",
    "/app/{name:path}",
    "/R/{code:path}/{row}",
    "/r/{code:path}/{row}",
    # told of in documents of their own, one a farm
    "/ogc",
    *(
        f"/ogc/farms/{{farm_id}}{rest}"
        for rest in ("", "/", "/conformance", "/api", "/api.html", "/collections")
    ),
    *(
        f"/ogc/farms/{{farm_id}}/collections/{{collection}}{rest}"
        for rest in ("", "/schema", "/items", "/items/{feature_id}")
    ),
}


def routes(found: Any) -> Iterator[tuple[str, str, bool]]:
    """Method, path and whether the document tells of it, of every route."""
    for route in every_route(found):
        for method in sorted(route.methods - {"HEAD"}):
            yield method, route.path, route.include_in_schema


APP = create_app(Settings(database_url="sqlite:///never-opened.sqlite"))
ROUTES = sorted(routes(APP.routes))
OPERATIONS = [(method, path) for method, path, told in ROUTES if told]

CONTENT = content_to_json(ready_made("tip_renewed"))
GROUND_CHANGE = {
    "id": NOBODY,
    "edits": [
        {
            "kind": "new-block",
            "block": "00000000-0000-7000-8000-0000000000b1",
            "code": "W2",
            "name": "West",
            "outline": json.loads(ONE_OUTLINE)["geometry"],
            "planting": {"row_spacing_m": 4.0, "tree_spacing_m": 2.0},
        }
    ],
}
BODIES: dict[str, dict[str, Any]] = {
    "/api/farms": {"name": "X", "time_zone": "UTC"},
    "/api/farms/{farm_id}": {"time_zone": "Europe/Paris"},
    "/api/farms/{farm_id}/seasons": {"name": "X", "opens_on": "2026-01-01", "must_finish_on": "2026-02-01"},
    "/api/farms/{farm_id}/crews": {"name": "X"},
    "/api/farms/{farm_id}/people": {"name": "X", "role": "worker"},
    "/api/farms/{farm_id}/varieties": {"name": "X"},
    "/api/farms/{farm_id}/varieties/{variety_id}": {"is_biennial": True},
    "/api/farms/{farm_id}/seasons/{season_id}": {"must_finish_on": "2026-03-20"},
    "/api/farms/{farm_id}/crews/{crew_id}": {"name": "Renamed"},
    "/api/farms/{farm_id}/people/{person_id}": {"name": "Renamed"},
    "/api/farms/{farm_id}/settings": {"line_reach_m": 4.0},
    "/api/farms/{farm_id}/calendar": {
        "season_id": NOBODY,
        "weekdays": "1111110",
        "hours_per_day": 7.5,
        "days_off": [{"day": "2026-02-02", "name": "Candlemas"}],
        "lost_percent": [10] * 12,
        "expected_pace": 12.5,
        "respects_daylight": True,
    },
    "/api/farms/{farm_id}/strengths": {
        "strengths": [{"crew_id": NOBODY, "first": "2026-01-26", "last": "2026-02-06", "people": 9}]
    },
    "/api/farms/{farm_id}/queues": {"queues": [], "open": [], "own_first": True, "revision": 0},
    "/api/farms/{farm_id}/queue-forecasts": {"queues": [], "open": [], "own_first": True, "revision": 0},
    "/api/blocks/{block_id}/terms": {"must_finish_on": None, "platform_fits": False},
    "/api/farms/{farm_id}/what-if": {"cases": [{"lost_days": 5, "weekdays": "1111110"}], "certainty": 0.9},
    "/api/farms/{farm_id}/farm-features": {
        "kind": "gate",
        "name": "X",
        "geojson": {"type": "Point", "coordinates": [11.299, 46.5]},
    },
    "/api/farms/{farm_id}/farm-features/{feature_id}": {"name": "Y"},
    "/api/imports/{token}/farm-features": {"features": [{"index": 0, "kind": "other"}]},
    "/api/farms/{farm_id}/hazard-lines": {
        "name": "X",
        "kv": 11,
        "geojson": {"type": "LineString", "coordinates": [[11.299, 46.5], [11.301, 46.5]]},
    },
    "/api/farms/{farm_id}/marks": {"sent_at": NOW.isoformat(), "marks": []},
    "/api/farms/{farm_id}/withdrawals": {"sent_at": NOW.isoformat(), "withdrawals": []},
    "/api/farms/{farm_id}/checks": {"sent_at": NOW.isoformat(), "checks": []},
    "/api/farms/{farm_id}/crew-days": {"sent_at": NOW.isoformat(), "crew_days": []},
    "/api/blocks/{block_id}": {"slope_percent": 12.5},
    "/api/farms/{farm_id}/pay-rules": {
        "revision": 0,
        "rules": {"currency": "XTS", "rates": [{"per": "hour", "rate": "9.00"}]},
    },
    "/api/farms/{farm_id}/person-hours": {
        "hours": [
            {
                "id": NOBODY,
                "person_id": NOBODY,
                "crew_id": NOBODY,
                "day": "2026-01-20",
                "hours": 7.5,
                "rest_minutes": 20,
            }
        ]
    },
    "/api/farms/{farm_id}/pay-runs": {
        "id": NOBODY,
        "first": "2026-01-20",
        "last": "2026-01-20",
        "crew_id": None,
        "seen": "0" * 64,
    },
    "/api/farms/{farm_id}/budget": {"amount": "12000", "is_per_tree": False},
    "/api/farms/{farm_id}/tree-counts": {"sent_at": NOW.isoformat(), "tree_counts": []},
    "/api/blocks/{block_id}/rows/{number}": {"blanks": [1]},
    "/api/blocks/{block_id}/closures": {
        "starts_at": "2026-01-20T15:00:00Z",
        "ends_at": "2026-01-21T15:00:00Z",
        "reason": "felling",
    },
    "/api/blocks/{block_id}/closures/{closure_id}/end": {"ends_at": "2026-01-20T15:00:00Z"},
    "/api/farms/{farm_id}/settlements": {
        "id": NOBODY,
        "stretch": {
            "season_id": NOBODY,
            "block_id": NOBODY,
            "row": 3,
            "first": 1,
            "last": 4,
            "credited_crew_id": None,
        },
        "seen": [NOBODY],
        "note": "",
    },
    "/api/farms/{farm_id}/returns": {
        "id": NOBODY,
        "block_id": NOBODY,
        "crew_id": NOBODY,
        "due_on": "2026-01-27",
        "lot_id": None,
        "area": None,
        "points": ["dead-wood"],
        "note": "",
        "stretches": [[4, 1, 6]],
    },
    "/api/returns/{return_id}/cancel": {"reason": "Gone over already"},
    "/api/first-start": {"token": "x", "login": "x", "name": "X", "password": "a ladder in the rain"},
    "/api/sign-in": {"login": "x", "password": "x"},
    "/api/sign-in/link": {"code": "x"},
    "/api/confirm": {"password": "a ladder in the rain"},
    "/api/password": {"old": None, "new": "a ladder in the rain"},
    "/api/pair": {"code": "AAAABBBB"},
    "/api/device/holder": {"person_id": NOBODY, "pin": "274901"},
    "/api/farms/{farm_id}/accounts": {"login": "x", "name": "X", "role": "adviser"},
    "/api/farms/{farm_id}/devices/codes": {"name": "X", "role": "auditor"},
    "/api/farms/{farm_id}/reading-keys": {
        "name": "QGIS in the office",
        "sees": "work",
        "ends_on": "2026-12-31",
    },
    "/api/farms/{farm_id}/people/{person_id}/pin": {"pin": "274901"},
    "/api/farms/{farm_id}/briefs": {
        "season_id": NOBODY,
        "variety_id": NOBODY,
        "ready_made": {"habit": "tip_renewed", "is_heavy_setter": True, "system": "tall_spindle"},
    },
    "/api/farms/{farm_id}/lots/plan": {"block_id": NOBODY},
    "/api/farms/{farm_id}/lots": {"id": NOBODY, "block_id": NOBODY},
    "/api/lots/{lot_id}/cancel": {"reason": "rain"},
    "/api/farms/{farm_id}/card-preview": {"content": CONTENT},
    "/api/farms/{farm_id}/brief-copies": {"from_season_id": NOBODY, "season_id": NOBODY},
    "/api/farms/{farm_id}/briefs/{brief_id}/draft": {"revision": 1, "content": CONTENT},
    "/api/farms/{farm_id}/briefs/{brief_id}/versions": {"revision": 1},
    "/api/calc/crop-load": {"trunk_diameter_cm": 3.81, "fruit_per_cm2": 4},
    "/api/farms/{farm_id}/ground-changes/preview": GROUND_CHANGE,
    "/api/farms/{farm_id}/ground-changes": GROUND_CHANGE,
    "/api/imports/{token}/plan": {"blocks": []},
    "/api/imports/{token}/take": {"blocks": []},
}
"""A body that is valid, for every route that takes JSON."""

QUERIES = {
    "/map": {"farm": NOBODY},
    "/api/farms/{farm_id}/rows-in-box": {"bbox": "11,46,12,47"},
    "/api/farms/{farm_id}/packs": {"block": NOBODY},
    "/api/farms/{farm_id}/photos/{photo_id}": {"check_id": NOBODY},
    "/api/farms/{farm_id}/briefs/{brief_id}/differences": {"old": "1", "new": "1"},
    "/api/farms/{farm_id}/labels.pdf": {"block": NOBODY},
    "/api/farms/{farm_id}/crew-sheets.pdf": {"block": NOBODY},
    "/api/farms/{farm_id}/person-hours": {"first": "2026-01-14", "last": "2026-01-20"},
    "/api/farms/{farm_id}/pay-preview": {"first": "2026-01-14", "last": "2026-01-20"},
}
"""What a route must be asked with, besides its path."""


def filled(path: str, **values: str) -> str:
    """The path with ids in it: those given, else ids that nothing has."""
    given = {
        "farm_id": NOBODY,
        "block_id": NOBODY,
        "account_id": NOBODY,
        "closure_id": NOBODY,
        "device_id": NOBODY,
        "key_id": NOBODY,
        "person_id": NOBODY,
        "brief_id": NOBODY,
        "line_id": NOBODY,
        "photo_id": NOBODY,
        "return_id": NOBODY,
        "run_id": NOBODY,
        "lot_id": NOBODY,
        "variety_id": NOBODY,
        "season_id": NOBODY,
        "crew_id": NOBODY,
        "number": "1",
        "version": "1",
        "name": "nothing",
        "file": "blocks.geojson",
        "token": "nothing",
        "name:path": "nothing",
        "code:path": "K1",
        "row": "1",
        "collection": "checks",
        "feature_id": NOBODY,
    } | values
    for name, value in given.items():
        path = path.replace("{" + name + "}", value)
    assert "{" not in path, path
    return path


def ask(client: Any, method: str, path: str, template: str, **changes: Any) -> Any:
    """Send what the route of a template takes, with changes to its query or body."""
    more: dict[str, Any] = {"params": QUERIES.get(template, {})}
    if template in BODIES and method in {"POST", "PATCH", "PUT"}:
        more["json"] = BODIES[template]
    more |= changes
    if template.endswith("/imports"):
        more["files"] = {"file": ("x.geojson", ONE_OUTLINE.encode())}
    return client.request(method, path, **more)
