"""What the service makes of counts on sample trees, for `web/tests/core/count-estimate.test.ts`.

`python tests/support/count_vectors.py` writes the file. The quantiles are SciPy's own, whatever `orchardmap` makes of them.
"""

import json
import random
from dataclasses import asdict
from pathlib import Path
from typing import Any

from scipy import stats

from orchardmap.pruning.counting import CONFIDENCE, HALF_WIDTH_SHARE, count_estimate, sample_size

FILE = Path(__file__).parents[1] / "vectors" / "counting" / "estimates.json"
_YIELDS = json.loads((Path(__file__).parents[1] / "published" / "jonathan_yields.json").read_text("utf-8"))

_USUAL = {"half_width_share": HALF_WIDTH_SHARE, "confidence": CONFIDENCE}
_AIMS = ({"half_width_share": 0.05, "confidence": 0.99}, {"half_width_share": 0.3, "confidence": 0.8})


def generated(cases: int = 150, seed: int = 1918) -> dict[str, Any]:
    """Return quantiles, sample sizes and estimates; numbers to ten digits, which every platform agrees on."""
    draw = random.Random(seed)
    confidences = [0.5, 0.9, 0.95, 0.99, 0.999]
    freedoms = [1, 2, 3, 4, 5, 9, 10, 29, 100, 223, 2624]
    return {
        "normal": [[c, _digits(stats.norm.ppf((1 + c) / 2))] for c in confidences],
        "student": [[c, n, _digits(stats.t.ppf((1 + c) / 2, n))] for c in confidences for n in freedoms],
        "sizes": [
            [cv, trees, sample_size(cv, trees_in_block=trees, half_width_share=0.15)]
            for cv in (0.0, 0.1, 0.227, 0.414, 1.3)
            for trees in (1, 40, 187, 224, 2_625)
        ],
        "estimates": [
            *(_estimate(*one) for one in [*_by_hand(), *(_drawn(draw) for _ in range(cases))]),
            *(_estimate(*_drawn(draw), aim) for aim in _AIMS for _ in range(10)),
        ],
    }


def _by_hand() -> list[tuple[list[float], list[int], int]]:
    pounds = [value for row in _YIELDS["pounds"] for value in row]
    rows = [n for n, row in enumerate(_YIELDS["pounds"]) for _ in row]
    return [
        ([], [], 0),
        ([], [], 500),
        ([22], [1], 500),
        ([22], [1], 1),
        ([0, 0, 0, 0, 0, 0], [1, 2, 3, 4, 5, 6], 500),
        ([24] * 4, [1, 2, 3, 4], 500),
        ([24] * 5, [1, 2, 3, 4, 5], 500),
        ([24] * 9, [7] * 9, 500),
        ([20, 24, 22, 18, 26], [1, 4, 7, 9, 12], 500),
        (pounds, rows, 224),
        (pounds[::9], rows[::9], 224),
        (pounds[:40], rows[:40], 224),
    ]


def _drawn(draw: random.Random) -> tuple[list[float], list[int], int]:
    n = draw.randint(1, 40)
    trees = draw.choice([n, n + 1, n + 20, 200, 2_625, 100_000])
    middle, spread = draw.choice([2, 18, 120, 900]), draw.choice([0.0, 0.1, 0.4, 1.0])
    counts = [
        max(0, round(draw.gauss(middle, spread * middle))) + draw.choice([0.0, 0.0, 0.5]) for _ in range(n)
    ]
    in_rows = draw.choice([1, 4, 25])
    return counts, [draw.randint(1, in_rows) for _ in range(n)], max(trees, n)


def _estimate(
    counts: list[float], rows: list[int], trees: int, aim: dict[str, float] = _USUAL
) -> dict[str, Any]:
    told = count_estimate(
        counts,
        rows,
        trees_in_block=max(trees, 1),
        half_width_share=aim["half_width_share"],
        confidence=aim["confidence"],
    )
    expect = {
        key: _digits(value) if isinstance(value, float) else value for key, value in asdict(told).items()
    }
    said: dict[str, Any] = {"counts": counts, "rows": rows, "trees_in_block": max(trees, 1)}
    if aim is not _USUAL:
        said["aim"] = aim
    return said | {"expect": expect | {"is_enough": told.is_enough}}


def _digits(value: float) -> float:
    return float(f"{value:.10g}")


def written(found: dict[str, Any]) -> str:
    """One case a line, so that a change of one is one line in a diff."""
    parts = [
        f'"{key}": [\n' + ",\n".join(json.dumps(one, separators=(",", ":")) for one in cases) + "\n]"
        for key, cases in found.items()
    ]
    return "{\n" + ",\n".join(parts) + "\n}\n"


if __name__ == "__main__":
    FILE.write_text(written(generated()), encoding="utf-8")
