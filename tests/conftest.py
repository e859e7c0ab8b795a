"""Fixtures that several folders use: stores on both engines."""

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from orchardmap.store.session import Store, open_store
from postgis import Cluster
from ready_stores import ready_postgis, ready_sqlite

# shrinking a failure must not eat CI's time; the example that failed is printed either way
settings.register_profile("suite", deadline=None, max_examples=60, print_blob=True)
settings.load_profile("suite")


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """One PostgreSQL for all tests; a missing one fails them, it does not skip them."""
    try:
        made = Cluster("-c fsync=on -c full_page_writes=on -c synchronous_commit=on")
    except RuntimeError as error:
        pytest.fail(str(error))
    yield made
    made.close()


@pytest.fixture(params=["sqlite", pytest.param("postgis", marks=pytest.mark.postgis)])
def store_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a database without any farm, on each engine in turn."""
    if request.param == "sqlite":
        yield ready_sqlite(tmp_path / "store.sqlite")
        return
    cluster: Cluster = request.getfixturevalue("cluster")
    url = ready_postgis(cluster)
    yield url
    cluster.drop(url)


@pytest.fixture
def store(store_url: str) -> Iterator[Store]:
    """An open store without any farm, on each engine in turn."""
    made = open_store(store_url)
    yield made
    made.close()


@pytest.fixture
def python() -> str:
    """The interpreter that the tests run in."""
    return sys.executable
