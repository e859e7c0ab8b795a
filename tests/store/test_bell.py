"""The bell: whoever waits for a farm's changes is called once they are committed, on each engine."""

import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest
from sqlalchemy import text

from orchardmap.store import log
from orchardmap.store.session import Store, open_store
from orchardmap.usecases.planting import new_id
from small_farm import SmallFarm, small_farm

SOON_S = 5.0


class Rung:
    """What a listener was called with; waits for what it wants to hear."""

    def __init__(self) -> None:
        self.heard: list[str | None] = []
        self._more = threading.Condition()

    def __call__(self, farm_id: str | None) -> None:
        with self._more:
            self.heard.append(farm_id)
            self._more.notify_all()

    def waits_for(self, farm_id: str | None, times: int = 1) -> bool:
        with self._more:
            return self._more.wait_for(lambda: self.heard.count(farm_id) >= times, SOON_S)


@contextmanager
def listening(store: Store) -> Iterator[Rung]:
    """Listen for the length of a ``with`` block; PostgreSQL says once that it has begun."""
    rung = Rung()
    stop = store.bell.listen(rung)
    if not store.is_sqlite:
        assert rung.waits_for(None)
    yield rung
    stop()


@pytest.fixture
def farm(store: Store) -> SmallFarm:
    return small_farm(store)


def change(store: Store, farm: SmallFarm) -> None:
    with store.write() as conn:
        log.append_changes(conn, farm.farm.id, [log.Change("mark", new_id())])


def test_a_commit_rings_for_its_farm_and_what_is_undone_does_not(store, farm):
    with listening(store) as rung:
        with pytest.raises(ZeroDivisionError), store.write() as conn:
            log.append_changes(conn, farm.farm.id, [log.Change("mark", new_id())])
            raise ZeroDivisionError
        with store.write() as conn:
            conn.execute(text("UPDATE farms SET name = name"))  # nothing that a cursor counts
        change(store, farm)
        assert rung.waits_for(farm.farm.id)
        assert rung.heard.count(farm.farm.id) == 1
    change(store, farm)
    assert rung.heard.count(farm.farm.id) == 1, "it was called after it stopped listening"


def test_whoever_is_rung_reads_what_was_committed(store, farm):
    """The bell never comes before the change can be read."""
    seen: list[int] = []
    done = threading.Event()

    def look(farm_id: str | None) -> None:
        if farm_id is not None:
            with store.read() as conn:
                seen.append(log.cursor(conn, farm_id))
            done.set()

    with store.read() as conn:
        before = log.cursor(conn, farm.farm.id)
    store.bell.listen(look)
    if not store.is_sqlite:
        with listening(store):
            pass
    change(store, farm)
    assert done.wait(SOON_S)
    assert seen == [before + 1]


@pytest.mark.postgis
@pytest.mark.parametrize("store_url", ["postgis"], indirect=True)
def test_every_process_is_rung_and_all_are_after_a_lost_connection(store_url):
    """Another store stands for another worker process. What was said while the connection was away is made up for by one ring of all farms."""
    with closing(open_store(store_url)) as here, closing(open_store(store_url)) as there:
        farm = small_farm(here)
        with listening(there) as rung:
            change(here, farm)
            assert rung.waits_for(farm.farm.id)
            with here.write() as conn:
                ended = conn.execute(
                    text(
                        "SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE datname = current_database() AND query LIKE 'LISTEN%'"
                    )
                ).scalar_one()
            assert ended == 1
            assert rung.waits_for(None, times=2)
            change(here, farm)
            assert rung.waits_for(farm.farm.id, times=2)
