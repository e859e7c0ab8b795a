"""Signing in and out: first start, passwords, lock-out, links, lifetimes. The clock is moved, nothing waits."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from http.cookies import SimpleCookie

import pytest

from orchardmap.usecases import account_keeping, accounts
from orchardmap.usecases.planting import new_id
from orchardmap_api.main import create_app
from signing import bearer, signed_in

PASSWORD = "a ladder in the rain"
WRONG = "a ladder in the snow"


@pytest.fixture
def gwen(service):
    made = account_keeping.add_account(
        service.store, login="gwen", name="Gwen", password=PASSWORD, now=service.clock()
    )
    account_keeping.give_role(
        service.store, made, farm_id=service.farm.farm.id, role="manager", now=service.clock()
    )
    return made


def sign_in(client, password=PASSWORD, login="gwen"):
    return client.post("/api/sign-in", json={"login": login, "password": password})


def test_sign_in_gives_a_cookie_that_scripts_of_the_page_cannot_read(service, gwen):
    client = service.stranger()
    answer = sign_in(client, login=" Gwen ")
    assert answer.json()["state"] == "account"
    assert [farm["role"] for farm in answer.json()["farms"]] == ["manager"]
    (cookie,) = SimpleCookie(answer.headers["set-cookie"]).values()
    assert (cookie.key, cookie["path"], cookie["samesite"]) == ("orchardmap_session", "/", "strict")
    assert cookie["httponly"]
    assert not cookie["secure"], "plain http on this machine: a Secure cookie would not come back"
    assert len(cookie.value) >= 43, "256 bits"
    assert client.get(service.at_farm("/overview")).status_code == 200
    assert PASSWORD not in answer.text


def test_over_https_cookies_are_secure_and_bound_to_the_host(start):
    service = start(public_address="https://orchard.example")
    account_keeping.add_account(
        service.store, login="gwen", name="Gwen", password=PASSWORD, now=service.clock()
    )
    client = service.stranger()
    answer = sign_in(client)
    (cookie,) = SimpleCookie(answer.headers["set-cookie"]).values()
    assert cookie.key == "__Host-orchardmap_session"
    assert cookie["secure"]
    assert cookie["domain"] == ""
    assert answer.headers["strict-transport-security"] == "max-age=31536000"
    # a cookie without the prefix, which a neighbour of this host could plant, is not looked at
    plain = service.stranger()
    plain.cookies.set("orchardmap_session", cookie.value)
    assert plain.get("/api/who").json()["state"] == "nobody"
    whole = service.stranger()
    whole.cookies.set("__Host-orchardmap_session", cookie.value)
    assert whole.get("/api/who").json()["state"] == "account"


def test_each_sign_in_has_a_token_of_its_own_and_only_hashes_are_kept(service, gwen):
    clients = [service.stranger() for _ in range(3)]
    for client in clients:
        assert sign_in(client).status_code == 200
    tokens = {client.cookies["orchardmap_session"] for client in clients}
    assert len(tokens) == 3
    kept = repr(service.contents()) + repr(list(map(repr, everything_audited(service))))
    for secret in (*tokens, PASSWORD):
        assert secret not in kept
    assert "$argon2id$v=19$m=19456,t=2,p=1$" in kept


def everything_audited(service):
    from orchardmap.store import audit

    with service.store.read() as conn:
        return list(audit.entries(conn))


def test_sign_out_ends_the_session_for_whoever_has_its_token(service, gwen):
    client, thief = service.stranger(), service.stranger()
    sign_in(client)
    token = client.cookies["orchardmap_session"]
    bearer(thief, token)
    assert thief.get(service.at_farm()).status_code == 200
    assert client.post("/api/sign-out").status_code == 204
    assert "orchardmap_session" not in client.cookies
    assert thief.get(service.at_farm()).status_code == 401
    assert thief.get("/api/who").json()["lapsed"] == "session"


@pytest.mark.parametrize(
    ("steps", "alive"),
    [
        ([timedelta(hours=11, minutes=59)], True),
        ([timedelta(hours=12)], False),
        ([timedelta(hours=11)] * 4, True),
        ([timedelta(hours=11)] * 65, True),
        ([timedelta(hours=11)] * 66, False),  # 30 days and 6 hours: however much it was used
    ],
)
def test_session_ends_after_twelve_idle_hours_and_after_thirty_days(service, gwen, steps, alive):
    client = service.stranger()
    sign_in(client)
    for step in steps:
        service.clock.now += step
        status = client.get(service.at_farm()).status_code
    assert (status == 200) is alive


def test_unknown_login_and_wrong_password_are_told_the_same_for_the_same_work(service, gwen, compared):
    """Nearly all the time goes into argon2id: one comparison each, at the same cost, whoever is asked for."""
    account_keeping.add_account(
        service.store, login="by-link", name="No password yet", password=None, now=service.clock()
    )
    ended = account_keeping.add_account(
        service.store, login="ended", name="Ended", password=PASSWORD, now=service.clock()
    )
    account_keeping.disable(service.store, ended, now=service.clock())
    compared.clear()
    told = []
    for login, password in [
        ("gwen", WRONG),
        ("nobody-here", WRONG),
        ("by-link", WRONG),
        ("ended", WRONG),
        ("ended", PASSWORD),
        ("gwen", ""),
    ]:
        answer = sign_in(service.stranger(), password, login)
        assert (answer.status_code, len(compared)) == (401, 1), login
        told.append((answer.json(), compared.pop()))
    assert sign_in(service.stranger()).status_code == 200
    told.append((told[0][0], compared.pop()))
    assert told == [told[0]] * len(told)
    assert told[0][0]["detail"] == "login and password do not go together"
    assert told[0][1] == "$argon2id$v=19$m=19456,t=2,p=1"


def test_five_wrong_tries_lock_the_right_password_too_and_longer_each_time(service, gwen):
    client = service.stranger()
    for minutes in (15, 30):
        for _ in range(5):
            assert sign_in(client, WRONG).status_code == 401
        locked = sign_in(client)
        assert locked.status_code == 429
        assert 0 < int(locked.headers["retry-after"]) - minutes * 60 <= 1
        service.clock.now += timedelta(minutes=minutes, seconds=-1)
        assert sign_in(client).status_code == 429
        service.clock.now += timedelta(seconds=1)
    assert sign_in(client).status_code == 200
    for _ in range(4):
        assert sign_in(service.stranger(), WRONG).status_code == 401, "counting began anew"


def test_login_that_nobody_has_locks_just_the_same(service):
    for _ in range(5):
        assert sign_in(service.stranger(), WRONG, "ghost").status_code == 401
    assert sign_in(service.stranger(), WRONG, "ghost").status_code == 429


def test_nobody_can_lock_somebody_out_of_the_browser_where_she_was_signed_in(service, gwen):
    hers = service.stranger()
    sign_in(hers)
    for _ in range(5):
        sign_in(service.stranger(), WRONG)
    assert sign_in(service.stranger()).status_code == 429
    assert sign_in(hers).status_code == 200
    code = account_keeping.make_link(service.store, gwen, now=service.clock())
    assert service.stranger().post("/api/sign-in/link", json={"code": code}).status_code == 200


def test_link_works_once_and_three_days_and_a_new_one_ends_the_old(service):
    said = {"login": "marit", "name": "Marit", "role": "auditor"}
    made = service.client.post(service.at_farm("/accounts"), json=said).json()
    old = made["link"].partition("#link=")[2]
    assert made["link"].startswith("http://localhost/sign-in#link=")
    address = service.at_farm(f"/accounts/{made['account']['id']}/link")
    fresh = service.client.post(address).json()["link"].partition("#link=")[2]

    def use(code):
        return service.stranger().post("/api/sign-in/link", json={"code": code})

    assert [use(old).status_code, use(fresh).status_code, use(fresh).status_code] == [410, 200, 410]
    late = service.client.post(address).json()["link"].partition("#link=")[2]
    service.clock.now += timedelta(days=3)
    assert use(late).status_code == 410
    assert use(late).json() == use("never was").json(), "nobody is told which"


def test_link_on_its_way_dies_with_a_new_password_or_a_newer_link_and_when_it_was_used(service, gwen):
    """One made by the shell, one by a manager; each is dead at once, also for two that come with it together."""

    def made_by_manager():
        address = service.at_farm(f"/accounts/{gwen.id}/link")
        return service.client.post(address).json()["link"].partition("#link=")[2]

    def made_by_shell():
        return account_keeping.make_link(service.store, gwen, now=service.clock())

    def use(code):
        return service.stranger().post("/api/sign-in/link", json={"code": code}).status_code

    client, password = service.stranger(), PASSWORD
    sign_in(client)
    for make, new in ((made_by_manager, "another ladder, dry"), (made_by_shell, "a third ladder, wet")):
        older, newer = make(), made_by_shell()
        assert use(older) == 410, "a newer one was made"
        refused = client.post("/api/password", json={"old": WRONG, "new": new})
        assert (refused.status_code, use(newer)) == (401, 200), "a password that was not set ends nothing"
        with ThreadPoolExecutor(4) as many:
            once = make()
            assert sorted(many.map(use, [once] * 4)) == [200, 410, 410, 410]
        unused = make()
        said = {"old": password, "new": new}
        assert client.post("/api/password", json=said).status_code == 204
        assert use(unused) == 410, "a password was set since"
        password = new
    account_keeping.disable(service.store, gwen, now=service.clock())
    assert use(made_by_shell()) == 410


def test_account_that_ends_is_out_with_its_next_request(service):
    auditor = service.account("auditor")
    who = auditor.get("/api/who").json()
    listed = service.client.get(service.at_farm("/accounts")).json()["accounts"]
    mine = next(one["id"] for one in listed if one["login"] == who["login"])
    assert service.client.delete(service.at_farm(f"/accounts/{mine}")).status_code == 204
    assert auditor.get(service.at_farm()).status_code == 404
    other = service.account("adviser")
    account_keeping.disable(
        service.store,
        account_keeping.by_login(service.store, other.get("/api/who").json()["login"]),
        now=service.clock(),
    )
    assert other.get(service.at_farm()).status_code == 401


def test_last_manager_cannot_be_taken_away(service, is_problem):
    mine = service.client.get(service.at_farm("/accounts")).json()["accounts"][0]["id"]
    is_problem(service.client.delete(service.at_farm(f"/accounts/{mine}")), 409)
    assert service.client.get(service.at_farm()).status_code == 200


def test_manager_gets_no_link_for_an_account_that_reaches_further(service, is_problem):
    """Else a manager of one farm could sign in as the adviser of two, or as whoever makes farms."""
    other = service.another_farm()
    token = signed_in(
        service.store,
        {service.farm.farm.id: ("adviser", None), other.farm.id: ("manager", None)},
        login="two-farms",
        now=service.clock(),
    )
    small = service.account("manager")
    ids = {one["login"]: one["id"] for one in small.get(service.at_farm("/accounts")).json()["accounts"]}
    for login in ("two-farms", "manager"):
        is_problem(small.post(service.at_farm(f"/accounts/{ids[login]}/link")), 403)
    taken = {"login": "Two-Farms", "name": "X", "role": "manager"}
    is_problem(small.post(service.at_farm("/accounts"), json=taken), 409)
    assert bearer(service.stranger(), token).get(f"/api/farms/{other.farm.id}").status_code == 200


def test_own_password_needs_the_old_one_and_ends_all_other_sessions(service, gwen, is_problem):
    here, there = service.stranger(), service.stranger()
    sign_in(here), sign_in(there)
    new = "another ladder, dry"
    is_problem(here.post("/api/password", json={"old": WRONG, "new": new}), 401)
    is_problem(here.post("/api/password", json={"old": None, "new": new}), 401)
    told = is_problem(here.post("/api/password", json={"old": PASSWORD, "new": "short"}), 422)
    assert "12 characters" in told["detail"]
    assert here.post("/api/password", json={"old": PASSWORD, "new": new}).status_code == 204
    assert [here.get(service.at_farm()).status_code, there.get(service.at_farm()).status_code] == [200, 401]
    assert [sign_in(there).status_code, sign_in(there, new).status_code] == [401, 200]
    for _ in range(5):
        here.post("/api/password", json={"old": WRONG, "new": new})
    is_problem(here.post("/api/password", json={"old": new, "new": PASSWORD}), 429)


def test_first_start_by_the_printed_token_and_never_again(start, is_problem, tmp_path):
    from fastapi.testclient import TestClient

    from orchardmap.store.session import open_store, sqlite_url
    from orchardmap_api.settings import Settings
    from small_farm import small_farm

    url = sqlite_url(tmp_path / "first.sqlite")
    store = open_store(url)
    small_farm(store, "From Before")
    older = accounts.prepare_first_start(store)
    store.close()
    app = create_app(Settings(database_url=url))
    with TestClient(app, base_url="http://localhost") as client:
        assert client.get("/api/who").json()["state"] == "first_start"
        assert client.get("/api/farms").status_code == 401, "no default account"
        body = {"token": older, "login": "Gwen", "name": "Gwen", "password": PASSWORD}
        is_problem(client.post("/api/first-start", json=body), 410)
        body["token"] = app.state.set_up_token
        is_problem(client.post("/api/first-start", json=body | {"password": "gwengwengwen"}), 422)
        told = client.post("/api/first-start", json=body)
        assert told.status_code == 201
        assert [(f["name"], f["role"]) for f in told.json()["farms"]] == [("From Before", "manager")]
        assert told.json()["makes_farms"]
        is_problem(client.post("/api/first-start", json=body), 410)
        assert client.get("/api/farms").status_code == 200
    again = create_app(Settings(database_url=url))
    with TestClient(again, base_url="http://localhost") as client:
        assert again.state.set_up_token is None
        assert client.get("/api/who").json()["state"] == "nobody"


def test_no_secret_is_in_the_request_log(start, caplog):
    caplog.set_level("DEBUG")
    service = start(request_log=True)
    account_keeping.add_account(
        service.store, login="gwen", name="Gwen", password=PASSWORD, now=service.clock()
    )
    client = service.stranger()
    sign_in(client)
    sign_in(client, WRONG)
    secrets = [PASSWORD, WRONG, "gwen", client.cookies["orchardmap_session"]]
    for path, body in (
        ("/api/sign-in/link", {"code": "canary-of-a-link"}),
        ("/api/pair", {"code": "CANARYCO"}),
        ("/api/first-start", {"token": "canary-token", "login": "canary", "name": "x", "password": "canary"}),
    ):
        client.post(path, json=body)
    client.get("/api/who", headers={"authorization": "Bearer canary-bearer"})
    assert "/api/pair" in caplog.text
    ours = "\n".join(r.getMessage() for r in caplog.records if r.name.startswith(("orchardmap", "uvicorn")))
    for secret in [*secrets, "canary", "CANARY"]:
        assert secret not in ours


def test_service_that_cannot_ask_who_it_is_lets_nobody_in(service, monkeypatch):
    def broken(*_, **__):
        raise RuntimeError

    monkeypatch.setattr("orchardmap.usecases.signing_in.caller_of", broken)
    assert service.client.get(service.at_farm()).status_code == 500
    assert service.client.post(service.at_farm("/crews"), json={"name": new_id()}).status_code == 500
