"""The service on a farm's network: certificates made, renewed, shown; the page that takes a tablet through trusting them."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from orchardmap.certificates import folder as kept
from orchardmap.certificates.making import Signed, made_authority, made_server
from orchardmap.certificates.names import in_words, read_names
from orchardmap.certificates.reading import Told, der, grouped, told
from orchardmap.errors import InputError
from orchardmap.paper.codes import code_svg
from orchardmap.paper.trust_page import TrustFacts, trust_page

__all__ = [
    "Certified", "certified", "end_in_words", "renew_certificates", "server_told", "trust_certificate",
    "trust_document",
]  # fmt: skip

SOON_DAYS = 30
"""So near its end a certificate is spoken of whenever the service starts."""


@dataclass(frozen=True, slots=True)
class Certified:
    """What a folder of certificates holds."""

    authority: Told
    server: Told
    authority_is_new: bool = False


def renew_certificates(
    folder: Path,
    *,
    names: list[str],
    title: str = "",
    authority_key: Path | None = None,
    new_authority: bool = False,
    now: datetime,
) -> Certified:
    """Make a folder's authority where there is none, and a new server certificate in any case.

    Parameters
    ----------
    folder : Path
        Made where it is not there.
    names : list of str
        Host names and addresses; none repeats those of the certificate that is there.
    title : str
        What tablets list the authority as.
    authority_key : Path, optional
        Where the authority's key is kept, when that is not the folder.
    new_authority : bool
        Make another authority, which every tablet must then trust.
    now : datetime with time zone

    Raises
    ------
    InputError
        If no name is given and none is known, or a file cannot be used.
    """
    wanted = read_names(names)
    if not wanted and kept.kept(folder, kept.SERVER):
        wanted = told(kept.read_certificate(folder / kept.SERVER)).names
    if not wanted:
        raise InputError("a certificate speaks for a name", todo="Give --for orchard.lan or an address.")
    fresh = new_authority or not kept.kept(folder, kept.AUTHORITY)
    authority = (
        made_authority(wanted, title=title or f"Farm certificates for {wanted[0]}, {now:%Y-%m-%d}", now=now)
        if fresh
        else kept.read_authority(folder, authority_key or folder / kept.AUTHORITY_KEY)
    )
    server = made_server(wanted, authority, now=now)
    if fresh:
        kept.write_signed(folder, authority, certificate=kept.AUTHORITY, key=kept.AUTHORITY_KEY)
    kept.write_signed(folder, server, certificate=kept.SERVER, key=kept.SERVER_KEY)
    return _certified(authority, server, fresh)


def _certified(authority: Signed, server: Signed, fresh: bool) -> Certified:
    return Certified(told(authority.certificate), told(server.certificate), fresh)


def certified(folder: Path) -> Certified:
    """Return what a folder of certificates holds."""
    return Certified(
        told(kept.read_certificate(folder / kept.AUTHORITY)),
        told(kept.read_certificate(folder / kept.SERVER)),
    )


def server_told(certificate: Path) -> Told:
    """Return what the certificate says that the service shows."""
    return told(kept.read_certificate(certificate))


def end_in_words(server: Told, now: datetime) -> str:
    """Return what to say of a certificate's end when the service starts; empty while it is far."""
    left_days = (server.ends_at - now).days
    if left_days > SOON_DAYS:
        return ""
    said = "has run out" if server.ends_at <= now else f"runs out on {server.ends_at:%Y-%m-%d}"
    return f"the certificate for {in_words(server.names)} {said}: run orchardmap certificates again, then restart"


def trust_certificate(folder: Path) -> bytes:
    """Return the authority's certificate in the form that every platform installs (DER)."""
    return der(kept.read_certificate(folder / kept.AUTHORITY))


def trust_document(folder: Path, *, trust_address: str, app_address: str) -> str:
    """Return the page that takes a tablet through trusting the farm's authority.

    Parameters
    ----------
    folder : Path
        Of the certificates.
    trust_address, app_address : str
        Of this page on plain http, which its code carries, and of the service.
    """
    authority = told(kept.read_certificate(folder / kept.AUTHORITY))
    facts = TrustFacts(
        title=authority.title,
        names=in_words(authority.names),
        ends_on=f"{authority.ends_at:%Y-%m-%d}",
        fingerprint=tuple(grouped(authority.fingerprint)),
        trust_address=trust_address,
        app_address=app_address,
    )
    return trust_page(facts, code_svg(trust_address, width_mm=40.0))
