"""F10 and F16 of design 06b: a backup made while others write, checked, restored elsewhere, and the tablets after it."""

import json
import shutil
import stat
import threading
from dataclasses import replace

import pytest

from orchardmap.errors import ConflictError, InputError, StoreError
from orchardmap.store import farm as farm_store
from orchardmap.store import log, states
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import backup, folding, glance, planting, reading_keys, recording
from small_farm import NOW, small_farm, withdrawal

EPOCH = "019c0000-0000-4000-8000-00000000000e"


@pytest.fixture
def elsewhere(store, tmp_path, request):
    """The address of another, empty database of the same engine."""
    if store.is_sqlite:
        return sqlite_url(tmp_path / "elsewhere" / "restored.sqlite")
    return request.getfixturevalue("cluster").new_database()


def record(store, farm, *marks):
    return recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)


def view(store, farm):
    """All that anybody sees of the work, less the cursor's epoch."""
    with store.read() as conn:
        runs = [(s.block_id, s.row, s.runs) for s in states.row_states(conn, farm.season.id)]
    told = glance.overview(store, farm.farm.id, day=None, now=NOW)
    return runs, {key: value for key, value in told.items() if key != "epoch"}


def epoch_of(store):
    with store.read() as conn:
        return farm_store.setting(conn, "epoch")


def test_backup_while_a_writer_writes_restores_to_the_same_view_under_a_new_epoch(store, elsewhere, tmp_path):
    farm = small_farm(store)
    marks = [farm.mark(1 + n % 25, 1 + n // 25, 1 + n // 25, crew=n % 2) for n in range(400)]
    record(store, farm, *marks[:100])
    acked = {mark.id for mark in marks[:100]}
    begun, stop = threading.Event(), threading.Event()
    late: list[str] = []

    def write_on():
        for mark in marks[100:]:
            if stop.is_set():
                return
            late.extend(one.id for one in record(store, farm, mark))
            begun.set()

    writer = threading.Thread(target=write_on)
    writer.start()
    begun.wait(20)
    before = acked | set(late)
    file = tmp_path / "copies" / "one.backup"
    told = backup.back_up(store, file, now=NOW)
    written_meanwhile = len(late)
    stop.set()
    writer.join()
    assert written_meanwhile > 0, "nobody wrote: it proves nothing"
    assert backup.verify(file) == told
    assert told.counts["marks"] >= len(before)

    restored = backup.restore(file, elsewhere, epoch=EPOCH)
    assert restored == told
    second = open_store(elsewhere)
    try:
        with second.read() as conn:
            kept = {one.id for one in log.records_by_id(conn, "mark", farm.farm.id, [m.id for m in marks])}
        assert before <= kept <= acked | set(late), "acknowledged before the start, or tried: nothing else"
        assert len(kept) == told.counts["marks"]
        assert folding.rebuild(second, farm.farm.id, write=False) == [], "every stored row equals the log"
        assert epoch_of(second) == EPOCH != told.epoch == epoch_of(store)

        # F16: tablets see the new epoch and offer everything again; both stores then show the same
        sent_again = [mark for mark in marks if mark.id in acked | set(late)]
        outcomes = {one.id: one.outcome for one in record(second, farm, *sent_again)}
        assert {one for one, outcome in outcomes.items() if outcome == "already_there"} == kept
        assert {one for one, outcome in outcomes.items() if outcome == "taken"} == set(outcomes) - kept
        mine, others = view(second, farm), view(store, farm)
        assert mine[0] == others[0]
        assert mine[1]["figures"] == others[1]["figures"]
    finally:
        second.close()


def test_everything_comes_back_as_it_was(store, elsewhere, tmp_path):
    """Counts, withdrawals, contradictions, checks, closures: the view is equal in full, the next record too."""
    farm = small_farm(store)
    one, two, three = farm.mark(1), farm.mark(2), farm.mark(3, 1, 40)
    record(store, farm, one, two, three, farm.mark(3, 30, 60, crew=1), farm.mark(26), replace(two, last=7))
    recording.record_withdrawals(
        store, farm_id=farm.farm.id, withdrawals=[withdrawal(one)], sent_at=NOW, now=NOW
    )
    recording.record_checks(store, farm_id=farm.farm.id, checks=[farm.check(3, 5)], sent_at=NOW, now=NOW)
    planting.count_row(store, block_id=farm.blocks[0].id, row=3, counted_positions=50, blanks=(2, 9))
    file = tmp_path / "two.backup"
    backup.back_up(store, file, now=NOW)
    backup.restore(file, elsewhere, epoch=EPOCH)
    second = open_store(elsewhere)
    try:
        assert view(second, farm) == view(store, farm)
        again = [record(each, farm, two, farm.mark(26, id=EPOCH), three) for each in (store, second)]
        assert again[0] == again[1]
        assert view(second, farm) == view(store, farm)
        with pytest.raises(ConflictError):
            backup.restore(file, elsewhere, epoch=EPOCH)
        assert view(second, farm) == view(store, farm), "a database that is there stays as it is"
    finally:
        second.close()


@pytest.fixture
def made(tmp_path):
    """A backup of a small farm on SQLite, and the farm."""
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    farm = small_farm(store)
    record(store, farm, *(farm.mark(row) for row in range(1, 20)))
    file = tmp_path / "kept" / "farm.backup"
    backup.back_up(store, file, now=NOW)
    store.close()
    return file


def test_backup_is_for_its_owner_and_leaves_nothing_beside_it(made):
    assert stat.S_IMODE(made.stat().st_mode) == 0o600
    assert sorted(one.name for one in made.parent.iterdir()) == ["farm.backup", "farm.backup.json"]
    told = json.loads((made.parent / "farm.backup.json").read_text())
    assert told["counts"]["marks"] == 19
    assert told["counts"]["rows"] == 50


def test_copying_the_main_file_alone_fails_the_drill(tmp_path, made):
    """The drill can fail: without the write-ahead log the last marks are not there."""
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    with store.read() as conn:
        (farm,) = farm_store.farms(conn)
        held = conn.exec_driver_sql("SELECT count(*) FROM marks").scalar()
    planting.add_crew(store, farm_id=farm.id, name="Late Crew")
    torn = tmp_path / "torn.sqlite"
    shutil.copy(tmp_path / "farm.sqlite", torn)
    whole = backup.back_up(store, tmp_path / "whole.backup", now=NOW)
    store.close()
    assert held == whole.counts["marks"]
    assert whole.counts["crews"] == 4
    from orchardmap.store.backup import inside

    assert inside(torn)[2]["crews"] == 3


def flipped(file, at):
    data = bytearray(file.read_bytes())
    data[at] ^= 1
    file.write_bytes(data)


@pytest.mark.parametrize(
    "damage",
    [
        lambda file: flipped(file, file.stat().st_size // 2),
        lambda file: file.write_bytes(file.read_bytes()[:-4096]),
        lambda file: file.write_bytes(b""),
    ],
)
def test_damaged_backup_is_refused_and_nothing_is_made_of_it(made, tmp_path, damage):
    damage(made)
    with pytest.raises(StoreError):
        backup.verify(made)
    with pytest.raises(StoreError):
        backup.restore(made, sqlite_url(tmp_path / "new.sqlite"), epoch=EPOCH)
    assert not (tmp_path / "new.sqlite").exists()


@pytest.mark.parametrize("lie", [{"counts": {}}, {"epoch": EPOCH}, {"schema": "0001"}])
def test_manifest_that_tells_otherwise_is_noticed(made, lie):
    beside = made.with_name("farm.backup.json")
    beside.write_text(json.dumps(json.loads(beside.read_text()) | lie))
    with pytest.raises(StoreError):
        backup.verify(made)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"format": "other"}', None])
def test_backup_without_its_manifest_is_none(made, text):
    beside = made.with_name("farm.backup.json")
    beside.unlink()
    if text is not None:
        beside.write_text(text)
    with pytest.raises(InputError):
        backup.verify(made)


def test_nothing_is_written_over(made, tmp_path):
    content = made.read_bytes()
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"), read_only=True)
    with pytest.raises(ConflictError):
        backup.back_up(store, made, now=NOW)
    store.close()
    assert made.read_bytes() == content
    lone_log = tmp_path / "gone.sqlite-wal"
    lone_log.write_bytes(b"x")
    with pytest.raises(ConflictError):
        backup.restore(made, sqlite_url(tmp_path / "gone.sqlite"), epoch=EPOCH)
    assert not (tmp_path / "gone.sqlite").exists()


def test_disk_that_is_full_leaves_no_half_backup(made, tmp_path):
    """A limit on the size of files stands in for the disk's end."""
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"), read_only=True)
    import resource
    import signal

    before, ignored = resource.getrlimit(resource.RLIMIT_FSIZE), signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, before[1]))
        with pytest.raises(StoreError, match="could not be made"):
            backup.back_up(store, tmp_path / "kept" / "full.backup", now=NOW)
        with pytest.raises(StoreError, match="could not be made"):
            backup.restore(made, sqlite_url(tmp_path / "kept" / "new.sqlite"), epoch=EPOCH)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)
        store.close()
    assert sorted(one.name for one in made.parent.iterdir()) == ["farm.backup", "farm.backup.json"]


def test_what_was_good_once_is_not_good_again_after_a_restore(store, elsewhere, tmp_path):
    """A sign-in link, session or reading key ended since the backup must not come alive with it; tablets stay paired."""
    from sqlalchemy import insert, select

    from orchardmap.store import access_tables as t

    farm = small_farm(store)
    account = {"id": EPOCH, "login": "a", "name": "A", "makes_farms": False, "made_at": NOW}
    with store.write() as conn:
        conn.execute(insert(t.accounts).values(**account))
        conn.execute(
            insert(t.sessions).values(
                token_hash="s", account_id=EPOCH, made_at=NOW, last_seen_at=NOW, expires_at=NOW
            )
        )
        conn.execute(
            insert(t.sign_in_links).values(
                code_hash="l", account_id=EPOCH, made_at=NOW, expires_at=NOW, once=True
            )
        )
        conn.execute(
            insert(t.devices).values(
                id=EPOCH,
                farm_id=farm.farm.id,
                name="Tablet",
                role="foreman",
                token_hash="d",
                paired_at=NOW,
                last_seen_at=NOW,
            )
        )
    _, key = reading_keys.make(
        store, actor="shell", farm_id=farm.farm.id, wish=reading_keys.KeyWish("GIS"), now=NOW
    )
    backup.back_up(store, tmp_path / "three.backup", now=NOW)
    backup.restore(tmp_path / "three.backup", elsewhere, epoch=EPOCH)
    second = open_store(elsewhere)
    with second.read() as conn:
        assert conn.execute(select(t.sessions.c.ended_at)).scalar_one() is not None
        assert conn.execute(select(t.sign_in_links.c.used_at)).scalar_one() is not None
        assert conn.execute(select(t.devices.c.revoked_at)).scalar_one() is None
    assert reading_keys.caller_of_key(second, key, NOW).lapsed == "key"
    assert reading_keys.caller_of_key(store, key, NOW).lapsed == ""
    second.close()
