"""Where a request comes from: what a header claims is believed only from a proxy that the setting names."""

import pytest
from fastapi.testclient import TestClient

from orchardmap.errors import InputError
from orchardmap_api.settings import settings_from

PROXY = "10.0.0.2"


def client_at(service, address):
    return TestClient(
        service.app, base_url="http://localhost", raise_server_exceptions=False, client=(address, 4711)
    )


def tries(client, forwarded=lambda _: "", *, many=20, first=0):
    """Sign in with ever new logins, as whoever the header claims to be; return the last status."""
    for number in range(first, first + many):
        answer = client.post(
            "/api/sign-in",
            json={"login": f"login-{number}", "password": "a ladder in the snow"},
            headers={"x-forwarded-for": forwarded(number)},
        )
    return answer.status_code


@pytest.fixture
def quick(monkeypatch):
    """Without the hashing: how tries are counted is the point here."""
    monkeypatch.setattr("orchardmap.usecases.signing_in.matches", lambda *_: False)


@pytest.mark.parametrize("setting", ["", PROXY])
def test_header_is_not_believed_from_anybody_else(start, quick, setting):
    service = start(trusted_proxies=setting)
    client = client_at(service, "203.0.113.5")
    assert tries(client, lambda number: f"198.51.100.{number}") == 401
    assert tries(client, lambda number: "198.51.100.99", many=1) == 429


def test_trusted_proxy_tells_who_comes_through_it_and_nobody_before_it_can_pretend(start, quick):
    service = start(trusted_proxies="10.0.0.0/24")
    client = client_at(service, PROXY)
    assert tries(client, lambda number: f"192.0.2.{number}, 203.0.113.5") == 401
    assert tries(client, lambda number: "192.0.2.99, 203.0.113.5", many=1) == 429
    assert tries(client, lambda number: "203.0.113.6", many=1) == 401, "her neighbour"


def test_addresses_of_one_network_that_one_customer_has_are_one_place(start, quick):
    service = start()
    for number in range(20):
        assert tries(client_at(service, f"2001:db8:0:1::{number}"), many=1, first=number) == 401
    assert tries(client_at(service, "2001:db8:0:1:ffff::"), many=1) == 429
    assert tries(client_at(service, "2001:db8:0:2::1"), many=1) == 401
    assert tries(client_at(service, "::1"), many=1) == 401
    assert tries(client_at(service, "::ffff:192.0.2.1")) == 401
    assert tries(client_at(service, "192.0.2.1"), many=1) == 429, "the same one, written otherwise"


@pytest.mark.parametrize("said", ["*", "proxy", "10.0.0.0/33", "10.0.0.1/24", "1.2.3"])
def test_what_is_no_address_of_a_proxy_is_refused(said):
    """Least of all a star: it would believe whatever anybody claims."""
    with pytest.raises(InputError, match="no address or network"):
        settings_from({"ORCHARDMAP_TRUSTED_PROXIES": said})


def test_addresses_of_proxies_are_taken():
    told = settings_from({"ORCHARDMAP_TRUSTED_PROXIES": " 10.0.0.2, ::1,10.1.0.0/16,"})
    assert told.trusted_proxies == "10.0.0.2,::1,10.1.0.0/16"
