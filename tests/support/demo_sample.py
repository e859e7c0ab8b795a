"""The demo farm in the middle of its season, built once for all workers of a run: to build it takes ten seconds of a core."""

import fcntl
import os
import shutil
from contextlib import closing
from datetime import date, datetime
from pathlib import Path

import pytest

from map_samples import Sample
from orchardmap.demo.build import build_demo
from orchardmap.demo.season import ZONE
from orchardmap.store import farm as farm_store
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import blocks, farm_features, glance

TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 12, 30, tzinfo=ZONE)


def demo_sample(factory: pytest.TempPathFactory) -> Sample:
    """Return the demo farm as the service tells it."""
    own = factory.mktemp("demo") / "demo.db"
    shutil.copyfile(_built(factory), own)
    with closing(open_store(sqlite_url(own))) as store:
        with store.read() as conn:
            farm = farm_store.farms(conn)[0].id
        told = glance.overview(store, farm, day=None, now=NOW)
        ids = [block["id"] for block in told["blocks"]]
        return Sample(
            {"id": "farm-1", "name": "Ottlemere Farm", "today": TODAY.isoformat()},
            told,
            {one: blocks.block_shape(store, one) for one in ids},
            {one: blocks.block_state(store, one, day=None, now=NOW) for one in ids},
            farm_features.features_json(store, farm),
        )


def _built(factory: pytest.TempPathFactory) -> Path:
    """Return the database; whoever comes first builds it, others wait for it."""
    base = factory.getbasetemp()
    run = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    made = run / "demo-of-this-run.db"
    with (run / "demo-of-this-run.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            begun = run / "demo-begun.db"
            with closing(open_store(sqlite_url(begun))) as store:
                build_demo(store, today=TODAY, now=NOW)
            begun.rename(made)
    return made
