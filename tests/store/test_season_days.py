"""What a season replays from says of each day what the overview says of it, on both engines."""

from collections import Counter
from datetime import timedelta
from random import Random
from typing import Any

import pytest

from orchardmap.errors import UnknownError
from orchardmap.model.people import Sender
from orchardmap.usecases import glance, planting, recording
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.pruned_now import pruned_now
from orchardmap.usecases.season_days import season_days
from small_farm import NOW, POSITIONS, TODAY, small_farm, withdrawal


def worked_season(store, draw):
    """Marks of three crews on eight days that meet in a few rows, some taken back."""
    farm = small_farm(store, new_id())
    marks = [
        farm.mark(
            draw.randint(1, 4),
            *sorted((draw.randint(1, POSITIONS), draw.randint(1, POSITIONS))),
            crew=draw.randrange(3),
            block_id=draw.choice(farm.blocks).id,
            day=TODAY - timedelta(draw.randint(0, 8)),
        )
        for _ in range(25)
    ]
    shared: dict[str, Any] = {"farm_id": farm.farm.id, "sent_at": NOW, "now": NOW, "sender": Sender(None)}
    recording.record_marks(store, marks=marks, **shared)
    recording.record_withdrawals(store, withdrawals=[withdrawal(one) for one in marks[::6]], **shared)
    return farm


@pytest.mark.parametrize("seed", range(3))
def test_every_day_of_the_replay_is_the_overview_of_that_day(shared_store, seed):
    farm = worked_season(shared_store, Random(seed))
    told = season_days(shared_store, farm.farm.id, season_id=None, now=NOW)
    ids = [block for block, _ in told["blocks"]]
    for back in range(10):
        day = TODAY - timedelta(back)
        so_far: Counter[str] = Counter(dict.fromkeys(ids, 0))
        for at, block, trees in told["pruned"]:
            if told["days"][at] <= day.isoformat():
                so_far[ids[block]] += trees
        seen = glance.overview(shared_store, farm.farm.id, day=day, now=NOW)
        assert dict(so_far) == {block["id"]: block["pruned"] for block in seen["blocks"]}
        assert dict(told["blocks"]) == {block["id"]: block["trees"] for block in seen["blocks"]}
    of_crews: Counter[int] = Counter()
    for _, block, _, trees in told["credited"]:
        of_crews[block] += trees
    assert all(of_crews[n] == pytest.approx(so_far, abs=0.1) for n, so_far in enumerate(_all_of(told)))


@pytest.mark.parametrize("days_ago", [0, 1, 4])
@pytest.mark.parametrize("seed", range(2))
def test_what_goes_on_with_each_mark_is_that_of_the_overview_of_each_day(shared_store, seed, days_ago):
    """Also after one more mark of that day: what is remembered of it is told anew."""
    farm = worked_season(shared_store, Random(seed))
    day = TODAY - timedelta(days_ago)
    sums = []
    for _ in range(2):
        now = pruned_now(shared_store, farm.farm.id, day=day, now=NOW)
        seen = glance.overview(shared_store, farm.farm.id, day=day, now=NOW)
        told = {one["id"]: [one["pruned"], one["overlap"], one["rows_done"]] for one in seen["blocks"]}
        assert {block: now["blocks"].get(block, [0, 0, 0]) for block in told} == told
        names = ("day", "cursor", "epoch")
        assert [now[name] for name in names] == [seen[name] for name in names]
        sums.append(seen["figures"]["pruned"])
        marks = [
            farm.mark(row, crew=2, day=day, block_id=block.id)
            for block in farm.blocks
            for row in (1, 2, 3, 4)
        ]
        recording.record_marks(
            shared_store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW, sender=Sender(None)
        )
    assert sums[1] > sums[0]


def _all_of(told):
    pruned: Counter[int] = Counter()
    for _, block, trees in told["pruned"]:
        pruned[block] += trees
    return [pruned[n] for n in range(len(told["blocks"]))]


def test_each_season_names_the_one_before_and_a_foreign_one_is_unknown(store):
    farm, other = small_farm(store), small_farm(store, "Other")
    before = planting.add_season(
        store,
        farm_id=farm.farm.id,
        name="2024/25",
        opens_on=TODAY - timedelta(days=400),
        must_finish_on=TODAY - timedelta(days=320),
    )
    now = season_days(store, farm.farm.id, season_id=None, now=NOW)
    assert (now["season"]["id"], now["before"]["id"]) == (farm.season.id, before.id)
    then = season_days(store, farm.farm.id, season_id=before.id, now=NOW)
    assert (then["season"]["id"], then["before"], then["pruned"]) == (before.id, None, [])
    with pytest.raises(UnknownError):
        season_days(store, farm.farm.id, season_id=other.season.id, now=NOW)
