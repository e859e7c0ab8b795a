"""P12 of design 06b: what tablets of every wire version had queued is taken to the same state for ever, on both engines.

Each folder of `tests/golden` holds a queue and what the server must hold after it. A folder is written once, when its
version is released, and never again; a new version adds a folder.
"""

import copy

import pytest

import golden_farm as g
from orchardmap.usecases import folding
from orchardmap_api.upcasting import WIRE_VERSION


def said(receipts):
    """Receipts as the files hold them: end of the id, outcome, reason."""
    return [f"{r.id[-3:]} {r.outcome}" + (f": {r.reason}" if r.reason else "") for r in receipts]


MENDED = {("1", 4): ["030 set_aside: the same id came twice with different content"] * 2}
"""(version, upload) -> answers that were wrong when the folder was made: the first of two contents in one batch was called taken."""


def test_every_version_has_its_queue():
    assert sorted(path.name for path in g.FOLDER.iterdir() if path.is_dir()) == [
        str(n + 1) for n in range(WIRE_VERSION)
    ]


@pytest.mark.parametrize("version", ["1", "2", "3", "4", "5", "6", "7"])
def test_queue_is_taken_as_it_was_when_the_version_was_made(store, version):
    queue, expected = g.golden(version)
    g.golden_farm(store)
    answers = [said(g.replayed(store, upload)) for upload in queue]
    assert answers == [MENDED.get((version, n), told) for n, told in enumerate(expected["receipts"])]
    held = g.held(store)
    assert held["runs"] == expected["runs"]
    assert held["crew_days_standing"] == expected["crew_days_standing"]
    assert held["counts"] == expected.get("counts", {})
    for kind, records in expected["records"].items():
        assert held["records"][kind] == records, kind
    assert folding.rebuild(store, g.FARM, write=False) == []
    for upload in queue:  # every answer was lost: all of it comes again, a day later, and changes nothing
        assert not any(" taken" in one for one in said(g.replayed(store, later(upload))))
    assert g.held(store) == held


def later(upload):
    """The same upload a day later by both clocks."""
    again = copy.deepcopy(upload)
    again["received_at"] = again["received_at"].replace("2026-01-20T", "2026-01-21T").replace("-19T", "-20T")
    return again


def test_the_comparison_can_fail(store):
    queue, expected = g.golden("1")
    g.golden_farm(store)
    queue[1]["body"]["marks"][0]["last"] = 9
    g.replayed(store, queue[1])
    assert g.held(store)["records"]["mark"][0] != expected["records"]["mark"][0]
