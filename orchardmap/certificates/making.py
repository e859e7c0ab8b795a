"""Make an authority's certificate and a server's. No file, no clock: the moment is an argument; keys come from the system."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from orchardmap.certificates.names import Name, constraints, general_names, in_words, said_of
from orchardmap.errors import ConflictError

__all__ = ["AUTHORITY_DAYS", "SERVER_DAYS", "Signed", "made_authority", "made_server"]

AUTHORITY_DAYS = 3652
"""Ten years."""
SERVER_DAYS = 397
"""Platforms refuse longer ones: 825 days at most for an own authority, 398 for a public one (common practice)."""
_SLACK = timedelta(days=1)
"""A tablet's clock may be behind: certificates hold from a day ago."""
_CN_LENGTH = 64


@dataclass(frozen=True, slots=True)
class Signed:
    """A certificate and the key that belongs to it."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


def made_authority(names: tuple[Name, ...], *, title: str, now: datetime) -> Signed:
    """Make a farm's own authority, which may speak for the given names alone.

    Parameters
    ----------
    names : tuple of str and addresses
        See `orchardmap.certificates.names.read_names`.
    title : str
        What the tablet lists it as; cut to 64 characters, as the standard has it.
    now : datetime with time zone
        When it is made.

    Returns
    -------
    Signed
        Elliptic curve P-256; it can sign servers, not further authorities.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    subject = _called(title)
    draft = (
        _draft(subject, key.public_key(), now=now, days=AUTHORITY_DAYS)
        .issuer_name(subject)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(constraints(names), critical=True)
    )
    return Signed(draft.sign(key, SHA256()), key)


def made_server(names: tuple[Name, ...], authority: Signed, *, now: datetime) -> Signed:
    """Make a server's certificate, signed by the farm's authority.

    Raises
    ------
    ConflictError
        If the authority may not speak for one of the names, or has run out.
    """
    _refuse_beyond(names, authority.certificate)
    left_days = (authority.certificate.not_valid_after_utc - now).days
    if left_days < 1:
        raise ConflictError(
            "the farm's authority has run out",
            todo="Make a new one with --new-authority; every tablet must then trust it anew.",
        )
    key = ec.generate_private_key(ec.SECP256R1())
    issuer = authority.certificate
    draft = (
        _draft(
            _called(f"orchardmap at {names[0]}"), key.public_key(), now=now, days=min(SERVER_DAYS, left_days)
        )
        .issuer_name(issuer.subject)
        .add_extension(x509.SubjectAlternativeName(general_names(names)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key()), critical=False
        )
    )
    return Signed(draft.sign(authority.key, SHA256()), key)


def _draft(
    subject: x509.Name, public_key: ec.EllipticCurvePublicKey, *, now: datetime, days: int
) -> x509.CertificateBuilder:
    whole = now.replace(microsecond=0)
    return (
        x509
        .CertificateBuilder()
        .subject_name(subject)
        .public_key(public_key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(whole - _SLACK)
        # with the slack before, the whole span stays what the name says
        .not_valid_after(whole - _SLACK + timedelta(days=days))
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public_key), critical=False)
    )


def _called(title: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, title[:_CN_LENGTH])])


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _refuse_beyond(names: tuple[Name, ...], authority: x509.Certificate) -> None:
    may = said_of(authority)
    hosts = [one for one in may if isinstance(one, str)]
    beyond = [
        name
        for name in names
        if name not in may
        and not (isinstance(name, str) and any(name.endswith(f".{host}") for host in hosts))
    ]
    if beyond:
        raise ConflictError(
            f"the farm's authority may speak for {in_words(may)} alone",
            where=in_words(beyond),
            todo="Make a new one with --new-authority; every tablet must then trust it anew.",
        )
