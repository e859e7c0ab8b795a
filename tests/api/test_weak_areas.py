"""Weak areas over the service: found on the ground, told the same everywhere, as of any day, and for those who judge work."""

from contextlib import ExitStack
from datetime import timedelta

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from checked_season import drawn_checks, hand_in, in_patch, patchy_checks, prune, seen_walking
from orchardmap.geometry.positions import position_lonlat
from orchardmap.model.orchard import Row
from orchardmap.store import orchard
from orchardmap.store.session import sqlite_url
from orchardmap.usecases import recording
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, withdrawal


@pytest.fixture(scope="module")
def patchy(started_service, tmp_path_factory):
    """Block K1 with a patch where nearly every tree is faulty, pruned by two crews; K2 without one. Nothing changes it."""
    with ExitStack() as held:
        service = started_service(held, sqlite_url(tmp_path_factory.mktemp("weak") / "service.sqlite"))
        farm, store = service.farm, service.store
        for block in (0, 1):
            prune(store, farm, block=block, crew_of=lambda row: int(row > 10))
        hand_in(store, farm, [*patchy_checks(farm), *drawn_checks(farm, np.random.default_rng(1), block=1)])
        yield service


def weak_areas(service, **params):
    answer = service.client.get(service.at_farm("/weak-areas"), params=params)
    assert answer.status_code == 200, answer.text
    return answer.json()


def state_of(service, number=0, **params):
    return service.client.get(service.at_block("/state", number), params=params).json()


def overview_of(service, **params):
    return service.client.get(service.at_farm("/overview"), params=params).json()


def test_the_patch_is_found_and_nothing_else(patchy):
    told = weak_areas(patchy)
    (area,) = told["areas"]
    assert (told["day"], told["level"], area["block_code"]) == (TODAY.isoformat(), 0.1, "K1")
    assert area["state"] == "suspect"
    assert area["odds_words"].startswith(f"{area['faulty']} of {area['checked']} faulty; chance alone: ")
    assert all(in_patch(row, at) for row in area["rows"] for at in area["positions"])
    assert area["faulty"] > 0.6 * area["checked"]
    (first_row, last_row), (first, last) = area["rows"], area["positions"]
    # every tree of the block is pruned: so many a return made of the area goes over
    assert area["trees"] == (last_row - first_row + 1) * (last - first + 1) > area["checked"]
    assert [one["crew"] for one in area["crews"]] == ["Crew A", "Crew B"], "rows up to 10, and from 11 on"
    assert sum(one["checked"] for one in area["crews"]) == area["checked"]
    assert sum(one["faulty"] for one in area["crews"]) == area["faulty"]
    assert (area["returns"], area["recheck"], area["points"]) == ([], None, [])


def test_its_ring_holds_its_trees_and_no_others(patchy):
    (area,) = weak_areas(patchy)["areas"]
    ground = Polygon(area["ring"])
    with patchy.store.read() as conn:
        rows: list[Row] = orchard.rows(conn, area["block_id"])
    for row in rows:
        inside = np.flatnonzero(shapely.contains(ground, shapely.points(position_lonlat(row)))) + 1
        is_of_it = area["rows"][0] <= row.number <= area["rows"][1]
        first, last = area["positions"]
        assert inside.tolist() == (list(range(first, last + 1)) if is_of_it else [])


def test_list_state_packs_and_overview_tell_the_same(patchy):
    (area,) = weak_areas(patchy)["areas"]
    assert state_of(patchy)["weak"] == [area]
    assert state_of(patchy, 1)["weak"] == []
    ids = [block.id for block in patchy.farm.blocks]
    packs = patchy.client.get(patchy.at_farm("/packs"), params={"block": ids}).json()["blocks"]
    assert [one["state"]["weak"] for one in packs] == [[area], []]
    assert [one["summary"]["weak"] for one in packs] == [1, 0]
    overview = overview_of(patchy)
    assert {one["code"]: one["weak"] for one in overview["blocks"]} == {"K1": 1, "K2": 0}
    figures = overview["figures"]
    assert (figures["weak_areas"], figures["returns_open"], figures["returns_late"]) == (1, 0, 0)


def test_a_block_s_state_tells_its_areas_in_the_language_asked_for(patchy):
    (area,) = weak_areas(patchy, lang="es")["areas"]
    assert state_of(patchy, lang="es")["weak"] == [area]
    assert "por puro azar" in area["odds_words"]


def test_as_of_the_day_before_nothing_was_known(patchy):
    before = {"day": (TODAY - timedelta(days=1)).isoformat()}
    assert weak_areas(patchy, **before)["areas"] == []
    assert state_of(patchy, **before)["weak"] == []
    assert overview_of(patchy, **before)["figures"]["weak_areas"] == 0


def test_each_level_says_what_it_would_show_and_what_it_means(patchy):
    told = weak_areas(patchy, level=0.01)
    assert told["level"] == 0.01
    levels = told["sensitivity"]
    assert [one["level"] for one in levels] == [0.01, 0.05, 0.1, 0.2]
    assert [one["areas"] for one in levels] == sorted(one["areas"] for one in levels)
    assert "look at: 2." in levels[1]["words"]
    assert "1 time in 20" in levels[1]["words"]
    assert "1 de cada 20" in weak_areas(patchy, lang="es")["sensitivity"][1]["words"]
    assert "por puro azar" in weak_areas(patchy, lang="es")["areas"][0]["odds_words"]


@pytest.mark.parametrize("level", ["0", "0.21", "nan", "-1", "high"])
def test_a_level_out_of_range_is_refused(shared, is_problem, level):
    is_problem(shared.client.get(shared.at_farm("/weak-areas"), params={"level": level}), 422)


def test_a_farm_without_checks_has_no_weak_area_and_says_why(shared):
    told = weak_areas(shared)
    assert told["areas"] == []
    assert told["looked_at"] == 0
    assert "No block has enough checks" in told["words"]


def test_trees_seen_while_walking_change_nothing(either):
    service, farm, store = either, either.farm, either.store
    prune(store, farm)
    checks = patchy_checks(farm)
    hand_in(store, farm, checks)
    before = weak_areas(service)
    hand_in(store, farm, seen_walking(checks, new_id))
    assert weak_areas(service) == before
    assert before["areas"]


def test_trees_that_turn_out_not_to_be_pruned_tell_nothing_of_the_work(service):
    """A row marked by mistake: the auditor found it bad, the foreman took the mark back."""
    farm, store = service.farm, service.store
    wrong = farm.mark(9)
    marks = [wrong if row == 9 else farm.mark(row) for row in range(1, 26)]
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)
    rng = np.random.default_rng(3)
    hand_in(
        store, farm, drawn_checks(farm, rng, is_faulty=lambda row, at: row == 9 or (row == 20 and at < 40))
    )
    assert [area["rows"] for area in weak_areas(service)["areas"]] == [[9, 9]]
    taken_back = [withdrawal(wrong)]
    recording.record_withdrawals(store, farm_id=farm.farm.id, withdrawals=taken_back, sent_at=NOW, now=NOW)
    assert weak_areas(service)["areas"] == []
