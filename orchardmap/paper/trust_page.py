"""The page that takes a tablet through trusting the farm's own certificates. All its words stand here."""

from dataclasses import dataclass
from html import escape

from orchardmap.paper.screen_page import screen_page

__all__ = ["CERTIFICATE_PATH", "TRUST_PATH", "TrustFacts", "trust_page"]

TRUST_PATH = "/trust"
CERTIFICATE_PATH = "/trust/authority.crt"


@dataclass(frozen=True, slots=True)
class TrustFacts:
    """What the page has to say."""

    title: str
    """What the tablet lists the authority as."""
    names: str
    """The names and addresses it may speak for, as one line."""
    ends_on: str
    fingerprint: tuple[str, ...]
    """SHA-256 in hexadecimal, in lines of pairs to compare by eye."""
    trust_address: str
    """Of this page, on plain http."""
    app_address: str
    """Of the service, on https."""


_STEPS = {
    "iPad (iPadOS, Safari)": (
        "Open this page in Safari and tap the button above. Safari asks whether to download a profile: allow it.",
        "Open Settings. “Profile Downloaded” stands near the top (or under General, VPN & Device Management). Open it, "
        "compare the fingerprint under More Details, then install it.",
        "Settings, General, About, Certificate Trust Settings: switch on full trust for {title}. Without this step nothing works.",
        "Back in Safari, open {app}. If no warning comes, tap Share, then Add to Home Screen. Pair the tablet from the icon on the "
        "home screen, not from Safari: each keeps its own store, and only the home screen's is kept for long.",
    ),
    "Android tablet (Chrome)": (
        "Open this page in Chrome and tap the button above. The file goes to Downloads.",
        "Open Settings and search for “CA certificate” (it stands under Security, Encryption & credentials, Install a certificate). "
        "The tablet must have a screen lock. It warns that your traffic could be read: see “What you trust” below.",
        "Choose the file. Then look under Trusted credentials, User, and compare the fingerprint.",
        "In Chrome, open {app}. If no warning comes, choose Install app or Add to Home screen from the menu. Firefox on "
        "Android does not use such certificates unless it is told to.",
    ),
    "Computer (Windows, macOS, Linux)": (
        "Windows: open the file, Install Certificate, Current User, place it in Trusted Root Certification Authorities.",
        "macOS: open the file in Keychain Access, then set it to Always Trust for SSL.",
        "Linux: in Chrome or Chromium, Settings, Privacy and security, Security, Manage certificates: import it as an authority for websites.",
        "Firefox has its own list: Settings, Privacy & Security, View Certificates, Authorities, Import.",
        "Open {app}.",
    ),
}
"""Platform -> steps. Where things stand in these menus was written from memory, not from a run on each."""


def trust_page(facts: TrustFacts, code: str) -> str:
    """Return the page.

    Parameters
    ----------
    facts : TrustFacts
    code : str
        SVG of the QR code with this page's address.

    Returns
    -------
    str
    """
    app = escape(facts.app_address)
    link = f'<a href="{app}">{app}</a>'
    parts = [
        "<p>The foreman's screen keeps a day's marks on the tablet only when the tablet trusts this farm's own certificate. "
        "Do this once for each tablet, on the farm's network.</p>",
        f'<p><a class="button" href="{CERTIFICATE_PATH}">Download the certificate</a></p>',
        "<h2>Compare this fingerprint before you trust it</h2>",
        "<pre>{}</pre>".format("\n".join(map(escape, facts.fingerprint))),
        "<p>It must be the one that the manager reads from the service's own machine "
        "(<code>orchardmap certificates --show</code>). This page alone proves nothing: somebody else on the network could have put it "
        "here. If one pair differs, stop.</p>",
        "<h2>Then, on your device</h2>",
        '<p class="quiet">Menus differ between versions; the words are close.</p>',
        *(_steps(name, steps, title=escape(facts.title), link=link) for name, steps in _STEPS.items()),
        "<h2>What you trust</h2>",
        f"<p><strong>{escape(facts.title)}</strong> may speak for <strong>{escape(facts.names)}</strong> and nothing else, until "
        f"{escape(facts.ends_on)}. Whoever holds its key could pose as these addresses to your tablet; a device that keeps to the "
        "limit written in the certificate will not believe it about any other site. When a tablet leaves the farm, take the "
        "certificate off it in the same menu.</p>",
        "<h2>This page on another tablet</h2>",
        f'<p><span class="code">{code}</span></p>',
        f"<p>{escape(facts.trust_address)}</p>",
    ]
    return screen_page("Trust this farm's certificate", "\n".join(parts))


def _steps(name: str, steps: tuple[str, ...], *, title: str, link: str) -> str:
    told = "".join(f"<li>{escape(step).format(title=title, app=link)}</li>" for step in steps)
    return f"<details><summary>{escape(name)}</summary><ol>{told}</ol></details>"
