"""The commands that keep a store safe, as a shell would run them."""

from orchardmap.store import farm as farm_store
from orchardmap.store.session import open_store, sqlite_url
from small_farm import small_farm


def test_backup_verify_restore_and_proof(orchardmap, tmp_path):
    url = sqlite_url(tmp_path / "farm.sqlite")
    store = open_store(url)  # stays open, as a running service's does
    small_farm(store)
    (tmp_path / "stick").mkdir()
    said = orchardmap("backup", "stick", "--database", url)
    assert said.code == 0, said.err
    (file,) = (tmp_path / "stick").glob("orchardmap-*.sqlite")
    assert f"Wrote and checked stick/{file.name}: 1 farms, 2 blocks, 50 rows, 0 marks" in said.out
    assert orchardmap("verify", str(file)).code == 0

    new = sqlite_url(tmp_path / "new.sqlite")
    said = orchardmap("restore", str(file), "--database", new)
    assert said.code == 0, said.err
    assert "tablets offer their records again" in said.out
    assert orchardmap("rebuild", "--check", "--database", new).code == 0
    again = open_store(new)
    with store.read() as one, again.read() as other:
        epochs = {farm_store.setting(conn, "epoch") for conn in (one, other)}
        assert farm_store.farms(one) == farm_store.farms(other)
    assert len(epochs) == 2
    again.close()
    store.close()

    said = orchardmap("restore", str(file), "--database", new)
    assert (said.code, "stays as it is" in said.err) == (1, True)
    file.write_bytes(file.read_bytes()[:-1])
    said = orchardmap("verify", str(file))
    assert (said.code, "not what was written" in said.err) == (1, True)
    said = orchardmap("backup", "x.sqlite", "--database", sqlite_url(tmp_path / "none.sqlite"))
    assert (said.code, "there is no database yet" in said.err) == (1, True)
