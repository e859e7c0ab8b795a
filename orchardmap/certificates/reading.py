"""What a certificate says: names, dates, fingerprint."""

from dataclasses import dataclass
from datetime import datetime

from cryptography import x509
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import NameOID

from orchardmap.certificates.names import Name, said_of

__all__ = ["Told", "der", "grouped", "told"]


@dataclass(frozen=True, slots=True)
class Told:
    """What a person can read of a certificate."""

    title: str
    names: tuple[Name, ...]
    begins_at: datetime
    ends_at: datetime
    fingerprint: str
    """SHA-256 of the certificate, in hexadecimal."""


def told(certificate: x509.Certificate) -> Told:
    """Return what a certificate says."""
    titles = certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return Told(
        str(titles[0].value) if titles else "",
        said_of(certificate),
        certificate.not_valid_before_utc,
        certificate.not_valid_after_utc,
        certificate.fingerprint(SHA256()).hex().upper(),
    )


def grouped(fingerprint: str) -> list[str]:
    """Return a fingerprint as lines of eight pairs, as platforms show pairs and eyes compare lines.

    Examples
    --------
    >>> grouped("00FF" * 8)
    ['00 FF 00 FF 00 FF 00 FF', '00 FF 00 FF 00 FF 00 FF']
    """
    pairs = [fingerprint[i : i + 2] for i in range(0, len(fingerprint), 2)]
    return [" ".join(pairs[i : i + 8]) for i in range(0, len(pairs), 8)]


def der(certificate: x509.Certificate) -> bytes:
    """Return a certificate in the form that every platform installs."""
    return certificate.public_bytes(Encoding.DER)
