"""The weekly report of a farm as PDF: every figure from the use cases behind the overview and `orchardmap report`."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

from orchardmap.locale.dates import day_month_text
from orchardmap.paper.burn_up_chart import BurnUp
from orchardmap.paper.pdf import pdf_of
from orchardmap.paper.weekly_content import BlockLine, CrewLine, PaceLine, WeeklyReport
from orchardmap.paper.weekly_report import weekly_report_document
from orchardmap.store import orchard
from orchardmap.store.session import Store
from orchardmap.usecases.glance import overview
from orchardmap.usecases.ground_notes import caution_notes, weak_notes
from orchardmap.usecases.history import progress
from orchardmap.usecases.map_content import map_content
from orchardmap.usecases.moments import Moment, moment, refuse_day_to_come
from orchardmap.usecases.report_words import (
    by_words,
    cost_lines,
    finish_lines,
    lot_lines,
    progress_lines,
    standing_words,
)
from orchardmap.usecases.season_report import season_report
from orchardmap.usecases.weak_telling import farm_weak_areas

__all__ = ["weekly_report", "weekly_report_pdf"]

Json = dict[str, Any]


def weekly_report_pdf(
    store: Store, farm_id: str, *, day: date | None, language: str = "en", with_cost: bool, now: datetime
) -> bytes:
    """Return the report of the week that a day lies in (None: today) as PDF.

    Raises
    ------
    InputError
        If no report is made in that language, or the day has not come yet.
    UnknownError
        If no farm has that id.
    PaperError
        If this machine lacks what paper is made with.
    """
    told = weekly_report(store, farm_id, day=day, language=language, with_cost=with_cost, now=now)
    return pdf_of(weekly_report_document(told, language=language))


def weekly_report(
    store: Store, farm_id: str, *, day: date | None, language: str, with_cost: bool, now: datetime
) -> WeeklyReport:
    """Return what the report of a week says; see `weekly_report_pdf`.

    A week is Monday to Sunday; one that is not over is told up to today. ``with_cost`` is for who may see what work costs.

    Raises
    ------
    InputError
        If the day has not come yet.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        refuse_day_to_come(at)
        first = at.day - timedelta(at.day.weekday())
        last = min(first + timedelta(6), at.today)
        at = moment(conn, farm_id, last, now)
        cautions = tuple(caution_notes(conn, at, orchard.blocks(conn, farm_id), language))
    told = season_report(store, farm_id, day=last, now=now)
    glance = overview(store, farm_id, day=last, now=now)
    done, before = progress(store, farm_id, day=last, now=now), _before(store, at, first)
    areas = farm_weak_areas(store, farm_id, day=last, level=None, language=language, now=now)["areas"]
    return WeeklyReport(
        farm=at.farm.name,
        season=at.season.name if at.season else "",
        first=first,
        last=last,
        is_over=last < at.today,
        progress=tuple(progress_lines(told, language)),
        finish=tuple(finish_lines(told["forecast"], language)),
        lots=tuple(lot_lines(told["lots"], language)),
        cost=tuple(cost_lines(told["cost"], language)) if with_cost else (),
        blocks=tuple(_blocks(glance, told, before, language)),
        crews=tuple(_crews(told, done, before)),
        paces=tuple(_paces(told)),
        weak=tuple(weak_notes(areas, language)),
        cautions=cautions,
        burn_up=_burn_up(told, at),
        ground=map_content(store, farm_id, glance, language=language, now=now) if _has_rows(glance) else None,
        made_at=at.clock,
    )


def _has_rows(glance: Json) -> bool:
    return any(block["rows"] for block in glance["blocks"])


def _before(store: Store, at: Moment, first: date) -> Json:
    """Return the progress on the evening before the week, empty where its season had not begun."""
    if at.season is None or first <= at.season.opens_on:
        return {"blocks": [], "crews": []}
    return progress(store, at.farm.id, day=first - timedelta(1), now=at.now)


def _blocks(glance: Json, told: Json, before: Json, language: str) -> Iterator[BlockLine]:
    was = {one["id"]: one["pruned"] for one in before["blocks"]}
    ahead = {one["block_id"]: one for one in told["forecast"]["blocks"]}
    for one in glance["blocks"]:
        finish = ahead.get(one["id"])
        likely = ""
        if finish:
            said = (
                by_words(finish["p50"], language, write=day_month_text),
                standing_words(finish, language, write=day_month_text),
            )
            likely = ", ".join(said)
        yield BlockLine(
            one["code"],
            one["variety"],
            one["trees"],
            one["pruned"],
            one["pruned"] - was.get(one["id"], 0),
            one["verdict"],
            likely,
        )


def _crews(told: Json, done: Json, before: Json) -> Iterator[CrewLine]:
    was = {one["id"]: one["trees"] for one in before["crews"]}
    season = {one["id"]: one["trees"] for one in done["crews"]}
    for one in told["crews"]:
        yield CrewLine(
            one["name"],
            season[one["id"]] - was.get(one["id"], 0),
            one["trees"],
            one["people"],
            one["person_hours"],
        )


def _paces(told: Json) -> Iterator[PaceLine]:
    for one in sorted(
        told["forecast"]["paces"], key=lambda one: (one["crew"], one["variety"], one["method"])
    ):
        yield PaceLine(
            *(one[key] for key in ("crew", "variety", "method", "trees_per_h", "low", "high", "days"))
        )


def _burn_up(told: Json, at: Moment) -> BurnUp | None:
    forecast = told["forecast"]
    if at.season is None or not forecast["trees"]:
        return None
    pruned = [(date.fromisoformat(day), trees) for day, trees in forecast["burnup"]]
    fan = [(date.fromisoformat(day), low, likely, high) for day, low, likely, high in forecast["fan"]]
    first = min([at.season.opens_on, *(day for day, _ in pruned[:1])])
    return BurnUp(first, pruned, fan, forecast["trees"], at.season.must_finish_on, at.day)
