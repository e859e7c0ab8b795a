"""What reading a file gives: features to look at, and the questions that must be answered first.

Nothing here is taken yet. A preview is shown on the map, answered, planned, and only then taken.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError

Kind = Literal["block", "row", "tree"]
Format = Literal[
    "GeoJSON",
    "GeoPackage",
    "Shapefile",
    "KML",
    "KMZ",
    "GPX",
    "CSV",
    "DXF",
    "FlatGeobuf",
    "file geodatabase",
]
Value = str | int | float | bool | None

MAX_VERTICES = 20_000
"""Of one geometry (design 02)."""
MAX_FILE_VERTICES = 2_000_000
MAX_FEATURES = 100_000


@dataclass(frozen=True, slots=True)
class Answers:
    """What the person said to the questions of an earlier preview; None where not asked or not said."""

    crs: str | None = None
    """``EPSG:<number>``, the number alone, or ``OGC:CRS84``."""
    layer: str | None = None
    swap_axes: bool | None = None
    split_parts: bool | None = None
    decimal_comma: bool | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer that can be picked."""

    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something the file does not say."""

    key: str
    """The field of `Answers` that answers it."""
    text: str
    choices: tuple[Choice, ...]
    needed: bool
    """True when nothing can be taken until it is answered; False when there is a sound default."""


@dataclass(frozen=True, slots=True)
class Feature:
    """One outline, line of trees, or tree found in the file."""

    index: int
    kind: Kind
    name: str
    geometry: BaseGeometry | None
    """Longitude and latitude on WGS 84, degrees, two-dimensional; None when there is a problem."""
    area_ha: float
    """Geodesic; 0 for rows and trees."""
    notes: tuple[str, ...] = ()
    problem: str | None = None
    """Why this feature cannot be taken, in a sentence; None when it can."""
    properties: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Preview:
    """A file as understood so far."""

    format: Format
    crs: str | None
    """Name of the coordinate system the file was read in; None while that is not known."""
    layers: tuple[str, ...]
    questions: tuple[Question, ...]
    features: tuple[Feature, ...]
    summary: str
    notes: tuple[str, ...] = ()
    """What holds for the whole file: accuracy, repairs, things left aside."""

    @property
    def is_ready(self) -> bool:
        """True when no question stands in the way of taking the features."""
        return not any(question.needed for question in self.questions)


@dataclass(frozen=True, slots=True)
class RawFeature:
    """One feature as it stands in the file, in the file's own coordinates."""

    number: int
    """Its place in the file, from 1: what messages call it."""
    geometry: BaseGeometry | None
    properties: Mapping[str, Value]
    problem: str | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RawFile:
    """A file after its reader and before anything is known about where it lies."""

    format: Format
    crs: str | None
    """``EPSG:n`` or WKT as the file says it; None when it says nothing that can be believed."""
    features: tuple[RawFeature, ...]
    layers: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    notes: tuple[str, ...] = ()
    axes_named: bool = False
    """True when the file names which number is the latitude, so that a swap cannot have happened."""


def _yes_or_no(key: str, text: str) -> bool:
    told = {"true": True, "yes": True, "1": True, "false": False, "no": False, "0": False}
    answer = told.get(text.strip().lower())
    if answer is None:
        raise InputError(f"The answer to {key} must be yes or no.", where=key)
    return answer


def answers_from_fields(fields: Mapping[str, str]) -> Answers:
    """Return the answers carried by form fields.

    Parameters
    ----------
    fields : Mapping[str, str]
        Texts by the key of the question. An empty text counts as not answered; other keys are left alone.

    Returns
    -------
    Answers

    Raises
    ------
    InputError
        When a yes-or-no question is answered with anything else.

    Examples
    --------
    >>> answers_from_fields({"crs": "EPSG:3006", "swap_axes": "no", "layer": ""}).swap_axes
    False
    """
    said = {key: text.strip() for key, text in fields.items() if text.strip()}
    flags = {
        key: _yes_or_no(key, said[key]) if key in said else None
        for key in ("swap_axes", "split_parts", "decimal_comma")
    }
    return Answers(
        crs=said.get("crs"),
        layer=said.get("layer"),
        swap_axes=flags["swap_axes"],
        split_parts=flags["split_parts"],
        decimal_comma=flags["decimal_comma"],
    )
