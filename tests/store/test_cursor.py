"""The change cursor: a reader that polls sees every change once and in order, whatever many writers do at once."""

import threading
from collections.abc import Sequence

from orchardmap.store import log
from orchardmap.usecases import history, recording
from small_farm import NOW, small_farm

WRITERS, BATCHES, PER_BATCH = 8, 6, 3


def test_polling_reader_misses_nothing_and_sees_nothing_twice(store):
    """On PostgreSQL a plain sequence fails this: numbers become visible out of order."""
    farm = small_farm(store)
    begin = history.cursor(store, farm.farm.id)
    failures: list[BaseException] = []

    def write(number: int) -> None:
        try:
            for batch in range(BATCHES):
                marks = [
                    farm.mark(1 + (number * 3 + batch + i) % 25, 1 + i, 5 + i, crew=number % 3)
                    for i in range(PER_BATCH)
                ]
                recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)
        except BaseException as error:
            failures.append(error)

    writers = [threading.Thread(target=write, args=(n,)) for n in range(WRITERS)]
    for writer in writers:
        writer.start()
    seen: list[log.Change] = []
    cursor = begin
    while any(writer.is_alive() for writer in writers) or _more(store, farm.farm.id, cursor):
        with store.read() as conn:
            found: Sequence[log.Change] = log.changes_after(conn, farm.farm.id, cursor, limit=7)
        seen += found
        cursor = found[-1].seq if found else cursor
    assert failures == []
    assert [change.seq for change in seen] == list(
        range(begin + 1, begin + 1 + WRITERS * BATCHES * PER_BATCH)
    )
    assert len({change.subject_id for change in seen}) == len(seen)


def _more(store, farm_id: str, cursor: int) -> bool:
    return history.cursor(store, farm_id) > cursor


def test_two_farms_count_for_themselves(store):
    one, two = small_farm(store), small_farm(store, "Next Door")
    before = history.cursor(store, two.farm.id)
    recording.record_marks(store, farm_id=one.farm.id, marks=[one.mark()], sent_at=NOW, now=NOW)
    assert history.cursor(store, two.farm.id) == before
    assert history.changes(store, two.farm.id, after=before, limit=10)["changes"] == []
