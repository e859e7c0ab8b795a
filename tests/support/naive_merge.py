"""The merge model once more, in the plainest way: every position by itself, no intervals, nothing of the code under test.

Speaks of cases as `tests/vectors` writes them. `python tests/support/naive_merge.py` writes the generated ones.
"""

import json
import random
from pathlib import Path
from typing import Any

Case = dict[str, Any]
VECTORS = Path(__file__).parents[1] / "vectors"
# the nine reasons of design 06b 2.5 that a manager may wave through; every other one names nothing that could count
ACCEPTABLE = {
    "season_closed", "before_season", "later_than_today", "block_closed", "beyond_row_end", "other_crew",
    "device_revoked", "unknown_person", "other_content",
}  # fmt: skip


def counted(records: list[Case], kind: str, words: list[Case]) -> list[Case]:
    """The records that count: alone and fitting, or let count by the last word that saw everything."""
    kept = []
    for record in records:
        versions = {one["version"]: one.get("reason") for one in records if one["id"] == record["id"]}
        of = [w for w in words if w["kind"] == kind and w["record"] == record["id"]]
        if len(versions) == 1 and record.get("reason") is None:
            counts = True
        elif not of:
            counts = False
        else:
            top = max([w["number"], w["id"]] for w in of)
            last = [w for w in of if [w["number"], w["id"]] == top]
            says = {(w["version"], tuple(sorted(set(w["seen"])))) for w in last}
            counts = (
                len(says) == 1
                and last[0]["version"] == record["version"]
                and set(versions) <= set(last[0]["seen"])
                and record.get("reason") in ACCEPTABLE | {None}
            )
        if counts and record not in kept:
            kept.append(record)
    return kept


def standing(case: Case) -> list[Case]:
    words = case.get("record_settlements", [])
    back = counted(case.get("withdrawals", []), "withdrawal", words)
    return [
        mark
        for mark in counted(case["marks"], "mark", words)
        if not any(w["mark"] == mark["id"] and w.get("for_crew") in (None, mark["crew"]) for w in back)
    ]


def position_view(case: Case) -> dict[tuple[int, int], tuple[str, str | None]]:
    """(row, position) -> status and credited crew."""
    found = {}
    marks = standing(case)
    for row_text, length in case["rows"].items():
        row = int(row_text)
        for position in range(1, length + 1):
            here = [m for m in marks if m["row"] == row and m["first"] <= position <= m["last"]]
            if not here:
                continue
            words = [
                s
                for s in case.get("settlements", [])
                if s["row"] == row and s["first"] <= position <= s["last"]
            ]
            found[row, position] = said_of(here, words)
    return found


def said_of(here: list[Case], words: list[Case]) -> tuple[str, str | None]:
    crews = sorted({m["crew"] for m in here})
    if not words:
        return ("done", crews[0]) if len(crews) == 1 else ("contested", None)
    top = max([w["number"], w["id"]] for w in words)
    last = [w for w in words if [w["number"], w["id"]] == top]
    for other in last[1:]:
        if {**other, "seen": sorted(set(other["seen"]))} != {**last[0], "seen": sorted(set(last[0]["seen"]))}:
            return "reopened", None
    for mark in here:
        if mark["id"] not in last[0]["seen"]:
            return "reopened", None
    return "settled", last[0]["crew"]


def expected(case: Case) -> Case:
    runs: list[list[Any]] = []
    credited: dict[str, int] = {}
    held = nobody = 0
    for (row, position), (status, crew) in sorted(position_view(case).items()):
        if runs and runs[-1][0] == row and runs[-1][2] == position - 1 and runs[-1][3:] == [status, crew]:
            runs[-1][2] = position
        else:
            runs.append([row, position, position, status, crew])
        if status in ("contested", "reopened"):
            held += 1
        elif crew is None:
            nobody += 1
        else:
            credited[crew] = credited.get(crew, 0) + 1
    return {
        "standing": sorted([m["id"], m["version"]] for m in standing(case)),
        "runs": runs,
        "credited": dict(sorted(credited.items())),
        "nobody": nobody,
        "held": held,
        "done": len(position_view(case)),
    }


def random_case(draw: random.Random, number: int) -> Case:
    """A case full of collisions: twins, repeats under a new id, one id with two contents, words that saw half of it."""
    ids, crews = [f"m{n}" for n in range(1, 9)], ["A", "B", "C"]
    rows = {"1": draw.randint(3, 9), "2": draw.randint(1, 6)}
    marks: list[Case] = []
    for n in range(draw.randint(2, 8)):
        mark_id = ids[n] if draw.random() < 0.88 else draw.choice(ids)  # now and then one id says two things
        if marks and draw.random() < 0.45:
            made = dict(draw.choice(marks), id=mark_id)  # a twin, or a repeat under another id
            made["crew"] = draw.choice(crews)
        else:
            row = draw.randint(1, 2)
            end = rows[str(row)] if draw.random() < 0.9 else 12  # now and then beyond the row's end
            first = draw.randint(1, end)
            made = {
                "id": mark_id,
                "row": row,
                "first": first,
                "last": min(first + draw.randint(0, 4), end),
                "crew": draw.choice(crews),
            }
            if draw.random() < 0.1:
                made["reason"] = draw.choice(["block_closed", "unknown_person", "unknown_crew"])
        made.pop("version", None)
        made["version"] = "/".join(str(made.get(key)) for key in ("row", "first", "last", "crew", "reason"))
        marks.append(made)
    withdrawals = []
    for _ in range(draw.choice([0, 0, 1, 2])):
        mark = draw.choice([*ids, "m9"])
        withdrawals.append({
            "id": draw.choice(["w1", "w2"]),
            "version": mark,
            "mark": mark,
            "for_crew": None,
        })
    for one in withdrawals:  # who handed it in is said once per record, not per content
        one["for_crew"] = None if one["id"] == "w1" else crews[number % 3]
    settlements = []
    for n in range(draw.choice([0, 1, 1, 2, 3])):
        first = draw.randint(1, 7)
        settlements.append({
            "number": draw.choice([n + 1, 1]),
            "id": draw.choice(["s1", "s2", "s3"]),
            "row": draw.randint(1, 2),
            "first": first,
            "last": first + draw.randint(0, 6),
            "crew": draw.choice([*crews, None]),
            "seen": sorted(draw.sample(ids, draw.choice([2, 5, 7, 8]))),
        })
    words = []
    for n in range(draw.choice([0, 0, 1, 2])):
        about = draw.choice(marks)
        all_versions = sorted({m["version"] for m in marks if m["id"] == about["id"]})
        words.append({
            "number": n + 1,
            "id": f"r{draw.randint(1, 2)}",
            "kind": "mark",
            "record": about["id"],
            "version": draw.choice([about["version"], None, about["version"]]),
            "seen": draw.choice([all_versions, all_versions, all_versions[:1]]),
        })
    return {
        "name": f"generated {number}",
        "rows": rows,
        "crews": crews,
        "marks": marks,
        "withdrawals": withdrawals,
        "settlements": settlements,
        "record_settlements": words,
    }


def generated(cases: int = 200, seed: int = 20260120) -> list[Case]:
    draw = random.Random(seed)
    made = [random_case(draw, number) for number in range(1, cases + 1)]
    return [case | {"expect": expected(case)} for case in made]


def written(cases: list[Case]) -> str:
    """One case a line, so that a change of one is one line in a diff."""
    return "[\n" + ",\n".join(json.dumps(case, separators=(",", ":")) for case in cases) + "\n]\n"


if __name__ == "__main__":
    (VECTORS / "generated.json").write_text(written(generated()), encoding="utf-8")
