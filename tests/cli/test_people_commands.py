"""`orchardmap user` and `orchardmap audit`: accounts by the shell, and what the links and tokens it prints are worth."""

import io
import shlex
import sqlite3
import sys

import pytest
from fastapi.testclient import TestClient

from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings

DATABASE = "sqlite:///farm.sqlite"


@pytest.fixture
def user(orchardmap):
    assert orchardmap("farm", "Long Meadow", "--database", DATABASE).code == 0
    return lambda *said: orchardmap("user", *said, "--database", DATABASE)


def served(tmp_path):
    return TestClient(
        create_app(Settings(database_url=f"sqlite:///{tmp_path / 'farm.sqlite'}")),
        base_url="http://localhost",
    )


def test_account_gets_role_link_and_token_and_is_ended(user, orchardmap, tmp_path):
    assert user("add", "Gwen", "--name", "Gwen Pugh", "--makes-farms").code == 0
    assert user("role", "gwen", "manager").code == 0
    assert user("list").out.strip() == "gwen: Gwen Pugh, manager on Long Meadow (makes farms)"
    link = user("link", "gwen", "--address", "https://orchard.lan/").out.strip()
    assert link.startswith("https://orchard.lan/sign-in#link=")
    token = user("token", "gwen").out.strip()
    with served(tmp_path) as client:
        assert client.get("/api/who").json()["state"] == "nobody", "there is an account: no first start"
        signed = client.post("/api/sign-in/link", json={"code": link.partition("#link=")[2]})
        assert [farm["role"] for farm in signed.json()["farms"]] == ["manager"]
        client.cookies.clear()
        headers = {"Authorization": f"Bearer {token}"}
        assert len(client.get("/api/farms", headers=headers).json()["farms"]) == 1
    assert user("disable", "gwen").code == 0
    assert "disabled" in user("list").out
    with served(tmp_path) as client:
        assert client.get("/api/farms", headers=headers).status_code == 401
    assert orchardmap("audit", "verify", "--database", DATABASE).code == 0


def test_forgotten_password_is_set_by_the_shell_from_one_line_and_ends_what_was_open(
    user, tmp_path, monkeypatch
):
    def piped(words, *said):
        monkeypatch.setattr(sys, "stdin", io.StringIO(words))
        return user(*said)

    assert piped("a ladder in the rain\n", "add", "gwen", "--password").code == 0
    token, link = user("token", "gwen").out.strip(), user("link", "gwen").out.strip()
    easy = piped("gwen\n", "password", "gwen")
    assert (easy.code, "shorter than 12" in easy.err) == (1, True)
    assert piped("four brown owls at dusk\nmore", "password", "Gwen").code == 0
    with served(tmp_path) as client:
        for password, status in (("a ladder in the rain", 401), ("four brown owls at dusk", 200)):
            body = {"login": "gwen", "password": password}
            assert client.post("/api/sign-in", json=body).status_code == status
        client.cookies.clear()
        ended = client.get("/api/who", headers={"Authorization": f"Bearer {token}"}).json()
        assert ended["lapsed"] == "session"
        assert client.post("/api/sign-in/link", json={"code": link.partition("#link=")[2]}).status_code == 410


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        (("add", "two words"), "no blanks"),
        (("add", "gwen"), "taken"),
        (("link", "nobody"), "no account has that login"),
        (("role", "gwen", "king"), "there is no role"),
        (("role", "gwen", "foreman"), "needs a crew"),
        (("role", "gwen", "foreman", "--crew", "None Such"), "no such crew"),
        (("role", "gwen", "manager", "--farm", "Elsewhere"), "no such farm"),
    ],
)
def test_what_cannot_be_is_one_sentence(user, said, fault):
    user("add", "gwen")
    found = user(*said)
    assert found.code == 1
    assert fault in found.err
    assert found.err.count("\n") == 1


def test_audit_verify_names_the_bad_entry_and_knows_a_head_kept_elsewhere(user, orchardmap, tmp_path):
    user("add", "gwen")

    def verify(*more):
        return orchardmap("audit", "verify", *more, "--database", DATABASE)

    head = verify().out.strip().rpartition(" ")[2]
    user("role", "gwen", "manager")
    assert verify("--head", head).code == 0
    assert "kept elsewhere" in verify("--head", "2:" + "0" * 64).out
    with sqlite3.connect(tmp_path / "farm.sqlite") as conn:
        conn.execute("UPDATE audit_log SET what = 'harmless' WHERE seq = 2")
    conn.close()
    found = verify()
    assert (found.code, found.out.strip()) == (1, "The audit log is not whole: entry 2 was changed.")


def test_farm_made_beside_accounts_is_managed_or_says_the_command_that_makes_it_so(
    user, orchardmap, tmp_path
):
    """A farm that nobody manages is seen by nobody in the browser: the very line that is printed mends it."""
    assert user("add", "nuria", "--makes-farms").code == 0
    assert user("add", "tomasz").code == 0
    told = orchardmap("farm", "La Segria", "--database", DATABASE).out
    (line,) = [one.strip() for one in told.splitlines() if "user role" in one]
    assert line == f"orchardmap user role nuria manager --farm 'La Segria' --database {DATABASE}"
    assert orchardmap(*shlex.split(line)[1:]).code == 0
    assert "nuria: nuria, manager on La Segria" in user("list").out
    made = orchardmap("farm", "Far Side", "--manager", "tomasz", "--database", DATABASE)
    assert "user role" not in made.out
    assert "tomasz: tomasz, manager on Far Side" in user("list").out
    nobody = orchardmap("farm", "Third", "--manager", "nobody", "--database", DATABASE)
    assert (nobody.code, "no account has that login" in nobody.err) == (1, True)
    assert user("role", "nuria", "manager", "--farm", "Third").code == 1, "and no farm was made"
    assert user("add", "gwen", "--makes-farms").code == 0
    assert "LOGIN is one of gwen, nuria." in orchardmap("farm", "Fourth", "--database", DATABASE).out
    token = user("token", "tomasz").out.strip()
    with served(tmp_path) as client:
        client.headers["Authorization"] = f"Bearer {token}"
        assert [farm["name"] for farm in client.get("/api/farms").json()["farms"]] == ["Far Side"]
