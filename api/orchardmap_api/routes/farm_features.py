"""What lies on a farm beside its blocks."""

from typing import Any

from fastapi import APIRouter

from orchardmap.geodata.drawn import shape_of_geojson
from orchardmap.usecases import farm_features
from orchardmap_api.access import READERS, FarmCaller, needs
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore
from orchardmap_api.farm_feature_schemas import FeatureBody, FeatureChangeBody

router = APIRouter(prefix="/api", tags=["farm features"])
Json = dict[str, Any]


@router.get("/farms/{farm_id}/farm-features", dependencies=[needs(*READERS)])
def list_features(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return the farm's tracks, gates, water and sheds, and its power lines, as the map draws them."""
    return farm_features.features_json(store, str(farm_id))


@router.post("/farms/{farm_id}/farm-features", status_code=201, dependencies=[needs("manager")])
def add_feature(
    farm_id: FarmId, body: FeatureBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Add a feature."""
    said = farm_features.NewFeature(body.kind, body.name, shape_of_geojson(body.geojson))
    made = farm_features.add_feature(store, farm_id=str(farm_id), said=said, actor=caller.actor, now=now)
    return {"id": made.id}


@router.patch("/farms/{farm_id}/farm-features/{feature_id}", status_code=204, dependencies=[needs("manager")])
def change_feature(
    farm_id: FarmId,
    feature_id: PathId,
    body: FeatureChangeBody,
    store: ServiceStore,
    caller: FarmCaller,
    now: Now,
) -> None:
    """Say anew what a feature is, what it is called or where it lies."""
    changes: Json = body.model_dump(exclude_none=True)
    drawn = changes.pop("geojson", None)
    if drawn is not None:
        changes["shape"] = shape_of_geojson(drawn)
    farm_features.change_feature(
        store,
        farm_id=str(farm_id),
        feature_id=str(feature_id),
        changes=changes,
        actor=caller.actor,
        now=now,
    )


@router.delete(
    "/farms/{farm_id}/farm-features/{feature_id}", status_code=204, dependencies=[needs("manager")]
)
def remove_feature(
    farm_id: FarmId, feature_id: PathId, store: ServiceStore, caller: FarmCaller, now: Now
) -> None:
    """Take a feature away."""
    farm_features.remove_feature(
        store, farm_id=str(farm_id), feature_id=str(feature_id), actor=caller.actor, now=now
    )
