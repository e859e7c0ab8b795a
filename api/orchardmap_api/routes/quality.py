"""Where work is weak, how crews stand, whether auditors agree."""

from typing import Annotated, Any

from fastapi import APIRouter, Query

from orchardmap.model.access import AccessRole
from orchardmap.quality.farm_areas import LOOSEST_LEVEL
from orchardmap.usecases import auditor_agreement, crew_quality, weak_telling
from orchardmap_api.access import NamedRoles, needs
from orchardmap_api.dependencies import AskedDay, AskedLanguage, FarmId, Now, ServiceStore

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["quality"])
Json = dict[str, Any]
JUDGES: tuple[AccessRole, ...] = ("manager", "auditor", "adviser")
AskedLevel = Annotated[
    float | None,
    Query(gt=0, le=LOOSEST_LEVEL, allow_inf_nan=False, description="The farm's own when left out."),
]


@router.get("/weak-areas", dependencies=[needs(*JUDGES)])
def read_weak_areas(
    farm_id: FarmId,
    store: ServiceStore,
    now: Now,
    day: AskedDay = None,
    level: AskedLevel = None,
    lang: AskedLanguage = "en",
) -> Json:
    """Return the weak areas of all blocks, held to one level over the farm, as of a day."""
    return weak_telling.farm_weak_areas(store, str(farm_id), day=day, level=level, language=lang, now=now)


@router.get("/crew-quality", dependencies=[needs(*JUDGES)])
def read_crew_quality(
    farm_id: FarmId, store: ServiceStore, now: Now, day: AskedDay = None, lang: AskedLanguage = "en"
) -> Json:
    """Return each crew against what its blocks had to be expected to give any crew, as of a day; none is ranked."""
    return crew_quality.farm_crew_quality(store, str(farm_id), day=day, language=lang, now=now)


@router.get("/auditor-agreement", dependencies=[needs(*JUDGES)])
def read_agreement(
    farm_id: FarmId,
    store: ServiceStore,
    names: NamedRoles,
    now: Now,
    day: AskedDay = None,
    lang: AskedLanguage = "en",
) -> Json:
    """Return how far auditors agree on the trees that two of them looked at, as of a day."""
    return auditor_agreement.farm_agreement(
        store, str(farm_id), day=day, people_of=names, language=lang, now=now
    )
