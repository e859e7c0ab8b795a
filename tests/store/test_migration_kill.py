"""F11 of design 06b: the process dies before the n-th statement of a migration; nothing half made is left.

For every n on SQLite, where it is quick; on PostgreSQL for every fourth, and for every one in `make nightly`.
"""

import json
import os
import subprocess

import pytest

from orchardmap.store import health
from orchardmap.store.session import open_store, sqlite_url
from small_farm import small_farm

# one process forks a child for each n, all on one database: what a killed child left must not hinder the next
DRIVER = """
import json, os, sys
from sqlalchemy import create_engine, event, inspect
from sqlalchemy.engine import Engine
from orchardmap.store.session import open_store
url, step, count, die_at = sys.argv[1], int(sys.argv[2]), 0, 0

@event.listens_for(Engine, "before_cursor_execute")
def _(conn, cursor, statement, *rest):
    global count
    if statement.lstrip().upper().startswith(("CREATE", "INSERT", "UPDATE", "DELETE", "ALTER", "COMMENT")):
        count += 1
        if count == die_at:
            os._exit(9)

def tables():
    engine = create_engine(url.replace("postgresql://", "postgresql+psycopg://"))
    with engine.connect() as conn:
        found = inspect(conn).get_table_names() + inspect(conn).get_view_names()
    engine.dispose()
    return sorted(set(found))

before = tables()
for n in range(1, 400, step):
    child = os.fork()
    if child == 0:
        die_at = n
        open_store(url).close()
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    made = sorted(set(tables()) - set(before))
    print(json.dumps([n, code, made]), flush=True)
    if code != 9:
        break
"""


@pytest.fixture(params=["sqlite", pytest.param("postgis", marks=pytest.mark.postgis)])
def empty_url(request, tmp_path):
    """The address of a database without any table, on each engine in turn."""
    if request.param == "sqlite":
        return sqlite_url(tmp_path / "store.sqlite")
    return request.getfixturevalue("cluster").new_database()


def test_migration_killed_at_every_statement_leaves_no_half_schema(empty_url, python):
    step = int(os.environ.get("EVERY", "8" if empty_url.startswith("postgresql") else "3"))
    done = subprocess.run(
        [python, "-c", DRIVER, empty_url, str(step)], capture_output=True, text=True, check=False, timeout=200
    )
    told = [json.loads(line) for line in done.stdout.splitlines()]
    assert told, done.stderr
    *killed, (last, code, made) = told
    assert code == 0, done.stderr
    assert len(killed) >= 20 // step
    assert last > 20, "the migration has more statements than that: it was not killed at each"
    assert [n for n, code, left in killed if code != 9 or set(left) - {"alembic_version"}] == []
    assert {"farms", "marks", "rows", "row_states"} <= set(made)
    store = open_store(empty_url)
    try:
        assert health.faults(store) == []
        small_farm(store)
    finally:
        store.close()
