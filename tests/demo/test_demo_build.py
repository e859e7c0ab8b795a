"""The demo through the use cases into a real SQLite store: everything taken, figures as ordered, pay in invented amounts of a currency that nobody has."""

import time
from collections import Counter
from contextlib import closing
from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from shapely import STRtree

from orchardmap.demo import people
from orchardmap.demo.briefs import REVISED
from orchardmap.demo.build import STEEP_BLOCK, DemoTruth, build_demo
from orchardmap.demo.counts import COUNTED_BLOCKS
from orchardmap.demo.pay import CURRENCY
from orchardmap.demo.season import ZONE, opens_on
from orchardmap.errors import ConflictError
from orchardmap.model.farm_feature import FEATURE_KINDS
from orchardmap.pruning.habits import HABITS, suiting_habits
from orchardmap.pruning.scoring import tree_verdict
from orchardmap.quality.lot_trees import redrawn, trees_of
from orchardmap.store import briefs, orchard
from orchardmap.store import closures as closure_store
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_features as farm_feature_store
from orchardmap.store import lots as lot_store
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import glance, lot_reading, pay_cost, pay_rules, pay_runs
from orchardmap.usecases.brief_reading import block_brief
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.hazards import block_hazards
from orchardmap.usecases.labels import LabelWish, labels_pdf
from orchardmap.usecases.moments import moment
from orchardmap.usecases.pay_reckoning import RunDays
from orchardmap.usecases.return_facts import return_facts
from orchardmap.usecases.timing import timing_notices
from orchardmap.usecases.tree_counts import farm_counts
from orchardmap.usecases.weak_telling import farm_weak_areas
from orchardmap.usecases.weather import loaded_weather
from pdf_pages import codes, pictures

TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 12, 30, tzinfo=ZONE)


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    with closing(open_store(sqlite_url(tmp_path_factory.mktemp("demo") / "demo.db"))) as store:
        start = time.perf_counter()
        truth = build_demo(store, today=TODAY, now=NOW)
        print(f"demo built in {time.perf_counter() - start:.1f} s")
        yield store, truth


def test_store_holds_a_farm_of_the_ordered_size(built):
    store, truth = built
    with store.read() as conn:
        blocks = orchard.blocks(conn, truth.farm_id)
        rows = [row for block in blocks for row in orchard.rows(conn, block.id)]
    assert 28 <= len(blocks) <= 34
    assert 1700 <= len(rows) <= 1900
    assert sum(row.trees for row in rows) > 60_000
    assert all(block.outline is not None and block.outline.is_valid for block in blocks)


def test_store_holds_the_people(built):
    store, truth = built
    with store.read() as conn:
        crews = farm_store.crews(conn, truth.farm_id)
        people = farm_store.people(conn, truth.farm_id)
        season = next(one for one in farm_store.seasons(conn, truth.farm_id) if one.id == truth.season_id)
    assert len(crews) == 6
    roles = Counter(person.role for person in people)
    assert (roles["manager"], roles["adviser"], roles["auditor"], roles["foreman"]) == (1, 1, 2, 6)
    assert all(person.crew_id for person in people if person.role in {"foreman", "worker"})
    assert season.opens_on < TODAY < season.must_finish_on


def test_every_variety_has_a_published_brief_and_one_was_revised(built):
    """Each starts from a habit that suits where its variety fruits; all 32 blocks hold one today."""
    store, truth = built
    with store.read() as conn:
        found = briefs.briefs(conn, truth.farm_id, truth.season_id)
        versions = {brief.variety_id: briefs.versions(conn, brief.id) for brief in found}
        varieties = farm_store.varieties(conn, truth.farm_id)
    assert set(versions) == {variety.id for variety in varieties}
    for variety in varieties:
        assert versions[variety.id][-1].content.habit in suiting_habits(variety.habit)
        assert len(versions[variety.id]) == (2 if variety.name == REVISED else 1)
        assert all(version.published_at < NOW for version in versions[variety.id])
    assert {version.content.habit for found in versions.values() for version in found} == set(HABITS)
    block_ids = list(truth.block_ids.values())
    assert all(block_brief(store, block_id, day=None, now=NOW) for block_id in block_ids)


def test_the_season_is_behind_by_a_few_people(built):
    """Its crew-days, calendar and crews say so; what is needed a day looks like less."""
    store, truth = built
    told = forecast(store, truth.farm_id, day=None, now=NOW)
    assert told["missing"] == []
    assert 0.2 < told["chance"] < 0.8
    assert 1 <= told["short_people"] <= 6
    assert told["straight_line"] < told["must_finish_on"], "the mean of all days so far says in time"
    assert {one["crew_id"] for one in told["crews"]} == set(truth.crew_ids.values())
    assert {one["people"] for one in told["crews"]} == {1 + len(gang.workers) for gang in people.GANGS}
    assert len(told["earlier"]) == 16
    figures = glance.overview(store, truth.farm_id, day=None, now=NOW)["figures"]
    assert figures["needed_per_day"] < figures["recent_per_day"] * 1.1


def test_nothing_is_recorded_after_now(built):
    _, truth = built
    record = truth.record
    assert max(one.device_at for one in record.marks) <= NOW
    assert {mark.day for mark in record.marks} >= {TODAY}  # the crews are out this morning


def test_every_crew_is_at_work_and_about_1800_trees_of_lots_were_checked(built):
    _, truth = built
    assert {mark.crew_id for mark in truth.record.standing} == set(truth.crew_ids.values())
    assert 1600 <= len(truth.lot_checks) <= 2200
    assert max(check.device_at for check in truth.lot_checks) <= NOW
    assert {check.lot_id for check in truth.lot_checks} <= {lot.id for lot in truth.lots}


def test_trees_of_the_two_patches_are_faultier_than_the_rest(built):
    _, truth = built
    first = [check for check in truth.lot_checks if check.verdict is not None and not check.second]
    inside = [
        check.verdict
        for check in first
        if any(patch.holds(check.block_id, row=check.row, position=check.position) for patch in truth.patches)
    ]
    faulty = sum(check.verdict == "faulty" for check in first)
    assert len(inside) >= 12
    assert inside.count("faulty") / len(inside) > 0.6  # planted: 80 %
    assert 0.04 <= (faulty - inside.count("faulty")) / (len(first) - len(inside)) <= 0.08
    assert 0.08 <= sum(check.verdict == "minor" for check in first) / len(first) <= 0.16


def test_what_an_auditor_found_gives_the_verdict_that_was_meant(built):
    """Point by point, by the version of the brief that the check names."""
    store, truth = built
    with store.read() as conn:
        found = {
            brief.id: briefs.versions(conn, brief.id)
            for brief in briefs.briefs(conn, truth.farm_id, truth.season_id)
        }
    content = {(id_, one.version): one.content for id_, versions in found.items() for one in versions}
    told = [
        (tree_verdict(content[c.brief_id, c.brief_version], c.findings), c.verdict)
        for c in truth.lot_checks
        if c.verdict is not None
    ]
    assert {verdict for _, verdict in told} == {"meets", "minor", "faulty"}
    assert all(scored == meant for scored, meant in told)


def test_some_drawn_trees_could_not_be_judged_and_others_stand_in(built):
    """For several reasons, in lots that are decided all the same; none of them is checked."""
    store, truth = built
    words = [one for one in truth.lot_checks if one.not_judged is not None]
    assert 10 <= len(words) <= 60
    assert len({one.not_judged for one in words}) >= 3
    told = lot_reading.farm_lots(store, truth.farm_id, language="en", now=NOW)["lots"]
    said = [one for one in told if one["not_judged"]]
    assert sum(line["trees"] for one in said for line in one["not_judged"]) == len(words)
    assert sum(one["is_decided"] for one in said) >= 8
    full = lot_reading.full_lot(store, said[0]["id"], language="en", now=NOW)
    assert any(tree["stands_in"] for tree in full["trees"])


def test_returns_are_confirmed_failed_or_wait_and_the_last_is_over_a_weak_area(built):
    store, truth = built
    with store.read() as conn:
        facts = return_facts(conn, moment(conn, truth.farm_id, None, NOW))
    assert [one.said.id for one in facts] == [one.id for one in truth.returns]
    states = Counter(one.state for one in facts)
    assert states["confirmed"] >= 2
    assert facts[-1].state == "open"
    assert facts[-1].said.area is not None
    assert is_in_patch(facts[-1].said.area, truth.patches[0])


def test_every_lot_is_drawn_again_from_what_is_kept_and_no_tree_is_in_two(built):
    store, truth = built
    with store.read() as conn:
        lots = lot_store.lots_of(conn, truth.season_id)
    assert len(lots) > 20
    assert [redrawn(lot) for lot in lots] == [(lot.trees, lot.reserve) for lot in lots]
    held = Counter(
        (lot.block_id, *tree)
        for lot in lots
        if lot.stands and lot.return_id is None
        for tree in trees_of(lot.eligible, lot.holes)
    )
    assert set(held.values()) == {1}


def test_the_closure_holds_now_on_a_block_nobody_entered(built):
    store, truth = built
    with store.read() as conn:
        closures = closure_store.closures(conn, list(truth.block_ids.values()))
    assert [one.block_id for one in closures] == [truth.closure.block_id]
    assert closures[0].holds(NOW)
    assert truth.closure.block_id not in {mark.block_id for mark in truth.record.marks}


def test_a_power_line_hangs_over_some_rows_of_one_block_and_one_block_is_steep(built):
    store, truth = built
    with store.read() as conn:
        blocks = orchard.blocks(conn, truth.farm_id)
        rows = orchard.rows_of_blocks(conn, [block.id for block in blocks])
        found = block_hazards(conn, farm_store.farm(conn, truth.farm_id), blocks, rows, now=NOW)
    told = {
        (block.code, one.key): one.rows for block in blocks for one in found[block.id] if one.key != "closure"
    }
    assert set(told) == {("R5", "overhead-lines"), (STEEP_BLOCK, "slope")}
    under = told["R5", "overhead-lines"]
    all_rows = len(rows[truth.block_ids["R5"]])
    assert 1 < under[0] < under[-1] < all_rows


def test_tracks_water_and_sheds_lie_between_the_rows_and_one_of_each_kind_is_there(built):
    store, truth = built
    with store.read() as conn:
        there = farm_feature_store.farm_features(conn, truth.farm_id)
        rows = [
            row.line
            for found in orchard.rows_of_blocks(conn, list(truth.block_ids.values())).values()
            for row in found
        ]
    assert {one.kind for one in there} == set(FEATURE_KINDS)
    grown = STRtree(rows)
    assert [one.name for one in there if len(grown.query(one.shape, predicate="intersects"))] == []


def test_a_second_demo_in_the_same_store_is_refused(built):
    store, _ = built
    with pytest.raises(ConflictError):
        build_demo(store, today=TODAY, now=NOW)


def test_same_seed_in_another_store_gives_the_same_records(built, tmp_path):
    _, truth = built
    with closing(open_store(sqlite_url(tmp_path / "again.db"))) as store:
        again = build_demo(store, today=TODAY, now=NOW)
    assert as_told(again) == as_told(truth)


def as_told(truth: DemoTruth) -> tuple[list[tuple[object, ...]], ...]:
    """Records with block and crew by the name people know: ids that the use cases make are new each time."""
    code = {block_id: code for code, block_id in truth.block_ids.items()}
    crew = {crew_id: name for name, crew_id in truth.crew_ids.items()}
    record = truth.record
    return (
        [(m.id, code[m.block_id], m.row, m.first, m.last, crew[m.crew_id], m.day) for m in record.marks],
        [(w.id, w.mark_id, w.device_at, w.reason) for w in record.withdrawals],
        [(c.id, code[c.block_id], c.row, c.position, c.verdict, c.drawn, c.note) for c in record.checks],
        [
            (c.id, code[c.block_id], c.row, c.position, c.findings, c.second, c.not_judged)
            for c in truth.lot_checks
        ],
        [(one.id, one.number, one.seed, one.trees) for one in truth.lots],
        [(one.id, one.number, crew[one.crew_id], one.due_on, one.stretches) for one in truth.returns],
        [
            (code[p.block_id], p.first_row, p.last_row, p.first_position, p.last_position)
            for p in record.patches
        ],
    )


def test_overview_shows_half_the_trees_one_overlap_and_nothing_set_aside(built):
    store, truth = built
    seen = glance.overview(store, truth.farm_id, day=None, now=NOW)
    told = truth.overlap
    assert 0.4 <= seen["figures"]["share"] <= 0.6
    assert seen["figures"]["set_aside"] == 0
    with_overlap = {block["id"]: block["overlap"] for block in seen["blocks"] if block["overlap"]}
    with store.read() as conn:
        row = next(row for row in orchard.rows(conn, told.block_id) if row.number == told.row)
    living = set(range(told.first, told.last + 1)) - row.blanks - row.pollinizers
    assert with_overlap == {told.block_id: len(living)}
    assert [block["id"] for block in seen["blocks"] if block["closed"]] == [truth.closure.block_id]


def test_labels_of_a_block_carry_every_row_and_nothing_else(built):
    """Printed, drawn by PDFium and read by ZXing: the rows of the store."""
    store, truth = built
    block_id = truth.block_ids["H6"]
    with store.read() as conn:
        rows = orchard.rows(conn, block_id)
        code = orchard.block(conn, block_id).code
    made = labels_pdf(store, truth.farm_id, LabelWish((block_id,), "https://ottlemere.lan", ends="first"))
    read = Counter(said for page in pictures(made) for said in codes(page))
    assert read == {f"HTTPS://OTTLEMERE.LAN/R/{code}/{row.number}": 1 for row in rows}


def test_invented_weather_puts_cuts_at_risk_that_somebody_is_told_of_today(built):
    """A hard frost two days after work, and rain on canker-prone trees, before and behind."""
    store, truth = built
    told = timing_notices(store, truth.farm_id, day=None, now=NOW)["notices"]
    assert {one["kind"] for one in told} >= {"frost_on_cuts", "wet_cuts", "wet_ahead"}
    assert told[0]["kind"] == "frost_on_cuts"
    high = told[0]
    (frost,) = map(date.fromisoformat, high["days"])
    assert date.fromisoformat(high["cut_days"][-1]) == frost - timedelta(days=2)
    assert (high["level"], high["asks_today"], frost <= TODAY - timedelta(days=3)) == ("high", True, True)
    weather = loaded_weather(store, truth.farm_id)
    assert (weather["gaps"], weather["last_day"]) == ([], str(TODAY + timedelta(days=9)))
    assert sum(one["tmin_c"] < -17.8 for one in weather["days"]) == 1


def test_leanings_are_those_of_varieties_on_the_farm():
    names = {name for name, _, _ in people.VARIETIES}
    assert names >= people.BIENNIAL | people.CANKER_PRONE


def test_two_blocks_were_counted_before_they_were_pruned_one_of_them_well_enough(built):
    store, truth = built
    told = farm_counts(store, truth.farm_id, now=NOW)
    by_code = {one["code"]: {thing["what"]: thing for thing in one["told"]} for one in told["blocks"]}
    assert set(by_code) == set(COUNTED_BLOCKS)
    buds = [by_code[code]["buds_before"] for code in COUNTED_BLOCKS]
    assert sorted(one["is_enough"] for one in buds) == [False, True]
    for one in buds:
        assert one["mean"] > one["target"] > 0
        assert one["chosen"] == 0
    counted_on = max(day for one in buds for day in one["days"])
    ids = {truth.block_ids[code] for code in COUNTED_BLOCKS}
    assert all(mark.day.isoformat() > counted_on for mark in truth.record.marks if mark.block_id in ids)
    assert [one["name"] for one in told["varieties"]] == [REVISED]


def test_weak_areas_are_found_where_they_were_planted_and_nowhere_else(built):
    """By the farm's own level: all blocks held to 5 % together."""
    store, truth = built
    told = farm_weak_areas(store, truth.farm_id, day=None, level=None, language="en", now=NOW)
    met = [
        {patch for patch in truth.patches if is_in_patch(area, patch)}
        for area in told["areas"]
        if area["state"] != "none"
    ]
    assert all(met), "nothing else"
    assert set().union(*met) == set(truth.patches)


def is_in_patch(area, patch):
    (first_row, last_row), (first, last) = area["rows"], area["positions"]
    in_rows = first_row <= patch.last_row and patch.first_row <= last_row
    along = first <= patch.last_position and patch.first_position <= last
    return area["block_id"] == patch.block_id and in_rows and along


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
