"""Two services for the state machine of the merge model: the pure model, and the real store behind the use cases."""

import uuid
from collections import Counter
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

import naive_merge
from merge_laws import Record, arriving, as_case, said_at
from orchardmap.model.people import Sender
from orchardmap.model.work import Mark, RecordSettlement, StretchSettlement, Withdrawal
from orchardmap.store import log, row_tables, senders, states
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import backup, folding, history, matters, packs, planting, recording, settling
from orchardmap.work.identity import content_hash
from orchardmap.work.merging import MarkVersion, Records, WithdrawalVersion, view
from orchardmap.work.settling import HELD, Claim, settled_runs
from ready_stores import ready_sqlite
from small_farm import NOW, TODAY, small_farm

ROWS = [("k", 1), ("k", 2)]
Queued = MarkVersion | WithdrawalVersion
Said = dict[Any, tuple[str, str | None]]


class PureService:
    """Records as sets. Nothing is refused; a content stays as it first came, its senders are gathered."""

    def __init__(self) -> None:
        self.records = Records()
        self.numbers = 0
        self.lengths = dict.fromkeys(ROWS, 9)

    def take(self, found: list[Queued], sender_crew: str | None) -> None:
        known = {(one.id, one.content_hash): one.reason for one in self.records.marks}
        for one in found:
            handed_in = replace(one, for_crew_id=sender_crew)
            if isinstance(handed_in, WithdrawalVersion):
                self.records = self.records.merged(Records(withdrawals=frozenset([handed_in])))
                continue
            long = "beyond_row_end" if handed_in.last > self.lengths[handed_in.place] else None
            reason = known.setdefault((handed_in.id, handed_in.content_hash), long)
            self.records = self.records.merged(Records(frozenset([replace(handed_in, reason=reason)])))

    def settle(self, said: StretchSettlement | RecordSettlement) -> None:
        self.numbers += 1
        if isinstance(said, StretchSettlement):
            more = Records(settlements=frozenset([replace(said, number=self.numbers)]))
        else:
            shown = naive_merge.shown_reason(self.as_case(), said.record_kind, said.record_id)
            numbered = replace(said, number=self.numbers, reason=shown)
            more = Records(record_settlements=frozenset([numbered]))
        self.records = self.records.merged(more)

    def recount(self, place: tuple[str, int], positions: int) -> None:
        self.lengths[place] = positions

    def crash(self, found: list[Queued], sender_crew: str | None) -> None:
        """Nothing is kept of what was not committed."""

    def back_up(self) -> Any:
        return self.records, self.numbers, dict(self.lengths)

    def restore(self, saved: Any) -> None:
        self.records, self.numbers, lengths = saved
        self.lengths = dict(lengths)

    def kept(self) -> set[tuple[str, str]]:
        return {(one.id, one.content_hash) for one in self.handed_in()}

    def handed_in(self) -> list[Queued]:
        """Every version once for each scope that it was handed in by."""
        return [*self.records.marks, *self.records.withdrawals]

    def senders(self) -> set[tuple[str, str, str | None]]:
        return {(one.id, one.content_hash, one.for_crew_id) for one in self.handed_in()}

    def as_case(self) -> naive_merge.Case:
        records = self.records
        everything: list[Record] = [*records.marks, *records.withdrawals, *records.settlements]
        return as_case(arriving([*everything, *records.record_settlements]), self.lengths)

    def said(self) -> Said:
        return said_at(view(self.records, self.lengths))

    def set_aside(self) -> dict[tuple[str, str], set[str]]:
        """(kind, id) -> contents of all that does not count by itself, spoken of or not: by the naive model."""
        return naive_merge.set_aside(self.as_case())

    def waits(self) -> set[tuple[str, str]]:
        words: dict[tuple[str, str], RecordSettlement] = {}
        for word in sorted(self.records.record_settlements, key=lambda word: word.number):
            words[word.record_kind, word.record_id] = word
        aside = self.set_aside()
        return {key for key, contents in aside.items() if key not in words or not contents <= words[key].seen}

    def check(self) -> None:
        rows = view(self.records, self.lengths)
        for place, row in rows.items():
            assert row.done == sum(at[0] == place for at in said_at(rows)) <= self.lengths[place]

    def close(self) -> None:
        pass


class StoreService:
    """The real store on SQLite, spoken to through the use cases; and a reader that polls the changes."""

    def __init__(self, folder: str) -> None:
        self.folder, self.files = Path(folder), 0
        self.store = open_store(ready_sqlite(self.new_file()))
        self.farm = small_farm(self.store)
        self.block = self.farm.blocks[0].id
        self.crews = dict(zip("ABC", (crew.id for crew in self.farm.crews), strict=True))
        self.letters = {crew_id: letter for letter, crew_id in self.crews.items()}
        self.names: dict[tuple[str, str], tuple[str, str]] = {}
        for place in ROWS:
            self.recount(place, 9)
        self.cursor = history.cursor(self.store, self.farm.farm.id)
        self.pulled: Counter[str] = Counter()
        self.asked = 0

    def new_file(self) -> Path:
        self.files += 1
        return self.folder / f"machine{self.files}.sqlite"

    def crash(self, found: list[Queued], sender_crew: str | None) -> None:
        """Take the batch up to its last statement, which fails; go on with the file as whoever starts the service again finds it."""
        with self.store.write() as conn:
            conn.execute(
                text("CREATE TRIGGER cut BEFORE INSERT ON changes BEGIN SELECT RAISE(ABORT, 'cut'); END")
            )
        with suppress(IntegrityError):  # a batch of repeats has nothing to write, and is not cut
            self.take(found, sender_crew)
        url = str(self.store.url)
        self.store.close()
        self.store = open_store(url)
        with self.store.write() as conn:
            conn.execute(text("DROP TRIGGER cut"))

    def back_up(self) -> Path:
        self.files += 1
        file = self.folder / f"{self.files}.backup"
        backup.back_up(self.store, file, now=NOW)
        return file

    def restore(self, saved: Path) -> None:
        """And the reader, who hears of a new epoch, reads from the beginning."""
        url = sqlite_url(self.new_file())
        backup.restore(saved, url, epoch=str(uuid.uuid4()))
        self.store.close()
        self.store = open_store(url)
        self.cursor, self.pulled = 0, Counter()

    def uuid(self, name: str) -> str:
        return str(uuid.uuid5(uuid.NAMESPACE_OID, name))

    def _named(self, one: Queued, made: Mark | Withdrawal) -> Any:
        self.names[made.id, content_hash(made)] = (one.id, one.content_hash)
        return made

    def _mark(self, one: MarkVersion) -> Mark:
        made = Mark(
            self.uuid(one.id), self.farm.season.id, self.block, one.place[1], one.first, one.last,
            self.crews[one.crew_id], TODAY, "ladder", None, None, NOW,
        )  # fmt: skip
        self._named(one, made)
        return made

    def take(self, found: list[Queued], sender_crew: str | None) -> None:
        sender = Sender(None, self.crews[sender_crew] if sender_crew else None)
        marks = [self._mark(one) for one in found if isinstance(one, MarkVersion)]
        back = [
            self._named(one, Withdrawal(self.uuid(one.id), self.uuid(one.mark_id), None, None, NOW))
            for one in found
            if isinstance(one, WithdrawalVersion)
        ]
        shared: dict[str, Any] = {"farm_id": self.farm.farm.id, "sent_at": NOW, "now": NOW, "sender": sender}
        told = recording.record_marks(self.store, marks=marks, **shared)
        told += recording.record_withdrawals(self.store, withdrawals=back, **shared)
        assert [receipt.id for receipt in told] == [one.id for one in (*marks, *back)]

    def settle(self, said: StretchSettlement | RecordSettlement) -> None:
        hashes = {label: real for (_, real), (_, label) in self.names.items()}
        if isinstance(said, StretchSettlement):
            credited = said.credited_crew_id
            made: StretchSettlement | RecordSettlement = replace(
                said,
                id=self.uuid(said.id),
                season_id=self.farm.season.id,
                block_id=self.block,
                credited_crew_id=self.crews[credited] if credited else None,
                seen=frozenset(hashes.get(one) or self.uuid(one) for one in said.seen),
            )
        else:
            made = replace(
                said,
                id=self.uuid(said.id),
                record_id=self.uuid(said.record_id),
                content_hash=hashes[said.content_hash] if said.content_hash else None,
                seen=frozenset(hashes[label] for label in said.seen),
            )
        told = settling.settle(self.store, farm_id=self.farm.farm.id, said=made, settled_by=None, now=NOW)
        assert told.is_new

    def recount(self, place: tuple[str, int], positions: int) -> None:
        planting.count_row(self.store, block_id=self.block, row=place[1], counted_positions=positions)

    def kept(self) -> set[tuple[str, str]]:
        with self.store.read() as conn:
            found = [
                (record_id, digest)
                for kind in ("mark", "withdrawal")
                for record_id, of in log.versions(
                    conn, kind, self.farm.farm.id, {i for i, _ in self.names}
                ).items()
                for digest in of
            ]
        assert len(set(found)) == len(found), "kept twice"
        return {self.names[one] for one in found}

    def senders(self) -> set[tuple[str, str, str | None]]:
        with self.store.read() as conn:
            return {
                (*self.names[version], self.letters[crew_id] if crew_id else None)
                for kind in ("mark", "withdrawal")
                for version, found in senders.scopes(
                    conn, kind, self.farm.farm.id, {i for i, _ in self.names}
                ).items()
                for crew_id in found
            }

    def waits(self) -> set[tuple[str, str]]:
        labels = {real: label for (real, _), (label, _) in self.names.items()}
        found = matters.matters(self.store, self.farm.farm.id, now=NOW)["set_aside"]
        return {(one["kind"], labels[one["id"]]) for one in found}

    def said(self) -> Said:
        with self.store.read() as conn:
            found = states.row_states(conn, self.farm.season.id)
        return {
            (("k", state.row), position): (run.status, self.letters.get(run.crew_id or ""))
            for state in found
            for run in state.runs
            for position in range(run.first, run.last + 1)
        }

    def check(self) -> None:
        """P10: the stored states are what the log says. P6: every held tree is put before the manager. Every fifth time, and at the end."""
        self.asked += 1
        if self.asked % 5 == 0:
            self.check_thoroughly()

    def check_thoroughly(self) -> None:
        assert folding.rebuild(self.store, self.farm.farm.id, write=False) == []
        listed = {
            (("k", one["row"]), position)
            for one in matters.matters(self.store, self.farm.farm.id, now=NOW)["overlaps"]
            for position in range(one["first"], one["last"] + 1)
        }
        assert listed == {at for at, (status, _) in self.said().items() if status in HELD}
        self.pull(2)

    def pull(self, limit: int) -> int:
        found = history.changes(self.store, self.farm.farm.id, after=self.cursor, limit=limit)
        self.cursor = found["cursor"]
        self.pulled.update(c["subject_id"] for c in found["changes"] if c["kind"] in {"mark", "withdrawal"})
        return len(found["changes"])

    def close(self) -> None:
        """P11: the reader saw that somebody of a scope handed a version in. And what a tablet folds from the block's log is what the map shows."""
        self.check_thoroughly()
        while self.pull(3):
            pass
        senders_of = Counter(self.uuid(record_id) for record_id, _, _ in self.senders())
        contents_of = Counter(self.uuid(record_id) for record_id, _ in self.kept())
        assert senders_of <= self.pulled
        # of a record that came with several contents once more, where its other content names another block
        assert all(contents_of[record_id] > 1 for record_id in self.pulled - senders_of)
        told = packs.block_log(self.store, self.block, now=NOW)
        crews = [self.letters[crew["id"]] for crew in told["crews"]]
        with self.store.read() as conn:
            table = row_tables.row_table(conn, [self.block])
        positions = dict(zip(table.number.tolist(), table.positions.tolist(), strict=True))
        for _, number in ROWS:
            claims = [Claim(i, a, b, crews[c], "") for i, row, a, b, c, _ in told["marks"] if row == number]
            words = [
                StretchSettlement(i, n, "", "", row, a, b, crews[c] if c >= 0 else None, frozenset(seen))
                for n, i, row, a, b, c, seen in told["settlements"]
                if row == number
            ]
            runs = settled_runs(claims, words, positions=positions[number])
            assert {(p, run.status, run.crew_id) for run in runs for p in range(run.first, run.last + 1)} == {
                (p, *word) for (place, p), word in self.said().items() if place == ("k", number)
            }
        self.store.close()
