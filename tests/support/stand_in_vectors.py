"""Cases of lots with trees that cannot be judged, for Python and TypeScript alike. `python tests/support/stand_in_vectors.py` writes them.

Answered by a witness that asks tree after tree for another one, as people with a list in hand would.
"""

import json
import random
from datetime import UTC, date, datetime
from math import ceil
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from orchardmap.model.lot import Lot, LotTree, TablePlan
from orchardmap.quality.lot_findings import findings

FILE = Path(__file__).parents[1] / "vectors" / "lots" / "generated.json"
Case = dict[str, Any]
DAY, AT = date(2026, 1, 20), datetime(2026, 1, 20, 8, tzinfo=UTC)
NONE_OF_IT = ("gone", "not_pruned", "blank")


def case(draw: random.Random, name: str) -> Case:
    """Some trees of a small lot drawn, some of them judged, some not, some blanks by now."""
    lot_trees = draw.randint(1, 14)
    places = draw.sample([[1 + at // 5, 1 + at % 5] for at in range(lot_trees)], lot_trees)
    n = draw.choice([lot_trees, *[draw.randint(1, (lot_trees + 1) // 2)] * 3])
    reserve = min(draw.choice([0, 2, 3]), lot_trees - n)
    extra = draw.randint(0, min(2, lot_trees - n - reserve))
    drawn, further = places[: n + extra], places[n + extra : n + extra + reserve]
    told = [*drawn, *further]
    # a tree may be judged and not: by two people, or by one who came back to it
    said = draw.choices(["judged", "left out", "both", "nothing"], [7, 4, 1, 1], k=len(told))
    reject = draw.choice([1, 1, 2, 3])
    return {
        "name": name,
        "lot": {
            "n": n,
            "accept": reject - 1,
            "reject": reject,
            "lot_trees": lot_trees,
            "trees": [[*tree, at >= n] for at, tree in enumerate(drawn)],
            "reserve": further,
        },
        "checks": [
            [*tree, draw.choice(["meets", "meets", "meets", "minor", "faulty"])]
            for tree, word in zip(told, said, strict=True)
            if word in {"judged", "both"} and tree not in drawn[n:]
        ],
        "not_judged": [
            [*tree, draw.choice(["gone", "not_pruned", "unreachable", "other"])]
            for tree, word in zip(told, said, strict=True)
            if word in {"left out", "both"}
        ],
        "no_tree": [tree for tree in told if draw.random() < 0.1],
    }


def expected(told: Case) -> dict[str, Any]:
    """What the witness makes of a case."""
    lot = told["lot"]
    judged = {(row, at): verdict for row, at, verdict in told["checks"]}
    why = {(row, at): reason for row, at, reason in told["not_judged"]}
    why |= dict.fromkeys(((row, at) for row, at in told["no_tree"]), "blank")
    left = [(row, at) for row, at in lot["reserve"]]
    trees, called, passed = [], [], []
    for row, at, is_extra in lot["trees"]:
        tree: tuple[int, int] | None = None if is_extra else (row, at)
        is_own = True
        while tree is not None:
            if tree in judged or tree not in why:
                trees.append(tree)
                called += [] if is_own else [tree]
                break
            passed.append([*tree, why[tree]])
            tree, is_own = (left.pop(0) if left else None), False
    # one that was judged while it stood in stays on the list, though nobody need ask for it any more
    besides = [tree for tree in left if tree in judged]
    trees += besides
    called += besides
    place = {tree: number for number, tree in enumerate(_drawn(lot))}
    trees.sort(key=place.__getitem__)
    passed.sort(key=lambda one: place[one[0], one[1]])
    no_members = [tree for tree in place if tree not in judged and why.get(tree) in NONE_OF_IT]
    blanks = sum(why[tree] == "blank" for tree in no_members)
    believed = min(len(no_members) - blanks, max(3, ceil(lot["n"] / 10)))
    least = max(min(lot["n"], lot["lot_trees"] - blanks - believed), 1)
    needed = least + len(besides)
    reject = next(faulty for faulty in range(1, 99) if faulty * lot["n"] >= lot["reject"] * least)
    verdicts = [judged[tree] for tree in trees if tree in judged]
    faulty = verdicts.count("faulty")
    return {
        "trees": [list(tree) for tree in trees],
        "called": [list(tree) for tree in called],
        "left_out": passed,
        "needed": needed,
        "is_short": len(trees) < needed,
        "checked": len(verdicts),
        "faulty": faulty,
        "verdict": "send_back" if faulty >= reject else "accepted" if len(verdicts) >= needed else "too_few",
    }


def _drawn(lot: Case) -> list[tuple[int, int]]:
    return [*((row, at) for row, at, _ in lot["trees"]), *((row, at) for row, at in lot["reserve"])]


def generated() -> list[Case]:
    """Return the cases with their answers."""
    draw = random.Random(20260120)
    cases = [case(draw, f"case {number}") for number in range(150)]
    return [one | {"expect": expected(one)} for one in cases]


def written(cases: list[Case]) -> str:
    """Return cases as the file holds them, one a line."""
    return "[\n" + ",\n".join(json.dumps(one) for one in cases) + "\n]\n"


def _lot(said: Case) -> Lot:
    trees = tuple(LotTree(*tree) for tree in said["trees"])
    return Lot(
        "lot", "farm", "season", 1, "block", None, DAY, AT, None, None, DAY, None, None, TablePlan("I", 4.0),
        said["n"], said["accept"], said["reject"], 1, (), (), said["lot_trees"], trees,
        reserve=tuple((row, at) for row, at in said["reserve"]),
    )  # fmt: skip


def by_core(case: Case) -> dict[str, Any]:
    """Return what the core makes of a case, in the words of the vectors."""
    checks = [
        SimpleNamespace(
            id=str(number), row=row, position=at, day=DAY, corrected_at=AT, verdict=verdict, drawn=True, lot_id="lot",
            second=False,
        )
        for number, (row, at, verdict) in enumerate(case["checks"])
    ]  # fmt: skip
    left_out = {(row, at): reason for row, at, reason in case["not_judged"]}
    left_out |= dict.fromkeys(((row, at) for row, at in case["no_tree"]), "blank")
    found = findings(_lot(case["lot"]), checks, left_out)
    asked = found.asked
    return {
        "trees": [list(tree) for tree in asked.trees],
        "called": [list(tree) for tree in asked.called],
        "left_out": [[*tree, reason] for tree, reason in asked.left_out.items()],
        "needed": asked.needed,
        "is_short": asked.is_short,
        "checked": found.checked,
        "faulty": found.faulty,
        "verdict": found.verdict,
    }


def turned(case: Case, seed: int) -> Case:
    """Return a case with its records in another order, all of them twice."""
    draw = random.Random(seed)
    return case | {
        name: draw.sample(case[name] * 2, 2 * len(case[name])) for name in ("checks", "not_judged", "no_tree")
    }


if __name__ == "__main__":
    FILE.write_text(written(generated()), "utf-8")
