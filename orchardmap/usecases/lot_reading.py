"""Lots as the service tells them: a season's list, and one with all that was found on its trees."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.model.code_order import code_order
from orchardmap.model.lot import Lot, LotPlan, TwoPoints
from orchardmap.quality.lot_plan import SizedLot, oc_points, other_plan_text, plan_text, plan_to_json, risks
from orchardmap.quality.lot_words import cancelled_texts, inspection_text, lot_texts, return_texts
from orchardmap.quality.stand_in_words import hangs_on_words, reserve_text
from orchardmap.quality.switching import Switching
from orchardmap.store import access, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import lots as lot_store
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.checked_trees import read_checks
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_findings_json import findings_json, not_judged_json
from orchardmap.usecases.lot_ground import trees_not_in, waiting_trees
from orchardmap.usecases.lot_verdicts import JudgedLot, judged_lots, memories
from orchardmap.usecases.lots_in_order import SentBack, lots_sent_back
from orchardmap.usecases.moments import Moment, moment, moment_of_season
from orchardmap.usecases.return_facts import return_facts

__all__ = ["farm_lots", "full_lot"]

Json = dict[str, Any]
_REMEMBERED: "Remembered[Json]" = Remembered(20)


def farm_lots(store: Store, farm_id: str, *, language: str, now: datetime) -> Json:
    """Return the lots of the current season, what is remembered of each crew's, and the trees that are in none.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    language : str
        Of the sentences; English where it has no catalogue.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer. ``wanting``: pruned trees in no lot, by block and crew (null: settled for nobody, and told once they
        are all that a lot of the whole block would hold). ``to_settle``: by block those that are in none because two crews
        claim them. Remembered until something of the farm changes.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        if at.season is None:
            return {"season_id": None, "lots": [], "memory": [], "wanting": [], "to_settle": []}
        return _REMEMBERED.answer(conn, farm_id, (at.today, language), lambda: _all_told(conn, at, language))


def _all_told(conn: Connection, at: Moment, language: str) -> Json:
    assert at.season is not None  # noqa: S101 - asked by who has a season
    blocks = {block.id: block.code for block in orchard.blocks(conn, at.farm.id)}
    crews = {crew.id: crew.name for crew in farm_store.crews(conn, at.farm.id)}
    lots = lot_store.lots_of(conn, at.season.id)
    judged = _judged(conn, at, lots)
    told = _told(conn, at, judged, language)
    known = _memories(conn, at.farm.id, judged)
    waiting = waiting_trees(conn, at, lots, sorted(blocks))
    return {
        "season_id": at.season.id,
        "lots": told,
        "memory": [
            {"crew_id": crew, "crew": crews.get(crew or "", ""), "inspection": memory.inspection}
            | {"words": inspection_text(memory, language)}
            for crew, memory in sorted(known.items(), key=lambda one: crews.get(one[0] or "", ""))
        ],
        "wanting": [
            {"block_id": block, "block_code": code, "crew_id": crew, "crew": crews.get(crew or "", "")}
            | {"trees": trees}
            for block, code in sorted(blocks.items(), key=lambda one: code_order(one[1]))
            for crew, trees in sorted(
                waiting[block].of_crews.items(), key=lambda one: crews.get(one[0] or "", "")
            )
            if crew is not None or len(waiting[block].of_crews) == 1
        ],
        "to_settle": [
            {"block_id": block, "trees": waiting[block].contested}
            for block in blocks
            if waiting[block].contested
        ],
    }


def _memories(conn: Connection, farm_id: str, judged: Sequence[JudgedLot]) -> Mapping[str | None, Switching]:
    """Return what is remembered of each crew's lots; nothing where the farm's plan is one that no lot before changes."""
    settings = setting_store.farm_settings(conn, farm_id)
    if isinstance(settings.lot_plan, TwoPoints):
        return {}
    return memories(judged, reduced_agreed=settings.check_reduced_agreed == "yes")


def _judged(conn: Connection, at: Moment, lots: Sequence[Lot]) -> list[JudgedLot]:
    blocks = sorted({lot.block_id for lot in lots})
    checks = read_checks(conn, at, blocks) if blocks else []
    return judged_lots(lots, checks, trees_left_out(conn, at, lots))


def _told(conn: Connection, at: Moment, judged: Sequence[JudgedLot], language: str) -> list[Json]:
    """Return lots as lists tell them."""
    codes = {block.id: block.code for block in orchard.blocks(conn, at.farm.id)}
    crews = {crew.id: crew.name for crew in farm_store.crews(conn, at.farm.id)}
    gone = trees_not_in(conn, at, [one.lot for one in judged if one.waits])
    returns = return_facts(conn, at, sorted({one.lot.block_id for one in judged}))
    made = [one.said for one in returns if one.state != "cancelled"]
    back = lots_sent_back(conn, at, judged, returns)
    own = setting_store.farm_settings(conn, at.farm.id).lot_plan
    return [
        _named(one.lot, codes, crews)
        | _counted(one, own, language)
        | {"sentences": _sentences(conn, at, (one, gone.get(one.lot.id, 0), back.get(one.lot.id)), language)}
        | _answered(back.get(one.lot.id))
        | {"returns": [said.id for said in made if said.lot_id == one.lot.id]}
        for one in judged
    ]


def _named(lot: Lot, codes: Mapping[str, str], crews: Mapping[str, str]) -> Json:
    plain = ("id", "number", "block_id", "crew_id", "lot_trees", "n", "accept", "reject", "seed", "brief_id")
    return {name: getattr(lot, name) for name in (*plain, "brief_version", "return_id")} | {
        "block_code": codes[lot.block_id],
        "crew": crews.get(lot.crew_id or "", ""),
        "opened_on": lot.opened_on.isoformat(),
        "from_day": lot.from_day.isoformat() if lot.from_day else None,
        "until_day": lot.until_day.isoformat() if lot.until_day else None,
        "plan": plan_to_json(lot.plan),
        "cancelled": None if lot.stands else lot.cancel_reason or "",
    }


def _answered(back: SentBack | None) -> Json:
    """Return what became of a lot that was sent back."""
    if back is None:
        return {"put_right": False, "not_sent_back": 0, "rest": []}
    rest = [list(run) for run in back.rest]
    return {"put_right": back.is_put_right, "not_sent_back": back.not_sent_back, "rest": rest}


def _sentences(
    conn: Connection, at: Moment, told: tuple[JudgedLot, int, SentBack | None], language: str
) -> list[str]:
    one, gone, back = told
    lot = one.lot
    if lot.cancelled_at is not None:
        on = lot.cancelled_at.astimezone(ZoneInfo(at.farm.time_zone)).date()
        by = "" if lot.cancelled_by is None else access.account(conn, lot.cancelled_by).name
        return cancelled_texts(lot, one.found, on=on, by=by, unknown=one.unknown, language=language)
    sentences = lot_texts(lot, one.found, gone=gone, left_out=one.left_out, language=language)
    if back:
        sentences[1:1] = return_texts(
            trees=back.trees,
            not_sent_back=back.not_sent_back,
            is_put_right=back.is_put_right,
            language=language,
        )
    return sentences


def _counted(one: JudgedLot, own: LotPlan, language: str) -> Json:
    lot, found = one.lot, one.found
    size = _size(lot)
    other = other_plan_text(lot.plan, own, size, language)
    return {
        "plan_words": plan_text(lot.plan, size, language, is_recheck=lot.return_id is not None)
        + reserve_text(len(lot.reserve), language)
        + (f" {other}" if other else ""),
        "checked": found.checked,
        "faulty": found.faulty,
        "minor": found.minor,
        "meets": found.meets,
        "verdict": found.verdict,
        "is_decided": found.is_decided,
        "not_judged": not_judged_json(found, language),
        "hangs_on_words": hangs_on_words(found),
        "risks": risks(size, language),
    }


def _size(lot: Lot) -> SizedLot:
    return SizedLot(lot.lot_trees, lot.n, lot.accept, lot.reject, None)


def full_lot(store: Store, lot_id: str, *, language: str, now: datetime) -> Json:
    """Return a lot with its trees, what was found on each, and what that says of all of them.

    Parameters
    ----------
    store : Store
        Open for reading.
    lot_id : str
        The lot.
    language : str
        Of the sentences; English where it has no catalogue.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer.

    Raises
    ------
    UnknownError
        If there is no such lot.
    """
    with store.read() as conn:
        lot = lot_store.lot_of(conn, lot_id)
        at = moment_of_season(conn, lot.farm_id, lot.season_id, now)
        judged = _judged(conn, at, [lot])
        (told,) = _told(conn, at, judged, language)
        more = findings_json(conn, at, judged[0], language)
    return told | more | {"oc": [list(point) for point in oc_points(_size(lot))]}
