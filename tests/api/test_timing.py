"""Notices on timing through the service, on both engines: marks, varieties, settings and a loaded table make them."""

from datetime import date, timedelta

from orchardmap.usecases.planting import new_id
from small_farm import TODAY

DAY = timedelta(days=1)


def hand_in(service, mark_json, *marks):
    body = {
        "sent_at": service.clock().isoformat(),
        "marks": [mark_json(service.farm, **one) for one in marks],
    }
    told = service.client.post(service.at_farm("/marks"), json=body).json()
    assert [one["outcome"] for one in told["outcomes"]] == ["taken"] * len(marks)


def load(service, *lines):
    text = "date,tmin_c,tmax_c,rain_mm\n" + "".join(f"{line}\n" for line in lines)
    assert service.client.put(service.at_farm("/weather"), content=text.encode()).status_code == 200


def notices(service, day=None):
    params = {} if day is None else {"day": day.isoformat()}
    answer = service.client.get(service.at_farm("/timing"), params=params)
    assert answer.status_code == 200, answer.text
    return {(one["kind"], one["level"]): one for one in answer.json()["notices"]}


def lean(service, **flags):
    variety = service.farm.blocks[0].variety_id
    address = service.at_farm(f"/varieties/{variety}")
    assert service.client.patch(address, json=flags).status_code == 200


def test_cuts_before_a_hard_frost_are_told_with_block_rows_limit_and_source(either, mark_json):
    earlier = {"day": (TODAY - 10 * DAY).isoformat()}
    hand_in(either, mark_json, {"row": 1}, {"row": 2, "first": 1, "last": 50}, {"row": 3, **earlier})
    load(either, f"{TODAY},-3,4,0", f"{TODAY + DAY},-9,0,0", f"{TODAY + 2 * DAY},-18.4,-7,0")
    told = notices(either)
    assert list(told) == [("frost_on_cuts", "high"), ("frost_ahead", "high"), ("frost_on_cuts", "falling")]
    high = told["frost_on_cuts", "high"]
    assert (high["asks_today"], high["rows"], [block["code"] for block in high["blocks"]]) == (
        True,
        2,
        ["K1"],
    )
    assert "\N{MINUS SIGN}18.4 °C (\N{MINUS SIGN}1.1 °F) on 22 January 2026" in high["text"]["en"]
    assert "\N{MINUS SIGN}18,4 °C" in high["text"]["es"]
    assert "Penn State" in high["source"]
    assert high["settings"]["hard_frost_c"] == -160 / 9
    assert told["frost_on_cuts", "falling"]["cut_days"] == [earlier["day"]]
    # as of a day before the later cuts they are not known, and the frost is still to come
    before = [("frost_on_cuts", "falling"), ("frost_ahead", "falling")]
    assert list(notices(either, TODAY - 5 * DAY)) == before


def test_trees_gone_over_again_by_a_return_have_fresh_cuts(either, mark_json):
    """Pruned long before the frost, one row was cut again two days ahead of it."""
    hand_in(either, mark_json, *({"row": row, "day": f"{TODAY - 40 * DAY}"} for row in (1, 2)))
    load(either, f"{TODAY},-3,4,0", f"{TODAY + DAY},-9,0,0", f"{TODAY + 2 * DAY},-18.4,-7,0")
    assert list(notices(either)) == [("frost_ahead", "high")]
    block, crew = either.farm.blocks[0].id, either.farm.crews[0].id
    body = {
        "id": new_id(),
        "block_id": block,
        "crew_id": crew,
        "due_on": f"{TODAY}",
        "stretches": [[1, 1, 9]],
    }
    assert either.client.post(either.at_farm("/returns"), json=body).status_code == 201
    hand_in(either, mark_json, {"row": 1, "first": 1, "last": 9, "return_id": body["id"]})
    told = notices(either)["frost_on_cuts", "high"]
    assert (told["rows"], told["cut_days"]) == (1, [f"{TODAY}"])


def test_a_limit_that_the_farm_sets_and_a_mark_that_is_withdrawn_are_heeded(either, mark_json):
    hand_in(either, mark_json, {"row": 1})
    load(either, f"{TODAY + DAY},-12,-2,0")
    assert notices(either) == {}
    assert either.client.put(either.at_farm("/settings"), json={"hard_frost_c": -10}).status_code == 200
    assert list(notices(either)) == [("frost_on_cuts", "high"), ("frost_ahead", "high")]
    mark = either.client.get(either.at_block("/marks")).json()["marks"][0]
    body = {
        "sent_at": either.clock().isoformat(),
        "withdrawals": [
            {"id": mark["id"][:-4] + "abcd", "mark_id": mark["id"], "device_at": either.clock().isoformat()}
        ],
    }
    assert either.client.post(either.at_farm("/withdrawals"), json=body).status_code == 200
    assert list(notices(either)) == [("frost_ahead", "high")]


def test_rain_matters_where_the_variety_is_prone_to_canker(either, mark_json):
    hand_in(either, mark_json, {"row": 1})
    load(either, f"{TODAY},2,6,3.5", f"{TODAY + DAY},2,6,0.1")
    assert notices(either) == {}
    lean(either, is_canker_prone=True)
    told = notices(either)
    assert list(told) == [("wet_ahead", "high"), ("wet_cuts", "note")]
    assert [block["code"] for block in told["wet_ahead", "high"]["blocks"]] == ["K1", "K2"]
    assert [block["code"] for block in told["wet_cuts", "note"]["blocks"]] == ["K1"]
    assert "NIAB" in told["wet_cuts", "note"]["source"]


def test_order_and_green_tip_are_told_with_what_is_left(either, mark_json):
    hand_in(either, mark_json, {"row": 1})
    lean(either, is_biennial=True)
    assert notices(either) == {}  # all blocks are of that variety: there is none to go first
    made = either.client.post(either.at_farm("/varieties"), json={"name": "Annual"}).json()
    assert either.client.patch(either.at_block(number=1), json={"variety_id": made["id"]}).status_code == 204
    spring = date(2026, 3, 1)
    load(either, *(f"{spring + k * DAY},5,{145 / 9},0" for k in range(31)))
    told = notices(either)
    assert list(told) == [("order", "note"), ("green_tip", "note")]
    assert "K1. Not finished, though they bear every year: K2" in told["order", "note"]["text"]["en"]
    tip = told["green_tip", "note"]
    assert (tip["green_tip"]["earliest"], tip["green_tip"]["latest"]) == ("2026-03-10", "2026-03-20")
    assert f"Trees left to prune: {2 * 25 * 105 - 105}." in tip["text"]["en"]
    assert "UMass" in tip["source"]


def test_a_frost_that_was_forecast_and_never_measured_is_told_as_such(either, mark_json):
    hand_in(either, mark_json, {"row": 1})
    load(either, f"{TODAY},-3,2,0", f"{TODAY + DAY},-19,-2,0")
    either.clock.now += 3 * DAY
    either.client = either.account("manager")
    (told,) = notices(either).values()
    assert (told["kind"], told["forecast_days"]) == ("frost_on_cuts", [f"{TODAY + DAY}"])
    assert "As forecast, not measured: 21 January 2026." in told["text"]["en"]
    load(either, f"{TODAY + DAY},-19,-2,0")
    (measured,) = notices(either).values()
    assert (measured["forecast_days"], "As forecast" in measured["text"]["en"]) == ([], False)


def test_a_farm_without_weather_or_season_has_no_notice(either):
    empty = either.client.post("/api/farms", json={"name": "Empty", "time_zone": "UTC"}).json()
    told = either.client.get(f"/api/farms/{empty['id']}/timing").json()
    assert (told["notices"], told["cut_days"]) == ([], [])
    assert notices(either) == {}


def packed(service):
    answer = service.client.get(service.at_farm("/packs"), params={"block": service.farm.blocks[0].id})
    assert answer.status_code == 200, answer.text
    return [
        (one["key"], one["from"], one["until"], one["texts"]) for one in answer.json()["blocks"][0]["timing"]
    ]


def test_packs_tell_crews_of_weather_to_come_with_the_days_to_tell_it_on(either):
    """A pack is read days after it was made: a frost still far off is in it, and rain only where the variety is prone to canker."""
    assert packed(either) == []
    day = [f"{TODAY + n * DAY}" for n in range(9)]
    load(
        either,
        f"{day[0]},-20,0,0",
        f"{day[4]},2,6,4",
        f"{day[6]},3,6,5",
        f"{day[7]},-18.4,-7,0",
        f"{day[8]},-19,-7,0",
    )
    today, ahead = packed(either)
    assert [today[:3], ahead[:3]] == [
        ("frost_ahead", f"{TODAY - 2 * DAY}", day[0]),
        ("frost_ahead", day[5], day[8]),
    ]
    assert ahead[3]["en"].startswith("Hard frost in the forecast: ")
    assert ahead[3]["en"].endswith("who knows the trees and the weather of the place decides.")
    assert set(ahead[3]) == {"en", "es"}
    lean(either, is_canker_prone=True)
    wet = [one for one in packed(either) if one[0] == "wet_ahead"]
    assert [one[1:3] for one in wet] == [(day[4], day[4]), (day[6], day[6])]
    code = either.farm.blocks[0].code
    assert all(f"Blocks: {code}." in one[3]["en"] for one in wet)
