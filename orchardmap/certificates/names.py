"""Host names and addresses that a certificate speaks for: read as typed, written into certificates, read back."""

import ipaddress
import re
from collections.abc import Iterable, Sequence

from cryptography import x509

from orchardmap.errors import InputError

__all__ = ["constraints", "general_names", "in_words", "read_names", "said_of"]

Name = str | ipaddress.IPv4Address | ipaddress.IPv6Address
"""A host name, or an address."""
_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?")
_NO_NAME = "invalid"
"""RFC 6761 keeps this name from ever meaning a machine: an authority for addresses alone is bound to it."""
_ALL_ADDRESSES = (ipaddress.ip_network("0.0.0.0/0"), ipaddress.ip_network("::/0"))


def read_names(said: Iterable[str]) -> tuple[Name, ...]:
    """Read host names and addresses, each once and in the order given.

    Parameters
    ----------
    said : iterable of str
        ``orchard.lan``, ``192.168.1.20``, ``fd00::20``.

    Returns
    -------
    tuple of str and addresses

    Raises
    ------
    InputError
        If one is neither.

    Examples
    --------
    >>> read_names(["Orchard.lan", "192.168.1.20"])
    ('orchard.lan', IPv4Address('192.168.1.20'))
    """
    return tuple(dict.fromkeys(_read(text.strip().lower()) for text in said))


def _read(text: str) -> Name:
    try:
        return ipaddress.ip_address(text.strip("[]"))
    except ValueError:
        pass
    labels = text.removesuffix(".").split(".")
    # a last label of digits alone is a mistyped address, never a name
    if len(text) > 253 or not all(_LABEL.fullmatch(label) for label in labels) or labels[-1].isdigit():
        raise InputError(
            "is neither a host name nor an address",
            where=text[:80] or "an empty name",
            todo="Give what a tablet types: orchard.lan, or 192.168.1.20; no https://, no port, no star.",
        )
    return ".".join(labels)


def general_names(names: Iterable[Name]) -> list[x509.GeneralName]:
    """Return names as a certificate lists those of its server."""
    return [x509.DNSName(name) if isinstance(name, str) else x509.IPAddress(name) for name in names]


def constraints(names: Sequence[Name]) -> x509.NameConstraints:
    """Return the limit of an authority that may speak for the given names alone (RFC 5280, 4.2.1.10).

    A kind of name that is not mentioned would be free, so both kinds always are.
    """
    hosts = [name for name in names if isinstance(name, str)] or [_NO_NAME]
    addresses = [ipaddress.ip_network(name) for name in names if not isinstance(name, str)]
    permitted = [*map(x509.DNSName, hosts), *map(x509.IPAddress, addresses)]
    excluded = None if addresses else [x509.IPAddress(network) for network in _ALL_ADDRESSES]
    return x509.NameConstraints(permitted, excluded)


def said_of(certificate: x509.Certificate) -> tuple[Name, ...]:
    """Return the names that a server's certificate speaks for, or that an authority may speak for."""
    found: list[Name] = []
    for one in _listed(certificate):
        if isinstance(one, x509.DNSName) and one.value != _NO_NAME:
            found.append(one.value)
        elif isinstance(one, x509.IPAddress):
            place = one.value
            is_network = isinstance(place, ipaddress.IPv4Network | ipaddress.IPv6Network)
            found.append(place.network_address if is_network else place)  # type: ignore[union-attr,arg-type]
    return tuple(found)


def _listed(certificate: x509.Certificate) -> Iterable[x509.GeneralName]:
    for kind in (x509.SubjectAlternativeName, x509.NameConstraints):
        try:
            value = certificate.extensions.get_extension_for_class(kind).value
        except x509.ExtensionNotFound:
            continue
        if isinstance(value, x509.NameConstraints):
            return value.permitted_subtrees or ()
        if isinstance(value, x509.SubjectAlternativeName):
            return value
    return ()


def in_words(names: Iterable[Name]) -> str:
    """Return names as one line."""
    return ", ".join(map(str, names))
