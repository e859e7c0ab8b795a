"""A real Chromium with a certificate store of its own: what works before and after it trusts the farm's authority.

The store is an NSS database, made with certutil (Debian: libnss3-tools), found by Chromium through HOME.
"""

import os
import shutil
import socket
import ssl
import subprocess
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.hashes import SHA256
from playwright.sync_api import Error, Page, Playwright

from orchardmap.certificates import folder as kept
from orchardmap.certificates.making import Signed, made_authority, made_server
from orchardmap.certificates.names import read_names

pytestmark = pytest.mark.browser
AXE = Path(__file__).resolve().parents[2] / "web" / "node_modules" / "axe-core" / "axe.min.js"
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
WORKER = "async () => (await navigator.serviceWorker.register('/app/worker.js', { scope: '/app/' })).scope"


def certutil(home: Path, *arguments: str) -> None:
    tool = shutil.which("certutil")
    if tool is None:
        pytest.fail("certutil is missing: apt-get install libnss3-tools")
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True, exist_ok=True)
    subprocess.run([tool, "-d", f"sql:{store}", *arguments], check=True, capture_output=True)


@pytest.fixture(scope="module")
def open_browser(
    playwright: Playwright, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Callable[[Path | None], Page]]:
    """`open_browser(authority)` opens Chromium with a store that trusts that authority, or nobody's."""
    pages: dict[Path | None, Page] = {}
    with ExitStack() as held:

        def opened(authority: Path | None) -> Page:
            if authority not in pages:
                home = tmp_path_factory.mktemp("home")
                certutil(home, "-N", "--empty-password")
                if authority is not None:
                    certutil(home, "-A", "-n", "farm", "-t", "C,,", "-i", str(authority))
                context = playwright.chromium.launch_persistent_context(
                    str(home / "profile"),
                    executable_path=shutil.which("chromium") or shutil.which("google-chrome"),
                    chromium_sandbox=False,
                    # names of a farm's network, which no name server here knows
                    args=["--disable-gpu", "--no-first-run", "--host-resolver-rules=MAP *.lan 127.0.0.1"],
                    env={**os.environ, "HOME": str(home)},
                    viewport={"width": 800, "height": 1280},
                    has_touch=True,
                )
                held.callback(context.close)
                pages[authority] = context.new_page()
            return pages[authority]

        yield opened


@contextmanager
def impostor(authority: Signed, name: str, folder: Path) -> Iterator[int]:
    """A site of another name whose certificate somebody signed with the stolen key of the farm's authority."""
    # the limit is in the authority's certificate, not in our good will: a forger signs what ours refuses to
    other = made_authority(read_names([name]), title="other", now=datetime.now(UTC))
    stolen = resigned(made_server(read_names([name]), other, now=datetime.now(UTC)), authority)
    kept.write_signed(folder, stolen, certificate="site.crt", key="site.key")

    class Site(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.end_headers()
            self.wfile.write(b"<title>Impostor</title>")

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    class Server(ThreadingHTTPServer):
        def handle_error(self, *_: object) -> None:
            """A client that refuses hangs up."""

    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(folder / "site.crt", folder / "site.key")
    server = Server(("127.0.0.1", 0), Site)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
        thread.join(timeout=10)


def resigned(signed: Signed, authority: Signed) -> Signed:
    """The same certificate under another authority's name and signature."""
    old = signed.certificate
    draft = x509.CertificateBuilder(
        issuer_name=authority.certificate.subject,
        subject_name=old.subject,
        public_key=old.public_key(),
        serial_number=old.serial_number,
        not_valid_before=old.not_valid_before_utc.replace(tzinfo=None),
        not_valid_after=old.not_valid_after_utc.replace(tzinfo=None),
    )
    for one in old.extensions:
        if not isinstance(one.value, x509.AuthorityKeyIdentifier):
            draft = draft.add_extension(one.value, one.critical)
    return Signed(draft.sign(authority.key, SHA256()), signed.key)


def test_after_trusting_a_worker_registers_and_before_it_does_not(secure, open_browser):
    """The point of it all: a service worker, without which no mark is kept when the service is out of reach."""
    page = open_browser(secure.certificates / "authority.crt")
    for host in ("orchard.lan", "127.0.0.2"):
        page.goto(f"https://{host}:{secure.port}/")
        assert page.evaluate("isSecureContext") is True
        assert page.evaluate(WORKER) == f"https://{host}:{secure.port}/app/"

    page.goto(f"http://orchard.lan:{secure.plain_port}/trust")
    assert page.evaluate("[isSecureContext, 'serviceWorker' in navigator]") == [False, False]
    page.get_by_text("Computer").click()
    page.get_by_role("link", name=f"https://orchard.lan:{secure.port}/").last.click()
    page.wait_for_url(f"https://orchard.lan:{secure.port}/")

    stranger = open_browser(None)
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        stranger.goto(f"https://orchard.lan:{secure.port}/")


def test_the_authority_cannot_speak_for_another_site(secure, open_browser, tmp_path):
    """Chromium, Python's ssl and OpenSSL all refuse: the limit is written into the authority's certificate."""
    authority = kept.read_authority(secure.certificates, secure.certificates / "authority.key")
    page = open_browser(secure.certificates / "authority.crt")
    with impostor(authority, "bank.lan", tmp_path) as port:
        with pytest.raises(Error, match="ERR_CERT_"):
            page.goto(f"https://bank.lan:{port}/")
        line = ssl.create_default_context(cafile=str(secure.certificates / "authority.crt"))
        with socket.create_connection(("127.0.0.1", port), timeout=20) as plain, suppress(OSError):
            with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
                line.wrap_socket(plain, server_hostname="bank.lan")
    said = subprocess.run(
        ["openssl", "verify", "-CAfile", secure.certificates / "authority.crt", tmp_path / "site.crt"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert said.returncode != 0
    assert "permitted subtree violation" in said.stdout + said.stderr
    # Chromium may still be on its way to its own page of the refusal, which would interrupt the next navigation
    page.wait_for_url("chrome-error://**")
    # and the same forgery within the limit passes, so it is the limit that refused
    with impostor(authority, "orchard.lan", tmp_path) as port:
        page.goto(f"https://orchard.lan:{port}/")
        assert page.title() == "Impostor"


def test_trust_page_is_for_everybody(secure, open_browser):
    """In light and dark: axe finds nothing, targets are large, and its own style passes its own policy."""
    page = open_browser(None)
    refused: list[str] = []
    page.on("console", lambda said: refused.append(said.text) if "Content Security" in said.text else None)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.goto(f"http://orchard.lan:{secure.plain_port}/trust")
        for summary in page.locator("summary").all():
            summary.click()
        page.evaluate(f"{AXE.read_text('utf-8')}; void 0")
        options = {"runOnly": AXE_TAGS, "rules": {"color-contrast-enhanced": {"enabled": True}}}
        found = page.evaluate("(options) => axe.run(document, options)", options)
        assert [one["id"] for one in found["violations"]] == []
        for target in (
            page.get_by_role("link", name="Download the certificate"),
            *page.locator("summary").all(),
        ):
            box = target.bounding_box()
            assert box is not None
            assert box["height"] >= 56
    assert refused == []
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(22, 24, 27)"
