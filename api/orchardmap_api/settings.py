"""What the service is told from outside, by environment variables with the prefix ``ORCHARDMAP_``."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields
from ipaddress import ip_network
from pathlib import Path
from urllib.parse import quote, urlsplit

from orchardmap.errors import InputError

__all__ = ["Settings", "full_database_url", "settings_from"]

PREFIX = "ORCHARDMAP_"


@dataclass(frozen=True, slots=True)
class Settings:
    """All settings, with their defaults."""

    database_url: str = "sqlite:///orchardmap.sqlite"
    """``sqlite:///path`` or ``postgresql://user@host/name``."""
    database_password: str = ""
    """Put into the database address, so that it can be kept in a file of its own."""
    host: str = "127.0.0.1"
    """Address to listen on. Off this machine only by https: passwords and tablets' secrets travel with each request."""
    port: int = 8420
    public_address: str = ""
    """Address that browsers use, such as https://orchard.example: for links and codes, and for cookies behind a proxy that ends TLS."""
    allowed_hosts: str = "127.0.0.1,localhost"
    """Host names, by commas, that a browser may use for this service; others are refused."""
    trusted_proxies: str = ""
    """Addresses or networks, by commas, of proxies before the service: what they say of where a request comes from is believed."""
    web_dir: str = ""
    """Folder with the built front end; empty finds the installed one, then the repository's ``web/dist``."""
    tile_url: str = ""
    """Address of a tile service for the map's ground, empty for plain paper."""
    tile_credit: str = ""
    tls_cert: str = ""
    """Certificate file (PEM) to serve https with, together with ``tls_key``."""
    tls_key: str = ""
    certificates: str = ""
    """Folder that ``orchardmap certificates`` made: https with the farm's own certificate."""
    plain_port: int = 8421
    """With ``certificates``: where plain http answers, with the page for trusting them and nothing else."""
    request_log: bool = False
    """Write one line of JSON for each request to the error stream."""


def settings_from(environment: Mapping[str, str] | None = None) -> Settings:
    """Return settings from environment variables.

    Parameters
    ----------
    environment : mapping of str to str, optional
        The process's own environment when left out.

    Returns
    -------
    Settings

    Raises
    ------
    InputError
        If a variable with our prefix is not a setting, a port is not a number, or a file cannot be read.
    """
    given = os.environ if environment is None else environment
    found: dict[str, object] = {}
    known = {field.name: field for field in fields(Settings)}
    for variable, said in given.items():
        if not variable.startswith(PREFIX) or variable in {"ORCHARDMAP_SKIP_WEB"}:
            continue
        name, value = variable.removeprefix(PREFIX).lower(), said
        if name.removesuffix("_file") in known and name not in known:  # a secret kept in a file
            name, value = name.removesuffix("_file"), _kept_in_file(variable, said)
        if name not in known:
            raise InputError(
                f"there is no setting {variable}", where="environment", todo="See the settings table."
            )
        if name == "request_log":
            found[name] = _yes_or_no(variable, value)
        elif name == "public_address":
            found[name] = _address(variable, value)
        elif name == "trusted_proxies":
            found[name] = _networks(variable, value)
        elif name in {"port", "plain_port"}:
            if not (value.isascii() and value.isdigit() and int(value) < 65_536):
                raise InputError(f"{value!r} is not a port", where=variable, todo="Give 0 to 65535.")
            found[name] = int(value)
        else:
            found[name] = value
    return Settings(**found)  # type: ignore[arg-type]  # names and kinds were checked above


def _yes_or_no(variable: str, value: str) -> bool:
    said = value.strip().lower()
    if said not in {"1", "true", "yes", "on", "0", "false", "no", "off", ""}:
        raise InputError(f"{value!r} is neither true nor false", where=variable, todo="Give true or false.")
    return said in {"1", "true", "yes", "on"}


def _address(variable: str, value: str) -> str:
    said = value.strip().rstrip("/")
    parts = urlsplit(said)
    whole = (
        parts.scheme in {"http", "https"} and parts.hostname and f"{parts.scheme}://{parts.netloc}" == said
    )
    if said and not whole:
        raise InputError(
            f"{value!r} is no address", where=variable, todo="Give it like https://orchard.example:8420."
        )
    return said


def _networks(variable: str, value: str) -> str:
    said = [one.strip() for one in value.split(",") if one.strip()]
    for one in said:
        try:
            ip_network(one)
        except ValueError as error:
            raise InputError(
                f"{one!r} is no address or network",
                where=variable,
                todo="Give the proxy's, like 10.0.0.2 or 10.0.0.0/24.",
            ) from error
    return ",".join(said)


def _kept_in_file(variable: str, path: str) -> str:
    try:
        return Path(path).read_text("utf-8").strip()
    except (OSError, ValueError) as error:
        raise InputError(f"the file {path} cannot be read", where=variable) from error


def full_database_url(settings: Settings) -> str:
    """Return the database address with the password in its place.

    Parameters
    ----------
    settings : Settings
        A password is put behind the user's name of a PostgreSQL address that has none.

    Returns
    -------
    str

    Examples
    --------
    >>> full_database_url(Settings("postgresql://orchard@db/orchard", database_password="a b"))
    'postgresql://orchard:a%20b@db/orchard'
    """
    scheme, sign, rest = settings.database_url.partition("://")
    user, at, place = rest.partition("@")
    if not settings.database_password or not at or ":" in user:
        return settings.database_url
    return f"{scheme}{sign}{user}:{quote(settings.database_password, safe='')}@{place}"
