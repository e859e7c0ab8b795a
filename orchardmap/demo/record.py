"""Half a season on the invented farm, as records: marks, withdrawals, checks, crew-days, and the truth behind them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from orchardmap.demo.checks import Patch, season_checks, weak_patches
from orchardmap.demo.people import SLOW_GANG
from orchardmap.demo.season import work_days
from orchardmap.demo.slips import Claim, Positions, both_claim, taken_back
from orchardmap.demo.work import CrewAtWork, crew_season
from orchardmap.errors import InputError
from orchardmap.model.check import Check
from orchardmap.model.work import CrewDay, Mark, Withdrawal


@dataclass(frozen=True, slots=True)
class DayRecord:
    """What was recorded on one day, each kind in order of time; not all are empty."""

    marks: tuple[Mark, ...]
    withdrawals: tuple[Withdrawal, ...]
    checks: tuple[Check, ...]
    crew_days: tuple[CrewDay, ...]

    @property
    def last_at(self) -> datetime:
        """The moment of the last record."""
        records: list[Mark | Withdrawal | Check | CrewDay] = [
            *self.marks,
            *self.withdrawals,
            *self.checks,
            *self.crew_days,
        ]
        return max(one.device_at for one in records)


@dataclass(frozen=True, slots=True)
class SeasonRecord:
    """All that was recorded, each kind in order of time, and what was planted in it."""

    marks: tuple[Mark, ...]
    withdrawals: tuple[Withdrawal, ...]
    checks: tuple[Check, ...]
    crew_days: tuple[CrewDay, ...]
    patches: tuple[Patch, Patch]
    overlap: Claim
    closed_block_id: str
    """The next block of a crew, where nobody has pruned yet."""

    @property
    def standing(self) -> tuple[Mark, ...]:
        """Marks that nobody took back."""
        return _standing(self.marks, self.withdrawals)

    def until(self, now: datetime) -> "SeasonRecord":
        """Return what had been recorded by a moment; patches, overlap and closed block stay as they are."""
        return SeasonRecord(
            marks=tuple(one for one in self.marks if one.device_at <= now),
            withdrawals=tuple(one for one in self.withdrawals if one.device_at <= now),
            checks=tuple(one for one in self.checks if one.device_at <= now),
            crew_days=tuple(one for one in self.crew_days if one.device_at <= now),
            patches=self.patches,
            overlap=self.overlap,
            closed_block_id=self.closed_block_id,
        )

    def by_day(self) -> Iterator[DayRecord]:
        """Yield the days on which anything was recorded, in order."""
        records: list[Mark | Withdrawal | Check | CrewDay] = [
            *self.marks,
            *self.withdrawals,
            *self.checks,
            *self.crew_days,
        ]
        for day in sorted({one.device_at.date() for one in records}):
            yield DayRecord(
                tuple(one for one in self.marks if one.device_at.date() == day),
                tuple(one for one in self.withdrawals if one.device_at.date() == day),
                tuple(one for one in self.checks if one.device_at.date() == day),
                tuple(one for one in self.crew_days if one.device_at.date() == day),
            )


def season_record(
    crews: Sequence[CrewAtWork],
    season_id: str,
    *,
    today: date,
    auditor_ids: Sequence[str],
    rng: np.random.Generator,
) -> SeasonRecord:
    """Return what foremen and auditors recorded from the opening of the season to the evening of today.

    Parameters
    ----------
    crews : sequence of CrewAtWork
        With the rows of their blocks.
    season_id : str
        The season the records belong to.
    today : date
        The last day.
    auditor_ids : sequence of str
        Who checks.
    rng : Generator
        Decides everything: the same generator state gives the same records.

    Returns
    -------
    SeasonRecord
    """
    weather, pace, luck, eyes = rng.spawn(4)
    days = work_days(today, weather)
    positions: Positions = {
        (block.block_id, row.number): row.positions
        for crew in crews
        for block in crew.blocks
        for row in block.rows
    }
    worked = [crew_season(crew, season_id, days=days, rng=pace) for crew in crews]
    pruned = [mark for marks, _ in worked for mark in marks]
    knock_offs = [one for _, crew_days in worked for one in crew_days]
    slow, helper = _slow_and_helper(crews)
    second, overlap = both_claim(pruned, positions, slow=slow, helper=helper, rng=luck)
    mistakes, withdrawals = taken_back(pruned, positions, rng=luck)
    marks = tuple(sorted([*pruned, second, *mistakes], key=lambda mark: (mark.device_at, mark.id)))
    withdrawals.sort(key=lambda one: (one.device_at, one.id))
    standing = _standing(marks, withdrawals)
    patches = weak_patches(crews, standing)
    return SeasonRecord(
        marks=marks,
        withdrawals=tuple(withdrawals),
        checks=tuple(season_checks(crews, standing, patches=patches, auditor_ids=auditor_ids, rng=eyes)),
        crew_days=tuple(sorted(knock_offs, key=lambda one: (one.device_at, one.id))),
        patches=patches,
        overlap=overlap,
        closed_block_id=_next_block(crews, marks),
    )


def _standing(marks: Sequence[Mark], withdrawals: Sequence[Withdrawal]) -> tuple[Mark, ...]:
    gone = {withdrawal.mark_id for withdrawal in withdrawals}
    return tuple(mark for mark in marks if mark.id not in gone)


def _slow_and_helper(crews: Sequence[CrewAtWork]) -> tuple[CrewAtWork, CrewAtWork]:
    slow = next(crew for crew in crews if crew.gang.name == SLOW_GANG)
    return slow, max(crews, key=lambda crew: crew.gang.speed)


def _next_block(crews: Sequence[CrewAtWork], marks: Sequence[Mark]) -> str:
    entered = {mark.block_id for mark in marks}
    for crew in crews:
        for block in crew.blocks:
            if block.block_id not in entered:
                return block.block_id
    raise InputError("every block has been entered: none is left to close", where="demo")
