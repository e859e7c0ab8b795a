"""`orchardmap key`: what it prints opens the farm's features until it is ended, in words and for a script."""

import json
import re
from datetime import UTC, datetime, timedelta

import pytest
from fastapi.testclient import TestClient

from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings

DATABASE = "sqlite:///farm.sqlite"


@pytest.fixture
def key(orchardmap):
    assert orchardmap("farm", "Long Meadow", "--database", DATABASE).code == 0
    return lambda *said: orchardmap("key", *said, "--database", DATABASE)


def status(tmp_path, address, secret):
    """What the service answers at the address that was printed, to the key that was printed."""
    app = create_app(
        Settings(database_url=f"sqlite:///{tmp_path / 'farm.sqlite'}", allowed_hosts="orchard.lan")
    )
    with TestClient(app, base_url="http://orchard.lan") as client:
        return client.get(address, headers={"Authorization": f"Bearer {secret}"}).status_code


def test_key_is_made_listed_and_ended(key, orchardmap, tmp_path):
    said = key("make", "QGIS in the office", "--address", "http://orchard.lan/")
    assert said.code == 0
    found = re.match(r"Address: (\S+)\nKey:     (\S+)\n", said.out)
    assert found is not None
    address, secret = found.groups()
    assert "any user, the key as password" in said.out
    assert status(tmp_path, address, secret) == 200
    listed = key("list").out
    assert "QGIS in the office: good up to " in listed
    assert "by the shell" in listed
    assert secret not in listed
    assert key("end", "QGIS in the office").code == 0
    assert status(tmp_path, address, secret) == 401
    assert "QGIS in the office: ended " in key("list").out
    assert orchardmap("audit", "verify", "--database", DATABASE).code == 0


def test_a_script_gets_the_same_as_json(key, tmp_path):
    day = (datetime.now(UTC) + timedelta(days=40)).date().isoformat()
    made = json.loads(
        key(
            "make",
            "Nightly copy",
            "--until",
            day,
            "--without-checks",
            "--address",
            "http://orchard.lan",
            "--json",
        ).out
    )
    assert status(tmp_path, made["address"], made["key"]) == 200
    assert status(tmp_path, made["address"] + "/collections/checks", made["key"]) == 403
    (one,) = json.loads(key("list", "--json").out)
    assert (one["name"], one["ends_on"], one["sees"], one["is_good"]) == ("Nightly copy", day, "work", True)
    assert {**made["reading_key"], "last_used_at": one["last_used_at"]} == one
    assert one["last_used_at"] is not None, "it was used just now"
    assert json.loads(key("end", "Nightly copy", "--json").out) == {"ended": "Nightly copy"}


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        (("make", "There"), "good already"),
        (("make", " "), "needs a name"),
        (("make", "x", "--until", "2020-01-01"), "ends today at the earliest"),
        (("make", "x", "--farm", "Elsewhere"), "no such farm"),
        (("end", "Not there"), "There are: There."),
    ],
)
def test_what_cannot_be_is_one_sentence(key, said, fault):
    assert key("make", "There").code == 0
    found = key(*said)
    assert (found.code, found.out) == (1, "")
    assert fault in found.err
    assert found.err.count("\n") == 1
