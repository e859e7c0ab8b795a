"""Briefs of a farm: written by advisers and managers, read by all who work for it."""

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Response

from orchardmap.errors import NotAllowedError
from orchardmap.model.brief import Draft
from orchardmap.pruning.brief_json import content_from_json
from orchardmap.usecases import brief_publishing, brief_reading, briefing
from orchardmap.usecases.briefing import WRITERS, BriefSubject, CopyOf, ReadyMade
from orchardmap_api.access import READERS, FarmCaller, needs
from orchardmap_api.brief_schemas import BriefBody, DraftBody, PublishBody, SeasonCopyBody
from orchardmap_api.dependencies import AskedDay, FarmId, Now, PathId, ServiceStore, VersionNumber

router = APIRouter(prefix="/api", tags=["briefs"])
Json = dict[str, Any]
BRIEFS = "/farms/{farm_id}/briefs"
BRIEF = BRIEFS + "/{brief_id}"


def _named(farm_id: FarmId, brief_id: PathId) -> dict[str, str]:
    return {"farm_id": str(farm_id), "brief_id": str(brief_id)}


AskedBrief = Annotated[dict[str, str], Depends(_named)]
"""Ids of the farm and of its brief, as use cases take them."""


def _writes(caller: FarmCaller, farm_id: str) -> bool:
    return caller.grants[farm_id].role in WRITERS


@router.get(BRIEFS, dependencies=[needs(*READERS)])
def list_briefs(
    farm_id: FarmId,
    store: ServiceStore,
    caller: FarmCaller,
    now: Now,
    season: Annotated[PathId | None, Query(description="The current one when left out.")] = None,
) -> Json:
    """Return a season's briefs; who does not write them sees those that were published."""
    of_farm, season_id = str(farm_id), None if season is None else str(season)
    writes = _writes(caller, of_farm)
    return {
        "briefs": brief_reading.briefs_json(store, of_farm, season_id=season_id, with_drafts=writes, now=now)
    }


@router.post(BRIEFS, status_code=201, dependencies=[needs(*WRITERS)])
def make_brief(farm_id: FarmId, body: BriefBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Make a brief from a ready-made one, or from another brief of any of the caller's farms."""
    if body.copy_of is not None:
        start: ReadyMade | CopyOf = CopyOf(str(body.copy_of), caller.grants)
    else:
        assert body.ready_made is not None  # noqa: S101 - the body is of one of the two
        start = ReadyMade(**body.ready_made.model_dump())
    subject = BriefSubject(**body.model_dump(include={"season_id", "variety_id", "block_id"}))
    made = briefing.make_brief(
        store, farm_id=str(farm_id), subject=subject, start=start, by=caller.id, now=now
    )
    return asdict(made)


@router.post("/farms/{farm_id}/brief-copies", status_code=201, dependencies=[needs(*WRITERS)])
def copy_season(
    farm_id: FarmId, body: SeasonCopyBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Make a draft in one season of every brief of another; what is there already stays."""
    made = briefing.copy_season(store, farm_id=str(farm_id), **body.model_dump(), by=caller.id, now=now)
    return {"briefs": [asdict(brief) for brief in made]}


@router.get(BRIEF, dependencies=[needs(*READERS)])
def read_brief(brief: AskedBrief, store: ServiceStore, caller: FarmCaller) -> Json:
    """Return a brief: its versions, what the latest one says, and for who writes briefs its draft."""
    return brief_reading.brief_json(store, **brief, with_draft=_writes(caller, brief["farm_id"]))


@router.put(BRIEF + "/draft", dependencies=[needs(*WRITERS)])
def save_draft(brief: AskedBrief, body: DraftBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Save a draft, unless somebody saved since the revision that it was made from (409)."""
    draft = Draft(content_from_json(body.content), body.revision + 1, now, caller.id)
    return {"revision": brief_publishing.save_draft(store, **brief, draft=draft)}


@router.post(BRIEF + "/versions", status_code=201, dependencies=[needs(*WRITERS)])
def publish_brief(
    brief: AskedBrief,
    body: PublishBody,
    store: ServiceStore,
    caller: FarmCaller,
    now: Now,
    response: Response,
) -> Json:
    """Publish the draft as the next version; one that says nothing new is answered 200 with the version that does."""
    told = brief_publishing.publish(store, **brief, revision=body.revision, by=caller.id, now=now)
    response.status_code = 201 if told.is_new else 200
    return brief_reading.version_of(store, **brief, number=told.version.version)


@router.get(BRIEF + "/versions/{version}", dependencies=[needs(*READERS)])
def read_version(brief: AskedBrief, version: VersionNumber, store: ServiceStore) -> Json:
    """Return one published version: its content never changes, the distance in its cautions is the farm's of today."""
    return brief_reading.version_of(store, **brief, number=version)


@router.get(BRIEF + "/differences", dependencies=[needs(*READERS)])
def read_differences(
    brief: AskedBrief,
    store: ServiceStore,
    caller: FarmCaller,
    old: Annotated[int, Query(ge=1, le=2**31 - 1, description="A published version.")],
    new: Annotated[
        int | None, Query(ge=1, le=2**31 - 1, description="Another one; the draft when left out.")
    ] = None,
) -> Json:
    """Return what changed from one version to another, or to the draft."""
    if new is None and not _writes(caller, brief["farm_id"]):
        raise NotAllowedError("drafts are for advisers and managers", todo="Compare two published versions.")
    found = brief_reading.differences_json(store, **brief, old=old, new=new)
    return {"old": old, "new": new, "differences": found}


@router.get("/blocks/{block_id}/brief", dependencies=[needs(*READERS)])
def read_block_brief(block_id: PathId, store: ServiceStore, now: Now, day: AskedDay = None) -> Json:
    """Return the published brief that holds for a block, as of a day; null where there is none."""
    return {"brief": brief_reading.block_brief(store, str(block_id), day=day, now=now)}
