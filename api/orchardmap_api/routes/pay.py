"""Pay: rules, hours by person, runs and their sheets, cost against the budget. For managers alone."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Query, Response

from orchardmap.usecases import pay_cost, pay_rules, pay_runs, pay_sheets, person_hours
from orchardmap.usecases.pay_reckoning import RunDays
from orchardmap.usecases.pay_rules import Doer
from orchardmap_api.access import FarmCaller, needs
from orchardmap_api.dependencies import AskedLanguage, FarmId, Now, PathId, ServiceStore
from orchardmap_api.pay_schemas import BudgetBody, HoursBody, PayRulesBody, PayRunBody
from orchardmap_api.schemas import Day

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["pay"])
Json = dict[str, Any]
First = Annotated[Day, Query(description="First day.")]
Whose = Annotated[Literal["people", "crews"], Query(description="A sheet for each person, or for each crew.")]
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
Last = Annotated[Day, Query(description="Last day, included.")]


def _by(caller: FarmCaller, now: Now) -> Doer:
    return Doer(caller.id, caller.actor, now)


AskedDoer = Annotated[Doer, Depends(_by)]


def _days(
    first: First,
    last: Last,
    crew: Annotated[PathId | None, Query(description="Of one crew; of all when left out.")] = None,
) -> RunDays:
    return RunDays(first, last, None if crew is None else str(crew))


AskedDays = Annotated[RunDays, Depends(_days)]


@router.get("/pay-rules", dependencies=[needs("manager")])
def read_rules(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return what the farm pays by; null where nobody said: no rate is assumed."""
    return pay_rules.rules_json(store, str(farm_id))


@router.put("/pay-rules", dependencies=[needs("manager")])
def save_rules(farm_id: FarmId, body: PayRulesBody, store: ServiceStore, by: AskedDoer) -> Json:
    """Keep what the farm pays by, unless somebody saved since the revision that was read (409)."""
    return pay_rules.save_rules(store, farm_id=str(farm_id), rules=body.rules, revision=body.revision, by=by)


@router.get("/person-hours", dependencies=[needs("manager")])
def read_hours(farm_id: FarmId, store: ServiceStore, first: First, last: Last) -> Json:
    """Return the hours by person that stand."""
    return person_hours.hours_json(store, str(farm_id), first=first, last=last)


@router.post("/person-hours", status_code=204, dependencies=[needs("manager")])
def type_hours(farm_id: FarmId, body: HoursBody, store: ServiceStore, caller: FarmCaller, now: Now) -> None:
    """Append hours by person; one that corrects another names it (409 where somebody was quicker)."""
    person_hours.type_hours(
        store, farm_id=str(farm_id), typed=body.typed(), by=caller.id, actor=caller.actor, now=now
    )


@router.get("/pay-preview", dependencies=[needs("manager")])
def read_preview(farm_id: FarmId, store: ServiceStore, days: AskedDays, now: Now) -> Json:
    """Return what a run of some days would pay now, and what is missing for it."""
    return pay_runs.preview(store, str(farm_id), days, now=now)


@router.get("/pay-runs", dependencies=[needs("manager")])
def list_runs(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return the farm's exported runs, the newest first."""
    return pay_runs.runs_json(store, str(farm_id))


@router.post("/pay-runs", status_code=201, dependencies=[needs("manager", confirmed=True)])
def export_run(farm_id: FarmId, body: PayRunBody, store: ServiceStore, by: AskedDoer) -> Json:
    """Lock what a run of some days pays, as it was looked at; the same id again is answered with the run that it has."""
    return pay_runs.export_run(
        store, farm_id=str(farm_id), run_id=str(body.id), days=body.days(), seen=body.seen, by=by
    )


@router.get("/pay-runs/{run_id}", dependencies=[needs("manager")])
def read_run(farm_id: FarmId, run_id: PathId, store: ServiceStore) -> Json:
    """Return an exported run with its lines as they were paid."""
    return pay_runs.run_json(store, str(farm_id), str(run_id))


@router.get(
    "/pay-runs/{run_id}/sheets.pdf",
    response_class=Response,
    dependencies=[needs("manager", confirmed=True)],
)
def read_sheets(
    farm_id: FarmId,
    run_id: PathId,
    store: ServiceStore,
    by: AskedDoer,
    of: Whose = "people",
    lang: AskedLanguage = "en",
) -> Response:
    """Return a sheet for each person or for each crew of a locked run as PDF."""
    made = pay_sheets.run_sheet(
        store, farm_id=str(farm_id), run_id=str(run_id), kind=of, language=lang, by=by
    )
    return _file(made, "application/pdf", f"pay-{of}.pdf")


@router.get(
    "/pay-runs/{run_id}/book.xlsx",
    response_class=Response,
    dependencies=[needs("manager", confirmed=True)],
)
def read_book(
    farm_id: FarmId, run_id: PathId, store: ServiceStore, by: AskedDoer, lang: AskedLanguage = "en"
) -> Response:
    """Return a locked run as a table that spreadsheets open."""
    made = pay_sheets.run_sheet(
        store, farm_id=str(farm_id), run_id=str(run_id), kind="book", language=lang, by=by
    )
    return _file(made, XLSX, "pay.xlsx")


def _file(made: bytes, media_type: str, name: str) -> Response:
    named = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(made, media_type=media_type, headers=named)


@router.get("/pay-cost", dependencies=[needs("manager")])
def read_cost(farm_id: FarmId, store: ServiceStore, now: Now) -> Json:
    """Return what the season cost so far by tree, block and hectare, against its budget."""
    return pay_cost.cost_json(store, str(farm_id), now=now)


@router.put("/budget", dependencies=[needs("manager")])
def save_budget(farm_id: FarmId, body: BudgetBody, store: ServiceStore, by: AskedDoer) -> Json:
    """Keep what the season may cost, in all or for each tree."""
    kept = pay_rules.save_budget(
        store, farm_id=str(farm_id), amount=body.amount, is_per_tree=body.is_per_tree, by=by
    )
    return {"budget": kept}
