"""Sheets of a locked run, on paper and as a table: made from what was kept of it, so that they never change."""

from typing import Literal
from zoneinfo import ZoneInfo

from orchardmap.model.orchard import Farm
from orchardmap.model.pay import PayRun
from orchardmap.paper.pay_sheet import crew_sheets_pdf, person_sheets_pdf
from orchardmap.pay.kept_lines import line_from_json
from orchardmap.pay.kept_sheet import floor_from_json, hours_from_json
from orchardmap.pay.sheet import SheetContent, SheetHead
from orchardmap.pay.terms_json import terms_from_json
from orchardmap.spreadsheets.pay_book import pay_book
from orchardmap.store import audit, log
from orchardmap.store import farm as farm_store
from orchardmap.store import pay as pay_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.pay_rules import Doer

__all__ = ["SheetKind", "run_sheet"]

SheetKind = Literal["people", "crews", "book"]
"""A sheet for each person, or for each crew, as PDF; everything as an xlsx table."""


def run_sheet(store: Store, *, farm_id: str, run_id: str, kind: SheetKind, language: str, by: Doer) -> bytes:
    """Return sheets of a locked run; that they were made is noted in the audit log.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id, run_id : str
    kind : str
        See `SheetKind`.
    language : str
        ISO 639-1 code.
    by : Doer

    Raises
    ------
    UnknownError
        If the farm has no such run.
    InputError
        If no sheet is made in that language.
    PaperError
        If this machine lacks what paper is made with.
    """
    with store.read() as conn:
        farm, run = farm_store.farm(conn, farm_id), pay_store.run_of(conn, farm_id, run_id)
        head, content = _head(conn, farm, run), _content(conn, farm, run)
    make = {"people": person_sheets_pdf, "crews": crew_sheets_pdf, "book": pay_book}[kind]
    made = make(content, head, language=language)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        audit.note(
            conn, "pay_sheet_made", at=by.now, actor=by.actor, subject=run_id, farm_id=farm_id, kind=kind
        )
    return made


def _head(conn: Connection, farm: Farm, run: PayRun) -> SheetHead:
    season = next(one for one in farm_store.seasons(conn, farm.id) if one.id == run.season_id)
    return SheetHead(
        farm=farm.name,
        first=run.first_day,
        last=run.last_day,
        currency=terms_from_json(dict(run.rules)).currency,
        season=season.name,
        number=run.number,
        made_on=run.exported_at.astimezone(ZoneInfo(farm.time_zone)).date(),
    )


def _content(conn: Connection, farm: Farm, run: PayRun) -> SheetContent:
    kept = [line_from_json(one) for one in run.lines]
    hours = [hours_from_json(one) for one in run.sheet["hours"]]
    crews = {one.id: one.name for one in farm_store.crews(conn, farm.id)}
    people = {one.id: one.name for one in farm_store.people(conn, farm.id)}
    varieties = {one.id: one.name for one in farm_store.varieties(conn, farm.id)}
    # one of a head count is called by the crew and a number
    unnamed = {one.line.person_id for one in kept} | {one.person_id for one in hours}
    heads = {
        one: f"{crews.get(crew_id, crew_id)} {number}"
        for one in unnamed - people.keys()
        for crew_id, _, number in [one.rpartition(" ")]
    }
    return SheetContent(
        lines=[one.line for one in kept if not one.is_correction],
        hours=hours,
        floor_tests=[floor_from_json(one) for one in run.sheet["floor_tests"]],
        corrections={one.line.key: one.line.amount for one in kept if one.is_correction},
        paid_before={one.line.key: one.paid_before for one in kept if one.paid_before is not None},
        names=heads | varieties | crews | people,
    )
