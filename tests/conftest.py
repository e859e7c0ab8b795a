"""Fixtures that several folders use: stores on both engines."""

import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import settings

from orchardmap.store.session import Store, open_store
from postgis import Cluster
from ready_stores import ready_postgis, ready_sqlite

# shrinking a failure must not eat CI's time; the example that failed is printed either way
settings.register_profile("suite", deadline=None, max_examples=60, print_blob=True)
settings.load_profile("suite")


LONG = [
    "web/test_offline_day.py",
    "api/test_ingest_model.py",
    "web/test_screens_for_all.py",
    "store/test_migration_kill.py",
    "web/test_marking.py",
    "api/test_access_table.py",
    "web/test_two_tablets.py",
    "demo/test_demo_build.py",
    "web/test_tablet_rows.py",
    "faults/test_kill.py",
    "web/test_main_path.py",
    "maps/test_map_page.py",
    "properties/test_merge_machine.py",
    "web/test_quality_path.py",
    "store/test_records.py",
    "web/test_tablet_screens.py",
    "api/test_error_shape.py",
    "web/test_double_taps.py",
    "faults/test_starved.py",
    "api/test_foreign_ids.py",
    "web/test_briefs.py",
    "project/test_wheel.py",
    "web/test_people.py",
    "store/test_forecast.py",
    "web/test_not_saved.py",
    "store/test_feature_shelf.py",
    "web/test_checking.py",
    "store/test_senders.py",
    "web/test_sign_in.py",
    "store/test_lot_returns.py",
    "maps/test_map_far.py",
    "api/test_ground.py",
    "maps/test_map_near_words.py",
    "api/test_guards.py",
    "web/test_several_windows.py",
    "store/test_season_days.py",
    "web/test_news.py",
]
"""Files of some twenty seconds and more. They begin first, so that no worker goes on alone with one at the end; those of pages and those that reckon in turn, for three browsers at once hold each other up."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the long files first (`make py-test` keeps pytest-xdist from ordering files by how many tests they have)."""
    folder = Path(__file__).parent
    place = {folder / name: at for at, name in enumerate(LONG)}
    missing = [str(path) for path in place if not path.is_file()]
    if missing:
        raise pytest.UsageError(f"LONG of tests/conftest.py names what is not there: {missing}")
    items.sort(key=lambda item: place.get(item.path, len(LONG)))


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


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgis", marks=pytest.mark.postgis)])
def shared_store(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """One open store of each engine for all tests of a file that keep to farms of their own."""
    if request.param == "sqlite":
        url = ready_sqlite(tmp_path_factory.mktemp("shared") / "store.sqlite")
    else:
        url = ready_postgis(request.getfixturevalue("cluster"))
    with closing(open_store(url)) as made:
        yield made
