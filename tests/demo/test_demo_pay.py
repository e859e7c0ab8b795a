"""Pay in the demo: invented amounts in a currency that nobody has, two locked runs, the second with corrections to the first."""

from contextlib import closing
from datetime import date, datetime
from decimal import Decimal

import pytest

from orchardmap.demo.build import build_demo
from orchardmap.demo.pay import CURRENCY
from orchardmap.demo.season import ZONE, opens_on
from orchardmap.store.session import open_store
from orchardmap.usecases import pay_cost, pay_rules, pay_runs
from orchardmap.usecases.pay_reckoning import RunDays
from ready_stores import ready_sqlite

TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 12, 30, tzinfo=ZONE)


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    with closing(open_store(ready_sqlite(tmp_path_factory.mktemp("pay") / "demo.db"))) as store:
        yield store, build_demo(store, today=TODAY, now=NOW)


def test_demo_pays_in_no_countrys_money(built):
    store, truth = built
    rules = pay_rules.rules_json(store, truth.farm_id)["rules"]
    assert rules["currency"] == CURRENCY == "XTS"
    assert {rate["per"] for rate in rules["rates"]} == {"tree"}


def test_two_runs_are_locked_and_the_second_corrects_the_first(built):
    store, truth = built
    second, first = pay_runs.runs_json(store, truth.farm_id)["runs"]
    assert (first["number"], second["number"], first["corrections"]) == (1, 2, 0)
    assert second["corrections"] > 0
    kept = pay_runs.run_json(store, truth.farm_id, second["id"])["lines"]
    assert {one["day"] <= first["last"] for one in kept if one["paid_before"] is not None} == {True}


def test_rest_of_the_season_can_be_paid_with_held_trees_apart_and_this_week_shared_alike(built):
    store, truth = built
    days = RunDays(opens_on(TODAY), TODAY)
    seen = pay_runs.preview(store, truth.farm_id, days, now=NOW)
    assert (seen["missing"], len(seen["held"])) == ([], 1)
    # nobody has said today's hours yet, and one foreman forgot a day
    assert {gap["code"] for gap in seen["gaps"]} == {"shared_alike", "no_hours"}
    assert TODAY.isoformat() in {gap["day"] for gap in seen["gaps"] if gap["code"] == "no_hours"}
    runs = pay_runs.runs_json(store, truth.farm_id)["runs"]
    paid = sum(Decimal(run["amount"]) for run in runs)
    cost = pay_cost.cost_json(store, truth.farm_id, now=NOW)
    # what was paid and what is still to be paid is what the season cost so far
    assert paid + Decimal(seen["amount"]) == Decimal(cost["cost"])
