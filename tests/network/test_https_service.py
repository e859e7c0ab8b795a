"""The service over https with the farm's own certificates, and the page on plain http, over real sockets."""

import hashlib
import http.client
import json
import re
import socket
import ssl
import subprocess
from contextlib import suppress

import pytest

from orchardmap.store.session import open_store, sqlite_url
from servers import served


def ask(secure, path, *, method="GET", host="orchard.lan", plain=False):
    """One request to 127.0.0.1, in the given host's name; over TLS the certificate is verified against that name."""
    port = secure.plain_port if plain else secure.port
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    if not plain:
        line.connect()
        line.sock = secure.context().wrap_socket(line.sock, server_hostname=host)
    line.request(method, path, headers={"Host": f"{host}:{port}", "Authorization": f"Bearer {secure.token}"})
    answer = line.getresponse()
    body = answer.read()
    line.close()
    return answer, body


@pytest.mark.parametrize("host", ["orchard.lan", "127.0.0.1", "127.0.0.2"])
def test_https_answers_under_each_name_of_the_certificate(secure, host):
    """Python's ssl checks chain, dates and name; each name of the certificate is among the service's own hosts by itself."""
    answer, body = ask(secure, "/api/farms", host=host)
    assert answer.status == 200
    assert [farm["name"] for farm in json.loads(body)["farms"]] == ["Small Farm"]
    assert "Strict-Transport-Security" not in answer.headers, (
        "it would lock out the plain page of a new tablet"
    )


def test_https_under_another_name_is_refused_by_the_client(secure):
    with pytest.raises(ssl.SSLCertVerificationError, match="Hostname mismatch"):
        ask(secure, "/api/farms", host="other.lan")


def test_without_the_authority_the_client_refuses(secure):
    with pytest.raises(ssl.SSLCertVerificationError, match=r"self-signed certificate|unable to get"):
        http_context = ssl.create_default_context()
        line = http.client.HTTPSConnection("127.0.0.1", secure.port, context=http_context, timeout=20)
        line.request("GET", "/healthz")


def test_plain_http_leads_to_https_and_gives_no_data(secure):
    answer, body = ask(secure, "/api/farms?x=1", plain=True)
    assert (answer.status, body) == (307, b"")
    assert answer.headers["Location"] == f"https://orchard.lan:{secure.port}/api/farms?x=1"
    answer, _ = ask(secure, "/", plain=True)
    assert (answer.status, answer.headers["Location"]) == (307, "/trust")
    answer, body = ask(secure, "/api/farms", method="POST", plain=True)
    assert (answer.status, json.loads(body)["type"]) == (403, "urn:orchardmap:problem:https-only")


@pytest.mark.parametrize("path", ["/trust", "/trust/authority.crt", "/", "//evil.test/", "/x"])
def test_plain_http_knows_no_other_host(secure, path):
    """Else a foreign name pointed here would be sent on to wherever it likes."""
    answer, _ = ask(secure, path, host="evil.test", plain=True)
    assert (answer.status, answer.headers.get("Location")) == (400, None)


def test_a_path_of_two_slashes_stays_on_this_host(secure):
    answer, _ = ask(secure, "//evil.test/", plain=True)
    assert answer.headers["Location"].startswith(f"https://orchard.lan:{secure.port}/")


@pytest.mark.parametrize("plain", [True, False], ids=["http", "https"])
def test_certificate_can_be_fetched_and_is_the_one_shown(secure, plain, tmp_path):
    """Its fingerprint by hashlib (SHA-256 over DER) is the page's, and OpenSSL reads the same out of it."""
    answer, der = ask(secure, "/trust/authority.crt", plain=plain)
    assert (answer.status, answer.headers["Content-Type"]) == (200, "application/x-x509-ca-cert")
    assert "Content-Disposition" not in answer.headers
    fingerprint = hashlib.sha256(der).hexdigest().upper()
    _, page = ask(secure, "/trust", plain=plain)
    shown = re.search(r"<pre>([^<]*)</pre>", page.decode())
    assert shown is not None
    assert re.sub(r"\s", "", shown[1]) == fingerprint
    (tmp_path / "got.crt").write_bytes(der)
    said = subprocess.run(
        ["openssl", "x509", "-inform", "DER", "-in", tmp_path / "got.crt", "-noout", "-fingerprint", "-sha256"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert said.strip().partition("=")[2].replace(":", "") == fingerprint
    assert b"PRIVATE" not in der


def test_no_key_is_served(secure):
    for path in ("/trust/authority.key", "/trust/server.key", "/trust/../certificates/authority.key"):
        answer, body = ask(secure, path)
        assert answer.status == 404
        assert b"PRIVATE" not in body


def test_trust_page_names_host_and_addresses_as_the_visitor_came(secure):
    for host in ("orchard.lan", "127.0.0.1"):
        _, page = ask(secure, "/trust", host=host, plain=True)
        assert f'href="https://{host}:{secure.port}/"' in page.decode()
        assert f"<p>http://{host}:{secure.plain_port}/trust</p>" in page.decode()


def test_it_stops_in_good_order_with_both_ports(secure, tmp_path):
    """Asked to stop it ends with 0 and frees both ports; somebody who spoke plain http to the https port did no harm."""
    url = sqlite_url(tmp_path / "service.sqlite")
    open_store(url).close()
    with served(url, "--certificates", str(secure.certificates), "--plain-port", "0") as server:
        ports = [int(server.address.rpartition(":")[2])]
        ports.append(int(server.heard(r"begins at http://[^:]+:(\d+)/trust")))
        with socket.create_connection(("127.0.0.1", ports[0]), timeout=20) as line, suppress(ConnectionError):
            line.sendall(b"GET / HTTP/1.1\r\nHost: orchard.lan\r\n\r\n")
            assert b"HTTP" not in line.recv(1000)
        assert server.stop() == 0
    for port in ports:
        with socket.socket() as free:
            free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            free.bind(("127.0.0.1", port))
    assert "Traceback" not in "".join(server.said)
    assert "on this machine alone" in "".join(server.said), (
        "a tablet would look for it in vain: it must say so"
    )
