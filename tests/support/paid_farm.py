"""A small farm that pays: rules, marks, hours and runs in few words. Amounts are made up."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from orchardmap.model.people import Method, Person
from orchardmap.model.work import CrewDay, Mark
from orchardmap.store.session import Store
from orchardmap.usecases import pay_rules, pay_runs, planting, recording
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.pay_reckoning import RunDays
from orchardmap.usecases.pay_rules import Doer
from orchardmap.usecases.person_hours import TypedHours, hours_json, type_hours
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, SmallFarm, small_farm

BY = Doer(None, "shell", NOW)
RULES: dict[str, Any] = {
    "currency": "XTS",  # ISO 4217's code for tests
    "rates": [{"per": "tree", "rate": "0.37"}],
    "minimum_wage": [{"per_hour": "6.00"}],
}


@dataclass(frozen=True)
class PaidFarm:
    """The farm with two people in each of its first two crews."""

    store: Store
    farm: SmallFarm
    people: tuple[tuple[Person, Person], tuple[Person, Person]]

    @property
    def id(self) -> str:
        """Of the farm."""
        return self.farm.farm.id

    def rules(self, **changes: Any) -> None:
        """Save the rules with some of them changed."""
        revision = pay_rules.rules_json(self.store, self.id)["revision"]
        pay_rules.save_rules(self.store, farm_id=self.id, rules=RULES | changes, revision=revision, by=BY)

    def mark(
        self, row: int, first: int, last: int, *, crew: int = 0, day: date = TODAY, **changes: Any
    ) -> Mark:
        """Record a mark."""
        made = self.farm.mark(row, first, last, crew=crew, day=day, **changes)
        recording.record_marks(self.store, farm_id=self.id, marks=[made], sent_at=NOW, now=NOW)
        return made

    def hours(self, person: Person, hours: float, *, crew: int = 0, day: date = TODAY, rest: int = 0) -> None:
        """Type hours, whatever was typed there before."""
        crew_id = self.farm.crews[crew].id
        there = hours_json(self.store, self.id, first=day, last=day)["hours"]
        kept = [one["id"] for one in there if (one["person_id"], one["crew_id"]) == (person.id, crew_id)]
        made = TypedHours(new_id(), person.id, crew_id, day, hours, rest, kept[0] if kept else None)
        type_hours(self.store, farm_id=self.id, typed=[made], now=NOW)

    def crew_day(
        self, people: int, hours: float, *, crew: int = 0, day: date = TODAY, method: Method = "ladder"
    ) -> None:
        """Record a crew-day."""
        made = CrewDay(
            new_id(),
            self.farm.season.id,
            self.farm.crews[crew].id,
            day,
            people,
            hours,
            method,
            None,
            None,
            NOW,
        )
        record_crew_days(self.store, farm_id=self.id, crew_days=[made], sent_at=NOW, now=NOW)

    def days(self, first: date = TODAY, last: date = TODAY, crew: int | None = None) -> RunDays:
        """Days of a run."""
        return RunDays(first, last, None if crew is None else self.farm.crews[crew].id)

    def preview(self, days: RunDays) -> dict[str, Any]:
        """Look at a run."""
        return pay_runs.preview(self.store, self.id, days, now=NOW)

    def export(self, days: RunDays) -> dict[str, Any]:
        """Export a run as it is seen."""
        seen = self.preview(days)["digest"]
        return pay_runs.export_run(self.store, farm_id=self.id, run_id=new_id(), days=days, seen=seen, by=BY)


def paid_farm(store: Store) -> PaidFarm:
    """Make the farm."""
    farm = small_farm(store, new_id())
    pairs = [
        [
            planting.add_person(
                store, farm_id=farm.farm.id, name=f"{name} {crew.name}", role="worker", crew_id=crew.id
            )
            for name in ("Ana", "Ben")
        ]
        for crew in farm.crews[:2]
    ]
    (a, b), (c, d) = pairs
    return PaidFarm(store, farm, ((a, b), (c, d)))


def back(days: int) -> date:
    """So many days before today."""
    return TODAY - timedelta(days=days)
