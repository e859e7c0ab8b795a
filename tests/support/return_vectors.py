"""Cases of returns for Python and TypeScript alike, answered position by position. `python tests/support/return_vectors.py` writes them."""

import json
import random
from itertools import groupby
from pathlib import Path
from typing import Any

FILE = Path(__file__).parents[1] / "vectors" / "returns" / "generated.json"
CREWS = ["A", "B"]
Case = dict[str, Any]


def _stretch(draw: random.Random, length: int) -> list[int]:
    first = draw.randint(1, length)
    return [first, min(length + draw.choice([0, 0, 3]), first + draw.randint(0, 6))]


def case(draw: random.Random, name: str) -> Case:
    """Two rows, a few marks of the first round, two returns, marks that answer, some of all these taken back."""
    rows: dict[str, dict[str, Any]] = {
        str(number): {"p": length, "blanks": sorted(draw.sample(range(1, length + 1), draw.randint(0, 2)))}
        for number, length in ((1, 12), (2, 7))
    }

    def marks(prefix: str, most: int) -> list[list[Any]]:
        made = []
        for i in range(draw.randint(0, most)):
            row = draw.choice([1, 2])
            first, last = _stretch(draw, rows[str(row)]["p"])
            made.append([f"{prefix}{i}", row, first, min(last, rows[str(row)]["p"]), draw.choice(CREWS)])
        return made

    def asked() -> list[list[int]]:
        return [
            [row, *_stretch(draw, rows[str(row)]["p"])] for row in draw.choices([1, 2], k=draw.randint(1, 3))
        ]

    first_round = marks("m", 5)
    returns = [{"id": f"r{i}", "stretches": asked(), "answers": marks(f"r{i}-", 3)} for i in range(2)]
    ids = [mark[0] for found in (first_round, *(one["answers"] for one in returns)) for mark in found]
    withdrawn = sorted(draw.sample(ids, len(ids) // 4))
    made = {"name": name, "rows": rows, "crews": CREWS, "marks": first_round, "returns": returns}
    return made | {"withdrawn": withdrawn, "expect": expected(made | {"withdrawn": withdrawn})}


def _held(stretches: Any) -> set[tuple[int, int]]:
    return {(row, p) for row, first, last in stretches for p in range(first, last + 1)}


def _runs(positions: dict[tuple[int, int], Any]) -> list[list[Any]]:
    """Positions with what is said of each, as runs as long as they can be."""
    made = []
    in_order = sorted(positions.items())
    for (row, said, _), group in groupby(
        enumerate(in_order), lambda one: (one[1][0][0], one[1][1], one[1][0][1] - one[0])
    ):
        found = [position for _, ((_, position), _) in group]
        made.append([row, found[0], found[-1], *said])
    return made


def expected(of: Case) -> Case:
    """What is open in each return, and the runs with what is to be gone over again."""
    there = {(int(n), p) for n, row in of["rows"].items() for p in range(1, row["p"] + 1)}
    blanks = {(int(n), p) for n, row in of["rows"].items() for p in row["blanks"]}
    gone = set(of["withdrawn"])

    def stands(marks: Any) -> list[list[Any]]:
        return [mark for mark in marks if mark[0] not in gone]

    waiting: set[tuple[int, int]] = set()
    told: dict[str, list[list[Any]]] = {}
    for one in of["returns"]:
        done = _held(mark[1:4] for mark in stands(one["answers"]))
        left = _runs(dict.fromkeys((_held(one["stretches"]) & there) - done, ()))
        told[one["id"]] = [run for run in left if _held([run]) - blanks]
        waiting |= _held(told[one["id"]])
    crews: dict[tuple[int, int], set[str]] = {}
    for _, row, first, last, crew in stands(of["marks"]):
        for place in _held([[row, first, last]]):
            crews.setdefault(place, set()).add(crew)
    said = {
        place: (2, None) if len(of_crews) > 1 else (3 if place in waiting else 1, *of_crews)
        for place, of_crews in crews.items()
    }
    return {"open": told, "runs": _runs(said)}


def generated() -> list[Case]:
    """The cases of the file."""
    draw = random.Random(5)
    return [case(draw, f"case {number}") for number in range(120)]


def written(cases: list[Case]) -> str:
    """Return the cases as the file holds them: one a line."""
    lines = ",\n".join(json.dumps(one, separators=(",", ":")) for one in cases)
    return f"[\n{lines}\n]\n"


if __name__ == "__main__":
    FILE.write_text(written(generated()), encoding="utf-8")
