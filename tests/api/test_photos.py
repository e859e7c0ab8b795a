"""Photos of checked trees, on both engines: kept as they came, once, and only as pictures that tell nothing else."""

import hashlib

import pytest

from jpegs import camera_jpeg, plain_jpeg
from orchardmap.store import audit, check_photos
from orchardmap.usecases.check_photos import MOST_BYTES, MOST_PHOTOS
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.recording import record_checks, record_marks
from small_farm import NOW

JPEG = plain_jpeg(640, 480)


def checked(service, farm=None):
    """Hand in a check and return its id."""
    at = farm or service.farm
    check = at.check()
    record_checks(service.store, farm_id=at.farm.id, checks=[check], sent_at=NOW, now=NOW)
    return check.id


def put(service, check_id, photo_id=None, jpeg=JPEG, client=None):
    address = service.at_farm(f"/photos/{photo_id or new_id()}")
    headers = {"content-type": "image/jpeg"}
    return (client or service.client).put(
        address, params={"check_id": check_id}, content=jpeg, headers=headers
    )


def test_a_photo_is_kept_as_it_came_and_once(either, is_problem):
    check_id, photo_id = checked(either), new_id()
    told = {"id": photo_id, "width": 640, "height": 480, "sha256": hashlib.sha256(JPEG).hexdigest()}
    tablet = either.tablet(crew=None)
    for _ in range(2):
        answer = put(either, check_id, photo_id, client=tablet)
        assert (answer.status_code, answer.json()) == (200, told)
    read = either.account("adviser").get(f"/api/photos/{photo_id}")
    assert (read.content, read.headers["content-type"]) == (JPEG, "image/jpeg")
    assert "immutable" in read.headers["cache-control"]
    is_problem(put(either, check_id, photo_id, plain_jpeg(64, 48)), 409)
    is_problem(put(either, checked(either), photo_id), 409)
    assert either.client.get(f"/api/photos/{photo_id}").content == JPEG
    with either.store.read() as conn:
        (kept,) = [entry for entry in audit.entries(conn) if entry.what == "photo_kept"]
        found = check_photos.photo(conn, photo_id)
        assert check_photos.photo_ids(conn, [check_id, new_id()]) == {check_id: [photo_id]}
    device = tablet.get("/api/who").json()["device"]["id"]
    assert (kept.subject, kept.actor) == (photo_id, f"device:{device}")
    assert (found.handed_in_by, found.taken_on.isoformat()) == (device, "2026-01-20")


@pytest.mark.parametrize(
    ("jpeg", "words"),
    [
        (camera_jpeg(), "carries a segment"),
        (b"\x89PNG\r\n\x1a\n", "no JPEG"),
        (JPEG[:-40], "cut off"),
        (plain_jpeg(900, 700, quality=95), "kB"),
    ],
    ids=["camera", "png", "cut off", "large"],
)
def test_what_is_no_bare_picture_is_refused_and_nothing_kept(shared, is_problem, jpeg, words):
    check_id, before = checked(shared), shared.contents()
    told = is_problem(put(shared, check_id, jpeg=jpeg), 422)
    assert words in f"{told['detail']} {told.get('where')}"
    assert shared.contents() == before


def test_a_photo_of_a_check_that_is_not_here_or_another_farms_is_refused(shared, is_problem):
    other = shared.another_farm()
    foreign = checked(shared, other)
    before = shared.contents()
    for check_id in (new_id(), foreign):
        assert is_problem(put(shared, check_id), 404)["detail"] == "no such check"
    assert shared.contents() == before


def test_a_check_has_so_many_photos_and_no_more(shared, is_problem):
    check_id = checked(shared)
    assert [put(shared, check_id).status_code for _ in range(MOST_PHOTOS)] == [200] * MOST_PHOTOS
    is_problem(put(shared, check_id), 409)


def test_a_lot_names_the_photos_of_its_checks(service):
    farm = service.farm
    record_marks(service.store, farm_id=farm.farm.id, marks=[farm.mark(last=10)], sent_at=NOW, now=NOW)
    asked = {"id": new_id(), "block_id": farm.blocks[0].id}
    lot = service.client.post(service.at_farm("/lots"), json=asked).json()
    first, other = lot["trees"][:2]
    checks = [
        farm.check(row=tree["row"], position=tree["position"], drawn=True, lot_id=lot["id"])
        for tree in (first, other)
    ]
    record_checks(service.store, farm_id=farm.farm.id, checks=checks, sent_at=NOW, now=NOW)
    photos = [new_id(), new_id()]
    for photo_id in photos:
        assert put(service, checks[0].id, photo_id).status_code == 200
    trees = service.client.get(f"/api/lots/{lot['id']}").json()["trees"]
    assert [tree["check"] and tree["check"]["photos"] for tree in trees[:2]] == [photos, []]


def test_the_limit_is_above_what_devices_send():
    """They shrink to 300 kB at most (web/src/core/walk-photo.ts)."""
    assert MOST_BYTES == 400_000
