"""Certificates of a farm, made by the command itself, and the service with them."""

import ssl
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import network
from servers import Server, served
from signing import signed_in
from small_farm import SmallFarm, small_farm

HOST = "orchard.lan"


@dataclass(frozen=True)
class SecureService:
    """The small farm, served by `orchardmap serve --certificates`."""

    server: Server
    farm: SmallFarm
    certificates: Path
    port: int
    plain_port: int
    token: str
    """Of a manager's session."""

    def context(self) -> ssl.SSLContext:
        """What a client has that trusts the farm's authority and nobody else."""
        return ssl.create_default_context(cafile=str(self.certificates / "authority.crt"))


@pytest.fixture(scope="session")
def secure(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SecureService]:
    """The service over https with certificates of its own, and its plain-http page, each on a free port."""
    place = tmp_path_factory.mktemp("secure")
    names = [HOST, "127.0.0.1", "127.0.0.2"]
    network.renew_certificates(place / "certificates", names=names, now=datetime.now(UTC))
    url = sqlite_url(place / "service.sqlite")
    store = open_store(url)
    farm = small_farm(store)
    token = signed_in(store, {farm.farm.id: ("manager", None)}, now=datetime.now(UTC))
    store.close()
    # a front end of two files: what is tried here is the way to it
    web = place / "web"
    web.mkdir()
    (web / "index.html").write_text("<!doctype html><html lang=en><title>Farm</title><h1>Farm</h1>", "utf-8")
    (web / "worker.js").write_text("self.addEventListener('fetch', () => {});", "utf-8")
    options = ("--certificates", str(place / "certificates"), "--plain-port", "0", "--host", "0.0.0.0")
    with served(url, *options, ORCHARDMAP_WEB_DIR=str(web)) as server:
        port = int(server.address.rpartition(":")[2])
        said = server.heard(r"begins at http://[^:]+:(\d+)/trust")
        yield SecureService(server, farm, place / "certificates", port, int(said), token)
