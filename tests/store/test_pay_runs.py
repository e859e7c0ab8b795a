"""Pay runs on both engines: locked as they were paid; whatever comes later is paid by a later run, once."""

from collections import defaultdict
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drawn_lots import add_lot
from orchardmap.errors import ConflictError, InputError
from orchardmap.model.pay import KeptRules
from orchardmap.model.people import Sender
from orchardmap.pay.corrections import amounts
from orchardmap.pay.earnings import pay
from orchardmap.pay.kept_lines import line_from_json
from orchardmap.pay.terms_json import terms_from_json
from orchardmap.store import audit
from orchardmap.store import pay as pay_store
from orchardmap.usecases import pay_cost, pay_rules, pay_runs, recording
from orchardmap.usecases.moments import moment
from orchardmap.usecases.pay_reckoning import RunDays
from orchardmap.usecases.pay_work import season_work
from orchardmap.usecases.planting import new_id
from paid_farm import BY, RULES, PaidFarm, back, paid_farm
from small_farm import NOW, TODAY, withdrawal
from thorough import tries


@pytest.fixture
def farm(shared_store):
    made = paid_farm(shared_store)
    made.rules()
    return made


def paid(farm: PaidFarm):
    """What all runs together paid, by what it was for."""
    found: dict[object, Decimal] = defaultdict(Decimal)
    with farm.store.read() as conn:
        for run in pay_store.runs(conn, farm.farm.season.id):
            for said in run.lines:
                line = line_from_json(said).line
                found[line.key] += line.amount
    return {key: amount for key, amount in found.items() if amount}


def owed(farm: PaidFarm, *spans: RunDays):
    """What the records say now: of these runs' days, or of all."""
    with farm.store.read() as conn:
        work = season_work(conn, moment(conn, farm.id, None, NOW), with_bonus=True)
        terms = terms_from_json(dict(pay_store.kept_rules(conn, farm.id).said))
    made = work.within(lambda crew, day: not spans or any(one.holds(crew, day) for one in spans))
    return {key: amount for key, amount in amounts(pay(made, terms).lines).items() if amount}


def told(run):
    return [(one["person_id"], one["kind"], one["amount"], one["paid_before"]) for one in run["lines"]]


def test_a_run_pays_trees_by_hours_and_tops_up_to_the_floor(farm):
    ana, ben = farm.people[0]
    farm.mark(1, 1, 100)
    farm.hours(ana, 5)
    farm.hours(ben, 3)
    seen = farm.preview(farm.days())
    assert (seen["amount"], seen["missing"], seen["gaps"]) == ("48.00", [], [])
    run = farm.export(farm.days())
    # 100 trees at 0.37 are shared five to three; by the floor 30.00 and 18.00
    assert sorted(told(run)) == sorted([
        (ana.id, "trees", "23.13", None),
        (ana.id, "top_up", "6.87", None),
        (ben.id, "trees", "13.87", None),
        (ben.id, "top_up", "4.13", None),
    ])
    assert (run["number"], run["amount"], run["corrections"]) == (1, "48.00", 0)


def test_what_comes_after_the_export_is_a_line_of_its_own_in_the_next_run_and_the_first_stays(farm):
    ana, ben = farm.people[0]
    farm.mark(1, 1, 100, day=back(1))
    farm.hours(ana, 8, day=back(1))
    first = farm.export(farm.days(back(1), back(1)))
    late = farm.mark(2, 1, 50, day=back(1))
    farm.hours(ben, 2, day=back(1))
    farm.mark(3, 1, 10)
    farm.hours(ana, 1)
    second = farm.export(farm.days(back(1)))
    lines = {(one["day"], one["person_id"], one["kind"]): one for one in second["lines"]}
    assert lines[TODAY.isoformat(), ana.id, "trees"]["paid_before"] is None
    # 150 trees are 55.50: 44.40 to Ana, who had 37.00 and was topped up to 48.00
    corrected = lines[back(1).isoformat(), ana.id, "trees"]
    assert (corrected["amount"], corrected["paid_before"]) == ("7.40", "37.00")
    assert lines[back(1).isoformat(), ana.id, "top_up"]["amount"] == "-7.40"
    assert lines[back(1).isoformat(), ben.id, "trees"]["amount"] == "11.10"
    # hours beside the money are those of the days that it is for
    assert [(one["person_id"], one["hours"]) for one in second["worked"]] == [(ana.id, "1.0")]
    assert pay_runs.run_json(farm.store, farm.id, first["id"]) == first
    recording.record_withdrawals(
        farm.store, farm_id=farm.id, withdrawals=[withdrawal(late)], sent_at=NOW, now=NOW
    )
    third = farm.export(farm.days())
    assert all(one["paid_before"] is not None for one in third["lines"])
    assert paid(farm) == owed(farm)


def test_days_that_were_paid_and_did_not_change_are_not_paid_again(farm):
    farm.mark(1, 1, 100)
    farm.hours(farm.people[0][0], 8)
    farm.export(farm.days())
    assert farm.preview(farm.days())["lines"] == []
    with pytest.raises(InputError, match="nothing to pay"):
        farm.export(farm.days())


def test_nothing_is_paid_that_nobody_looked_at_and_the_same_export_again_is_one(farm):
    farm.mark(1, 1, 100)
    farm.hours(farm.people[0][0], 8)
    seen = farm.preview(farm.days())["digest"]
    farm.hours(farm.people[0][0], 7.5)
    asked = {"farm_id": farm.id, "run_id": new_id(), "days": farm.days(), "by": BY}
    with pytest.raises(ConflictError, match="since you looked"):
        pay_runs.export_run(farm.store, **asked, seen=seen)
    now = farm.preview(farm.days())["digest"]
    made = [pay_runs.export_run(farm.store, **asked, seen=now) for _ in range(2)]
    assert made[0] == made[1]
    assert len(pay_runs.runs_json(farm.store, farm.id)["runs"]) == 1
    with pytest.raises(ConflictError, match="another run"):
        pay_runs.export_run(farm.store, **(asked | {"days": farm.days(back(1))}), seen=now)


def test_no_run_goes_out_without_a_rate_or_a_wage_for_each_day(farm):
    farm.mark(1, 1, 100)
    farm.hours(farm.people[0][0], 8)
    farm.rules(rates=[{"per": "tree", "rate": "0.37", "first": TODAY.replace(day=25).isoformat()}])
    (missing,) = farm.preview(farm.days())["missing"]
    assert (missing["what"], missing["day"], missing["method"]) == ("rate", TODAY.isoformat(), "ladder")
    with pytest.raises(InputError, match="no rate holds"):
        farm.export(farm.days())
    farm.rules(minimum_wage=[{"per_hour": "6.00", "last": back(1).isoformat()}])
    with pytest.raises(InputError, match="no minimum wage holds"):
        farm.export(farm.days())


def test_without_rules_nothing_is_assumed(shared_store):
    farm = paid_farm(shared_store)
    farm.mark(1, 1, 100)
    farm.hours(farm.people[0][0], 8)
    seen = farm.preview(farm.days())
    assert (seen["has_rules"], seen["lines"], seen["crews"][0]["trees"]) == (False, [], 100)
    with pytest.raises(InputError, match="nobody said"):
        farm.export(farm.days())


def test_what_is_missing_or_only_shared_is_told_day_by_day(farm):
    ana, _ = farm.people[0]
    farm.mark(1, 1, 50)
    farm.mark(2, 1, 50, crew=1)
    farm.mark(3, 1, 50, crew=2)
    farm.mark(3, 41, 60, crew=1)
    farm.hours(ana, 8)
    farm.crew_day(3, 8)
    farm.crew_day(4, 8, crew=2)
    seen = farm.preview(farm.days())
    names = {crew.id: crew.name for crew in farm.farm.crews}
    assert {(names[one["crew_id"]], one["code"]) for one in seen["gaps"]} == {
        ("Crew A", "fewer_hours"), ("Crew B", "no_hours"), ("Crew C", "shared_alike"),
    }  # fmt: skip
    assert [(one["first"], one["last"], one["trees"]) for one in seen["held"]] == [(41, 50, 10)]
    assert [one["trees"] for one in sorted(seen["crews"], key=lambda one: names[one["crew_id"]])] == [
        50,
        60,
        40,
    ]
    # of Crew B, whose hours nobody knows, nobody is paid; it is said how much waits
    assert {one["crew_id"] for one in seen["lines"]} == {farm.farm.crews[0].id, farm.farm.crews[2].id}
    (waits,) = [one["unpaid"] for one in seen["gaps"] if one["code"] == "no_hours"]
    assert waits == "22.20"
    farm.export(farm.days())
    farm.hours(farm.people[1][0], 6, crew=1)
    late = farm.export(farm.days())
    assert late["amount"] == "36.00"
    assert all(one["paid_before"] == "0" for one in late["lines"])


def test_days_that_no_run_holds_more_hours_than_people_and_who_would_pay_back_are_told(farm):
    ana, ben = farm.people[0]
    farm.mark(1, 1, 100, day=back(5))
    farm.hours(ana, 8, day=back(5))
    farm.export(farm.days(back(5), back(5)))
    for day in (back(3), back(1)):
        farm.mark(2, day.day, day.day, day=day)
    farm.crew_day(1, 2, day=back(1))
    for person in (ana, ben):
        farm.hours(person, 1, day=back(1))
    farm.hours(ana, 1, day=back(5))
    crew = farm.farm.crews[0].id
    gaps = farm.preview(farm.days(back(1), TODAY))["gaps"]
    assert {(one["code"], one["crew_id"], one["day"], one.get("person_id")) for one in gaps} == {
        ("not_in_a_run", None, back(3).isoformat(), None),
        ("more_hours", crew, back(1).isoformat(), None),
        ("below_zero", None, back(1).isoformat(), ana.id),
    }
    # another crew's run does not speak of it
    assert [one["code"] for one in farm.preview(farm.days(back(1), TODAY, crew=1))["gaps"]] == []


def test_trees_of_a_crew_paid_by_the_hour_without_hours_are_left_out_of_the_cost(farm):
    """With them a tree would seem to cost 0.28 and not 0.33."""
    farm.rules(rates=[{"per": "hour", "rate": "9.00"}])
    farm.mark(1, 1, 100)
    farm.mark(2, 1, 30, crew=1)
    farm.mark(2, 21, 40)
    farm.hours(farm.people[0][0], 4)
    told = pay_cost.cost_json(farm.store, farm.id, now=NOW)
    assert (told["cost"], told["credited"], told["held"], told["is_whole"]) == ("36.00", 110, 10, False)
    assert (told["cost_per_tree"], told["left_out"]) == ("0.33", 20)
    assert told["waits_on"] == TODAY.isoformat()
    farm.hours(farm.people[1][0], 2, crew=1)
    told = pay_cost.cost_json(farm.store, farm.id, now=NOW)
    assert (told["cost"], told["credited"], told["left_out"], told["is_whole"]) == ("54.00", 130, 0, True)


def test_costs_of_blocks_add_up_to_what_is_paid_to_the_last_coin(farm):
    """36.01 on two blocks alike: rounded one by one they would come to 36.02, and the report would say another sum than the table."""
    farm.rules(rates=[{"per": "hour", "rate": "36.01"}])
    for block in farm.farm.blocks:
        farm.mark(1, 1, 50, block_id=block.id)
    farm.hours(farm.people[0][0], 1)
    told = pay_cost.cost_json(farm.store, farm.id, now=NOW)
    costs = [Decimal(one["cost"]) for one in told["blocks"]]
    assert sum(costs) + Decimal(told["without_block"]) == Decimal(told["cost"]) == Decimal("36.01")
    assert max(costs) - min(costs) == Decimal("0.01")


def test_a_crews_run_pays_that_crews_people_alone(farm):
    for crew in (0, 1):
        farm.mark(1 + crew, 1, 100, crew=crew)
        farm.hours(farm.people[crew][0], 4, crew=crew)
    one = farm.export(farm.days(crew=1))
    assert {line["person_id"] for line in one["lines"]} == {farm.people[1][0].id}
    rest = farm.export(farm.days())
    assert {line["person_id"] for line in rest["lines"]} == {farm.people[0][0].id}
    assert paid(farm) == owed(farm)


def test_season_that_was_paid_keeps_its_currency(farm):
    farm.mark(1, 1, 100)
    farm.hours(farm.people[0][0], 8)
    farm.export(farm.days())
    with pytest.raises(ConflictError, match="was paid in XTS"):
        farm.rules(currency="XXX")
    # as a later season's rules would be kept
    with farm.store.write() as conn:
        kept = pay_store.kept_rules(conn, farm.id)
        other = KeptRules(dict(kept.said) | {"currency": "XXX"}, kept.revision)
        pay_store.save_rules(conn, farm.id, other, saved_at=NOW, saved_by=None)
    farm.hours(farm.people[0][0], 9)
    with pytest.raises(ConflictError, match="were paid in XTS"):
        farm.export(farm.days())
    farm.hours(farm.people[0][0], 8)
    with farm.store.write() as conn:
        pay_store.save_rules(conn, farm.id, kept, saved_at=NOW, saved_by=None)
    farm.rules(rates=[{"per": "tree", "rate": "0.40"}])
    assert pay_rules.rules_json(farm.store, farm.id)["revision"] == 2
    # a rate that was wrong is made good by the next run
    assert farm.export(farm.days())["amount"] == "0.00"
    assert paid(farm) == owed(farm)


def test_rules_saved_by_somebody_else_meanwhile_are_not_overwritten(farm):
    with pytest.raises(ConflictError, match="meanwhile"):
        pay_rules.save_rules(farm.store, farm_id=farm.id, rules=RULES, revision=0, by=BY)


def test_accepted_lot_earns_its_bonus_once_and_one_that_is_sent_back_none(farm):
    """The verdict comes after the run was paid, so the bonus comes as a line of the next one."""
    farm.rules(bonus_per_tree="0.10")
    farm.mark(1, 1, 10)
    farm.mark(2, 1, 10, crew=1)
    for crew in (0, 1):
        farm.hours(farm.people[crew][0], 1, crew=crew)
    farm.export(farm.days())
    at = (farm.id, farm.farm.season.id, farm.farm.blocks[0].id)
    lots = [new_id(), new_id()]
    with farm.store.write() as conn:
        for row, lot in enumerate(lots, 1):
            add_lot(conn, lot, at, [(row, 1, False), (row, 2, False)], number=row, holes=[[row, 10]])
    checks = [
        farm.farm.check(row, position, lot_id=lots[row - 1], verdict="faulty" if row == 2 else "meets")
        for row in (1, 2)
        for position in (1, 2)
    ]
    recording.record_checks(farm.store, farm_id=farm.id, checks=checks, sent_at=NOW, now=NOW)
    bonus = [
        (one["person_id"], one["kind"], one["amount"], one["paid_before"])
        for one in farm.export(farm.days())["lines"]
    ]
    # nine trees of the first lot: its tenth position was a hole when it was drawn
    assert bonus == [(farm.people[0][0].id, "bonus", "0.90", "0")]
    assert paid(farm) == owed(farm)


def test_audit_log_tells_of_an_export_by_number_and_digest_and_of_no_money(farm):
    farm.mark(1, 1, 100)
    farm.hours(farm.people[0][0], 8)
    run = farm.export(farm.days())
    with farm.store.read() as conn:
        (entry,) = [one for one in audit.entries(conn) if one.subject == run["id"]]
    assert entry.what == "pay_run_exported"
    assert dict(entry.detail) == {"number": 1, "lines": len(run["lines"]), "digest": run["digest"]}


days_back = st.integers(0, 9).map(back)
crew_numbers = st.integers(0, 1)
methods = st.sampled_from(("ladder", "platform"))
steps = st.one_of(
    st.tuples(st.just("mark"), st.integers(1, 4), st.integers(1, 60), st.integers(1, 45), crew_numbers, days_back, methods),
    st.tuples(st.just("withdraw"), st.integers(0, 30)),
    st.tuples(st.just("hours"), crew_numbers, st.integers(0, 1), crew_numbers, st.integers(0, 22), days_back),
    st.tuples(st.just("crew_day"), crew_numbers, st.integers(1, 3), st.integers(1, 9), days_back, methods),
    st.tuples(st.just("run"), days_back, st.integers(0, 9), st.sampled_from((0, 1, None))),
    st.tuples(st.just("rate"), st.sampled_from(("0.37", "0.41", "0.05"))),
)  # fmt: skip


def take(farm: PaidFarm, marks, spans, step):
    match step:
        case ("mark", row, first, length, crew, day, method):
            marks.append(farm.mark(row, first, first + length, crew=crew, day=day, method=method))
        case ("withdraw", at) if marks:
            gone = [withdrawal(marks[at % len(marks)])]
            recording.record_withdrawals(
                farm.store, farm_id=farm.id, withdrawals=gone, sent_at=NOW, now=NOW, sender=Sender(None)
            )
        case ("hours", of, person, crew, halves, day):
            farm.hours(farm.people[of][person], halves / 2, crew=crew, day=day)
        case ("crew_day", crew, people, hours, day, method):
            farm.crew_day(people, hours, crew=crew, day=day, method=method)
        case ("rate", rate):
            by_hour = {"per": "hour", "rate": "7.13", "method": "platform"}
            farm.rules(**WEEKLY, rates=[{"per": "tree", "rate": rate}, by_hour])
        case ("run", first, more, crew):
            days = farm.days(first, min(TODAY, first.fromordinal(first.toordinal() + more)), crew)
            if farm.preview(days)["lines"]:
                farm.export(days)
                spans.append(days)
            if days.crew_id is None and days in spans:
                assert paid(farm) == owed(farm, *spans)


WEEKLY = {
    "floor_period": "week",
    "rest_paid": True,
    "overtime_after_h_per_week": "20",
    "overtime_premium": "0.5",
}


@settings(max_examples=tries(6), suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(steps, min_size=4, max_size=16))
def test_all_runs_together_pay_what_the_records_say_at_the_end(shared_store, taken):
    """Whatever was recorded, corrected and exported in between: nothing is paid twice, and nothing is lost."""
    farm = paid_farm(shared_store)
    farm.rules(**WEEKLY)
    marks: list[object] = []
    spans: list[RunDays] = []
    for step in taken:
        take(farm, marks, spans, step)
    whole = farm.days(back(9), TODAY)
    if farm.preview(whole)["lines"]:
        farm.export(whole)
    assert paid(farm) == owed(farm)
    assert farm.preview(whole)["lines"] == []
