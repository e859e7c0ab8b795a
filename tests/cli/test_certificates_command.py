"""`orchardmap certificates`: made, renewed, shown; judged by OpenSSL's own command and by Python's ssl."""

import re
import stat
import subprocess
from pathlib import Path

import pytest

NAMES = ("--for", "orchard.lan", "--for", "192.168.1.20")


def openssl(*arguments: str, fails: bool = False) -> str:
    done = subprocess.run(["openssl", *arguments], capture_output=True, text=True, check=False)
    assert (done.returncode != 0) is fails, done.stdout + done.stderr
    return done.stdout + done.stderr


def verified(folder: Path, *more: str, fails: bool = False) -> str:
    authority = str(folder / "authority.crt")
    return openssl(
        "verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", authority, *more, str(folder / "server.crt"),
        fails=fails,
    )  # fmt: skip


def mode(file: Path) -> int:
    return stat.S_IMODE(file.stat().st_mode)


@pytest.fixture
def made(orchardmap, tmp_path):
    said = orchardmap("certificates", *NAMES)
    assert said.code == 0, said.err
    return tmp_path / "certificates"


def test_openssl_takes_the_chain_for_each_name_and_for_no_other(made):
    """`openssl verify -x509_strict` follows RFC 5280: path, dates, constraints, purpose."""
    for name in (("-verify_hostname", "orchard.lan"), ("-verify_ip", "192.168.1.20")):
        assert verified(made, *name).strip().endswith("OK")
    for name in (("-verify_hostname", "other.lan"), ("-verify_ip", "192.168.1.21")):
        assert "mismatch" in verified(made, *name, fails=True)


def test_server_certificate_is_what_platforms_ask_for(made):
    """At most 825 days for an own authority, SHA-256, P-256, serverAuth, names as subjectAltName (common practice)."""
    text = openssl("x509", "-in", str(made / "server.crt"), "-noout", "-text")
    for part in ("ecdsa-with-SHA256", "prime256v1", "TLS Web Server Authentication", "CA:FALSE"):
        assert part in text
    assert "DNS:orchard.lan, IP Address:192.168.1.20" in text
    day = 86_400
    openssl("x509", "-in", str(made / "server.crt"), "-noout", "-checkend", str(395 * day))
    openssl("x509", "-in", str(made / "server.crt"), "-noout", "-checkend", str(398 * day), fails=True)
    openssl("x509", "-in", str(made / "authority.crt"), "-noout", "-checkend", str(3649 * day))
    openssl("x509", "-in", str(made / "authority.crt"), "-noout", "-checkend", str(3653 * day), fails=True)


@pytest.mark.parametrize(
    ("names", "limit"),
    [
        (NAMES, ["DNS:orchard.lan", "IP:192.168.1.20/255.255.255.255"]),
        # a kind of name that is not mentioned would be free (RFC 5280, 4.2.1.10)
        (("--for", "orchard.lan"), ["DNS:orchard.lan", "Excluded", "IP:0.0.0.0/0.0.0.0"]),
        # an address alone: OpenSSL takes a common name that looks like a host for a DNS name
        (("--for", "192.168.1.20"), ["DNS:invalid", "IP:192.168.1.20/255.255.255.255"]),
        (("--for", "fd00::20"), ["DNS:invalid", "IP:FD00:0:0:0:0:0:0:20/FFFF"]),
    ],
)
def test_authority_is_bound_to_the_names_of_every_kind(orchardmap, tmp_path, names, limit):
    assert orchardmap("certificates", *names).code == 0
    text = openssl("x509", "-in", str(tmp_path / "certificates" / "authority.crt"), "-noout", "-text")
    constraints = text[text.index("Name Constraints: critical") :]
    for part in limit:
        assert part in constraints
    assert "CA:TRUE, pathlen:0" in text
    assert verified(tmp_path / "certificates").strip().endswith("OK")


def test_keys_are_for_their_owner_alone_and_it_is_said_what_they_can_do(made, orchardmap):
    assert (mode(made), mode(made / "authority.key"), mode(made / "server.key")) == (0o700, 0o600, 0o600)
    assert sorted(file.name for file in made.iterdir()) == [
        "authority.crt", "authority.key", "server.crt", "server.key",
    ]  # fmt: skip
    told = orchardmap("certificates", "--for", "a.lan", "--folder", "other").out
    assert "whoever has it can pose as these addresses" in told
    assert "Move other/authority.key off this machine" in told


def test_again_renews_the_server_under_the_same_authority(made, orchardmap):
    """Without names it repeats those it has; the authority's key may by then be elsewhere."""
    before = {file.name: file.read_bytes() for file in made.iterdir()}
    elsewhere = made.parent / "stick.key"
    (made / "authority.key").rename(elsewhere)
    refused = orchardmap("certificates")
    assert (refused.code, "--authority-key" in refused.err) == (1, True)
    said = orchardmap("certificates", "--authority-key", str(elsewhere))
    assert said.code == 0, said.err
    assert "The authority is the same" in said.out
    assert (made / "authority.crt").read_bytes() == before["authority.crt"]
    assert (made / "server.crt").read_bytes() != before["server.crt"]
    assert (made / "server.key").read_bytes() != before["server.key"]
    assert not (made / "authority.key").exists(), "a key kept elsewhere must not come back"
    assert verified(made, "-verify_ip", "192.168.1.20").strip().endswith("OK")


def test_another_name_needs_another_authority(made, orchardmap):
    before = (made / "server.crt").read_bytes()
    refused = orchardmap("certificates", "--for", "barn.lan")
    assert refused.code == 1
    assert "may speak for orchard.lan, 192.168.1.20 alone" in refused.err
    assert "--new-authority" in refused.err
    assert (made / "server.crt").read_bytes() == before
    assert orchardmap("certificates", "--for", "east.orchard.lan").code == 0, (
        "a part of its own name is its own"
    )
    assert orchardmap("certificates", "--for", "barn.lan", "--new-authority").code == 0
    assert verified(made, "-verify_hostname", "barn.lan").strip().endswith("OK")


def test_show_says_names_dates_and_openssls_fingerprint(made, orchardmap):
    said = orchardmap("certificates", "--show").out
    assert said.count("speaks for orchard.lan, 192.168.1.20") == 2
    seen = openssl(
        "x509", "-in", str(made / "authority.crt"), "-noout", "-fingerprint", "-sha256", "-enddate"
    )
    pairs = re.findall(r"^    ((?:[0-9A-F]{2} ?){8})$", said, re.MULTILINE)
    assert " ".join(pairs) == seen.splitlines()[0].partition("=")[2].replace(":", " ")
    year = re.search(r"notAfter=.* (\d{4}) GMT", seen)
    assert year is not None
    assert f"to {year[1]}-" in said


@pytest.mark.parametrize(
    "name",
    [
        "https://orchard.lan",
        "orchard.lan:8420",
        "*.lan",
        "192.168.1.300",
        "",
        "a b",
        "-x.lan",
        "ö.lan",
        "a" * 64,
    ],
)
def test_what_is_no_name_is_refused_and_nothing_is_made(orchardmap, tmp_path, name):
    said = orchardmap("certificates", "--for", name)
    assert said.code == 1
    assert "neither a host name nor an address" in said.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ((), "--for"),
        (("--show",), "orchardmap certificates --for NAME"),
        (("--for", "a.lan", "--folder", "a-file"), "cannot be written"),
    ],
)
def test_what_is_missing_is_said_in_one_sentence(orchardmap, tmp_path, options, says):
    (tmp_path / "a-file").write_text("", "utf-8")
    said = orchardmap("certificates", *options)
    assert (said.code, said.out) == (1, "")
    assert says in said.err


def test_serve_refuses_certificates_it_cannot_use(orchardmap, made):
    """Each before any port is taken."""
    key = made / "server.key"
    whole = key.read_bytes()
    key.write_bytes((made / "authority.key").read_bytes())
    for options, says in (
        (("--certificates", "certificates"), "do not belong together"),
        (("--certificates", "nowhere"), "Make them: orchardmap certificates"),
        (("--tls-cert", str(made / "server.crt")), "--tls-key"),
        (("--certificates", "certificates", "--tls-cert", "x", "--tls-key", "y"), "give one of them"),
    ):
        said = orchardmap("serve", *options)
        assert said.code == 1
        assert says in said.err
    key.write_bytes(whole)
