"""Folds that are wrong on purpose, each in a way that somebody could plausibly write; with the law that must catch it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from merge_laws import Fold, Op, Positions, Seen, records_of, right
from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.work.merging import MarkVersion, RowView, WithdrawalVersion, standing
from orchardmap.work.settling import Run


def one_owner_a_position(ops: Sequence[Op], positions: Positions) -> Seen:
    """Build rows in which the last operation given owns the trees, as if nobody else had claimed them."""
    kept = standing(records_of(ops))
    owner: dict[tuple[tuple[str, int], int], str] = {}
    for op in ops:
        if isinstance(op.record, MarkVersion) and op.record in kept:
            mark = op.record
            for position in range(mark.first, min(mark.last, positions[mark.place]) + 1):
                owner[mark.place, position] = mark.crew_id
    rows: Seen = {}
    for place, _ in sorted(owner):
        mine = sorted((p, crew) for (where, p), crew in owner.items() if where == place)
        runs = tuple(Run(p, p, crew, "done") for p, crew in mine)
        credited: dict[str | None, int] = {}
        for _, crew in mine:
            credited[crew] = credited.get(crew, 0) + 1
        rows[place] = RowView(runs, credited, 0)
    return rows


def last_device_clock_wins(ops: Sequence[Op], positions: Positions) -> Seen:
    return one_owner_a_position(sorted(ops, key=lambda op: (op.clock, repr(op.record))), positions)


def first_arrival_keeps_the_tree(ops: Sequence[Op], positions: Positions) -> Seen:
    return one_owner_a_position(list(reversed(ops)), positions)


def one_mark_per_stretch(ops: Sequence[Op], positions: Positions) -> Seen:
    """Two crews that claim the very same stretch are taken for a repeat."""
    found: dict[object, Op] = {}
    for op in sorted(ops, key=lambda op: repr(op.record)):
        mark = op.record
        key = (mark.place, mark.first, mark.last, mark.reason) if isinstance(mark, MarkVersion) else op
        found.setdefault(key, op)
    return right(list(found.values()), positions)


def settlement_hides_later_marks(ops: Sequence[Op], positions: Positions) -> Seen:
    everything = frozenset(op.record.id for op in ops if isinstance(op.record, MarkVersion))
    return right(
        [replace(op, record=replace(op.record, seen=everything)) if isinstance(op.record, StretchSettlement) else op for op in ops],
        positions,
    )  # fmt: skip


def foreign_withdrawal_holds(ops: Sequence[Op], positions: Positions) -> Seen:
    return right(
        [replace(op, record=replace(op.record, for_crew_id=None)) if isinstance(op.record, WithdrawalVersion) else op for op in ops],
        positions,
    )  # fmt: skip


def settlements_by_number_only(ops: Sequence[Op], positions: Positions) -> Seen:
    """Of two with one number the one that arrived last holds."""
    return right(
        [
            replace(op, record=replace(op.record, id=f"{at:06}")) if isinstance(op.record, StretchSettlement) else op
            for at, op in enumerate(ops)
        ],
        positions,
    )  # fmt: skip


def first_content_of_an_id_counts(ops: Sequence[Op], positions: Positions) -> Seen:
    found: dict[object, Op] = {}
    for op in ops:
        found.setdefault(op.record.id if isinstance(op.record, MarkVersion) else op, op)
    return right(list(found.values()), positions)


def withdrawal_before_its_mark_is_lost(ops: Sequence[Op], positions: Positions) -> Seen:
    kept: list[Op] = []
    there: set[str] = set()
    for op in ops:
        if isinstance(op.record, MarkVersion):
            there.add(op.record.id)
        if not isinstance(op.record, WithdrawalVersion) or op.record.mark_id in there:
            kept.append(op)
    return right(kept, positions)


def mark_beyond_the_row_is_dropped(ops: Sequence[Op], positions: Positions) -> Seen:
    return right(
        [op for op in ops if not (isinstance(op.record, MarkVersion) and op.record.last > positions[op.record.place])],
        positions,
    )  # fmt: skip


def every_claim_is_counted(ops: Sequence[Op], positions: Positions) -> Seen:
    """An overlap counts once for each crew."""
    rows = right(ops, positions)
    twice = {
        place: sum(run.last - run.first + 1 for run in row.runs if run.status == "contested")
        for place, row in rows.items()
    }
    return {place: replace(row, held=row.held + twice[place]) for place, row in rows.items()}


def let_count_whatever_came_since(ops: Sequence[Op], positions: Positions) -> Seen:
    """A version once let count goes on counting when another one arrives."""
    everything = frozenset(op.record.content_hash for op in ops if isinstance(op.record, MarkVersion))
    return right(
        [replace(op, record=replace(op.record, seen=everything)) if isinstance(op.record, RecordSettlement) else op for op in ops],
        positions,
    )  # fmt: skip


def a_word_holds_for_every_reason(ops: Sequence[Op], positions: Positions) -> Seen:
    """What a manager let count goes on counting when something else speaks against it."""
    return right(
        [replace(op, record=replace(op.record, reason=None)) if isinstance(op.record, RecordSettlement) else op for op in ops],
        positions,
    )  # fmt: skip


def first_sender_decides(ops: Sequence[Op], positions: Positions) -> Seen:
    """A record handed in again by somebody who may goes on as its first sender's."""
    found: dict[object, Op] = {}
    for op in ops:
        record = op.record
        key = (
            (type(record), record.id, record.content_hash)
            if isinstance(record, MarkVersion | WithdrawalVersion)
            else op
        )
        found.setdefault(key, op)
    return right(list(found.values()), positions)


def settlement_sees_ids(ops: Sequence[Op], positions: Positions) -> Seen:
    """A settlement that saw one content of a mark holds for every other."""
    known = [op.record for op in ops if isinstance(op.record, MarkVersion)]
    return right(
        [
            replace(op, record=replace(word, seen=word.seen | {m.id for m in known if m.content_hash in word.seen}))
            if isinstance(word := op.record, StretchSettlement)
            else op
            for op in ops
        ],
        positions,
    )  # fmt: skip


@dataclass(frozen=True)
class Wrong:
    """A wrong fold and the law that must catch it."""

    fold: Fold
    caught_by: str


WRONG: dict[str, Wrong] = {
    "the last device clock wins": Wrong(last_device_clock_wins, "P3"),
    "the first arrival keeps the tree": Wrong(first_arrival_keeps_the_tree, "P2"),
    "one mark per stretch": Wrong(one_mark_per_stretch, "P5"),
    "a settlement hides later marks": Wrong(settlement_hides_later_marks, "P7"),
    "a foreign withdrawal holds": Wrong(foreign_withdrawal_holds, "P8"),
    "settlements sorted by number only": Wrong(settlements_by_number_only, "P2"),
    "the first content of an id counts": Wrong(first_content_of_an_id_counts, "P2"),
    "a withdrawal before its mark is lost": Wrong(withdrawal_before_its_mark_is_lost, "P8"),
    "a mark beyond the row's end is dropped": Wrong(mark_beyond_the_row_is_dropped, "P13"),
    "every claim is counted": Wrong(every_claim_is_counted, "P4"),
    "let count whatever came since": Wrong(let_count_whatever_came_since, "P7b"),
    "a word holds for every reason": Wrong(a_word_holds_for_every_reason, "P7d"),
    "the first sender decides": Wrong(first_sender_decides, "P8b"),
    "a settlement sees ids": Wrong(settlement_sees_ids, "P7c"),
}
