"""What the auditors of the invented farm found, with two weak patches planted for the statistics to find."""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from orchardmap.demo.hindrances import Hindrance
from orchardmap.demo.ids import uuid7
from orchardmap.demo.season import HOURS_A_DAY, moment
from orchardmap.demo.work import CrewAtWork
from orchardmap.errors import InputError
from orchardmap.model.check import Check, Finding, TreeVerdict
from orchardmap.model.lot import Lot
from orchardmap.model.work import Mark

SEEN_SHARE = 0.005
MINOR_SHARE = 0.12
WEAK_SHARE = 0.8
SEEN_FAULTY_TIMES = 1.5  # a bad tree catches the eye, which is why such checks never enter a verdict

PATCH_ROWS = 12
PATCH_SPAN = (0.2, 0.8)  # shares of the row, so that both ends of the patch lie inside the row

_NOTES: dict[TreeVerdict, tuple[str, ...]] = {
    "meets": ("",),
    "minor": ("one stub left", "short fork near the top", "dead spur left", "", ""),
    "faulty": ("two leaders left", "limb thicker than half the trunk left", "no light down the middle", ""),
}

Trees = NDArray[np.int64]
"""Shape (n, 2): row number and position."""


@dataclass(frozen=True, slots=True)
class Patch:
    """A planted weak patch: a run of rows by a stretch along them, all bounds included."""

    block_id: str
    crew_id: str
    first_row: int
    last_row: int
    first_position: int
    last_position: int
    faulty_share: float = WEAK_SHARE

    def holds(self, block_id: str, *, row: int, position: int) -> bool:
        """Tell whether a position lies in the patch."""
        return (
            block_id == self.block_id
            and self.first_row <= row <= self.last_row
            and self.first_position <= position <= self.last_position
        )


def weak_patches(crews: Sequence[CrewAtWork], standing: Sequence[Mark]) -> tuple[Patch, Patch]:
    """Return the two patches: in the blocks with most positions pruned, of two crews.

    Parameters
    ----------
    crews : sequence of CrewAtWork
        With their blocks.
    standing : sequence of Mark
        Marks nobody took back.

    Returns
    -------
    tuple of Patch
        Twelve rows wide, in the middle of what is pruned.

    Raises
    ------
    InputError
        If fewer than two crews have pruned enough rows of a block.
    """
    found: list[tuple[int, Patch]] = []
    for crew in crews:
        for block in crew.blocks:
            pruned: dict[int, int] = {}
            for mark in standing:
                if mark.block_id == block.block_id and mark.crew_id == crew.crew_id:
                    pruned[mark.row] = pruned.get(mark.row, 0) + mark.last - mark.first + 1
            whole = [row for row in block.rows if pruned.get(row.number) == row.positions]
            if len(whole) >= PATCH_ROWS + 6:
                start = (len(whole) - PATCH_ROWS) // 2
                rows = whole[start : start + PATCH_ROWS]
                shortest = min(row.positions for row in rows)
                first, last = (max(1, int(shortest * share)) for share in PATCH_SPAN)
                patch = Patch(block.block_id, crew.crew_id, rows[0].number, rows[-1].number, first, last)
                found.append((sum(pruned.values()), patch))
    found.sort(key=lambda one: -one[0])
    others = [patch for _, patch in found if patch.crew_id != found[0][1].crew_id]
    if not others:
        raise InputError("too little is pruned for two weak patches", where="demo")
    return found[0][1], others[0]


def season_checks(
    crews: Sequence[CrewAtWork],
    standing: Sequence[Mark],
    *,
    patches: Sequence[Patch],
    auditor_ids: Sequence[str],
    rng: np.random.Generator,
) -> list[Check]:
    """Return the trees that auditors looked at while walking: each day some of what the day before was pruned.

    Parameters
    ----------
    crews : sequence of CrewAtWork
        Whose trees are looked at.
    standing : sequence of Mark
        Marks nobody took back, in order of time.
    patches : sequence of Patch
        Where the work was weak.
    auditor_ids : sequence of str
        Who walks, in turn.
    rng : Generator
        Draws trees and decides what is found.

    Returns
    -------
    list of Check
        In order of time; no tree twice, and only trees that were pruned the working day before.
    """
    checks: list[Check] = []
    # of all blocks: a crew that helps prunes trees of another crew's block
    not_trees = {
        (block.block_id, row.number): row.blanks | row.pollinizers
        for crew in crews
        for block in crew.blocks
        for row in block.rows
    }
    days = sorted({mark.day for mark in standing})
    seen: set[tuple[str, int, int]] = set()
    for before, day in itertools.pairwise(days):
        for turn, crew in enumerate(crews):
            made = [mark for mark in standing if mark.day == before and mark.crew_id == crew.crew_id]
            auditor_id = auditor_ids[(turn + day.toordinal()) % len(auditor_ids)]
            hours = (turn // 2) * HOURS_A_DAY / 3
            for season_id, block_id, tree in _looked_at(made, not_trees, seen=seen, rng=rng):
                hours += float(rng.uniform(0.04, 0.09))
                verdict = verdict_of(crew, patches, tree=(block_id, *tree), drawn=False, rng=rng)
                where = (season_id, block_id, *tree)
                at = moment(day, hours)
                checks.append(check_made(where, auditor_id, verdict=verdict, at=at, rng=rng))
    return sorted(checks, key=lambda check: (check.device_at, check.id))


def _looked_at(
    made: Sequence[Mark],
    not_trees: dict[tuple[str, int], frozenset[int]],
    *,
    seen: set[tuple[str, int, int]],
    rng: np.random.Generator,
) -> Iterator[tuple[str, str, tuple[int, int]]]:
    """Draw trees of one crew's day: the day's trees in walking order are cut into equal strata, one from each."""
    pool = [
        (mark.season_id, mark.block_id, (mark.row, position))
        for mark in made
        for position in range(mark.first, mark.last + 1)
        if position not in not_trees[mark.block_id, mark.row]
        and (mark.block_id, mark.row, position) not in seen
    ]
    if not pool:
        return
    wanted = round(len(pool) * SEEN_SHARE)
    edges = np.linspace(0, len(pool), wanted + 1).astype(int)
    for start, end in itertools.pairwise(edges):
        season_id, block_id, tree = pool[int(rng.integers(start, end))]
        seen.add((block_id, *tree))
        yield season_id, block_id, tree


def verdict_of(
    crew: CrewAtWork,
    patches: Sequence[Patch],
    *,
    tree: tuple[str, int, int],
    drawn: bool,
    rng: np.random.Generator,
) -> TreeVerdict:
    """Return what an auditor sees on a tree (block id, row, position): by its crew, its patch, and chance."""
    faulty = crew.gang.fault_share * (1.0 if drawn else SEEN_FAULTY_TIMES)
    for patch in patches:
        if patch.holds(tree[0], row=tree[1], position=tree[2]):
            faulty = patch.faulty_share
    luck = rng.random()
    if luck < faulty:
        return "faulty"
    return "minor" if luck < faulty + MINOR_SHARE else "meets"


@dataclass(frozen=True, slots=True)
class Judged:
    """A drawn tree of a lot, judged point by point."""

    lot: Lot
    findings: tuple[Finding, ...]
    is_second: bool
    """A second look."""


def unjudged(
    lot: Lot,
    tree: tuple[int, int],
    auditor_id: str,
    *,
    why: Hindrance,
    at: datetime,
    rng: np.random.Generator,
) -> Check:
    """Return the record of a lot's tree that could not be judged, as the auditor's tablet made it."""
    reason, note = why
    made = check_made(
        (lot.season_id, lot.block_id, *tree),
        auditor_id,
        verdict="meets",
        at=at,
        rng=rng,
        judged=Judged(lot, (), is_second=False),
    )
    return replace(made, verdict=None, findings=None, not_judged=reason, note=note)


def check_made(
    where: tuple[str, str, int, int],
    auditor_id: str,
    *,
    verdict: TreeVerdict,
    at: datetime,
    rng: np.random.Generator,
    judged: Judged | None = None,
) -> Check:
    """Return the check of a tree (season and block id, row, position) as the auditor's tablet made it; None: seen while walking."""
    season_id, block_id, row, position = where
    notes = _NOTES[verdict]
    made = Check(
        id=uuid7(at, rng),
        season_id=season_id,
        block_id=block_id,
        row=row,
        position=position,
        auditor_id=auditor_id,
        day=at.date(),
        verdict=verdict,
        drawn=judged is not None,
        device_id=None,
        device_at=at,
    )
    if judged is None:
        return replace(made, note=notes[int(rng.integers(len(notes)))])
    return replace(
        made,
        brief_id=judged.lot.brief_id,
        brief_version=judged.lot.brief_version,
        lot_id=judged.lot.id,
        findings=judged.findings,
        second=judged.is_second or None,
    )
