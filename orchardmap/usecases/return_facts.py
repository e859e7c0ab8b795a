"""What is known of returns as of a day: what was asked, which marks answer, what is left, and what a new check said."""

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from orchardmap.model.returns import Return, ReturnState, Stretch
from orchardmap.store import row_tables
from orchardmap.store.lots import returns_of_lots
from orchardmap.store.returns import returns_of
from orchardmap.store.session import Connection
from orchardmap.store.standing import Answer, standing_answers
from orchardmap.usecases.checked_trees import ReadCheck
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.rechecks import Recheck, rechecks
from orchardmap.work.returns import common, is_past, joined, open_stretches, return_state, trees_in

__all__ = ["ReturnFacts", "past_checks", "return_facts", "trees_again", "waiting_stretches"]


@dataclass(frozen=True, slots=True)
class ReturnFacts:
    """A return, and what became of it by the day looked at."""

    said: Return
    stretches: tuple[Stretch, ...]
    """What it asks for, cut at the ends of the rows as they are counted now."""
    answers: tuple[Answer, ...]
    """Marks that answer it and stand, by day."""
    open: tuple[Stretch, ...]
    """What no mark answers yet."""
    recheck: Recheck | None
    state: ReturnState
    not_trees: frozenset[tuple[int, int]]
    """(row, position) of blanks and pollinizers in its rows."""
    recheck_lots: frozenset[str]
    """Ids of all lots ever drawn over it."""

    def trees(self, stretches: Sequence[Stretch]) -> int:
        """Return how many trees stretches hold."""
        return trees_in(stretches, self.not_trees)


def return_facts(
    conn: Connection,
    at: Moment,
    block_ids: Sequence[str] | None = None,
    *,
    checks: Sequence[ReadCheck] | None = None,
) -> list[ReturnFacts]:
    """Return the returns made by the day that is looked at, by number; of some blocks if given.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day: marks of that day and earlier that stand now answer.
    block_ids : sequence of str, optional
    checks : sequence of ReadCheck, optional
        All of those blocks' by that day, where they are at hand.

    Returns
    -------
    list of ReturnFacts
        Without a season, none.
    """
    if at.season is None:
        return []
    said = returns_of(conn, at.season.id, block_ids=block_ids, until=at.until)
    if not said:
        return []
    ids = [one.id for one in said]
    answers: dict[str, list[Answer]] = defaultdict(list)
    for answer in standing_answers(conn, at.season.id, ids, until=at.until):
        answers[answer.return_id].append(answer)
    checked = rechecks(conn, at, set(ids), {one.block_id for one in said}, checks=checks)
    keys = {(one.block_id, stretch.row) for one in said for stretch in one.stretches}
    ground = _Ground(row_tables.named_rows(conn, at.farm.id, keys))
    lots: dict[str, set[str]] = defaultdict(set)
    for lot_id, return_id in returns_of_lots(conn, at.season.id).items():
        lots[return_id].add(lot_id)
    return [
        replace(
            _facts(
                one, tuple(answers[one.id]), checked.get(one.id), ground, is_cancelled=_is_cancelled(one, at)
            ),
            recheck_lots=frozenset(lots[one.id]),
        )
        for one in said
    ]


class _Ground:
    """How long rows are, and where in them no tree stands."""

    def __init__(self, table: row_tables.RowTable) -> None:
        self.rows: dict[str, list[Stretch]] = defaultdict(list)
        self.not_trees: dict[str, set[tuple[int, int]]] = defaultdict(set)
        numbers = table.number.tolist()
        for block_id, number, positions in zip(
            table.block_id, numbers, table.positions.tolist(), strict=True
        ):
            self.rows[block_id].append(Stretch(number, 1, positions))
        for index, position in table.not_trees:
            self.not_trees[table.block_id[index]].add((numbers[index], position))


def _is_cancelled(said: Return, at: Moment) -> bool:
    """Tell whether it was taken back by the day that is looked at."""
    if said.cancelled_at is None or at.until is None:
        return said.cancelled_at is not None
    return said.cancelled_at.astimezone(ZoneInfo(at.farm.time_zone)).date() <= at.until


def _facts(
    said: Return,
    answers: tuple[Answer, ...],
    recheck: Recheck | None,
    ground: _Ground,
    *,
    is_cancelled: bool,
) -> ReturnFacts:
    stretches = common(said.stretches, ground.rows[said.block_id])
    rows = {one.row for one in stretches}
    not_trees = frozenset(one for one in ground.not_trees[said.block_id] if one[0] in rows)
    left = open_stretches(stretches, [Stretch(a.row, a.first, a.last) for a in answers], not_trees)
    state = return_state(
        is_cancelled=is_cancelled,
        trees_open=trees_in(left, not_trees),
        recheck=recheck.verdict if recheck else None,
        is_redone_since=_is_redone_since(recheck, stretches, answers, not_trees),
    )
    return ReturnFacts(said, stretches, answers, left, recheck, state, not_trees, frozenset())


def _is_redone_since(
    recheck: Recheck | None,
    stretches: Sequence[Stretch],
    answers: Sequence[Answer],
    not_trees: Collection[tuple[int, int]],
) -> bool:
    """Tell whether every tree was gone over once more after the recheck's last check: one row of them is no new work to judge."""
    if recheck is None or recheck.checked_on is None or recheck.checked_at is None:
        return False
    last = recheck.checked_on, recheck.checked_at
    since = [Stretch(a.row, a.first, a.last) for a in answers if (a.day, a.corrected_at) > last]
    return not open_stretches(stretches, since, not_trees)


def waiting_stretches(found: Sequence[ReturnFacts]) -> dict[str, tuple[Stretch, ...]]:
    """Return what waits to be gone over again in each block, each position once."""
    of_block: dict[str, list[Stretch]] = defaultdict(list)
    for one in found:
        if one.state == "open":
            of_block[one.said.block_id] += one.open
    return {block_id: joined(stretches) for block_id, stretches in of_block.items()}


def trees_again(found: Sequence[ReturnFacts]) -> dict[str, int]:
    """Return how many trees wait to be gone over again in each block that has any."""
    not_trees: dict[str, set[tuple[int, int]]] = defaultdict(set)
    for one in found:
        not_trees[one.said.block_id] |= one.not_trees
    return {
        block_id: trees_in(stretches, not_trees[block_id])
        for block_id, stretches in waiting_stretches(found).items()
    }


def past_checks(found: Sequence[ReturnFacts]) -> Callable[[ReadCheck], bool]:
    """Return what tells of a check whether its tree was gone over again after it, by the marks that these returns know.

    The returns are those of the blocks that checks are asked about, cancelled ones too: what was done was done.
    """
    of_row: dict[tuple[str, int], list[tuple[Stretch, Answer]]] = defaultdict(list)
    for one in found:
        for answer in one.answers:
            for part in common([Stretch(answer.row, answer.first, answer.last)], one.stretches):
                of_row[one.said.block_id, part.row].append((part, answer))
    recheck_of = {lot_id: one.said.id for one in found for lot_id in one.recheck_lots}

    def told(check: ReadCheck) -> bool:
        here = of_row.get((check.block_id, check.row), ())
        done = [answer for part, answer in here if part.first <= check.position <= part.last]
        checked = check.day, check.corrected_at
        own = recheck_of.get(check.lot_id or "")
        if any(one.return_id == own and (one.day, one.corrected_at) > checked for one in done):
            own = None  # it was gone over after its lot had looked at it
        return is_past(check.day, own, [(one.return_id, one.day) for one in done])

    return told
