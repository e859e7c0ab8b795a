"""The laws of the merge model (P1 to P8 and P13 of design 06b 2.8), each for any fold, so that wrong folds can be shown to break them.

A fold takes operations in their order of arrival and returns what every position became. The right one must not
look at that order, nor at the device's clock; a wrong one may.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from typing import Any

from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

import naive_merge
from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.work.merging import MarkVersion, Records, RowView, WithdrawalVersion, standing, view

Record = MarkVersion | WithdrawalVersion | StretchSettlement | RecordSettlement
Positions = Mapping[tuple[str, int], int]
Seen = dict[tuple[str, int], RowView]


@dataclass(frozen=True)
class Op:
    """A record as it arrives: who made it, and what the device's clock said."""

    record: Record
    device: int = 0
    clock: int = 0


def arriving(records: Iterable[Record]) -> list[Op]:
    """Return records in the order given, from one device whose clock stands still."""
    return [Op(one) for one in records]


Fold = Callable[[Sequence[Op], Positions], Seen]
IDS = [f"m{n}" for n in range(6)]
CREWS = ["A", "B", "C"]
ROWS = [("k", 1), ("k", 2)]


def records_of(ops: Sequence[Op]) -> Records:
    def of(kind: type) -> frozenset[Any]:
        return frozenset(op.record for op in ops if isinstance(op.record, kind))

    return Records(of(MarkVersion), of(WithdrawalVersion), of(StretchSettlement), of(RecordSettlement))


def right(ops: Sequence[Op], positions: Positions) -> Seen:
    """The fold under test."""
    return view(records_of(ops), positions)


# --- generators that force collisions: six ids, two rows, three crews, a few favourite stretches ---
# (one drawn seed makes a whole history: fifteen times quicker than drawing its parts, and short enough to read unshrunk)

STRETCHES = [(1, 4), (3, 6), (3, 6), (5, 5), (1, 9), (7, 8)]
seeds = st.integers(0, 2**48).map(Random)


def a_mark(draw: Random) -> MarkVersion:
    first, last = draw.choice(STRETCHES)
    reason = draw.choice([None] * 8 + ["block_closed", "unknown_crew"])
    made = MarkVersion(draw.choice(IDS), "", draw.choice(ROWS), first, last, draw.choice(CREWS), reason)
    return changed(made)


def changed(mark: MarkVersion, **changes: Any) -> MarkVersion:
    """Return the mark with other content, and the hash that goes with it."""
    made = replace(mark, **changes)
    content = f"{made.id}/{made.place[1]}/{made.first}/{made.last}/{made.crew_id}/{made.reason}"
    return replace(made, content_hash=content)


def a_settlement(draw: Random, marks: Sequence[MarkVersion]) -> StretchSettlement:
    """One that saw the contents of all marks, or of some; or that names ids, as they did before 0.2."""
    (first, last), (block, row) = draw.choice(STRETCHES), draw.choice(ROWS)
    hashes = [mark.content_hash for mark in marks]
    seen = draw.choice([hashes, hashes, hashes, hashes[::2], IDS, IDS[2:]])
    return StretchSettlement(
        draw.choice(["s1", "s2", "s3"]), draw.randint(1, 3), "", block, row, first, last,
        draw.choice([*CREWS, None]), frozenset(seen),
    )  # fmt: skip


def a_history(draw: Random) -> list[Op]:
    """Up to some twenty operations of three devices; every third mark has a twin, a repeat or a contradiction, settlements tie."""
    marks: list[MarkVersion] = []
    for _ in range(draw.randint(1, 7)):
        mark = a_mark(draw)
        marks.append(mark)
        fate = draw.choice(["", "", "", "", "twin", "twin", "repeat", "contradiction"])
        if fate == "twin":
            marks.append(changed(mark, id=draw.choice(IDS), crew_id=draw.choice(CREWS)))
        elif fate == "repeat":
            marks.append(changed(mark, id=draw.choice(IDS)))
        elif fate == "contradiction":
            marks.append(changed(mark, last=mark.last + 1))
        if draw.random() < 0.2:  # from some crew's tablet, and perhaps from elsewhere too
            marks[-1] = replace(marks[-1], for_crew_id=draw.choice(CREWS))
            marks += [replace(marks[-1], for_crew_id=draw.choice([None, *CREWS]))] * draw.randint(0, 1)
    made: list[Record] = [*marks]
    for number in draw.sample(range(4), draw.randint(0, 3)):
        named = draw.choice([draw.choice(marks).id, draw.choice(marks).id, "unknown"])
        for _ in range(
            draw.choice([1, 1, 2])
        ):  # whose tablet it was goes with the sender, not with the content
            made.append(WithdrawalVersion(f"w{number}", named, named, draw.choice([None, *CREWS])))
    for _ in range(draw.randint(0, 3)):
        word = a_settlement(draw, marks)
        made.append(word)
        if draw.random() < 0.5:
            made.append(
                replace(word, id=draw.choice(["s1", "s2", "s3"]), credited_crew_id=draw.choice(CREWS))
            )
    for number in range(draw.choice([0, 0, 1, 2])):
        about = draw.choice(marks)
        hashes = {one.content_hash for one in marks if one.id == about.id}
        seen = draw.choice([hashes, hashes, {about.content_hash}])
        says = draw.choice([about.content_hash, about.content_hash, None])
        given_for = draw.choice([None, None, "other_content", "other_crew", "block_closed"])
        made.append(
            RecordSettlement(f"r{number}", number, "mark", about.id, says, frozenset(seen), "", given_for)
        )
    draw.shuffle(made)
    return [Op(record, draw.randrange(3), draw.randrange(50)) for record in made]


histories = seeds.map(a_history)
lengths = seeds.map(lambda draw: {place: draw.randint(3, 10) for place in ROWS})


# --- the laws ---


def said_at(seen: Seen) -> dict[tuple[tuple[str, int], int], tuple[str, str | None]]:
    """(row, position) -> status and credited crew; a position told twice is an error of its own."""
    told: dict[Any, tuple[str, str | None]] = {}
    for place, row in seen.items():
        for run in row.runs:
            for position in range(run.first, run.last + 1):
                assert (place, position) not in told, "a position is told twice"
                told[place, position] = (run.status, run.crew_id)
    return told


def p1_merge_is_a_union(fold: Fold, data: st.DataObject) -> None:
    a, b, c = (data.draw(histories) for _ in range(3))
    positions = data.draw(lengths)
    whole = fold([*a, *b, *c], positions)
    assert fold([*c, *b, *a], positions) == whole == fold([*b, *c, *a, *b], positions)
    assert fold([*a, *a], positions) == fold(a, positions)
    one, two, three = records_of(a), records_of(b), records_of(c)
    assert one.merged(two).merged(three) == one.merged(two.merged(three)) == three.merged(one).merged(two)
    assert one.merged(one) == one


def p2_order_repeats_and_batches_change_nothing(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    draw = data.draw(seeds)
    turned = [*ops, *draw.choices(ops, k=draw.randint(0, 6))]
    draw.shuffle(turned)
    assert fold(turned, positions) == fold(ops, positions)


def p3_device_clocks_change_nothing(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    draw = data.draw(seeds)
    wrong = [draw.randint(-5000, 5000) for _ in range(3)]
    skewed = [replace(op, clock=op.clock + wrong[op.device]) for op in ops]
    assert fold(skewed, positions) == fold(ops, positions)


def p4_credit_and_held_are_what_is_done(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    seen = fold(ops, positions)
    told = said_at(seen)
    claimed = {
        (mark.place, p) for mark in standing(records_of(ops)) for p in range(mark.first, mark.last + 1)
    }
    for place, row in seen.items():
        mine = [word for (where, _), word in told.items() if where == place]
        assert row.done == len(mine) <= positions[place]
        assert row.held == sum(status in {"contested", "reopened"} for status, _ in mine)
        assert all(credit is None for status, credit in mine if status in {"contested", "reopened"})
    assert set(told) <= claimed, "credit where nobody claims"


def p5_every_standing_mark_is_seen(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    told = said_at(fold(ops, positions))
    for mark in standing(records_of(ops)):
        for position in range(mark.first, min(mark.last, positions[mark.place]) + 1):
            status, crew = told[mark.place, position]
            assert status != "done" or crew == mark.crew_id, "another crew is credited as if alone"


def p6_every_overlap_is_held_or_settled(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    told = said_at(fold(ops, positions))
    claims: dict[Any, set[str]] = {}
    for mark in standing(records_of(ops)):
        for position in range(mark.first, min(mark.last, positions[mark.place]) + 1):
            claims.setdefault((mark.place, position), set()).add(mark.crew_id)
    for at, crews in claims.items():
        assert len(crews) < 2 or told[at][0] in {"contested", "reopened", "settled"}


def p7_no_word_hides_what_it_has_not_seen(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    records = records_of(ops)
    told = said_at(fold(ops, positions))
    for mark in standing(records):
        for position in range(mark.first, min(mark.last, positions[mark.place]) + 1):
            covering = [
                word
                for word in records.settlements
                if (word.block_id, word.row) == mark.place and word.first <= position <= word.last
            ]
            if told[mark.place, position][0] == "settled":
                last = max((word.number, word.id) for word in covering)
                assert all(
                    {mark.id, mark.content_hash} & word.seen
                    for word in covering
                    if (word.number, word.id) == last
                )


def p7b_no_word_lets_count_a_version_it_has_not_seen(fold: Fold, data: st.DataObject) -> None:
    place = ROWS[0]
    mark = changed(data.draw(seeds.map(a_mark)), place=place, reason=None, for_crew_id=None)
    others = [changed(mark, last=mark.last + n) for n in range(1, data.draw(st.integers(2, 3)))]
    seen = frozenset({mark.content_hash, *(one.content_hash for one in others[:-1])})
    word = RecordSettlement("r", 1, "mark", mark.id, mark.content_hash, seen)
    records: list[Record] = [mark, *others, word]
    ops = arriving(data.draw(st.permutations(records)))
    assert fold(ops, {place: 12}) == {}


def p7d_no_word_holds_for_a_reason_it_was_not_given_for(fold: Fold, data: st.DataObject) -> None:
    """A manager lets another crew's mark count; then the block turns out to have been closed (or the other way round)."""
    place = ROWS[0]
    mark = changed(data.draw(seeds.map(a_mark)), place=place, reason=None)
    other = data.draw(st.sampled_from([crew for crew in CREWS if crew != mark.crew_id]))
    foreign = replace(mark, for_crew_id=other)
    closed = changed(mark, reason="block_closed")
    for record, shown in ((foreign, "other_crew"), (closed, "block_closed")):
        for given_for in (None, "other_crew", "block_closed", "device_revoked"):
            seen = frozenset((record.content_hash,))
            word = RecordSettlement("r", 1, "mark", mark.id, record.content_hash, seen, "", given_for)
            ops = arriving(data.draw(st.permutations([record, word])))
            assert bool(fold(ops, {place: 12})) is (given_for in {None, shown})


def p7c_no_word_hides_a_content_it_has_not_seen(fold: Fold, data: st.DataObject) -> None:
    """A manager settles a stretch, and later lets another content of one of its marks count."""
    place = ROWS[0]
    mark = changed(data.draw(seeds.map(a_mark)), place=place, reason=None, for_crew_id=None)
    other = changed(mark, crew_id=data.draw(st.sampled_from(CREWS)), last=mark.last + 1)
    both = frozenset((mark.content_hash, other.content_hash))
    counts = RecordSettlement("r", 2, "mark", mark.id, other.content_hash, both)
    for saw, status in ((mark, "reopened"), (other, "settled")):
        seen = frozenset((saw.content_hash,))
        word = StretchSettlement("s", 1, "", *place, mark.first, other.last, "A", seen)
        records: list[Record] = [mark, other, counts, word]
        told = said_at(fold(arriving(data.draw(st.permutations(records))), {place: 12}))
        assert {said for said, _ in told.values()} == {status}


def p8_withdrawals(fold: Fold, data: st.DataObject) -> None:
    mark = changed(data.draw(seeds.map(a_mark)), reason=None, for_crew_id=None)
    other = data.draw(st.sampled_from([crew for crew in CREWS if crew != mark.crew_id]))
    positions = data.draw(lengths)
    alone = fold([Op(mark)], positions)
    assume(alone)
    own = [WithdrawalVersion("w", "w", mark.id, crew) for crew in (None, mark.crew_id)]
    for back in own:
        orders: list[list[Record]] = [[mark, back], [back, mark], [back, mark, back], [mark, back, mark]]
        for order in orders:
            assert fold(arriving(order), positions) == {}
    foreign = WithdrawalVersion("x", "x", mark.id, other)
    unknown = WithdrawalVersion("y", "y", "unknown")
    for back in (foreign, unknown):
        pairs: list[list[Record]] = [[mark, back], [back, mark]]
        for pair in pairs:
            assert fold(arriving(pair), positions) == alone
    word = RecordSettlement("r", 1, "withdrawal", "x", "x", frozenset("x"))
    assert fold(arriving(data.draw(st.permutations([mark, foreign, word]))), positions) == {}


def p8b_who_handed_it_in_first_decides_nothing(fold: Fold, data: st.DataObject) -> None:
    """A record counts when one of its senders may speak for its crew, in whatever order they handed it in."""
    mark = changed(data.draw(seeds.map(a_mark)), reason=None, for_crew_id=None)
    positions = data.draw(lengths)
    alone = fold([Op(mark)], positions)
    assume(alone)
    may: list[str | None] = [None, mark.crew_id]
    scopes = data.draw(st.lists(st.sampled_from([None, *CREWS]), min_size=1, max_size=4))
    marks: list[Record] = [replace(mark, for_crew_id=one) for one in scopes]
    back: list[Record] = [WithdrawalVersion("w", "w", mark.id, one) for one in scopes]
    one_may = any(one in may for one in scopes)
    assert fold(arriving(marks), positions) == (alone if one_may else {})
    assert fold(arriving([mark, *back]), positions) == ({} if one_may else alone)


def p13_recounted_rows_lose_nothing(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    whole = said_at(fold(ops, positions))
    shorter = {place: data.draw(st.integers(0, n)) for place, n in positions.items()}
    cut = {at: word for at, word in whole.items() if at[1] <= shorter[at[0]]}
    assert said_at(fold(ops, shorter)) == cut
    assert said_at(fold(ops, positions)) == whole


def equals_the_naive_model(fold: Fold, data: st.DataObject) -> None:
    ops, positions = data.draw(histories), data.draw(lengths)
    expected = naive_merge.position_view(as_case(ops, positions))
    assert {(place[1], p): word for (place, p), word in said_at(fold(ops, positions)).items()} == expected


def as_case(ops: Sequence[Op], positions: Positions) -> naive_merge.Case:
    """The same history in the words of `tests/vectors`."""
    records = records_of(ops)
    return {
        "rows": {str(row): length for (_, row), length in positions.items()},
        "marks": [
            {
                "id": m.id, "version": m.content_hash, "row": m.place[1], "first": m.first, "last": m.last,
                "crew": m.crew_id, "reason": m.reason, "for_crew": m.for_crew_id,
            }
            for m in records.marks
        ],
        "withdrawals": [
            {"id": w.id, "version": w.content_hash, "mark": w.mark_id, "for_crew": w.for_crew_id, "reason": w.reason}
            for w in records.withdrawals
        ],
        "settlements": [
            {
                "number": s.number, "id": s.id, "row": s.row, "first": s.first, "last": s.last,
                "crew": s.credited_crew_id, "seen": sorted(s.seen),
            }
            for s in records.settlements
        ],
        "record_settlements": [
            {
                "number": r.number, "id": r.id, "kind": r.record_kind, "record": r.record_id,
                "version": r.content_hash, "seen": sorted(r.seen), "reason": r.reason,
            }
            for r in records.record_settlements
        ],
    }  # fmt: skip


Law = Callable[[Fold, Any], None]
LAWS: dict[str, Law] = {
    "P1": p1_merge_is_a_union,
    "P2": p2_order_repeats_and_batches_change_nothing,
    "P3": p3_device_clocks_change_nothing,
    "P4": p4_credit_and_held_are_what_is_done,
    "P5": p5_every_standing_mark_is_seen,
    "P6": p6_every_overlap_is_held_or_settled,
    "P7": p7_no_word_hides_what_it_has_not_seen,
    "P7b": p7b_no_word_lets_count_a_version_it_has_not_seen,
    "P7c": p7c_no_word_hides_a_content_it_has_not_seen,
    "P7d": p7d_no_word_holds_for_a_reason_it_was_not_given_for,
    "P8": p8_withdrawals,
    "P8b": p8b_who_handed_it_in_first_decides_nothing,
    "P13": p13_recounted_rows_lose_nothing,
    "naive": equals_the_naive_model,
}


def holds(law: Law, fold: Fold, examples: int) -> bool:
    """Tell whether no example breaks the law; the same examples every time, and the first that breaks it is enough."""

    @settings(
        max_examples=examples,
        database=None,
        derandomize=True,
        deadline=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(data=st.data())
    def run(data: st.DataObject) -> None:
        law(fold, data)

    try:
        run()
    except (AssertionError, KeyError):
        return False
    return True
