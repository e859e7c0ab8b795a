"""A small farm with something in every layer."""

from datetime import timedelta
from typing import Any

from beside_farm import draw_beside
from checked_season import hand_in, patchy_checks, prune
from orchardmap.store.session import Store
from orchardmap.usecases import planting, recording
from small_farm import NOW, TODAY, SmallFarm, small_farm, withdrawal


def layered_farm(store: Store) -> SmallFarm:
    """Pruned, checked, with a weak patch; of the second block one row and a half by a foreman, and one mark taken back."""
    made = small_farm(store, "Layers")
    foreman = planting.add_person(store, farm_id=made.farm.id, name="Nora", role="foreman")
    prune(store, made)
    other = made.blocks[1].id
    planting.count_row(store, block_id=other, row=2, blanks=[3, 4], pollinizers=[60])
    back = made.mark(9, block_id=other)
    early: Any = {"block_id": other, "recorder_id": foreman.id, "day": TODAY - timedelta(days=3)}
    marks = [
        made.mark(1, **early),
        made.mark(2, 1, 50, **early),
        made.mark(2, 41, 90, crew=1, block_id=other),
        back,
    ]
    recording.record_marks(store, farm_id=made.farm.id, marks=marks, sent_at=NOW, now=NOW)
    recording.record_withdrawals(
        store, farm_id=made.farm.id, withdrawals=[withdrawal(back)], sent_at=NOW, now=NOW
    )
    hand_in(store, made, patchy_checks(made, note="leader too long"))
    draw_beside(store, made)
    return made
