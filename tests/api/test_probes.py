"""What a program never sends and a broken or hostile one does: 422 without an echo, on each engine, never 500.

The list holds what made this kind of service fail in the project's own trials (design 06b, section 0, findings 10 and 11).
"""

import json
from typing import Any

import pytest

from small_farm import NOW

RAW_NUMBERS = [
    "NaN",
    "Infinity",
    "-Infinity",
    "1e999",
    "1" * 20,
    "-" + "1" * 20,
    "true",
    '"7"',
    "7.5",
    "null",
    "[7]",
    "{}",
]
SECRET = "pin-4711"


def raw(body: dict[str, Any], key: str, literal: str) -> bytes:
    """The body as JSON with a literal put in for one value, which `json` itself would not write."""
    marker = "put-in-here"
    text = json.dumps(
        json.loads(
            json.dumps(body), object_hook=lambda o: {k: marker if k == key else v for k, v in o.items()}
        )
    )
    assert marker in text
    return text.replace(f'"{marker}"', literal).encode()


def post(service: Any, path: str, content: bytes, method: str = "POST") -> Any:
    return service.client.request(method, path, content=content, headers={"content-type": "application/json"})


def mark_batch(service: Any, mark_json: Any) -> dict[str, Any]:
    return {"sent_at": NOW.isoformat(), "marks": [mark_json(service.farm)]}


def plan_body() -> dict[str, Any]:
    numbers = {"row_spacing_m": 4.0, "tree_spacing_m": 1.5, "bearing_deg": 0.0, "lines_per_row": 1}
    return {"blocks": [{"index": 0, "code": "A", "name": "", "planting": numbers}]}


@pytest.mark.parametrize("literal", RAW_NUMBERS)
@pytest.mark.parametrize("key", ["row", "first", "last"])
def test_number_of_a_mark_that_is_no_count(shared, is_problem, mark_json, key, literal):
    before = shared.contents()
    is_problem(post(shared, shared.at_farm("/marks"), raw(mark_batch(shared, mark_json), key, literal)), 422)
    assert shared.contents() == before


@pytest.mark.parametrize(
    "literal", ["NaN", "Infinity", "-Infinity", "1e999", "-1e999", "1" * 400, '"four"', "null", "[]"]
)
@pytest.mark.parametrize("key", ["row_spacing_m", "tree_spacing_m", "bearing_deg"])
def test_number_of_a_planting_that_is_no_length(shared, is_problem, key, literal):
    is_problem(post(shared, "/api/imports/a-file-that-waits/plan", raw(plan_body(), key, literal)), 422)


@pytest.mark.parametrize("key", ["id", "season_id", "block_id", "crew_id", "device_id", "method"])
@pytest.mark.parametrize(
    "literal", ['"\\ud800"', '"\\udfff x"', '"\\u0000"', '"' + "x" * 5000 + '"', "7", "true"]
)
def test_text_of_a_mark_that_is_no_text(shared, is_problem, mark_json, key, literal):
    body = mark_batch(shared, mark_json)
    body["marks"][0].setdefault(key, "tablet")
    is_problem(post(shared, shared.at_farm("/marks"), raw(body, key, literal)), 422)


@pytest.mark.parametrize(
    "literal",
    [
        '"2026-13-01"',
        '"20 January"',
        '"0000-01-01"',
        '"99999-01-01"',
        "1768900000",
        "NaN",
        "true",
        '"1066-10-14"',
        '"9999-12-31"',
    ],
)
@pytest.mark.parametrize("key", ["day", "device_at"])
def test_moment_that_no_calendar_holds(shared, is_problem, mark_json, key, literal):
    if (key, literal) == ("device_at", "1768900000"):
        literal = "17689000000000000000"
    is_problem(post(shared, shared.at_farm("/marks"), raw(mark_batch(shared, mark_json), key, literal)), 422)


def test_moment_without_a_zone_is_refused(shared, is_problem, mark_json):
    body = mark_batch(shared, mark_json)
    body["marks"][0]["device_at"] = "2026-01-20T14:00:00"
    told = is_problem(shared.client.post(shared.at_farm("/marks"), json=body), 422)
    assert told["where"] == "body.marks.0.device_at"


@pytest.mark.parametrize("name", ["\\ud800", "a\\u0000b", "", "   ", "x" * 201])
@pytest.mark.parametrize("kind", ["crews", "varieties", "people", "seasons"])
def test_name_that_is_none(shared, is_problem, kind, name):
    body = {
        "crews": {},
        "varieties": {},
        "people": {"role": "worker"},
        "seasons": {"opens_on": "2026-01-01", "must_finish_on": "2026-02-01"},
    }[kind]
    is_problem(post(shared, shared.at_farm(f"/{kind}"), raw({"name": "", **body}, "name", f'"{name}"')), 422)


def test_extra_key_is_refused_and_named(shared, is_problem, mark_json):
    body = mark_batch(shared, mark_json) | {"sent": NOW.isoformat()}
    told = is_problem(shared.client.post(shared.at_farm("/marks"), json=body), 422)
    assert told["where"] == "body.sent"


def test_where_somebody_stood_is_never_kept(service, mark_json):
    body = mark_batch(service, mark_json)
    body["marks"][0] |= {
        "lat": 46.5,
        "Longitude": 11.3,
        "note_of_v9": {"coords": [11.3, 46.5], "tool": "saw"},
    }
    answer = service.client.post(service.at_farm("/marks"), json=body)
    assert answer.json()["outcomes"][0]["outcome"] == "taken"
    kept = [repr(mark) for mark in service.contents()["marks"]]
    assert len(kept) == 1
    assert '{"note_of_v9":{"tool":"saw"}}' in kept[0]
    assert "46.5" not in kept[0]
    assert "11.3" not in kept[0]


def test_long_unknown_key_does_not_come_back_whole(shared, is_problem):
    answer = shared.client.post("/api/farms", json={"name": "A", "time_zone": "UTC", "k" * 100_000: 1})
    assert is_problem(answer, 422)["where"] == "body." + "k" * 60
    assert len(answer.content) < 1_000


def test_refusal_never_echoes_what_was_sent(shared, is_problem, mark_json):
    body = mark_batch(shared, mark_json)
    for key in body["marks"][0]:
        wrong = body | {"marks": [body["marks"][0] | {key: {"pin": SECRET}}]}
        answer = shared.client.post(shared.at_farm("/marks"), json=wrong)
        is_problem(answer, 422)
        assert SECRET not in answer.text
    for key in ("device_id", "method", "day", "device_at", "id"):
        wrong = body | {"marks": [body["marks"][0] | {key: SECRET * 30}]}
        answer = shared.client.post(shared.at_farm("/marks"), json=wrong)
        is_problem(answer, 422)
        assert SECRET not in answer.text


def test_every_wrong_record_of_a_batch_is_named_and_the_list_has_an_end(shared, is_problem, mark_json):
    wrong = mark_json(shared.farm) | {"row": "x", "first": "x"}
    body = {"sent_at": NOW.isoformat(), "marks": [wrong] * 400}
    told = is_problem(shared.client.post(shared.at_farm("/marks"), json=body), 422)
    assert [one["where"] for one in told["errors"][:2]] == ["body.marks.0.row", "body.marks.0.first"]
    named = [int(one["where"].split(".")[2]) for one in told["errors"]]
    assert sorted(set(named)) == list(range(400)), "a tablet must know which ones to put aside"
    assert len(named) < 420


def test_batch_of_too_many_is_refused(shared, is_problem, mark_json):
    body = {"sent_at": NOW.isoformat(), "marks": [mark_json(shared.farm)] * 501}
    is_problem(shared.client.post(shared.at_farm("/marks"), json=body), 422)


def test_key_with_a_stray_surrogate_is_refused(shared, is_problem):
    is_problem(post(shared, shared.at_farm("/crews"), b'{"name": "A", "\\ud800": 1}'), 422)


@pytest.mark.parametrize("number", ["0", "-1", "1" * 20, "1e3", "x", "%00"])
def test_row_number_in_the_address_that_is_none(shared, is_problem, number):
    is_problem(shared.client.patch(shared.at_block(f"/rows/{number}"), json={"blanks": []}), 422)


QUERIES = [
    ("/changes", {"after": "1" * 20}),
    ("/changes", {"after": "-1"}),
    ("/changes", {"after": "x"}),
    ("/changes", {"limit": "0"}),
    ("/changes", {"limit": "1" * 20}),
    ("/overview", {"day": "yesterday"}),
    ("/overview", {"day": "2026-02-30"}),
    ("/rows-in-box", {"bbox": "1,2,3"}),
    ("/rows-in-box", {"bbox": "nan,nan,nan,nan"}),
    ("/rows-in-box", {"bbox": "inf,0,inf,0"}),
    ("/rows-in-box", {"bbox": "12,47,11,46"}),
    ("/rows-in-box", {"bbox": "a,b,c,d"}),
]


@pytest.mark.parametrize(("path", "query"), QUERIES)
def test_query_that_is_none(shared, is_problem, path, query):
    is_problem(shared.client.get(shared.at_farm(path), params=query), 422)


@pytest.mark.parametrize("day", ["0001-01-01", "1900-01-01", "2400-02-29", "9999-12-31"])
def test_day_far_away_is_answered_or_refused(shared_either, day):
    """Calendars end somewhere: the answer may be empty, or a 422, but not a fault of ours."""
    for address in (
        shared_either.at_farm("/overview"), shared_either.at_farm("/progress"), shared_either.at_block("/state"), shared_either.at_block("/rows"),
    ):  # fmt: skip
        assert shared_either.client.get(address, params={"day": day}).status_code in {200, 422}, address
    farm = shared_either.farm.farm.id
    assert shared_either.client.get("/map", params={"farm": farm, "day": day}).status_code in {200, 422}


@pytest.mark.parametrize(
    "farm", ["-" * 36, "f" * 36, "0" * 35 + "-", "00000000-0000-7000-8000-000000000000", "x" * 36]
)
def test_map_of_a_farm_that_is_none(shared_either, is_problem, farm):
    """The engines differ in what they take for a UUID; the answer must not."""
    answer = shared_either.client.get("/map", params={"farm": farm})
    assert answer.status_code in {404, 422}, answer.text
    is_problem(answer, answer.status_code)


def test_unknown_ids_in_records_are_set_aside_on_each_engine(shared_either, mark_json):
    """Ids that no table holds must not trip over a foreign key."""
    nobody = "00000000-0000-7000-8000-000000000000"
    changes = [
        {"season_id": nobody},
        {"block_id": nobody},
        {"crew_id": nobody},
        {"recorder_id": nobody},
        {"return_id": nobody},
    ]
    marks = [mark_json(shared_either.farm, **one) for one in changes]
    told = shared_either.client.post(
        shared_either.at_farm("/marks"), json={"sent_at": NOW.isoformat(), "marks": marks}
    )
    assert told.status_code == 200, told.text
    outcomes = [one["outcome"] for one in told.json()["outcomes"]]
    assert outcomes == ["set_aside"] * 5


OUTLINE = {
    "type": "Polygon",
    "coordinates": [[[11.31, 46.5], [11.312, 46.5], [11.312, 46.502], [11.31, 46.502], [11.31, 46.5]]],
}


def upload(service: Any, name: str = "North", filename: str = "x.geojson") -> Any:
    feature = {"type": "Feature", "properties": {"name": "put-in-here"}, "geometry": OUTLINE}
    text = json.dumps({"type": "FeatureCollection", "features": [feature]}).replace("put-in-here", name)
    return service.client.post(service.at_farm("/imports"), files={"file": (filename, text.encode())})


@pytest.mark.parametrize(
    "name", ["\\ud800", "a\\u0000b", "x" * 5000, "\\u202e gnirps", "<img src=x onerror=y>", "${1}`"]
)
def test_odd_names_in_a_file_are_taken_or_refused_alike(either, is_problem, name):
    answer = upload(either, name)
    assert answer.status_code in {201, 422}, answer.text
    if answer.status_code == 422:
        is_problem(answer, 422)
        return
    planting = {"row_spacing_m": 4, "tree_spacing_m": 1.5}
    told = answer.json()["features"][0]["name"]
    blocks = [{"index": 0, "code": "Z", "name": told[:200], "planting": planting}]
    taken = either.client.post(f"/api/imports/{answer.json()['token']}/take", json={"blocks": blocks})
    assert taken.status_code == 201, taken.text
    listed = either.client.get(either.at_farm("/blocks")).json()["features"]
    assert [f["properties"]["code"] for f in listed] == ["K1", "K2", "Z"]


def take(service: Any, **changes: Any) -> Any:
    token = upload(service).json()["token"]
    block = {"index": 0, "code": "Z", "planting": {"row_spacing_m": 4, "tree_spacing_m": 1.5}} | changes
    return service.client.post(f"/api/imports/{token}/take", json={"blocks": [block]})


@pytest.mark.parametrize(
    "changes",
    [
        {"index": 1},
        {"index": 10**20},
        {"index": None},
        {"rows": [0]},
        {"rows": [-1]},
        {"rows": [10**20]},
        {"planting": {"row_spacing_m": 0, "tree_spacing_m": 1.5}},
        {"planting": {"row_spacing_m": 0.0001, "tree_spacing_m": 0.0001}},
        {"planting": {"row_spacing_m": 4, "tree_spacing_m": 1e-300}},
        # row 1 beyond the other side; at the very edge it would be a row
        {"planting": {"row_spacing_m": 4, "tree_spacing_m": 1.5, "first_row_offset_m": 9000}},
        {
            "planting": {
                "row_spacing_m": 4,
                "tree_spacing_m": 1.5,
                "first_row": [[11.31, 46.5], [11.31, 46.5]],
            }
        },
        {"planting": {"row_spacing_m": 4, "tree_spacing_m": 1.5, "baseline": [[0, 0], [0, 0]]}},
        {"planting": {"row_spacing_m": 4, "tree_spacing_m": 1.5, "lines_per_row": 2, "pair_spacing_m": 0}},
        {"code": "K1"},
    ],
)
def test_block_that_cannot_be_made_is_refused_and_nothing_taken(shared_either, is_problem, changes):
    before = shared_either.contents()["blocks"], shared_either.contents()["rows"]
    answer = take(shared_either, **changes)
    assert answer.status_code in {409, 422}, answer.text
    is_problem(answer, answer.status_code)
    assert (shared_either.contents()["blocks"], shared_either.contents()["rows"]) == before


def test_variety_that_is_not_the_farms_is_refused(shared_either, is_problem):
    from orchardmap.usecases import planting

    other = planting.create_farm(shared_either.store, name=planting.new_id(), time_zone="UTC", now=NOW)
    theirs = planting.add_variety(shared_either.store, farm_id=other.id, name="Lady Williams", habit="spur")
    before = shared_either.contents()["blocks"]
    for variety_id in (theirs.id, "00000000-0000-7000-8000-000000000000"):
        is_problem(take(shared_either, variety_id=variety_id), 404)
    assert shared_either.contents()["blocks"] == before


def test_closure_that_ends_before_it_starts_or_is_over_is_refused(shared_either, is_problem):
    for starts, ends in (
        ("2026-01-22", "2026-01-21"),
        ("2026-01-01", "2026-01-02"),
        ("2026-01-22", "2026-01-22"),
    ):
        body = {"starts_at": f"{starts}T00:00:00Z", "ends_at": f"{ends}T00:00:00Z", "reason": "spray"}
        is_problem(shared_either.client.post(shared_either.at_block("/closures"), json=body), 422)


def test_person_of_another_farms_crew_is_refused(shared_either, is_problem):
    from orchardmap.usecases import planting

    other = planting.create_farm(shared_either.store, name=planting.new_id(), time_zone="UTC", now=NOW)
    crew = planting.add_crew(shared_either.store, farm_id=other.id, name="Theirs")
    body = {"name": "Ann", "role": "worker", "crew_id": crew.id}
    is_problem(shared_either.client.post(shared_either.at_farm("/people"), json=body), 404)


def test_same_name_twice_is_a_conflict(shared_either, is_problem):
    is_problem(shared_either.client.post("/api/farms", json={"name": "Small Farm", "time_zone": "UTC"}), 409)
    is_problem(shared_either.client.post(shared_either.at_farm("/crews"), json={"name": "Crew A"}), 409)


@pytest.mark.parametrize("zone", ["Mars/Olympus", "../../etc/passwd", "/etc/localtime", "x" * 200, "Europe"])
def test_time_zone_that_is_none(shared, is_problem, zone):
    is_problem(shared.client.post("/api/farms", json={"name": "Elsewhere", "time_zone": zone}), 422)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{",
        b"PK\x03\x04",
        b"SQLite format 3\x00",
        b"<kml",
        b"\x00" * 100,
        b'{"type": "FeatureCollection"}',
        b"a,b\n1,2\n",
    ],
)
def test_file_that_is_none_is_refused_and_nothing_kept(shared, is_problem, data):
    before = shared.contents()
    is_problem(shared.client.post(shared.at_farm("/imports"), files={"file": ("x", data)}), 422)
    assert shared.contents() == before


def test_upload_that_is_no_form_is_refused(shared, is_problem):
    is_problem(post(shared, shared.at_farm("/imports"), b"{}"), 422)
    is_problem(shared.client.post(shared.at_farm("/imports"), data={"crs": "EPSG:4326"}), 422)
    answer = shared.client.post(
        shared.at_farm("/imports"),
        content=b"--x\r\nnonsense",
        headers={"content-type": "multipart/form-data; boundary=x"},
    )
    assert answer.status_code in {400, 422}
    is_problem(answer, answer.status_code)
