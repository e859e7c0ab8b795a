"""Why a block stands where the proposal puts it, in words. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import whole_text
from orchardmap.planning.giving import Place, Proposal
from orchardmap.planning.skills import advantage
from orchardmap.planning.work_ahead import AheadBlock, AheadCrew, Days, Spot

__all__ = ["Reason", "reason_text", "reasons_of"]

Code = Literal[
    "goes_on", "must", "late", "next_door", "next_door_now", "near", "near_now", "spread", "good_at", "new_to",
    "annual", "biennial", "closed", "no_platform", "balance", "free_first", "no_crew", "wait_open", "away",
]  # fmt: skip

_LANE_M = 20.0
"""Two blocks with less than this between their outlines lie beside each other: a headland or a lane."""
_GOOD = 0.95
"""So much of the others' time for a tree, or less, is told as being good at it."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that speaks for a block's place."""

    code: Code
    values: Mapping[str, str | int | date]


_SENTENCES: Mapping[Code, Mapping[str, str]] = {
    "goes_on": message("it prunes there already"),
    "must": message("must be done by {day}"),
    "late": message("as things stand it is done about {day}, after its day"),
    "next_door": message("beside {block}"),
    "next_door_now": message("beside {block}, which it prunes now"),
    "near": message("{metres} m from {block}"),
    "near_now": message("{metres} m from {block}, which it prunes now"),
    "spread": message("far from the other crews, so that its next blocks are next door"),
    "good_at": message("it does well at this bearing habit"),
    "new_to": message("this bearing habit is new to it, and nothing it knows was left"),
    "annual": message("bears every year, so before the biennial ones"),
    "biennial": message("leans to bear every other year, so after the others"),
    "closed": message("closed until {day}, so not sooner"),
    "no_platform": message("no platform goes in there"),
    "balance": message("so that all crews are finished about the same day"),
    "free_first": message("the first crew that is free"),
    "away": message("the crew is there from {day} on"),
    "no_crew": message("no crew can take it"),
    "wait_open": message(
        "closed until {day}, and no crew has other work before it: give it out when it opens"
    ),
}
_LINE = message("{crew}: {reasons}")
_NOBODY = message("Nobody yet: {reasons}")


def reasons_of(
    proposal: Proposal, blocks: Sequence[AheadBlock], crews: Sequence[AheadCrew], days: Days
) -> dict[str, tuple[Reason, ...]]:
    """Return what speaks for each block's place, what weighs most first.

    Parameters
    ----------
    proposal : Proposal
    blocks, crews, days
        That it was made from.

    Returns
    -------
    dict of str to tuple of Reason
        By block id, at least one of each.
    """
    by_id = {block.id: block for block in blocks}
    crew_of = {crew.id: crew for crew in crews}
    bearings = {(one.must_finish_on, one.is_biennial) for one in blocks}
    last_day = max((one.must_finish_on for one in blocks), default=date.max)
    told = {}
    for block_id, block in by_id.items():
        place = proposal.places.get(block_id)
        if place is None:
            told[block_id] = _nobody(block, days)
            continue
        crew = crew_of[place.crew_id]
        found = [
            *_going_on(block, place),
            *_by_day(block, place, last_day),
            *_way(block, by_id.get(place.after or ""), crew, place),
            *_skill(block, crew, crews),
            *([Reason("biennial", {})] if block.is_biennial and _differ(block, bearings) else []),
            *_held(block, place, days),
            *([Reason("away", {"day": crew.back_on})] if crew.back_on and place.after is None else []),
        ]
        told[block_id] = tuple(found or _common(block, bearings))
    return told


def reason_text(reasons: Sequence[Reason], *, crew: str | None, language: str) -> str:
    """Return the reasons of one block as one line.

    Parameters
    ----------
    reasons : sequence of Reason
    crew : str or None
        Its name; None for a block that is given to nobody.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str

    Examples
    --------
    >>> why = [Reason("next_door_now", {"block": "K2"}), Reason("must", {"day": date(2026, 3, 10)})]
    >>> reason_text(why, crew="Crew Thorn", language="en")
    'Crew Thorn: beside K2, which it prunes now; must be done by 10 March 2026'
    """
    said = "; ".join(_said(reason, language) for reason in reasons)
    return translated(_NOBODY if crew is None else _LINE, language).format(crew=crew, reasons=said)


def _said(reason: Reason, language: str) -> str:
    values = {name: _value_text(value, language) for name, value in reason.values.items()}
    return translated(_SENTENCES[reason.code], language).format(**values)


def _value_text(value: str | int | date, language: str) -> str:
    if isinstance(value, date):
        return date_text(value, language)
    return whole_text(value, language) if isinstance(value, int) else value


def _nobody(block: AheadBlock, days: Days) -> tuple[Reason, ...]:
    opens_on = _opens_on(block, days)
    return (Reason("no_crew", {}) if opens_on is None else Reason("wait_open", {"day": opens_on}),)


def _opens_on(block: AheadBlock, days: Days) -> date | None:
    """Return the last day of what closes a block on the first day; None where it is open."""
    until = [last for first, last in block.closed if first <= days.days[0] <= last]
    return max(until, default=None)


def _going_on(block: AheadBlock, place: Place) -> list[Reason]:
    return [Reason("goes_on", {})] if block.begun_by == place.crew_id else []


def _by_day(block: AheadBlock, place: Place, last_day: date) -> list[Reason]:
    found = [Reason("must", {"day": block.must_finish_on})] if block.must_finish_on < last_day else []
    late = [Reason("late", {"day": place.ends_on})] if place.ends_on > block.must_finish_on else []
    return found + late


def _way(block: AheadBlock, before: AheadBlock | None, crew: AheadCrew, place: Place) -> list[Reason]:
    """Tell how far the crew comes from."""
    if block.begun_by == place.crew_id:
        return []
    spot: Spot | None = before.spot if before is not None else crew.stands
    if spot is None:
        return [Reason("spread", {})] if place.is_spread else []
    apart_m = block.spot.apart_m(spot)
    is_now = before is not None and before.begun_by == place.crew_id
    if apart_m < _LANE_M:
        return [Reason("next_door_now" if is_now else "next_door", {"block": spot.code})]
    metres = round(apart_m, -1)
    return [Reason("near_now" if is_now else "near", {"block": spot.code, "metres": int(metres)})]


def _skill(block: AheadBlock, crew: AheadCrew, crews: Sequence[AheadCrew]) -> list[Reason]:
    share = advantage(crews, crew, block.habit)
    if share is None:
        is_known = any(block.habit in one.skills for one in crews)
        return [Reason("new_to", {})] if is_known and block.begun_by != crew.id else []
    return [Reason("good_at", {})] if share <= _GOOD else []


def _differ(block: AheadBlock, bearings: set[tuple[date, bool]]) -> bool:
    """Tell whether blocks that bear otherwise are due on the same day."""
    return (block.must_finish_on, not block.is_biennial) in bearings


def _common(block: AheadBlock, bearings: set[tuple[date, bool]]) -> list[Reason]:
    """Return what holds of most blocks, told where nothing else speaks."""
    is_before = not block.is_biennial and _differ(block, bearings)
    return [Reason("annual" if is_before else "free_first", {})]


def _held(block: AheadBlock, place: Place, days: Days) -> list[Reason]:
    opens_on = _opens_on(block, days)
    found = [] if opens_on is None else [Reason("closed", {"day": opens_on})]
    found += [Reason("no_platform", {})] if block.platform_fits is False else []
    return found + ([Reason("balance", {})] if place.is_handed_over else [])
