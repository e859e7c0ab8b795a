"""Databases that hold this code's tables and nothing else: copies of one that `open_store` made once in this process."""

import sqlite3
import tempfile
import uuid
from contextlib import closing
from functools import cache
from pathlib import Path

import psycopg

from orchardmap.store.session import open_store, sqlite_url
from postgis import Cluster


@cache
def _made_once() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "made.sqlite"
        open_store(sqlite_url(path)).close()
        return path.read_bytes()


def ready_sqlite(path: Path) -> str:
    """Put a database without any farm at a path, as nobody's other one, and return its address."""
    path.write_bytes(_made_once())
    with closing(sqlite3.connect(path)) as conn, conn:
        conn.execute("UPDATE settings SET value = ? WHERE name = 'epoch'", [str(uuid.uuid4())])
    return sqlite_url(path)


@cache
def _made_once_in(cluster: Cluster) -> str:
    url = cluster.new_database()
    open_store(url).close()
    return url.rpartition("/")[2]


def ready_postgis(cluster: Cluster) -> str:
    """Make a database without any farm, as nobody's other one, and return its address."""
    url = cluster.new_database(_made_once_in(cluster))
    with psycopg.connect(url) as conn:
        conn.execute("UPDATE settings SET value = %s WHERE name = 'epoch'", [str(uuid.uuid4())])
    return url
