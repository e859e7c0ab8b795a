"""How the work of the invented farm was judged: a lot of each crew's trees once a week, walked by the two auditors."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import groupby

import numpy as np

from orchardmap.demo.checks import Judged, Patch, check_made, unjudged, verdict_of
from orchardmap.demo.findings import findings_of, serious_points
from orchardmap.demo.hindrances import hindered_trees, tour
from orchardmap.demo.ids import uuid7
from orchardmap.demo.season import moment
from orchardmap.demo.work import CrewAtWork
from orchardmap.model.brief import BriefVersion
from orchardmap.model.check import Check, Finding, TreeVerdict
from orchardmap.model.lot import Lot, Tree
from orchardmap.model.returns import Return
from orchardmap.store import briefs, orchard
from orchardmap.store import lots as lot_store
from orchardmap.store.session import Store
from orchardmap.usecases.lot_drawing import NewLot, draw_lot
from orchardmap.usecases.lot_findings_json import lot_walk, row_lengths
from orchardmap.usecases.lot_ground import lot_moment, waiting_trees
from orchardmap.usecases.lot_planning import LotWish
from orchardmap.usecases.recording import record_checks

__all__ = ["Inspected", "Season"]

LEAST_LOT = 200
"""Trees of a crew in a block that make a lot; fewer wait for the next week."""
DRAWN_AT_H, WALKED_FROM_H, WALKED_TO_H = -0.5, 0.5, 8.0
"""Hours after eight in the morning."""
TREE_H = (0.04, 0.08)
SECOND_LOOK_EVERY = 9
"""Of so many lots one is looked at by both auditors."""
OTHER_EYES = 0.06
"""Of the trees that both look at, how many the second sees otherwise."""
BEGUN_TREES = 12
FAULTY_AFTER_RETURN = 0.01


@dataclass(frozen=True, slots=True)
class Season:
    """What the inspections of a season are about."""

    farm_id: str
    season_id: str
    crews: Sequence[CrewAtWork]
    patches: Sequence[Patch]
    auditor_ids: Sequence[str]
    now: datetime
    """Nothing is recorded after it."""


@dataclass
class Inspected:
    """Lots and checks as they come about, in a store."""

    store: Store
    season: Season
    rng: np.random.Generator
    checks: list[Check] = field(default_factory=list)
    lots: list[Lot] = field(default_factory=list)
    read: dict[tuple[str, int], BriefVersion] = field(default_factory=dict)
    """Versions of briefs that were needed so far."""

    def week(self, monday: date) -> None:
        """Draw a lot of what every crew pruned in each of its blocks up to the week before, and check them all."""
        drawn_at = moment(monday, DRAWN_AT_H)
        if drawn_at > self.season.now:
            return
        hours = dict.fromkeys(self.season.auditor_ids, WALKED_FROM_H)
        for turn, (block_id, crew_id) in enumerate(self._wanting(drawn_at, LEAST_LOT)):
            lot = self._drawn(LotWish(block_id, crew_id, until_day=monday - timedelta(days=1)), drawn_at)
            first, second = _pair(self.season.auditor_ids, turn)
            made = self._walk(lot, first, monday, hours)
            if len(self.lots) % SECOND_LOOK_EVERY == 0:
                self._look_again(lot, made, second, monday, hours)

    def today(self, today: date) -> None:
        """Draw two lots this morning, or now if it is earlier, of the crews with most trees that wait; one of them is begun."""
        drawn_at = min(moment(today, DRAWN_AT_H), self.season.now)
        hours = dict.fromkeys(self.season.auditor_ids, WALKED_FROM_H)
        for turn, (block_id, crew_id) in enumerate(self._wanting(drawn_at, 1)[:2]):
            lot = self._drawn(LotWish(block_id, crew_id, until_day=today), drawn_at)
            if turn == 0:
                self._walk(lot, self.season.auditor_ids[0], today, hours, most=BEGUN_TREES)

    def recheck(self, again: Return, monday: date) -> None:
        """Draw a lot over trees that were gone over again, and check them."""
        drawn_at = moment(monday, DRAWN_AT_H)
        if drawn_at > self.season.now:
            return
        hours = dict.fromkeys(self.season.auditor_ids, WALKED_FROM_H)
        wish = LotWish(
            again.block_id, again.crew_id, until_day=monday - timedelta(days=1), return_id=again.id
        )
        self._walk(self._drawn(wish, drawn_at), self.season.auditor_ids[-1], monday, hours)

    def _wanting(self, now: datetime, least: int) -> list[tuple[str, str]]:
        """Return block and crew of pruned trees in no lot, most first."""
        with self.store.read() as conn:
            at = lot_moment(conn, self.season.farm_id, None, now)
            ids = [block.id for block in orchard.blocks(conn, self.season.farm_id)]
            found = waiting_trees(conn, at, lot_store.lots_of(conn, self.season.season_id), ids)
        counted = [
            (trees, block_id, crew_id)
            for block_id, waiting in found.items()
            for crew_id, trees in waiting.of_crews.items()
            if crew_id is not None and trees >= least
        ]
        return [(block_id, crew_id) for _, block_id, crew_id in sorted(counted, key=lambda one: -one[0])]

    def _drawn(self, wish: LotWish, at: datetime) -> Lot:
        lot = draw_lot(
            self.store,
            farm_id=self.season.farm_id,
            asked=NewLot(uuid7(at, self.rng), wish, int(self.rng.integers(2**31))),
            now=at,
        )
        self.lots.append(lot)
        return lot

    def _walk(
        self, lot: Lot, auditor_id: str, day: date, hours: dict[str, float], *, most: int | None = None
    ) -> list[Check]:
        """Check a lot's trees in walking order, as far as the clock lets, and others where some cannot be judged."""
        with self.store.read() as conn:
            walk = lot_walk(lot, row_lengths(conn, lot.block_id))[:most]
        hindered = hindered_trees(lot)
        trees = tour(lot, walk, hindered) if most is None else walk
        made = []
        for tree, at in self._until_now(trees, auditor_id, day, hours):
            if tree in hindered:
                made.append(unjudged(lot, tree, auditor_id, why=hindered[tree], at=at, rng=self.rng))
            else:
                verdict = self._verdict(lot, tree)
                made.append(self._judged(lot, tree, auditor_id, verdict=verdict, at=at))
        self._hand_in(made)
        return made

    def _look_again(
        self, lot: Lot, first: Sequence[Check], auditor_id: str, day: date, hours: dict[str, float]
    ) -> None:
        """Look at a lot's trees a second time, those that were judged."""
        judged = {(one.row, one.position): one.verdict for one in first if one.verdict is not None}
        made = []
        for tree, at in self._until_now(judged, auditor_id, day, hours):
            verdict = self._verdict(lot, tree) if self.rng.random() < OTHER_EYES else judged[tree]
            made.append(self._judged(lot, tree, auditor_id, verdict=verdict, at=at, is_second=True))
        self._hand_in(made)

    def _until_now(
        self, trees: Iterable[Tree], auditor_id: str, day: date, hours: dict[str, float]
    ) -> Iterator[tuple[Tree, datetime]]:
        """Yield tree after tree with the moment when an auditor is done with it, as far as the clock lets."""
        for tree, at in zip(trees, _moments(day, auditor_id, hours, self.rng), strict=False):
            if at > self.season.now:
                return
            yield tree, at

    def _hand_in(self, made: Sequence[Check]) -> None:
        """Hand checks in as each day ends."""
        for _, of_day in groupby(made, key=lambda check: check.day):
            checks = list(of_day)
            at = checks[-1].device_at
            record_checks(self.store, farm_id=self.season.farm_id, checks=checks, sent_at=at, now=at)
        self.checks += made

    def _judged(
        self,
        lot: Lot,
        tree: Tree,
        auditor_id: str,
        *,
        verdict: TreeVerdict,
        at: datetime,
        is_second: bool = False,
    ) -> Check:
        judged = Judged(lot, self._findings(lot, tree, verdict, self._brief(lot)), is_second=is_second)
        where = (lot.season_id, lot.block_id, *tree)
        return check_made(where, auditor_id, verdict=verdict, at=at, rng=self.rng, judged=judged)

    def _brief(self, lot: Lot) -> BriefVersion:
        named = lot.brief_id or "", lot.brief_version or 0
        if named not in self.read:
            with self.store.read() as conn:
                self.read[named] = briefs.version(conn, *named)
        return self.read[named]

    def _verdict(self, lot: Lot, tree: Tree) -> TreeVerdict:
        if lot.return_id is not None:
            return "faulty" if self.rng.random() < FAULTY_AFTER_RETURN else "meets"
        crew = next(one for one in self.season.crews if one.crew_id == lot.crew_id)
        return verdict_of(crew, self.season.patches, tree=(lot.block_id, *tree), drawn=True, rng=self.rng)

    def _findings(
        self, lot: Lot, tree: Tree, verdict: TreeVerdict, brief: BriefVersion
    ) -> tuple[Finding, ...]:
        """Return what is found: in a weak patch always the same point is missed."""
        serious = serious_points(brief.content)
        weak = next(
            (
                serious[number % len(serious)]
                for number, patch in enumerate(self.season.patches)
                if patch.holds(lot.block_id, row=tree[0], position=tree[1])
            ),
            None,
        )
        return findings_of(brief.content, verdict, weak=weak, rng=self.rng)


def _pair(auditor_ids: Sequence[str], turn: int) -> tuple[str, str]:
    """Return who walks first and who looks a second time."""
    first = auditor_ids[turn % len(auditor_ids)]
    return first, next(one for one in auditor_ids if one != first)


def _moments(
    day: date, auditor_id: str, hours: dict[str, float], rng: np.random.Generator
) -> Iterator[datetime]:
    """Yield when an auditor is done with one tree after another, from where she stopped; the evening breaks it off until the next working day."""
    while True:
        hours[auditor_id] += float(rng.uniform(*TREE_H))
        days, at = divmod(hours[auditor_id] - WALKED_FROM_H, WALKED_TO_H - WALKED_FROM_H)
        walked_on = day + timedelta(days=int(days))
        yield moment(walked_on, WALKED_FROM_H + at)
