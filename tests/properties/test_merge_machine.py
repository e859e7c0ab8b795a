"""The state machine of design 06b 2.8: tablets with queues, a service that loses answers, crashes and is restored from a backup.

Once over the pure model, once (fewer runs) over the real store on SQLite, where a crash cuts a transaction at its last
statement and a backup is a file (a process that is killed: `tests/faults`). After every step: what was acknowledged is kept, what is kept was attempted, credit and held add up, the store says what the model says. In the end every queue
drains and what is shown is what the naive model makes of everything that was ever tapped.
"""

import tempfile
from dataclasses import dataclass, field
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

import naive_merge
from merge_laws import CREWS, changed
from merge_services import ROWS, PureService, Queued, StoreService
from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.work.merging import MarkVersion, WithdrawalVersion, standing
from thorough import tries

SENDS_FOR: list[str | None] = ["A", "B", None]  # two crews' tablets, and a manager's
tablets = st.sampled_from(range(3))


@dataclass
class Tablet:
    """A device: what waits, and what was acknowledged and is kept in case the service is restored from a backup."""

    waits: list[Queued] = field(default_factory=list)
    acknowledged: list[Queued] = field(default_factory=list)
    epoch: int = 0


class Machine(RuleBasedStateMachine):
    """The rules. `service` is under test, `model` is the pure one fed with the same."""

    def __init__(self) -> None:
        super().__init__()
        self.service: Any = self.made_service()
        self.model = PureService()
        self.epoch = 0
        self.tablets = [Tablet() for _ in SENDS_FOR]
        self.attempted: set[tuple[str, str]] = set()
        self.marks: list[MarkVersion] = []
        self.number = 0
        self.withdrawal_ids: list[str] = []
        self.saved: tuple[Any, Any] | None = None

    def made_service(self) -> Any:
        return PureService()

    def new_id(self, letter: str) -> str:
        self.number += 1
        return f"{letter}{self.number:03}"

    def queue(self, n: int, record: Queued) -> None:
        self.tablets[n].waits.append(record)
        self.attempted.add((record.id, record.content_hash))
        if isinstance(record, MarkVersion):
            self.marks.append(record)

    @rule(
        n=tablets,
        place=st.sampled_from(ROWS),
        span=st.sampled_from([(1, 4), (3, 6), (5, 9)]),
        crew=st.sampled_from(CREWS),
    )
    def mark(self, n: int, place: tuple[str, int], span: tuple[int, int], crew: str) -> None:
        self.queue(n, changed(MarkVersion(self.new_id("m"), "", place, *span, SENDS_FOR[n] or crew)))

    @precondition(lambda self: self.marks)
    @rule(n=tablets, data=st.data(), kind=st.sampled_from(["twin", "repeat", "contradiction"]))
    def mark_again(self, n: int, data: st.DataObject, kind: str) -> None:
        """The same stretch by another crew, the same under another id, or the same id with other content; a foreign crew's too."""
        mark = data.draw(st.sampled_from(self.marks[-6:]))
        if kind == "contradiction":
            self.queue(n, changed(mark, last=mark.last - 1 if mark.last > mark.first else mark.last + 1))
        else:
            crew = (SENDS_FOR[n] or "C") if kind == "twin" else mark.crew_id
            self.queue(n, changed(mark, id=self.new_id("m"), crew_id=crew))

    @precondition(lambda self: self.marks)
    @rule(n=tablets, data=st.data())
    def withdraw(self, n: int, data: st.DataObject) -> None:
        """Now and then under an id that took something else back."""
        mark = data.draw(st.sampled_from(self.marks[-4:]))
        fresh = self.new_id("w")
        made = data.draw(st.sampled_from([fresh, fresh, *self.withdrawal_ids[-2:]]))
        self.withdrawal_ids.append(made)
        self.queue(n, WithdrawalVersion(made, f"{made}/{mark.id}", mark.id))

    @precondition(lambda self: any(tablet.waits or tablet.acknowledged for tablet in self.tablets))
    @rule(n=tablets, data=st.data())
    def hand_over(self, n: int, data: st.DataObject) -> None:
        """A tablet is paired for another crew, or its file is handed to a manager: the same record comes from elsewhere too."""
        there = [one for tablet in self.tablets for one in (*tablet.waits, *tablet.acknowledged)]
        self.tablets[n].waits.append(data.draw(st.sampled_from(there[-8:])))

    @rule(
        n=tablets,
        most=st.integers(1, 4),
        turned=st.booleans(),
        fate=st.sampled_from(["answered", "answered", "answer lost", "crash"]),
    )
    def upload(self, n: int, most: int, turned: bool, fate: str) -> None:
        """A crash before the commit leaves nothing; a lost answer leaves records that the tablet sends again."""
        if fate == "crash":
            for service in (self.service, self.model):
                service.crash(self.tablets[n].waits[:most], SENDS_FOR[n])
        else:
            self.send(n, most, turned=turned, answered=fate == "answered")

    @rule(n=tablets)
    def upload_everything(self, n: int) -> None:
        self.send(n, 100)

    def send(self, n: int, most: int, *, turned: bool = False, answered: bool = True) -> None:
        tablet = self.tablets[n]
        if tablet.epoch != self.epoch:  # the service was restored: everything acknowledged is offered again
            tablet.waits = [*tablet.acknowledged, *tablet.waits]
            tablet.acknowledged, tablet.epoch = [], self.epoch
        batch = tablet.waits[:most]
        in_order = batch[::-1] if turned else batch
        for service in (self.service, self.model):
            service.take(in_order, SENDS_FOR[n])
        if answered:
            tablet.acknowledged += batch
            tablet.waits = tablet.waits[most:]

    @rule(place=st.sampled_from(ROWS), span=st.sampled_from([(1, 5), (3, 4), (4, 5)]), data=st.data())
    def settle(self, place: tuple[str, int], span: tuple[int, int], data: st.DataObject) -> None:
        known = sorted({mark.content_hash for mark in self.model.records.marks if mark.place == place})
        ids = sorted({mark.id for mark in self.model.records.marks})
        looked_at = data.draw(
            st.sampled_from([known, known, ids])
        )  # ids, as settlements named them before 0.2
        there = [
            m
            for m in standing(self.model.records)
            if m.place == place and m.first <= span[1] and span[0] <= m.last
        ]
        if not there:
            return  # the service refuses a word on nothing
        overlooked = data.draw(st.sampled_from([None, None, *looked_at]))
        credited = data.draw(st.sampled_from([*CREWS, None]))
        seen = frozenset(looked_at) - {overlooked} or frozenset(looked_at)
        said = StretchSettlement(self.new_id("s"), 0, "", *place, *span, credited, seen)
        for service in (self.service, self.model):
            service.settle(said)

    @precondition(lambda self: self.model.set_aside())
    @rule(data=st.data())
    def let_count_or_leave_out(self, data: st.DataObject) -> None:
        aside = self.model.set_aside()
        kind, record_id = data.draw(st.sampled_from(sorted(aside)))
        short = {m.content_hash for m in self.model.records.marks if m.first > self.model.lengths[m.place]}
        able = sorted(aside[kind, record_id] - short)
        named = data.draw(st.sampled_from([None, *able, *able]))
        seen = frozenset(aside[kind, record_id])
        said = RecordSettlement(self.new_id("r"), 0, kind, record_id, named, seen)  # type: ignore[arg-type]
        for service in (self.service, self.model):
            service.settle(said)

    @rule(place=st.sampled_from(ROWS), positions=st.sampled_from([9, 9, 5]))
    def recount(self, place: tuple[str, int], positions: int) -> None:
        for service in (self.service, self.model):
            service.recount(place, positions)

    @rule()
    def back_up(self) -> None:
        self.saved = self.service.back_up(), self.model.back_up()

    @precondition(lambda self: self.saved is not None)
    @rule()
    def restore(self) -> None:
        assert self.saved is not None
        self.service.restore(self.saved[0])
        self.model.restore(self.saved[1])
        self.epoch += 1

    @invariant()
    def acknowledged_is_kept_and_kept_was_attempted(self) -> None:
        kept = self.service.kept()
        assert kept <= self.attempted
        for tablet in self.tablets:
            if tablet.epoch == self.epoch:
                assert {(one.id, one.content_hash) for one in tablet.acknowledged} <= kept

    @invariant()
    def service_says_what_the_model_says(self) -> None:
        self.service.check()
        assert self.service.said() == self.model.said()

    def teardown(self) -> None:
        """All tablets come back: every queue drains, nothing is lost, stuck, doubled or invented."""
        for n, tablet in enumerate(self.tablets):
            while tablet.waits or tablet.epoch != self.epoch:
                self.send(n, 4)
        assert self.service.kept() == self.attempted
        assert self.service.senders() == self.model.senders()
        assert self.service.waits() == self.model.waits()
        told = naive_merge.position_view(self.model.as_case())
        assert self.service.said() == {(("k", row), p): word for (row, p), word in told.items()}
        self.service.close()


class StoreMachine(Machine):
    """The same rules over the real store."""

    def made_service(self) -> Any:
        self.folder = tempfile.TemporaryDirectory()
        return StoreService(self.folder.name)

    def teardown(self) -> None:
        super().teardown()
        self.folder.cleanup()


QUIET = list(HealthCheck)
TestPureModel = Machine.TestCase
TestPureModel.settings = settings(
    max_examples=tries(50), stateful_step_count=40, deadline=None, suppress_health_check=QUIET
)
TestRealStore = StoreMachine.TestCase
TestRealStore.settings = settings(
    max_examples=tries(4),
    stateful_step_count=40,
    # a failing run is shown as it is: to shrink it over a real store takes minutes
    phases=[Phase.explicit, Phase.generate],
    deadline=None,
    suppress_health_check=QUIET,
)
