"""The merge model once more, in the plainest way: every position by itself, no intervals, nothing of the code under test.

Speaks of cases as `tests/vectors` writes them. `python tests/support/naive_merge.py` writes the generated ones.
"""

import json
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

Case = dict[str, Any]
VECTORS = Path(__file__).parents[1] / "vectors"
# the nine reasons of design 06b 2.5 that a manager may wave through, and that its row was changed since; every other one names nothing that could count
ACCEPTABLE = {
    "season_closed", "before_season", "later_than_today", "block_closed", "beyond_row_end", "other_crew",
    "device_revoked", "unknown_person", "other_content", "other_ground",
}  # fmt: skip


def against(record: Case, records: list[Case], crews: set[str]) -> str | None:
    """What speaks against a record: something by itself, or that nobody who handed it in may speak for these crews."""
    same = [one for one in records if (one["id"], one["version"]) == (record["id"], record["version"])]
    scopes = {one.get("for_crew") for one in same}
    if record.get("reason") is None and None not in scopes and not crews <= scopes:
        return "other_crew"
    return record.get("reason")


def counted(
    records: list[Case], kind: str, words: list[Case], speaks_for: Callable[[Case], set[str]]
) -> list[Case]:
    """The records that count: alone and fitting, or let count by the last word that saw everything."""
    kept: list[Case] = []
    for record in records:
        versions = {
            one["version"]: against(one, records, speaks_for(one))
            for one in records
            if one["id"] == record["id"]
        }
        reason = versions[record["version"]]
        of = [w for w in words if w["kind"] == kind and w["record"] == record["id"]]
        if len(versions) == 1 and reason is None:
            counts = True
        elif not of:
            counts = False
        else:
            top = max([w["number"], w["id"]] for w in of)
            last = [w for w in of if [w["number"], w["id"]] == top]
            says = {(w["version"], tuple(sorted(set(w["seen"]))), w.get("reason")) for w in last}
            counts = (
                len(says) == 1
                and last[0]["version"] == record["version"]
                and set(versions) <= set(last[0]["seen"])
                and reason in ACCEPTABLE | {None}
                and last[0].get("reason") in (None, standing_reason(versions))
            )
        is_there = any((one["id"], one["version"]) == (record["id"], record["version"]) for one in kept)
        if counts and not is_there:
            kept.append(record)
    return kept


def standing_reason(versions: dict[str, str | None]) -> str | None:
    """What a manager is shown against a record: that it came twice, or what speaks against its one content."""
    return next(iter(versions.values())) if len(versions) == 1 else "other_content"


def shown_reason(case: Case, kind: str, record_id: str) -> str | None:
    """The same, asked of a whole case."""
    records = [one for one in case["marks" if kind == "mark" else "withdrawals"] if one["id"] == record_id]
    return standing_reason({one["version"]: against(one, records, crews_of(case)(one)) for one in records})


def crews_of(case: Case) -> Callable[[Case], set[str]]:
    """The crews that a record speaks for: a mark its own, a withdrawal those of every content of its mark."""
    return lambda one: {
        mark["crew"]
        for mark in ([one] if "crew" in one else case["marks"])
        if mark["id"] == one.get("mark", one["id"])
    }


def set_aside(case: Case) -> dict[tuple[str, str], set[str]]:
    """(kind, id) -> its contents, of every record that does not count unless a manager says so."""
    found = {}
    for kind, records in (("mark", case["marks"]), ("withdrawal", case["withdrawals"])):
        for record in records:
            contents = {one["version"] for one in records if one["id"] == record["id"]}
            if len(contents) > 1 or against(record, records, crews_of(case)(record)):
                found[kind, record["id"]] = contents
    return found


def standing(case: Case) -> list[Case]:
    words = case.get("record_settlements", [])
    back = counted(case.get("withdrawals", []), "withdrawal", words, crews_of(case))
    marks = counted(case["marks"], "mark", words, crews_of(case))
    return [mark for mark in marks if not any(w["mark"] == mark["id"] for w in back)]


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
        # an id stands for the mark whatever it says: so settlements spoke before they named contents
        if mark["version"] not in last[0]["seen"] and mark["id"] not in last[0]["seen"]:
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


def seen_by(draw: random.Random, ids: list[str], marks: list[Case]) -> list[str]:
    """What a manager looked at: ids, as older settlements say, or the contents of most marks."""
    if draw.random() < 0.3:
        return sorted(draw.sample(ids, draw.choice([2, 5, 7, 8])))
    return sorted({mark["version"] for mark in marks if draw.random() < 0.9})


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
        made.pop("for_crew", None)
        made["version"] = "/".join(
            str(made.get(key)) for key in ("id", "row", "first", "last", "crew", "reason")
        )
        if draw.random() < 0.1:  # from another crew's tablet perhaps, and perhaps from elsewhere too
            marks.append(made | {"for_crew": draw.choice(crews)})
            made["for_crew"] = draw.choice([None, *crews])
        marks.append(made)
    withdrawals = []
    for _ in range(draw.choice([0, 0, 1, 2])):
        mark = draw.choice([*ids, "m9"])
        made = {"id": draw.choice(["w1", "w2"]), "version": mark, "mark": mark}
        for _ in range(draw.choice([1, 1, 2])):  # handed in again by somebody else
            withdrawals.append(made | {"for_crew": draw.choice([None, None, *crews])})
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
            "seen": seen_by(draw, ids, marks),
        })
    words = []
    for n in range(draw.choice([0, 0, 1, 2])):
        kind, found = draw.choice([("mark", marks), ("mark", marks), ("withdrawal", withdrawals or marks)])
        about = draw.choice(found)
        all_versions = sorted({one["version"] for one in found if one["id"] == about["id"]})
        words.append({
            "number": n + 1,
            "id": f"r{draw.randint(1, 2)}",
            "kind": kind,
            "record": about["id"],
            "version": draw.choice([about["version"], None, about["version"]]),
            "seen": draw.choice([all_versions, all_versions, all_versions[:1]]),
            "reason": draw.choice([None, None, "other_content", "other_crew", "block_closed"]),
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
