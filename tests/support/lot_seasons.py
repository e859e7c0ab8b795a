"""Words for seasons of lots over a store: pruned, drawn, checked, sent back, gone over, in a line each."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from orchardmap.model.check import Check
from orchardmap.model.lot import Lot, TablePlan
from orchardmap.model.returns import Return
from orchardmap.model.work import Mark, StretchSettlement
from orchardmap.quality.lot_trees import trees_of
from orchardmap.store.session import Store
from orchardmap.usecases import (
    brief_publishing,
    briefing,
    glance,
    lot_drawing,
    lot_reading,
    recording,
    returning,
    settling,
)
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.lot_drawing import NewLot
from orchardmap.usecases.lot_planning import LotWish
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.returning import NewReturn
from orchardmap.work.identity import content_hash
from small_farm import NOW, POSITIONS, TODAY, SmallFarm, small_farm

Json = dict[str, Any]
TABLE = TablePlan("I", 4.0)


def record(store: Store, farm: SmallFarm, *marks: Mark) -> None:
    """Hand in marks."""
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)


def settle(store: Store, farm: SmallFarm, row: int, marks: Sequence[Mark], *, crew: int | None) -> None:
    """Say of a stretch that these marks claim which crew is credited; None for nobody."""
    first, last = marks[0].first, marks[0].last
    seen = frozenset(content_hash(mark) for mark in marks)
    crew_id = None if crew is None else farm.crews[crew].id
    said = StretchSettlement(new_id(), 0, farm.season.id, farm.blocks[0].id, row, first, last, crew_id, seen)
    settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)


def wish(farm: SmallFarm, crew: int | None = 0, **changes: Any) -> LotWish:
    """Return what lot is wanted of the first block; of the whole block where no crew is named."""
    return LotWish(farm.blocks[0].id, None if crew is None else farm.crews[crew].id, **changes)


def draw(
    store: Store,
    farm: SmallFarm,
    crew: int | None = 0,
    *,
    seed: int = 1848,
    lot_id: str | None = None,
    **changes: Any,
) -> Lot:
    """Draw a lot of the first block."""
    asked = NewLot(lot_id or new_id(), wish(farm, crew, **changes), seed)
    return lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=asked, now=NOW)


def check(
    store: Store, farm: SmallFarm, lot: Lot, *, faulty: int = 0, trees: int | None = None, **changes: Any
) -> None:
    """Check the plan's trees of a lot (or so many of them), the first ones faulty."""
    planned = [tree for tree in lot.trees if not tree.is_extra][:trees]
    found = [
        farm.check(tree.row, tree.position, lot_id=lot.id, verdict="faulty" if at < faulty else "meets")
        for at, tree in enumerate(planned)
    ]
    hand_in(store, farm, *(replace(one, **changes) for one in found))


def hand_in(store: Store, farm: SmallFarm, *checks: Check) -> None:
    """Hand in checks; every one must be taken."""
    receipts = recording.record_checks(store, farm_id=farm.farm.id, checks=checks, sent_at=NOW, now=NOW)
    assert {one.outcome for one in receipts} <= {"taken"}


def read(store: Store, lot: Lot, language: str = "en") -> Json:
    """Return all that is told of a lot."""
    return lot_reading.full_lot(store, lot.id, language=language, now=NOW)


def summary(store: Store, farm: SmallFarm, day: date | None = None) -> Json:
    """Return what the overview tells of the first block."""
    found = glance.overview(store, farm.farm.id, day=day, now=NOW)["blocks"]
    return next(one for one in found if one["id"] == farm.blocks[0].id)


def trees(lot: Lot) -> set[tuple[int, int]]:
    """Return the trees that a lot holds, as row and position."""
    return set(trees_of(lot.eligible, lot.holes))


def memory(store: Store, farm: SmallFarm, crew: int = 0) -> str | None:
    """Return how a crew's next lot is inspected; None where nothing is remembered."""
    told = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)["memory"]
    return {one["crew_id"]: one["inspection"] for one in told}.get(farm.crews[crew].id)


def decided(store: Store, farm: SmallFarm, row: int, *, good: bool) -> Lot:
    """Draw a lot of a stretch of the third crew and decide it."""
    record(store, farm, farm.mark(row, 1, 60, crew=2))
    lot = draw(store, farm, 2)
    check(store, farm, lot, faulty=0 if good else lot.reject)
    return lot


def publish(store: Store, farm: SmallFarm) -> str:
    """Publish a brief for the first block and return its id."""
    subject = BriefSubject(farm.season.id, block_id=farm.blocks[0].id)
    made = briefing.make_brief(
        store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    brief_publishing.publish(store, farm_id=farm.farm.id, brief_id=made.id, revision=1, by=None, now=NOW)
    return made.id


def send_back(store: Store, farm: SmallFarm, lot: Lot, **changes: Any) -> Return:
    """Make a return of a lot."""
    asked = NewReturn(
        new_id(), farm.blocks[0].id, farm.crews[0].id, TODAY + timedelta(days=3), lot_id=lot.id, **changes
    )
    return returning.make_return(store, farm_id=farm.farm.id, asked=asked, now=NOW)


def wanting(store: Store, farm: SmallFarm) -> tuple[list[tuple[str, str, int]], Any]:
    """Return what is in no lot, and what must be settled before it can be."""
    told = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)
    return [(one["block_code"], one["crew"], one["trees"]) for one in told["wanting"]], told["to_settle"]


def ago(minutes: float) -> Json:
    """Return the moment of a record that was made so many minutes ago."""
    return {"device_at": NOW - timedelta(minutes=minutes)}


def go_over(store: Store, farm: SmallFarm, asked: Return, minutes: float) -> None:
    """Go over all trees of a return so many minutes ago."""
    marks = (
        farm.mark(one.row, one.first, one.last, return_id=asked.id, **ago(minutes)) for one in asked.stretches
    )
    record(store, farm, *marks)


def put_right(store: Store, farm: SmallFarm, asked: Return, minutes: float) -> None:
    """Go over all trees of a return, and have them looked at and found good."""
    go_over(store, farm, asked, minutes)
    check(store, farm, draw(store, farm, None, return_id=asked.id), **ago(minutes - 1))


def standing(store: Store, lot: Lot) -> tuple[Any, Any, Any]:
    """Return whether a lot is put right, and what of it is not."""
    told = read(store, lot)
    return told["put_right"], told["not_sent_back"], told["rest"]


def area_return(store: Store, farm: SmallFarm, rows: Iterable[int], *, now: datetime = NOW) -> Return:
    """Send back whole rows as a weak area, without naming a lot."""
    area = {"rows": list(rows), "positions": [1, POSITIONS]}
    asked = NewReturn(new_id(), farm.blocks[0].id, farm.crews[0].id, TODAY, area=area)
    return returning.make_return(store, farm_id=farm.farm.id, asked=asked, now=now)


def farm_with_work(store: Store) -> SmallFarm:
    """Rows 1 and 2 of the first block are pruned by crew A, row 3 by B, and both claim positions 1 to 20 of row 4."""
    made = small_farm(store, new_id())
    marks = [made.mark(1), made.mark(2), made.mark(3, crew=1)]
    record(store, made, *marks, made.mark(4, 1, 20), made.mark(4, 1, 20, crew=1))
    return made
