"""The small farm with work in it, served by the real command, and one more farm that the token is not for."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest

from client_runs import Offer
from featured_farm import work_on
from orchardmap.store import orchard
from orchardmap.store.session import open_store
from orchardmap.usecases import reading_keys
from orchardmap.usecases.reading_keys import KeyWish
from ready_stores import ready_sqlite
from servers import served
from signing import signed_in
from small_farm import small_farm


@pytest.fixture(scope="session")
def offer(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Offer]:
    """What clients are given."""
    url = ready_sqlite(tmp_path_factory.mktemp("clients") / "service.sqlite")
    store = open_store(url)
    farm, other = small_farm(store), small_farm(store, "Other Farm")
    work_on(store, farm)
    token = signed_in(store, {farm.farm.id: ("adviser", None)}, now=datetime.now(UTC))
    _, key = reading_keys.make(
        store, actor="shell", farm_id=farm.farm.id, wish=KeyWish("A client"), now=datetime.now(UTC)
    )
    with store.read() as conn:
        rows = orchard.rows_of_blocks(conn, [block.id for block in farm.blocks])
    lengths = {
        f"{block_id}.{row.number}": row.length_m for block_id, of_block in rows.items() for row in of_block
    }
    store.close()
    with served(url, forked=True) as server:
        root = f"{server.address}/ogc/farms/"
        yield Offer(root + farm.farm.id, root + other.farm.id, token, key, lengths)
