"""Bodies that say what lies on a farm beside its blocks."""

from typing import Annotated, Any

from pydantic import Field

from orchardmap.model.farm_feature import FeatureKind
from orchardmap_api.schemas import Body, Text

__all__ = ["FeatureBody", "FeatureChangeBody", "FeaturesBody"]

_Index = Annotated[int, Field(ge=0, le=1_000_000)]


class FeatureBody(Body):
    """A feature, drawn as GeoJSON; the library checks what it holds."""

    kind: FeatureKind
    name: Text = ""
    geojson: dict[str, Any]


class FeatureChangeBody(Body):
    """What is said anew of a feature; what is left out stays as it is."""

    kind: FeatureKind | None = None
    name: Text | None = None
    geojson: dict[str, Any] | None = None


class _Wish(Body):
    index: _Index
    kind: FeatureKind
    name: Text | None = None


class FeaturesBody(Body):
    """Which features of a previewed file to take, and as what."""

    features: Annotated[list[_Wish], Field(min_length=1, max_length=2_000)]
