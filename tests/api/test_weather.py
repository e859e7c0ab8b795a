"""The weather a farm loads: whole files or nothing, days replaced by later files, gaps told, on both engines."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchardmap.store import audit
from orchardmap.usecases.weather import load_weather, loaded_weather
from small_farm import NOW

HEADER = "date,tmin_c,tmax_c,rain_mm\n"


def put(service, text, client=None):
    body = text if isinstance(text, bytes) else text.encode()
    headers = {"content-type": "text/csv"}
    return (client or service.client).put(service.at_farm("/weather"), content=body, headers=headers)


def test_a_later_file_replaces_the_days_it_holds_and_keeps_the_others(either):
    """Also in Fahrenheit and inches: 14 F are -10 C, 0.1 in are 2.54 mm."""
    first = HEADER + "2026-01-18,-3,4,0\n2026-01-19,-2,5,1.5\n2026-01-22,-19,-8,0\n"
    assert put(either, first).json() == {"days": 3}
    assert put(either, "date,tmin_f,tmax_f,rain_in\n2026-01-19,14,23,0.1\n2026-01-23,32,41,0\n").json() == {
        "days": 2
    }
    told = either.client.get(either.at_farm("/weather")).json()
    assert (told["first_day"], told["last_day"]) == ("2026-01-18", "2026-01-23")
    assert told["gaps"] == [["2026-01-20", "2026-01-21"]]
    assert told["loaded_at"].startswith("2026-01-20T15:00:00")
    assert [(one["day"], one["tmin_c"], one["rain_mm"], one["is_forecast"]) for one in told["days"]] == [
        ("2026-01-18", -3, 0, False),
        ("2026-01-19", pytest.approx(-10), pytest.approx(2.54), False),
        ("2026-01-22", -19, 0, True),
        ("2026-01-23", pytest.approx(0), 0, True),
    ]
    # what was a forecast stays one until it is loaded anew
    either.clock.now += timedelta(days=4)
    adviser = either.account("adviser")
    later = adviser.get(either.at_farm("/weather")).json()["days"]
    assert [one["is_forecast"] for one in later] == [False, False, True, True]
    assert put(either, HEADER + "2026-01-22,-17,-8,0\n", adviser).status_code == 200
    again = adviser.get(either.at_farm("/weather")).json()["days"][2]
    assert (again["tmin_c"], again["is_forecast"]) == (-17, False)


def test_a_table_goes_whole_and_the_log_tells_who_loaded_and_forgot(either):
    put(either, HEADER + "2026-01-18,-3,4,0\n")
    other = either.another_farm()
    either.client.put(f"/api/farms/{other.farm.id}/weather", content=(HEADER + "2026-01-18,1,4,0\n").encode())
    assert either.client.delete(either.at_farm("/weather")).status_code == 204
    told = either.client.get(either.at_farm("/weather")).json()
    assert told == {"first_day": None, "last_day": None, "loaded_at": None, "gaps": [], "days": []}
    assert len(either.client.get(f"/api/farms/{other.farm.id}/weather").json()["days"]) == 1
    with either.store.read() as conn:
        noted = [e for e in audit.entries(conn) if e.farm_id == either.farm.farm.id and "weather" in e.what]
    assert [(entry.what, entry.detail["days"]) for entry in noted] == [
        ("weather_loaded", 1),
        ("weather_forgotten", 1),
    ]


def test_tablets_hear_for_every_block_that_the_weather_is_another_one(either):
    """What a pack tells a crew of the days to come hangs on it."""

    def told(after):
        return either.client.get(either.at_farm("/changes"), params={"after": after}).json()

    before = told(0)["cursor"]
    put(either, HEADER + "2026-01-22,-19,-8,0\n")
    found = told(before)
    blocks = {block.id for block in either.farm.blocks}
    assert {one["block_id"] for one in found["changes"]} == blocks
    assert either.client.delete(either.at_farm("/weather")).status_code == 204
    assert {one["block_id"] for one in told(found["cursor"])["changes"]} == blocks


@pytest.mark.parametrize("slip", ["2206-01-14", "9999-12-31", "0001-01-01", "2027-01-22"])
def test_a_day_of_an_impossible_year_is_refused_with_all_of_its_file(service, slip):
    """The farm's day is 20 January 2026."""
    told = put(service, HEADER + f"2026-01-18,-3,4,0\n{slip},-19,-8,0\n")
    assert (told.status_code, told.json()["where"]) == (422, "table, date")
    assert slip in told.json()["detail"]
    assert service.client.get(service.at_farm("/weather")).json()["days"] == []
    assert put(service, HEADER + "2027-01-21,1,4,0\n1900-01-01,1,4,0\n").status_code == 200


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("", "body"),
        ("date,tmin_c\n2026-01-18,1\n", "table, line 1"),
        (HEADER + "2026-01-18,-3,4,0\n2026-01-19,-3,wet,0\n", "table, line 3, tmax_c"),
        (HEADER + "2026-01-18,-3,4,0\n2026-01-18,-3,4,0\n", "table, line 3, date"),
        (HEADER + "2026-01-18,-3,4,0\n2026-01-19,8,4,0\n", "table, line 3"),
        (HEADER + "2026-01-18,-3,4,0\n2026-01-19,-3,4,-1\n", "table, line 3, rain_mm"),
        (HEADER + "2026-01-18,-3,4,0\n2026-01-19,-300,4,1\n", "table, line 3, tmin_c"),
        (b"\x00\xff", "table"),
    ],
)
def test_what_is_no_table_is_refused_by_line_and_nothing_of_it_is_kept(
    shared_either, is_problem, text, where
):
    before = shared_either.contents()
    answer = put(shared_either, text)
    told = is_problem(answer, answer.status_code)
    assert (answer.status_code, told["where"]) == (422, where)
    assert shared_either.contents() == before


@settings(max_examples=8)
@given(st.sets(st.integers(0, 700), min_size=1, max_size=600))
def test_gaps_and_days_make_up_the_whole_span(shared_either, offsets):
    """Every day from the first to the last is either kept or in one gap; files larger than a statement's parameters too."""
    first = date(2025, 1, 1)
    service, farm_id = shared_either, shared_either.farm.farm.id
    lines = "".join(f"{first + timedelta(days=k)},0,1,0\n" for k in sorted(offsets, reverse=True))
    service.client.delete(service.at_farm("/weather"))
    load_weather(service.store, farm_id=farm_id, content=(HEADER + lines).encode(), name="table", now=NOW)
    told = loaded_weather(service.store, farm_id)
    missing = {
        date.fromisoformat(a) + timedelta(days=k)
        for a, b in told["gaps"]
        for k in range((date.fromisoformat(b) - date.fromisoformat(a)).days + 1)
    }
    kept = {date.fromisoformat(one["day"]) for one in told["days"]}
    span = {first + timedelta(days=k) for k in range(min(offsets), max(offsets) + 1)}
    assert kept == {first + timedelta(days=k) for k in offsets}
    assert missing == span - kept
    service.client.delete(service.at_farm("/weather"))
