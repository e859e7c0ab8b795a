"""Who may do what: the committed table is the rule, and every cell of it is asked of the real routes.

A route without a row fails, a row without a route fails, a cell without an answer fails. A denied call changes nothing;
it leaves an audit entry where somebody known, or once known, was denied (nobody's denials are not kept: anybody could
fill the log with them).
"""

import tomllib
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path

import pytest

from orchardmap.store import audit, log
from orchardmap.store.session import sqlite_url
from orchardmap.usecases.audit import verify
from orchardmap.usecases.planting import new_id
from orchardmap.work.intake import SET_ASIDE
from orchardmap_api.denials import Denials
from service_routes import ROUTES
from small_farm import small_farm
from world import CALLERS, made_world, prepares

FILE = Path(__file__).with_name("access_table.toml")
SAID = tomllib.loads(FILE.read_text("utf-8"))
TABLE = {route: said.split() for route, said in SAID["routes"].items()}
OUTCOMES = SAID["outcomes"]
DENIED = {401, 403, 404}
NO_FARM = {"GET /app/{name:path}", "GET /assets/{name:path}", "GET /trust", "GET /trust/authority.crt"}
"""Their 404 denies nobody anything."""
SPOILS = {
    "POST /api/sign-out",
    "POST /api/password",
    "POST /api/confirm",
    "POST /api/sign-in",
    "POST /api/sign-in/link",
    "POST /api/pair",
}
"""Changes what the caller is signed in with, so each call has a client of its own."""


@pytest.fixture(scope="module")
def world(started_service, tmp_path_factory, waiting_preview):
    web = tmp_path_factory.mktemp("web")
    for name in ("index.html", "sw.js", "manifest.webmanifest"):
        (web / name).write_text("{}", "utf-8")
    with ExitStack() as held:
        url = sqlite_url(tmp_path_factory.mktemp("table") / "service.sqlite")
        service = started_service(held, url, web_dir=str(web))
        yield made_world(service, small_farm(service.store, "Other Farm"), waiting_preview())


def test_table_holds_every_route_and_no_other_and_every_cell():
    assert set(TABLE) == {f"{method} {path}" for method, path, _ in ROUTES}
    assert {len(cells) for cells in TABLE.values()} == {len(CALLERS)}
    assert len(TABLE) > 50
    assert OUTCOMES.keys() <= TABLE.keys()
    assert all(callers.keys() <= set(CALLERS) for callers in OUTCOMES.values())


def fate(world, route, answer, sent):
    """Return what became of the one record handed in: whether it counts, by the answer and by what is kept."""
    kind = route.rpartition("/")[2].replace("-", "_")
    (record,), (told,) = sent[kind], answer.json()["outcomes"]
    farm = world.farm
    with world.service.store.read() as conn:
        (kept,) = log.records_by_id(conn, kind.removesuffix("s"), farm.farm.id, [record["id"]])
        standing = {mark.id for mark in log.standing_marks(conn, farm.season.id)}
    assert told["outcome"] == ("taken" if kept.set_aside is None else "set_aside")
    assert told["reason"] == ("" if kept.set_aside is None else SET_ASIDE[kept.set_aside])
    if kind == "withdrawals":
        assert (record["mark_id"] in standing) == (kept.set_aside is not None)
    assert (record["id"] in standing) == (kind == "marks" and kept.set_aside is None)
    return kept.set_aside or "counts"


def denied_entries(world):
    with world.service.store.read() as conn:
        return [entry for entry in audit.entries(conn) if entry.what == "denied"]


def denials(world) -> int:
    with world.service.store.read() as conn:
        found = conn.exec_driver_sql("SELECT count(*) FROM audit_log WHERE what = 'denied'")
        return int(found.scalar_one())


def is_known(caller, path):
    """Whether somebody known, or once known, asks: a key is not even looked for elsewhere than where it opens something."""
    return caller != "anonymous" and ("key" not in caller or path.startswith("/ogc"))


@pytest.mark.parametrize("route", TABLE)
def test_route_answers_each_caller_as_the_table_says(world, route):
    method, path = route.split(" ", 1)
    answers = {}
    is_prepared = route in SPOILS or prepares(method, path)
    before = None  # what a denied call left as it was is what the next one finds
    for caller, expected in zip(CALLERS, map(int, TABLE[route]), strict=True):
        client = world.fresh(caller) if route in SPOILS else world.clients[caller]
        address, more = world.request(method, path, caller)
        denies = expected in DENIED and route not in NO_FARM
        world.service.app.state.denials = Denials()
        if not denies:
            before = None
        elif before is None or is_prepared:
            before = world.service.contents(with_tries=True)
        noted = denials(world)
        answer = client.request(method, address, follow_redirects=False, **more)
        answers[caller] = answer.status_code
        if answer.status_code == 200 and route in OUTCOMES:
            assert fate(world, route, answer, more["json"]) == OUTCOMES[route].get(caller, "counts"), caller
        if not denies:
            continue
        assert world.service.contents(with_tries=True) == before, (
            f"a denied call of {caller} changed something"
        )
        assert denials(world) - noted == is_known(caller, path), caller
        assert answer.headers["content-type"] == "application/problem+json"
        told = answer.json()["type"].removeprefix("urn:orchardmap:problem:")
        # of farms it is the right to make them that the stale manager lacks
        is_stale = caller == "stale_manager" and answers["manager"] < 400 and route != "POST /api/farms"
        kinds = {403: "unconfirmed" if is_stale else "not-allowed", 404: "unknown", 401: "sign-in"}
        assert told == ("revoked-device" if caller == "revoked" else kinds[expected])
    assert answers == dict(zip(CALLERS, map(int, TABLE[route]), strict=True))


def test_denials_are_noted_without_what_was_sent_and_the_chain_holds(world):
    found = verify(world.service.store)
    assert (found.fault, found.entries > 300) == ("", True)
    for entry in denied_entries(world):
        assert set(entry.detail) <= {"route", "status", "left_out"}
        assert entry.actor.startswith(("account:", "device:", "ended "))


def test_the_same_denial_again_is_noted_once_in_ten_minutes(world):
    """A revoked tablet with a full queue asks each minute, all day."""
    world.service.app.state.denials = Denials()
    before = denials(world)
    for _ in range(5):
        assert world.clients["revoked"].get(world.service.at_farm("/overview")).status_code == 401
    assert denials(world) == before + 1


def test_whoever_asks_for_ever_new_ids_does_not_fill_the_log(world):
    """Fifty an hour are told one by one, the others as a number with the next one; others are told as before."""
    world.service.app.state.denials = Denials()
    before, began = denials(world), world.service.clock.now

    def ask(caller):
        assert world.clients[caller].get(f"/api/farms/{new_id()}/devices").status_code == 404

    for _ in range(60):
        ask("auditor")
    assert denials(world) == before + 50
    ask("adviser")
    assert denials(world) == before + 51
    world.service.clock.now += timedelta(hours=1)
    try:
        ask("auditor")
    finally:
        world.service.clock.now = began
    assert [entry.detail.get("left_out") for entry in denied_entries(world)[-2:]] == [None, 10]
