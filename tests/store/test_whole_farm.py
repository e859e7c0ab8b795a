"""A farm goes from one engine to the other and back to the byte; what is not exactly a farm changes nothing."""

import hashlib
import json
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func, select

from layered_farm import layered_farm
from orchardmap.errors import ConflictError, ImportFileError, OrchardmapError
from orchardmap.store import access
from orchardmap.store import whole_farm as lines_store
from orchardmap.store.session import Store, open_store
from orchardmap.store.tables import metadata
from orchardmap.usecases import account_keeping, accounts, audit, glance, tablets
from orchardmap.usecases.briefing import BriefSubject, ReadyMade, make_brief
from orchardmap.usecases.whole_farm import FORMAT, pack_farm, take_farm
from ready_stores import ready_postgis, ready_sqlite
from small_farm import NOW, SmallFarm, small_farm

SECRET = "a ladder in the rain"


@pytest.fixture(scope="module")
def packed_farm(tmp_path_factory: pytest.TempPathFactory) -> tuple[SmallFarm, Path]:
    """A farm with an account that published something, a PIN and a paired tablet, and its file."""
    folder = tmp_path_factory.mktemp("packed")
    with closing(open_store(ready_sqlite(folder / "store.sqlite"))) as store:
        farm = layered_farm(store)
        gwen = account_keeping.add_account(store, login="gwen", name="Gwen Pugh", password=SECRET, now=NOW)
        subject = BriefSubject(farm.season.id, block_id=farm.blocks[0].id)
        make_brief(
            store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=gwen.id, now=NOW
        )
        wish = tablets.TabletWish("Old tablet", "auditor")
        made = tablets.make_code(store, actor="shell", farm_id=farm.farm.id, tablet=wish, now=NOW)
        tablets.pair(store, code=made.code, place="test", now=NOW)
        tablets.set_pin(
            store, actor="shell", farm_id=farm.farm.id, person_id=farm.auditor.id, pin="274901", now=NOW
        )
        pack_farm(store, farm.farm.id, folder / "farm.zip")
    return farm, folder / "farm.zip"


def contents(store: Store) -> dict[str, int]:
    """How many lines every table of a database has."""
    with store.read() as conn:
        return {
            table.name: conn.execute(select(func.count()).select_from(table)).scalar_one()
            for table in metadata.sorted_tables
        }


def test_every_table_either_goes_or_is_left_out_on_purpose():
    tables = {table.name for table in metadata.sorted_tables}
    assert set(lines_store.farm_tables()) | set(lines_store.LEFT_OUT) == tables
    assert not set(lines_store.farm_tables()) & set(lines_store.LEFT_OUT)


def test_the_format_is_the_one_that_its_number_says():
    """Whoever adds a table or a column to what leaves raises `FORMAT` and adds a step from the version before, once one is released.

    Until then: ``python tests/store/test_whole_farm.py`` writes the file anew.
    """
    kept = json.loads(COLUMNS.read_text("utf-8"))
    assert kept == {str(FORMAT): columns()}


COLUMNS = Path(__file__).resolve().parents[1] / "golden" / "whole_farm.json"


def columns() -> dict[str, list[str]]:
    """Return the columns that leave, by table."""
    return {
        name: [column.name for column in lines_store.columns_of(name)] for name in lines_store.farm_tables()
    }


@pytest.mark.postgis
def test_from_one_engine_to_the_other_and_back_to_the_byte(packed_farm, cluster, tmp_path):
    farm, file = packed_farm
    with closing(open_store(ready_postgis(cluster))) as postgres:
        take_farm(postgres, file, now=NOW)
        there = tmp_path / "there.zip"
        pack_farm(postgres, farm.farm.id, there)
        assert there.read_bytes() == file.read_bytes()
        with closing(open_store(ready_sqlite(tmp_path / "back.sqlite"))) as back:
            take_farm(back, there, now=NOW)
            again = tmp_path / "again.zip"
            pack_farm(back, farm.farm.id, again)
            assert again.read_bytes() == file.read_bytes()


def test_no_secret_is_in_it(packed_farm):
    _, file = packed_farm
    with zipfile.ZipFile(file) as archive:
        text = "".join(archive.read(name).decode() for name in archive.namelist())
        assert archive.read("tables/accounts.jsonl").decode().count("\n") == 1
    assert "Gwen Pugh" in text
    assert "Old tablet" in text
    for secret in ("gwen", "argon2", "token_hash", "pin_hash", "password"):
        assert secret not in text


def test_an_empty_server_is_begun_by_whoever_has_its_token_and_manages_the_farm(packed_farm, tmp_path):
    """Nobody can sign in as a name that came along, and its being there keeps nobody out."""
    _, file = packed_farm
    with closing(open_store(ready_sqlite(tmp_path / "new.sqlite"))) as store:
        take_farm(store, file, now=NOW)
        assert account_keeping.everybody(store) == []
        with store.read() as conn:
            assert not access.any_account(conn)
        token = accounts.prepare_first_start(store)
        assert token is not None
        accounts.first_start(store, token=token, login="new", name="New", password=SECRET, now=NOW)
        ((mine, roles),) = account_keeping.everybody(store)
        assert (mine.login, roles) == ("new", [("Layers", "manager")])
        assert audit.verify(store).fault == ""


def test_a_farm_that_is_here_or_shares_a_name_is_refused(packed_farm, tmp_path):
    farm, file = packed_farm
    with closing(open_store(ready_sqlite(tmp_path / "new.sqlite"))) as store:
        small_farm(store, "Layers")
        before = contents(store)
        with pytest.raises(ConflictError, match="another farm"):
            take_farm(store, file, now=NOW)
        assert contents(store) == before
        take_farm(store, file, now=NOW, name="Layers, moved")
        taken = contents(store)
        with pytest.raises(ConflictError, match="already"):
            take_farm(store, file, now=NOW, name="Third")
        assert contents(store) == taken
        told = glance.overview(store, farm.farm.id, day=None, now=NOW)
        assert told["figures"]["pruned"] > 0


Members = dict[str, bytes]


def without_a_line(members: Members) -> None:
    members["tables/marks.jsonl"] = members["tables/marks.jsonl"].split(b"\n", 1)[1]


def other_crew(members: Members) -> None:
    members["tables/crews.jsonl"] = members["tables/crews.jsonl"].replace(b"Crew A", b"Crew Z")


def resummed(members: Members, name: str, content: bytes) -> None:
    """Change a table and say so in the manifest, as somebody would who means harm."""
    members[f"tables/{name}.jsonl"] = content
    about = json.loads(members["manifest.json"])
    for table in about["tables"]:
        if table["name"] == name:
            table |= {"lines": content.count(b"\n"), "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}  # fmt: skip
    members["manifest.json"] = json.dumps(about).encode()


def changed_line(members: Members, name: str, **changes: Any) -> None:
    first, rest = members[f"tables/{name}.jsonl"].split(b"\n", 1)
    resummed(
        members, name, json.dumps(json.loads(first) | changes, separators=(",", ":")).encode() + b"\n" + rest
    )


def versioned(members: Members, version: object) -> None:
    about = json.loads(members["manifest.json"]) | {"version": version}
    members["manifest.json"] = json.dumps(about).encode()


def bomb(members: Members) -> None:
    resummed(members, "changes", b" " * 60_000_000 + b"\n")


WRONG: dict[str, Callable[[Members], object]] = {
    "a line is gone": without_a_line,
    "a name was changed": other_crew,
    "cut short": lambda m: m.update({"tables/rows.jsonl": m["tables/rows.jsonl"][:-40]}),
    "a table is gone": lambda m: m.pop("tables/rows.jsonl"),
    "a table too many": lambda m: m.update({"tables/accounts2.jsonl": b""}),
    "a name that points out": lambda m: m.update({"../x": b""}),
    "no manifest": lambda m: m.pop("manifest.json"),
    "manifest of something else": lambda m: m.update({"manifest.json": b'{"tables": []}'}),
    "manifest that is no JSON": lambda m: m.update({"manifest.json": b"{"}),
    "newer": lambda m: versioned(m, FORMAT + 1),
    "of no version": lambda m: versioned(m, 0),
    "bomb": bomb,
    "a day that is none": lambda m: changed_line(m, "marks", day="2026-02-30"),
    "a row without a block": lambda m: changed_line(m, "rows", block_id="0" * 8 + "-0000-7000-8000-" + "0" * 12),
    "a null that may not be": lambda m: changed_line(m, "blocks", code=None),
    "a column too many": lambda m: changed_line(m, "blocks", key=7),
    "a number that is text": lambda m: changed_line(m, "rows", number="1"),
    "a line twice": lambda m: resummed(m, "crews", m["tables/crews.jsonl"] * 2),
    "geometry of noise": lambda m: changed_line(m, "rows", line="00ff"),
}  # fmt: skip


@pytest.mark.parametrize("how", WRONG)
def test_what_was_tampered_with_changes_nothing(packed_farm, tmp_path, shared_store, how):
    _, file = packed_farm
    with zipfile.ZipFile(file) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    WRONG[how](members)
    wrong = tmp_path / "wrong.zip"
    with zipfile.ZipFile(wrong, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    before = contents(shared_store)
    with pytest.raises((ImportFileError, ConflictError)) as refused:
        take_farm(shared_store, wrong, now=NOW)
    assert "Nothing was taken." in str(refused.value)
    assert contents(shared_store) == before


def test_no_file_reaches_into_another_farm(packed_farm, tmp_path, shared_store):
    """A mark in a farm of one's own file that names the block, season and crew of a farm that is here."""
    _, file = packed_farm
    other = small_farm(shared_store, f"Other {tmp_path.name}")
    with zipfile.ZipFile(file) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    changed_line(members, "marks", block_id=other.blocks[0].id, season_id=other.season.id)
    wrong = tmp_path / "wrong.zip"
    with zipfile.ZipFile(wrong, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    before = contents(shared_store)
    with pytest.raises(ImportFileError, match=r"another farm"):
        take_farm(shared_store, wrong, now=NOW)
    assert contents(shared_store) == before


@pytest.mark.parametrize("cut", [0, 1, 100, 5_000, -1, -30])
def test_a_file_cut_anywhere_is_refused(packed_farm, tmp_path, cut):
    _, file = packed_farm
    whole = file.read_bytes()
    wrong = tmp_path / "wrong.zip"
    wrong.write_bytes(whole[:cut] if cut else b"")
    with closing(open_store(ready_sqlite(tmp_path / "new.sqlite"))) as store, pytest.raises(OrchardmapError):
        take_farm(store, wrong, now=NOW)


if __name__ == "__main__":
    COLUMNS.write_text(json.dumps({FORMAT: columns()}, indent=1) + "\n", "utf-8")
