"""A season of records for one fold, and the same records in another order, repeated, in other batches."""

import json
from dataclasses import replace
from random import Random

from merge_laws import CREWS, Record, changed
from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.work.merging import MarkVersion, Records, WithdrawalVersion, view

LENGTH = 40


def season(*, rows: int, operations: int, seed: int) -> list[Record]:
    """Marks with twins, repeats and contradictions, withdrawals before and after, some from other crews' tablets, settlements that tie or saw half."""
    draw = Random(seed)
    marks: list[MarkVersion] = []
    made: list[Record] = []
    while len(made) < operations:
        kind = draw.choices(
            ["mark", "twin", "contradiction", "withdrawal", "handed in again", "settlement", "word"],
            [45, 20, 5, 10, 5, 10, 5],
        )[0]
        if kind == "mark" or not marks:
            first = draw.randint(1, LENGTH)
            place = ("k", draw.randint(1, rows))
            mark = MarkVersion(
                f"m{len(marks)}", "", place, first, min(first + draw.randint(0, 20), LENGTH + 2), draw.choice(CREWS),
                draw.choice([None] * 9 + ["block_closed"]), draw.choice([*[None] * 6, *CREWS]),
            )  # fmt: skip
        else:
            mark = draw.choice(marks)
        if kind in {"mark", "twin", "contradiction"}:
            made.append(
                changed(mark)
                if kind == "mark"
                else changed(mark, id=f"m{len(marks)}", crew_id=draw.choice(CREWS))
                if kind == "twin"
                else changed(mark, last=mark.last + 1)
            )
            assert isinstance(made[-1], MarkVersion)
            marks.append(made[-1])
        elif kind == "withdrawal":
            made.append(WithdrawalVersion(f"w{len(made)}", mark.id, mark.id, draw.choice([None, *CREWS])))
        elif kind == "handed in again":
            found = [one for one in made if isinstance(one, MarkVersion | WithdrawalVersion)]
            made.append(replace(draw.choice(found), for_crew_id=draw.choice([None, *CREWS])))
        elif kind == "settlement":
            seen = {one.content_hash for one in marks if one.place == mark.place and draw.random() < 0.9}
            made.append(
                StretchSettlement(
                    f"s{len(made)}",
                    draw.randint(1, 9),
                    "",
                    "k",
                    mark.place[1],
                    mark.first,
                    mark.last,
                    draw.choice([*CREWS, None]),
                    frozenset(seen),
                )
            )
        else:
            hashes = frozenset(one.content_hash for one in marks if one.id == mark.id)
            made.append(
                RecordSettlement(
                    f"r{len(made)}", len(made), "mark", mark.id, changed(mark).content_hash, hashes
                )
            )
    return made


def turned(records: list[Record], seed: int) -> list[Record]:
    """The same records in another order, a tenth of them twice."""
    draw = Random(seed)
    told = [*records, *draw.sample(records, len(records) // 10)]
    draw.shuffle(told)
    return told


def folded_text(records: list[Record]) -> str:
    """The view byte for byte, of records merged batch after batch in the order given."""
    known = Records()
    for start in range(0, len(records), 37):
        batch = records[start : start + 37]
        known = known.merged(
            Records(
                frozenset(one for one in batch if isinstance(one, MarkVersion)),
                frozenset(one for one in batch if isinstance(one, WithdrawalVersion)),
                frozenset(one for one in batch if isinstance(one, StretchSettlement)),
                frozenset(one for one in batch if isinstance(one, RecordSettlement)),
            )
        )
    places = {("k", row): LENGTH for row in range(1, 1000)}
    rows = view(known, places)
    told = [
        [*place, row.runs, row.held, sorted(row.credited.items(), key=str)] for place, row in rows.items()
    ]
    return json.dumps(told)
