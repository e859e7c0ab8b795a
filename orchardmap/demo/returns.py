"""What was sent back on the invented farm: gone over again in the week after, and looked at anew."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np

from orchardmap.demo.checks import Patch
from orchardmap.demo.ids import uuid7
from orchardmap.demo.lots import Inspected
from orchardmap.demo.season import moment
from orchardmap.model.check import Check
from orchardmap.model.lot import Lot
from orchardmap.model.returns import Return
from orchardmap.model.work import Mark
from orchardmap.pruning.scoring import failed_points
from orchardmap.store import briefs
from orchardmap.usecases.recording import record_marks
from orchardmap.usecases.returning import NewReturn, make_return
from orchardmap.usecases.weak_telling import farm_weak_areas

__all__ = ["SentBack"]

MADE_AT_H, REDONE_AT_H = 7.5, 1.0
DUE_AFTER, REDONE_AFTER = timedelta(days=4), timedelta(days=2)
STRETCH_H = 0.05
MOST_POINTS = 2


@dataclass
class SentBack:
    """Returns as they come about, in the store of the inspections."""

    inspected: Inspected
    patches: tuple[Patch, ...]
    rng: np.random.Generator
    returns: list[Return] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    answered: set[str] = field(default_factory=set)
    """Lots that somebody acted upon."""
    waiting: list[Return] = field(default_factory=list)
    """Gone over again, and not yet looked at."""

    def week(self, monday: date) -> None:
        """Look anew at what was gone over again, then send back the lots of the week before that were not accepted.

        A lot that reaches into a weak patch is left for whoever looks at the farm now.
        """
        for again in self.waiting:
            self.inspected.recheck(again, monday)
        self.waiting = []
        for lot in self.inspected.lots:
            if lot.id in self.answered or lot.opened_on >= monday or lot.return_id is not None:
                continue
            self.answered.add(lot.id)
            checks = [one for one in self.inspected.checks if one.lot_id == lot.id and not one.second]
            if sum(one.verdict == "faulty" for one in checks) < lot.reject or self._is_in_patch(lot):
                continue
            made = self._return(lot, checks, monday)
            if made is not None:
                self._go_over(made, lot, monday + REDONE_AFTER)

    def area(self, patch: Patch, today: date) -> None:
        """Send back the weak area that shows where one of the patches was planted, if it shows."""
        farm_id, now = self.inspected.season.farm_id, self.inspected.season.now
        told = farm_weak_areas(self.inspected.store, farm_id, day=None, level=None, language="en", now=now)
        for area in told["areas"]:
            if area["block_id"] == patch.block_id and area["state"] != "none":
                points = tuple(point["key"] for point in area["points"][:MOST_POINTS])
                asked = NewReturn(
                    uuid7(now, self.rng),
                    patch.block_id,
                    patch.crew_id,
                    today + DUE_AFTER,
                    area=area,
                    points=points,
                )
                self.returns.append(make_return(self.inspected.store, farm_id=farm_id, asked=asked, now=now))
                return

    def _is_in_patch(self, lot: Lot) -> bool:
        return any(
            patch.holds(lot.block_id, row=row, position=first)
            or patch.holds(lot.block_id, row=row, position=last)
            for patch in self.patches
            for row, first, last in lot.eligible
        ) or any(
            patch.block_id == lot.block_id
            and patch.first_row <= row <= patch.last_row
            and first <= patch.first_position <= last
            for patch in self.patches
            for row, first, last in lot.eligible
        )

    def _return(self, lot: Lot, checks: Iterable[Check], day: date) -> Return | None:
        at = moment(day, MADE_AT_H)
        if at > self.inspected.season.now or lot.crew_id is None:
            return None
        asked = NewReturn(
            uuid7(at, self.rng),
            lot.block_id,
            lot.crew_id,
            day + DUE_AFTER,
            lot_id=lot.id,
            points=self._failed(lot, checks),
        )
        made = make_return(self.inspected.store, farm_id=self.inspected.season.farm_id, asked=asked, now=at)
        self.returns.append(made)
        return made

    def _failed(self, lot: Lot, checks: Iterable[Check]) -> tuple[str, ...]:
        """Return the points that failed most often."""
        with self.inspected.store.read() as conn:
            brief = briefs.version(conn, lot.brief_id or "", lot.brief_version or 0)
        failed = Counter(key for one in checks for key in failed_points(brief.content, one.findings or ()))
        return tuple(key for key, _ in failed.most_common(MOST_POINTS))

    def _go_over(self, made: Return, lot: Lot, day: date) -> None:
        """Mark what was sent back as gone over again, stretch by stretch."""
        crew = next(one for one in self.inspected.season.crews if one.crew_id == lot.crew_id)
        done = []
        for part, at in zip(made.stretches, _moments(day), strict=False):
            if at > self.inspected.season.now:
                break
            done.append(
                Mark(
                    id=uuid7(at, self.rng),
                    season_id=lot.season_id,
                    block_id=lot.block_id,
                    row=part.row,
                    first=part.first,
                    last=part.last,
                    crew_id=crew.crew_id,
                    day=at.date(),
                    method=crew.gang.method,
                    recorder_id=crew.foreman_id,
                    device_id=crew.device_id,
                    device_at=at,
                    return_id=made.id,
                )
            )
        if done:
            farm_id, at = self.inspected.season.farm_id, done[-1].device_at
            record_marks(self.inspected.store, farm_id=farm_id, marks=done, sent_at=at, now=at)
            self.marks += done
        if len(done) == len(made.stretches):
            self.waiting.append(made)


def _moments(day: date) -> Iterator[datetime]:
    hours = REDONE_AT_H
    while True:
        hours += STRETCH_H
        yield moment(day, hours)
