"""What a crew's lots remember: severity, the plans that go by it, and whose settings hold. On both engines."""

from dataclasses import replace

import pytest

from lot_seasons import (
    TABLE,
    decided,
    draw,
    farm_with_work,
    memory,
    read,
    record,
    wish,
)
from orchardmap.errors import InputError
from orchardmap.model.lot import TablePlan, TwoPoints
from orchardmap.usecases import (
    farm_setting,
    lot_drawing,
    lot_planning,
)
from orchardmap.usecases.lot_planning import AskedTable
from small_farm import NOW


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    return farm_with_work(store)


def test_two_of_five_sent_back_tighten_the_crews_next_lot_and_no_other_crews(store, farm):
    for row, good in ((10, True), (11, False), (12, True)):
        assert decided(store, farm, row, good=good).plan == TABLE
    assert memory(store, farm, 2) == "normal"
    second = decided(store, farm, 13, good=False)
    assert memory(store, farm, 2) == "tightened"
    record(store, farm, farm.mark(14, 1, 60, crew=2))
    with pytest.raises(InputError, match="asks for tightened inspection"):
        draw(store, farm, 2, plan=AskedTable("I", 4.0, "normal"))
    assert draw(store, farm, 2).plan == replace(TABLE, severity="tightened")
    assert draw(store, farm, 0).plan == TABLE
    lot_drawing.cancel_lot(store, second.id, reason="wrong block", now=NOW)
    assert memory(store, farm, 2) == "normal"


def test_work_of_a_crew_under_tightened_inspection_is_in_no_milder_lot_of_its_block(store, farm):
    """Else whoever draws for the whole block gets around what became of the crew's last lots; blocks without it are not held to it."""
    for row in (11, 13):
        decided(store, farm, row, good=False)
    assert draw(store, farm, None).plan == TABLE, "crews 0 and 1 alone are in it"
    record(store, farm, farm.mark(14, 1, 60, crew=2), farm.mark(15))
    told = lot_planning.planned_lot(store, farm.farm.id, wish(farm, None), language="en", now=NOW)
    assert (told["severity"], told["severity_words"][:20]) == ("tightened", "Tightened inspection")
    with pytest.raises(InputError, match="asks for tightened inspection"):
        draw(store, farm, None, plan=AskedTable("I", 4.0, "normal"))
    assert draw(store, farm, None).plan == replace(TABLE, severity="tightened")


def test_plans_of_two_promises_have_no_severity_to_tell_and_do_not_get_around_one(store, farm):
    decided(store, farm, 10, good=False)
    decided(store, farm, 11, good=False)
    record(store, farm, farm.mark(14, 1, 60, crew=2))
    with pytest.raises(InputError, match="what must not cannot be tightened") as told:
        draw(store, farm, 2, plan=TwoPoints(0.05, 0.95, 0.2, 0.1))
    assert told.value.where == "plan.kind"
    said: dict[str, float | str] = {"check_kind": "two_points", "check_p2_percent": 20}
    farm_setting.save_settings(store, farm_id=farm.farm.id, changes=said, now=NOW)
    assert memory(store, farm, 2) is None
    assert draw(store, farm, 2).plan == TwoPoints(0.05, 0.95, 0.2, 0.1)


def test_lots_are_planned_by_the_farms_settings_unless_said_otherwise(store, farm):
    said: dict[str, float | str] = {
        "check_kind": "two_points",
        "check_p2_percent": 20,
        "check_extra_trees": 6,
    }
    farm_setting.save_settings(store, farm_id=farm.farm.id, changes=said, now=NOW)
    lot = draw(store, farm)
    assert (lot.plan, sum(tree.is_extra for tree in lot.trees)) == (TwoPoints(0.05, 0.95, 0.2, 0.1), 6)
    other = draw(store, farm, 1, plan=AskedTable("II", 2.5), extra=0)
    assert (other.plan, len(other.trees)) == (TablePlan("II", 2.5), other.n)
    assert "own plan" not in read(store, lot)["plan_words"]
    assert read(store, other)["plan_words"].endswith(
        "This is not the farm's own plan. That one says: A lot with 5\xa0% faulty trees passes 95 times in 100 at the least, one"
        " with 20\xa0% passes 10 times at the most."
    ), "a laxer plan by hand shows wherever the lot does"
    with pytest.raises(InputError, match="No plan of up to 10,000 trees") as told:
        farm_setting.save_settings(store, farm_id=farm.farm.id, changes={"check_p1_percent": 19.9}, now=NOW)
    assert told.value.where == "check_p2_percent"
