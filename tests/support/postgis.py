"""A real PostgreSQL cluster with PostGIS for the tests, private, in a temporary folder, gone when they end."""

import os
import shutil
import socket
import subprocess
import tempfile
import uuid
from pathlib import Path

import psycopg

MEMORY, ROOM_BYTES = Path("/dev/shm"), 4_000_000_000
"""Where files need no disk, and how much must be free there. What is told to be on disk survives a killed server there too."""
MISSING = "PostgreSQL with PostGIS is missing. As root: apt-get install postgresql-15-postgis-3 (or your release's number)"


class Cluster:
    """Databases are made from a template that already holds the PostGIS extension."""

    def __init__(self, options: str = "") -> None:
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
        if not found or not list(Path("/usr/share/postgresql").glob("*/extension/postgis.control")):
            raise RuntimeError(MISSING)
        self._bin = found[-1].parent
        self._is_in_memory = MEMORY.is_dir() and shutil.disk_usage(MEMORY).free > ROOM_BYTES
        self._folder = Path(
            tempfile.mkdtemp(prefix="orchard-pg-", dir=MEMORY if self._is_in_memory else None)
        )
        self._as_postgres: list[str] = []
        if os.geteuid() == 0:  # PostgreSQL refuses root
            shutil.chown(self._folder, "postgres", "postgres")
            self._as_postgres = ["runuser", "-u", "postgres", "--"]
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._run(
            "initdb",
            "-D",
            str(self._data),
            "-U",
            "orchard",
            "-A",
            "trust",
            "-E",
            "UTF8",
            "--locale=C.UTF-8",
            "--no-sync",
        )
        self.start(options)
        with psycopg.connect(self.url("postgres"), autocommit=True) as conn:
            conn.execute("CREATE DATABASE with_postgis")
        with psycopg.connect(self.url("with_postgis"), autocommit=True) as conn:
            conn.execute("CREATE EXTENSION postgis")

    @property
    def _data(self) -> Path:
        return self._folder / "data"

    def _run(self, program: str, *arguments: str) -> None:
        command = [*self._as_postgres, str(self._bin / program), *arguments]
        done = subprocess.run(command, capture_output=True, text=True, cwd="/", check=False)
        if done.returncode:
            raise RuntimeError(f"{program}: {done.stdout}{done.stderr}")

    def start(self, options: str = "") -> None:
        """Start the server and wait until it answers."""
        where = f"-p {self.port} -k {self._folder} -c listen_addresses=127.0.0.1 {options}"
        self._run(
            "pg_ctl", "-D", str(self._data), "-l", str(self._folder / "log"), "-w", "-o", where, "start"
        )

    def stop(self, mode: str = "fast") -> None:
        """Stop the server; ``immediate`` is as good as pulling its plug."""
        self._run("pg_ctl", "-D", str(self._data), "-w", "-m", mode, "stop")

    def url(self, database: str) -> str:
        """Return the address of a database."""
        return f"postgresql://orchard@127.0.0.1:{self.port}/{database}"

    def new_database(self, template: str = "with_postgis") -> str:
        """Make a database with PostGIS, empty or a copy of another one, and return its address."""
        name = f"t{uuid.uuid4().hex}"
        with psycopg.connect(self.url("postgres"), autocommit=True) as conn:
            conn.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
        return self.url(name)

    def drop(self, url: str) -> None:
        """Forget a database that nobody needs any more: in memory, where room is dear and dropping is quick."""
        if self._is_in_memory:
            with psycopg.connect(self.url("postgres"), autocommit=True) as conn:
                conn.execute(f"DROP DATABASE {url.rpartition('/')[2]} WITH (FORCE)")

    def close(self) -> None:
        """Stop the server and remove everything."""
        try:
            self.stop("immediate")
        finally:
            shutil.rmtree(self._folder, ignore_errors=True)
