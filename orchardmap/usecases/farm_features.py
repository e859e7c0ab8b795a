"""Say what lies on a farm beside its blocks: tracks, gates, water, sheds; one by one, or out of a file that was previewed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError
from orchardmap.geodata.drawn import refuse_off_globe
from orchardmap.geodata.preview_json import preview_from_json
from orchardmap.geodata.write import geojson_geometry
from orchardmap.model.farm_feature import FEATURE_FORMS, FarmFeature, FeatureKind
from orchardmap.store import audit, drafts, log
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_features as feature_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases import hazard_lines
from orchardmap.usecases.nearness import refuse_far
from orchardmap.usecases.planting import new_id

__all__ = [
    "MOST_FEATURES",
    "FeatureWish",
    "NewFeature",
    "add_feature",
    "change_feature",
    "features_json",
    "remove_feature",
    "take_features",
]

Json = dict[str, Any]

MOST_FEATURES = 2_000
"""Of one farm: every map of it draws them all."""
_LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class NewFeature:
    """A feature as whoever adds it tells it."""

    kind: FeatureKind
    name: str
    shape: BaseGeometry
    """lonlat degrees (WGS 84), flat."""


@dataclass(frozen=True, slots=True)
class FeatureWish:
    """What a feature of a previewed file is to be taken as."""

    index: int
    """Of the feature in the preview."""
    kind: FeatureKind
    name: str | None = None
    """None takes the file's own name."""


def features_json(store: Store, farm_id: str) -> Json:
    """Return what lies on a farm: its features, and its power lines, which are kept as dangers; geometries as GeoJSON (RFC 7946).

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.

    Returns
    -------
    dict
        ``features`` (id, kind, name, geometry) and ``power_lines`` (as `orchardmap.usecases.hazard_lines.lines_json`).

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    lines = hazard_lines.lines_json(store, farm_id)
    with store.read() as conn:
        found = feature_store.farm_features(conn, farm_id)
    told = [
        {"id": one.id, "kind": one.kind, "name": one.name, "geometry": geojson_geometry(one.shape)}
        for one in found
    ]
    return {"features": told, "power_lines": lines}


def add_feature(
    store: Store, *, farm_id: str, said: NewFeature, actor: str = "shell", now: datetime
) -> FarmFeature:
    """Add a feature to a farm.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    said : NewFeature
        What it is.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    FarmFeature

    Raises
    ------
    UnknownError
        If no farm has that id.
    InputError
        If its kind has no such form, it lies far from the farm, or the farm has too many.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        (made,) = _add(conn, farm_id, [said])
        _note(conn, "farm_feature_added", made, actor=actor, now=now)
    return made


def change_feature(
    store: Store,
    *,
    farm_id: str,
    feature_id: str,
    changes: Mapping[str, Any],
    actor: str = "shell",
    now: datetime,
) -> None:
    """Say anew what a feature is, what it is called or where it lies; ``changes`` holds ``kind``, ``name`` or ``shape``.

    Raises
    ------
    UnknownError
        If the farm has no such feature.
    InputError
        As for `add_feature`.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        now_is = replace(feature_store.feature(conn, farm_id, feature_id), **dict(changes))
        checked = _checked(conn, farm_id, NewFeature(now_is.kind, now_is.name, now_is.shape))
        said = replace(now_is, name=checked.name)
        feature_store.change_feature(conn, said)
        _note(conn, "farm_feature_changed", said, actor=actor, now=now)


def remove_feature(
    store: Store, *, farm_id: str, feature_id: str, actor: str = "shell", now: datetime
) -> None:
    """Take a feature away.

    Raises
    ------
    UnknownError
        If the farm has no such feature.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        gone = feature_store.feature(conn, farm_id, feature_id)
        feature_store.remove_feature(conn, farm_id, feature_id)
        _note(conn, "farm_feature_removed", gone, actor=actor, now=now)


def take_features(
    store: Store, *, token: str, wishes: Sequence[FeatureWish], actor: str = "shell", now: datetime
) -> list[FarmFeature]:
    """Take features out of a file that was previewed, all or none; the preview stays for its blocks.

    Parameters
    ----------
    store : Store
        Open for writing.
    token : str
        Of a preview (`orchardmap.usecases.importing.preview`).
    wishes : sequence of FeatureWish
        Which, and as what.
    actor : str
        As the audit log names who takes them.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    list of FarmFeature
        In the order of the wishes.

    Raises
    ------
    UnknownError
        If no preview has that token.
    InputError
        If a feature is not in it or cannot be taken as that kind.
    """
    with store.write() as conn:
        farm_id, told = drafts.draft(conn, token)
        log.lock_farm(conn, farm_id)
        known = {feature.index: feature for feature in preview_from_json(told).features}
        said = []
        for wish in wishes:
            found = known.get(wish.index)
            if found is None or found.geometry is None:
                why = (found and found.problem) or "it is not in the file"
                raise InputError(f"Feature {wish.index + 1} cannot be taken: {why}.", where="features")
            name = found.name if wish.name is None else wish.name
            said.append(NewFeature(wish.kind, name, found.geometry))
        made = _add(conn, farm_id, said)
        for one in made:
            _note(conn, "farm_feature_added", one, actor=actor, now=now)
    return made


def _add(conn: Connection, farm_id: str, said: Sequence[NewFeature]) -> list[FarmFeature]:
    farm_store.farm(conn, farm_id)
    if feature_store.feature_count(conn, farm_id) + len(said) > MOST_FEATURES:
        raise InputError(
            f"A farm has at most {MOST_FEATURES:,} features on its map.",
            where="features",
            todo="Take away what nobody needs to find.",
        )
    checked = [_checked(conn, farm_id, one) for one in said]
    made = [FarmFeature(new_id(), farm_id, one.kind, one.name, one.shape) for one in checked]
    feature_store.add_features(conn, made)
    return made


def _checked(conn: Connection, farm_id: str, said: NewFeature) -> NewFeature:
    name = " ".join(said.name.split())
    if len(name) > _LONGEST_NAME:
        raise InputError(f"The name is longer than {_LONGEST_NAME} characters.", where="name")
    if said.shape.geom_type not in FEATURE_FORMS[said.kind]:
        forms = ", ".join(FEATURE_FORMS[said.kind])
        raise InputError(
            f"A feature of kind {said.kind} cannot be a {said.shape.geom_type}.",
            where="geojson",
            todo=f"Give one of {forms}, or choose another kind.",
        )
    refuse_off_globe(said.shape, "geojson")
    refuse_far(conn, farm_id, said.shape, what="feature")
    return replace(said, name=name)


def _note(conn: Connection, what: str, said: FarmFeature, *, actor: str, now: datetime) -> None:
    log.append_changes(conn, said.farm_id, [log.Change("farm_feature", said.id)])
    audit.note(conn, what, at=now, actor=actor, subject=said.id, farm_id=said.farm_id)
