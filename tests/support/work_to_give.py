"""Farms with work to give out, drawn at random, and the shortest time in which their crews could do it."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import shapely
from scipy.optimize import Bounds, LinearConstraint, milp

from orchardmap.model.orchard import Habit
from orchardmap.planning.giving import Proposal
from orchardmap.planning.work_ahead import AheadBlock, AheadCrew, Days, Skill, Spot, WorkAhead

FIRST = date(2026, 1, 5)
MUST = date(2026, 3, 20)
HABITS: tuple[Habit, ...] = ("spur", "tip", "both")
WEEKDAYS = tuple(day for i in range(700) if (day := FIRST + timedelta(i)).weekday() < 5)
DAYS = Days(WEEKDAYS, 8.0)
USUAL: dict[Habit, Skill] = {**{habit: Skill(8.0) for habit in HABITS}, "unknown": Skill(8.0)}


def a_spot(name: str, xy_m: tuple[float, float], side_m: float = 200.0) -> Spot:
    """A square."""
    (x, y), half = xy_m, side_m / 2.0
    return Spot(name, xy_m, shapely.box(x - half, y - half, x + half, y + half))


def a_block(
    name: str, trees: int = 4_000, xy_m: tuple[float, float] = (0.0, 0.0), **changes: object
) -> AheadBlock:
    """A block that is open, not begun and due with the season."""
    return replace(AheadBlock(name, a_spot(name, xy_m), trees, "spur", MUST), **changes)  # type: ignore[arg-type]


def a_crew(name: str, people: int = 5, **changes: object) -> AheadCrew:
    """A crew by ladder that nobody knows anything of yet."""
    return replace(AheadCrew(name, name, people, usual=USUAL), **changes)  # type: ignore[arg-type]


def a_farm(rng: np.random.Generator, *, blocks: int, crews: int) -> tuple[list[AheadBlock], list[AheadCrew]]:
    """Blocks on a grid 250 m wide and crews of 4 to 8 people that each know some habits."""
    wide = max(1, int(np.sqrt(blocks)))
    known = [rng.choice(HABITS, int(rng.integers(0, 4)), replace=False) for _ in range(crews)]
    made_crews = [
        a_crew(
            f"Crew {i + 1}",
            int(rng.integers(4, 9)),
            skills={str(habit): Skill(float(8.0 * rng.lognormal(0.0, 0.15))) for habit in known[i]},
            method=str(rng.choice(["ladder", "platform"])),
        )
        for i in range(crews)
    ]
    closure = (FIRST, FIRST + timedelta(int(rng.integers(0, 12))))
    made_blocks = [
        a_block(
            f"B{i + 1}",
            int(rng.integers(500, 12_000)),
            (250.0 * (i % wide), 250.0 * (i // wide)),
            habit=str(rng.choice(HABITS)),
            must_finish_on=MUST if rng.random() < 0.8 else MUST - timedelta(30),
            is_biennial=bool(rng.random() < 0.25),
            begun_by=f"Crew {rng.integers(crews) + 1}" if rng.random() < 0.1 else None,
            closed=(closure,) if rng.random() < 0.2 else (),
            platform_fits=None if rng.random() < 0.9 else False,
        )
        for i in range(blocks)
    ]
    return made_blocks, made_crews


def shortest_h(ahead: WorkAhead, *, whole: bool = True) -> float:
    """Hours after which the last crew is finished at best, ways and closures left out: unrelated machines, by HiGHS.

    With parts of blocks allowed (`whole` false) it is a bound from below, which large farms can be held against too.
    """
    crews, blocks = ahead.work_h.shape
    cost = np.zeros(crews * blocks + 1)
    cost[-1] = 1.0
    once = np.zeros((blocks, cost.size))
    for block in range(blocks):
        once[block, block : crews * blocks : blocks] = 1.0
    load = np.zeros((crews, cost.size))
    for crew in range(crews):
        load[crew, crew * blocks : (crew + 1) * blocks] = ahead.work_h[crew]
    load[:, -1] = -1.0
    found = milp(
        cost,
        constraints=[LinearConstraint(once, 1.0, 1.0), LinearConstraint(load, -np.inf, 0.0)],
        integrality=np.append(np.full(crews * blocks, int(whole)), 0),
        bounds=Bounds(0.0, np.append(np.ones(crews * blocks), np.inf)),
    )
    assert found.success, found.message
    return float(found.x[-1])


def longest_h(ahead: WorkAhead, proposal: Proposal) -> float:
    """Hours after which the last crew of a proposal is finished."""
    number = {block.id: i for i, block in enumerate(ahead.blocks)}
    at = {crew.id: i for i, crew in enumerate(ahead.crews)}
    ends = [
        ahead.spans_h(at[crew], [number[block] for block in queue])[-1][1]
        for crew, queue in proposal.queues
        if queue
    ]
    return max(ends, default=0.0)
