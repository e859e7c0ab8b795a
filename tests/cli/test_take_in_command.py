"""`orchardmap take-in`: the file that a tablet saves of what it could not send.

`queue_file.json` is such a file of the golden farm, byte for byte as `queueFile` of the front end writes it
(`web/tests/core/outbox.test.ts` holds them against each other).
"""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import golden_farm as g
from orchardmap.errors import InputError, NewerClientError
from orchardmap.model.people import Sender
from orchardmap.store import log
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import folding
from orchardmap_api.handing_in import BATCHES, hand_in
from orchardmap_api.queue_files import read_queue_file, take_in

FILE = Path(__file__).with_name("queue_file.json")
SAID = FILE.read_bytes()
NOW = datetime(2026, 1, 22, 8, 0, tzinfo=UTC)


def told(fates):
    return [f"{f.id[-2:]} {f.outcome}" + (f": {f.reason}" if f.reason else "") for f in fates]


def changed(**more):
    """The file with other values at its top."""
    return json.dumps(json.loads(SAID) | more).encode()


def stored(store):
    """Number of records in the log, of every kind."""
    with store.read() as conn:
        return sum(len(conn.execute(table.select()).all()) for table in log.RECORDS.values())


def test_file_is_taken_as_the_tablets_own_uploads_and_again_changes_nothing(store):
    g.golden_farm(store)
    file = read_queue_file(SAID, where="file")
    assert told(take_in(store, file, now=NOW)) == [
        "15 refused: marks.0.first: Input should be a valid integer",
        "18 refused: its farm is not one of this database",
        "13 taken",
        "10 taken",
        "11 taken",
        "14 set_aside: the block was closed then",
        "12 taken",
        "16 taken",
        "17 taken",
    ]
    held = g.held(store)
    assert held["runs"] == {"K1 1": [[1, 10, "A"]], "K1 3": [[1, 4, "A"]]}, "row 2 was marked and taken back"
    assert len(held["crew_days_standing"]) == 1
    again = take_in(store, file, now=NOW + timedelta(days=1))
    assert {fate.outcome for fate in again} == {"already_there", "set_aside", "refused"}
    # and the tablet, mended, sends them after all
    records = [one["record"] for one in json.loads(SAID)["records"] if one["id"][-2:] in {"10", "11"}]
    batch = BATCHES["marks"].model_validate({"sent_at": NOW, "schema": 2, "marks": records})
    sent = hand_in(store, batch, farm_id=g.FARM, now=NOW, sender=Sender(g.DEVICE, g.CREWS["A"]))
    assert [receipt.outcome for receipt in sent] == ["already_there"] * 2
    assert g.held(store) == held
    assert folding.rebuild(store, g.FARM, write=False) == []


def test_day_is_that_of_the_work_however_late_the_file_comes_and_however_wrong_the_tablets_clock_was(
    tmp_path,
):
    """Ten days behind, by what the tablet last knew: its 20 January was the 30th. The file lies about for a month."""
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    g.golden_farm(store)
    behind = read_queue_file(changed(skew_s=-10 * 86_400), where="file")
    take_in(store, behind, now=datetime(2026, 2, 28, tzinfo=UTC))
    assert {one["day"] for one in g.held(store)["records"]["mark"]} == {"2026-01-30"}
    store.close()


def test_newer_tablets_file_stores_nothing_at_all(tmp_path):
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    g.golden_farm(store)
    records = json.loads(SAID)["records"]
    records[-2]["schema"] = 99
    with pytest.raises(NewerClientError, match="newer"):
        take_in(store, read_queue_file(changed(records=records), where="file"), now=NOW)
    assert stored(store) == 0
    store.close()


@given(st.integers(0, len(SAID) - 1))
def test_cut_file_is_refused_wherever_it_was_cut(at):
    with pytest.raises(InputError, match="copy it whole"):
        read_queue_file(SAID[:at], where="file")


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.just("\ud800\x1b[2J"),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=10,
)


@given(JSON, st.sampled_from(["format", "skew_s", "records", "whole"]))
def test_any_other_json_is_refused_in_a_sentence_or_is_such_a_file(golden_sqlite, value, place):
    """Nothing else than an InputError comes out, whatever stands in whatever place; what can be read can be taken in."""
    data = json.dumps(value).encode() if place == "whole" else changed(**{place: value})
    try:
        file = read_queue_file(data, where="file")
    except InputError as error:
        refused = error
    else:
        assert place in {"skew_s", "records"}, "only these may hold something else and still be read"
        assert len(take_in(golden_sqlite, file, now=NOW)) == len(file.records)
        return
    assert "Nothing was taken." in refused.todo


@given(JSON, st.sampled_from(["id", "season_id", "row", "first", "day", "device_at", "more"]))
def test_any_value_in_a_record_is_an_outcome_of_that_record_alone(golden_sqlite, value, field):
    records = json.loads(SAID)["records"]
    records[1]["record"][field] = value
    fates = take_in(golden_sqlite, read_queue_file(changed(records=records), where="file"), now=NOW)
    others = [f.outcome for f in fates if f.id in {records[at]["id"] for at in (0, 2, 6, 7)}]
    assert len(fates) == len(records)
    assert all(fate.id.isprintable() for fate in fates)
    assert len(others) == 4
    assert set(others) <= {"taken", "already_there"}


FINDINGS = st.lists(
    st.tuples(
        st.text(max_size=70), st.booleans() | st.integers() | st.floats() | st.just(10**400) | st.none()
    ),
    max_size=3,
)


@given(JSON | FINDINGS, st.sampled_from(["findings", "lot_id", "second", "not_judged"]))
def test_any_finding_in_a_check_is_an_outcome_of_that_check_alone(golden_sqlite, value, field):
    """As a tablet of version 6 saved it: taken, set aside or refused, and never the end of the whole file."""
    records = json.loads(SAID)["records"]
    records[6] |= {"schema": 6, "record": records[6]["record"] | {field: value}}
    fates = take_in(golden_sqlite, read_queue_file(changed(records=records), where="file"), now=NOW)
    assert len(fates) == len(records)
    others = [f.outcome for f in fates if f.id in {records[at]["id"] for at in (0, 2, 7)}]
    assert len(others) == 3
    assert set(others) <= {"taken", "already_there"}


@pytest.fixture(scope="module")
def golden_sqlite(tmp_path_factory):
    """One store for many examples: what an earlier one left is answered "already there"."""
    store = open_store(sqlite_url(tmp_path_factory.mktemp("golden") / "farm.sqlite"))
    g.golden_farm(store)
    yield store
    store.close()


def test_command_says_what_became_of_each_record(orchardmap, tmp_path):
    url = sqlite_url(tmp_path / "farm.sqlite")
    store = open_store(url)
    g.golden_farm(store)
    busy = orchardmap("take-in", str(FILE), "--database", url)
    assert (busy.code, "Stop it first" in busy.err) == (1, True), "the service runs on that file"
    store.close()

    said = orchardmap("take-in", str(FILE), "--database", url)
    assert said.code == 1, "a record was refused"
    assert "mark row 1 019c2222-0000-7000-8000-000000000014 set aside: the block was closed then" in said.out
    assert "9 records in the file.\n6 taken.\n1 set aside" in said.out
    assert "2 refused: nothing of it is stored.\n" in said.out
    again = orchardmap("take-in", str(FILE), "--json", "--database", url)
    assert [one["outcome"] for one in json.loads(again.out)].count("already_there") == 6


def test_command_on_what_is_no_such_file_is_one_sentence(orchardmap, tmp_path):
    url = sqlite_url(tmp_path / "farm.sqlite")
    Path("cut.json").write_bytes(SAID[:900])
    Path("map.json").write_text('{"type": "FeatureCollection", "features": []}', "utf-8")
    for name, fault in (
        ("cut.json", "copy it whole"),
        ("map.json", "is not a file of records"),
        ("none.json", "cannot be read"),
    ):
        said = orchardmap("take-in", name, "--database", url)
        assert (said.code, said.out) == (1, "")
        assert said.err.startswith(f"orchardmap: {name}: ")
        assert fault in said.err
    assert not (tmp_path / "farm.sqlite").exists(), "no database is made for it"
