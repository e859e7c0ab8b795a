"""Is it alive, is it ready."""

from typing import Any

from fastapi import APIRouter, Response

from orchardmap.usecases import reporting
from orchardmap_api.access import OPEN
from orchardmap_api.dependencies import ServiceStore

router = APIRouter(tags=["health"])


@router.get("/healthz", dependencies=[OPEN])
def alive() -> dict[str, str]:
    """Answer while the process answers; asks nothing of the database."""
    return {"status": "alive"}


@router.get("/readyz", dependencies=[OPEN])
def ready(store: ServiceStore, response: Response) -> dict[str, Any]:
    """Answer whether the database can be read and written, and its tables are this version's."""
    faults = reporting.readiness_faults(store)
    response.status_code = 503 if faults else 200
    return {"status": "not ready" if faults else "ready", "faults": faults}
