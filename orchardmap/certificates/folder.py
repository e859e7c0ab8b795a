"""The folder that certificates and keys are kept in: four files, keys readable by their owner alone."""

import os
import tempfile
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)

from orchardmap.certificates.making import Signed
from orchardmap.errors import InputError

__all__ = [
    "AUTHORITY", "AUTHORITY_KEY", "SERVER", "SERVER_KEY", "kept", "read_authority", "read_certificate", "write_signed",
]  # fmt: skip

AUTHORITY, AUTHORITY_KEY = "authority.crt", "authority.key"
SERVER, SERVER_KEY = "server.crt", "server.key"


def kept(folder: Path, name: str) -> bool:
    """Return whether a file of that name is in the folder."""
    return (folder / name).is_file()


def read_certificate(path: Path) -> x509.Certificate:
    """Return the (first) certificate of a file.

    Raises
    ------
    InputError
        If there is none.
    """
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except OSError as error:
        raise InputError(
            f"cannot be read: {error.strerror}",
            where=str(path),
            todo="Make it: orchardmap certificates --for NAME.",
        ) from error
    except ValueError as error:
        raise InputError("is no certificate", where=str(path)) from error


def read_authority(folder: Path, key_file: Path) -> Signed:
    """Return the authority of a folder, with its key from wherever that is kept.

    Raises
    ------
    InputError
        If one of them cannot be read, or they do not belong together.
    """
    certificate = read_certificate(folder / AUTHORITY)
    try:
        key = load_pem_private_key(key_file.read_bytes(), password=None)
    except OSError as error:
        raise InputError(
            f"the authority's key cannot be read: {error.strerror}",
            where=str(key_file),
            todo="If it is kept elsewhere, name it with --authority-key.",
        ) from error
    except (ValueError, TypeError) as error:
        raise InputError("is no key, or one under a password", where=str(key_file)) from error
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
        raise InputError("is not the key of this authority", where=str(key_file))
    return Signed(certificate, key)


def write_signed(folder: Path, signed: Signed, *, certificate: str, key: str) -> None:
    """Write a certificate and its key under the given names; each is there whole, or as it was before.

    Raises
    ------
    InputError
        If they cannot be written.
    """
    secret = signed.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        _write(folder / key, secret, mode=0o600)
        _write(folder / certificate, signed.certificate.public_bytes(Encoding.PEM), mode=0o644)
    except OSError as error:
        raise InputError(f"cannot be written: {error.strerror}", where=str(folder)) from error


def _write(path: Path, content: bytes, *, mode: int) -> None:
    # the file beside it is made for its owner alone, so that a key is never open for a moment
    handle, beside = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).chmod(mode)
        Path(beside).replace(path)
    except OSError:
        Path(beside).unlink(missing_ok=True)
        raise
