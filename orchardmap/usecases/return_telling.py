"""Returns as they are told: to the office with their history in words, and to crews in the log of their block."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import date_text
from orchardmap.model.returns import Stretch
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store.returns import return_of
from orchardmap.store.session import Connection, Store
from orchardmap.store.standing import Answer
from orchardmap.usecases.moments import Moment, moment, moment_of_season
from orchardmap.usecases.return_facts import ReturnFacts, return_facts
from orchardmap.usecases.return_points import named_points
from orchardmap.work.returns import common

__all__ = ["block_returns", "farm_returns", "return_json"]

Json = dict[str, Any]

_MADE = message("To go over again by {day}: {trees}.")
_REDONE = message("Gone over again by {crew}: {trees}.")
_DRAWN = message("Lot {number} was drawn over its trees.")
_ACCEPTED = message("Lot {number} was accepted: the trees are in order.")
_SENT_BACK = message("Lot {number} was sent back: a new return is needed.")
_CANCELLED = message("Taken back: {reason}")
_TREE, _TREES = message("1 tree"), message("{number} trees")


@dataclass(frozen=True, slots=True)
class _Names:
    """What returns name by id, and the language to say it in."""

    crews: Mapping[str, str]
    codes: Mapping[str, str]
    """Block id to its code."""
    points: Mapping[str, list[Json]]
    zone: ZoneInfo
    language: str


def farm_returns(store: Store, farm_id: str, *, language: str, now: datetime) -> list[Json]:
    """Return a farm's returns of the season, by number."""
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        found = return_facts(conn, at)
        names = _names(conn, at, found, language)
    return [_told(one, at, names) for one in found]


def return_json(store: Store, return_id: str, *, language: str, now: datetime) -> Json:
    """Return one return, of whatever season.

    Raises
    ------
    UnknownError
        If there is none of that id.
    """
    with store.read() as conn:
        said = return_of(conn, return_id)
        at = moment_of_season(conn, said.farm_id, said.season_id, now)
        found = [one for one in return_facts(conn, at, [said.block_id]) if one.said.id == return_id]
        names = _names(conn, at, found, language)
    return _told(found[0], at, names)


def _names(conn: Connection, at: Moment, found: Sequence[ReturnFacts], language: str) -> _Names:
    return _Names(
        {crew.id: crew.name for crew in farm_store.crews(conn, at.farm.id)},
        {block.id: block.code for block in orchard.blocks(conn, at.farm.id)},
        named_points(conn, at, [one.said for one in found]),
        ZoneInfo(at.farm.time_zone),
        language,
    )


def _told(one: ReturnFacts, at: Moment, names: _Names) -> Json:
    said = one.said
    return {
        "id": said.id,
        "number": said.number,
        "block_id": said.block_id,
        "block_code": names.codes[said.block_id],
        "crew_id": said.crew_id,
        "crew": names.crews[said.crew_id],
        "due_on": said.due_on.isoformat(),
        "made_on": said.made_on.isoformat(),
        "lot_id": said.lot_id,
        "area": said.area,
        "points": [
            {"key": point["key"], "sentence": point["sentences"][names.language]}
            for point in names.points[said.id]
        ],
        "note": said.note,
        "stretches": [list(stretch) for stretch in one.stretches],
        "open": [list(stretch) for stretch in one.open],
        "trees": one.trees(one.stretches),
        "trees_open": one.trees(one.open),
        "state": one.state,
        "is_late": one.state == "open" and said.due_on < at.day,
        "history": _history(one, names),
    }


def _history(one: ReturnFacts, names: _Names) -> list[Json]:
    """Return what became of a return, oldest first."""
    said, language = one.said, names.language
    told: list[tuple[date, datetime, str, Mapping[str, str], Json]] = [
        (
            said.made_on,
            said.made_at,
            "made",
            _MADE,
            {"day": date_text(said.due_on, language), "trees": _trees(one.trees(one.stretches), language)},
        )
    ]
    recheck = one.recheck
    for (day, crew_id, _), answers in _by_day(one).items():
        done = [Stretch(answer.row, answer.first, answer.last) for answer in answers]
        trees = _trees(one.trees(common(done, one.stretches)), language)
        last = max(answer.corrected_at for answer in answers)
        told.append((day, last, "redone", _REDONE, {"crew": names.crews.get(crew_id, ""), "trees": trees}))
    if recheck is not None:
        number = {"number": recheck.number}
        told.append((recheck.drawn_on, recheck.drawn_at, "drawn", _DRAWN, number))
        if recheck.verdict is not None and recheck.checked_on is not None and recheck.checked_at is not None:
            words = _ACCEPTED if recheck.verdict == "accepted" else _SENT_BACK
            told.append((recheck.checked_on, recheck.checked_at, "verdict", words, number))
    if one.state == "cancelled" and said.cancelled_at is not None:
        on = said.cancelled_at.astimezone(names.zone).date()
        told.append((on, said.cancelled_at, "cancelled", _CANCELLED, {"reason": said.cancel_reason}))
    # nothing answers a return before it is made, whatever a tablet's clock says
    told.sort(key=lambda entry: (entry[0], entry[2] != "made", entry[1]))
    return [
        {"on": day.isoformat(), "what": what, "words": translated(words, language).format(**values)}
        for day, _, what, words, values in told
    ]


def _by_day(one: ReturnFacts) -> dict[tuple[date, str, bool], list[Answer]]:
    """Return the marks that answer by day and crew, those made after the recheck by themselves."""
    again = one.recheck.checked_at if one.recheck else None
    found: dict[tuple[date, str, bool], list[Answer]] = defaultdict(list)
    for answer in one.answers:
        found[answer.day, answer.crew_id, again is not None and answer.corrected_at > again].append(answer)
    return found


def _trees(number: int, language: str) -> str:
    return translated(_TREE if number == 1 else _TREES, language).format(number=number)


def block_returns(
    conn: Connection, at: Moment, block_ids: Sequence[str], crew_index: Mapping[str, int]
) -> dict[str, list[Json]]:
    """Return what tablets are told of the returns of each block that are open, or gone over again and not yet checked.

    Each with the marks that answer it, so that a tablet works out itself what is open: by its own records too, and where
    one of them is taken back.
    """
    found = [one for one in return_facts(conn, at, block_ids) if one.state in {"open", "redone"}]
    points = named_points(conn, at, [one.said for one in found])
    told: dict[str, list[Json]] = {block_id: [] for block_id in block_ids}
    for one in found:
        said = one.said
        told[said.block_id].append({
            "id": said.id,
            "number": said.number,
            "crew_id": said.crew_id,
            "due_on": said.due_on.isoformat(),
            "points": points[said.id],
            "note": said.note,
            "stretches": [list(stretch) for stretch in one.stretches],
            "open": [list(stretch) for stretch in one.open],
            "answers": [
                [a.id, a.row, a.first, a.last, crew_index[a.crew_id], a.day.isoformat()] for a in one.answers
            ],
        })
    return told
