"""From the coordinate system a file names to longitude and latitude on WGS 84, without any network.

Sources: the EPSG data set as shipped in PROJ (accuracies and areas of use are its own);
Karney (2013), Algorithms for geodesics, J. Geodesy 87, 43-55, for areas (through PROJ).
"""

import functools
import re
import warnings
from dataclasses import dataclass

import numpy as np
import pyproj
from numpy.typing import NDArray
from pyproj.exceptions import CRSError, ProjError
from pyproj.transformer import AreaOfInterest, TransformerGroup

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import Choice
from orchardmap.geodata.text import clean_text

pyproj.network.set_network_enabled(active=False)  # type: ignore[attr-defined] # missing in its __all__

Bounds = tuple[float, float, float, float]
_WGS84 = "OGC:CRS84"
_MAX_WKT = 20_000
_EXTENSION = re.compile(r',?\s*EXTENSION\s*\[\s*"[^"]*"\s*,\s*"[^"]*"\s*\]')
_GRID_FILE = re.compile(r"grids(?!=@null(?![,\w]))", re.IGNORECASE)
_ASKED = re.compile(r"(?:EPSG:)?(\d{4,6})$", re.IGNORECASE)
# grids that many countries and growers use; only those that put the coordinates inside their own area are offered
_OFFERED = [
    "EPSG:3857",
    "EPSG:3006",
    "EPSG:28992",
    "EPSG:27700",
    "EPSG:2154",
    "EPSG:31370",
    "EPSG:25829",
    "EPSG:25830",
    "EPSG:25831",
    "EPSG:25832",
    "EPSG:25833",
    "EPSG:25834",
    "EPSG:25835",
    "EPSG:3035",
    "EPSG:2180",
    "EPSG:2056",
    "EPSG:21781",
    "EPSG:31287",
    "EPSG:5514",
    "EPSG:23700",
    "EPSG:3301",
    "EPSG:3067",
    "EPSG:25884",
    "EPSG:2157",
    "EPSG:32610",
    "EPSG:32611",
    "EPSG:32612",
    "EPSG:32613",
    "EPSG:32614",
    "EPSG:32615",
    "EPSG:32616",
    "EPSG:32617",
    "EPSG:32618",
    "EPSG:32619",
    "EPSG:3310",
    "EPSG:2193",
    "EPSG:7855",
    "EPSG:7856",
    "EPSG:28355",
    "EPSG:32719",
    "EPSG:32718",
    "EPSG:32734",
    "EPSG:32643",
    "EPSG:6677",
]


@dataclass(frozen=True, slots=True)
class Shift:
    """How one coordinate system is brought to WGS 84, and how well."""

    name: str
    is_geographic: bool
    transformer: pyproj.Transformer | None
    """None when nothing has to be done."""
    notes: tuple[str, ...]


@functools.lru_cache(maxsize=64)
def known_crs(text: str) -> pyproj.CRS | None:
    """Return the coordinate system that a file names, or None when the name says nothing that can be used.

    Parameters
    ----------
    text : str
        ``EPSG:n``, ``OGC:CRS84`` or WKT. PROJ strings and grid files named inside WKT are not followed.

    Returns
    -------
    pyproj.CRS | None
        Two-dimensional, geographic or projected.
    """
    if len(text) > _MAX_WKT:
        return None
    if _GRID_FILE.search(text):  # PROJ would open what it names; and without it the place is not known
        return None
    text = _EXTENSION.sub("", text)
    if not (text == _WGS84 or _ASKED.match(text) or re.match(r"[A-Z_0-9]+\s*\[", text)):
        return None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore"
            )  # an old WKT loses details on the way in; its EPSG number is what counts
            crs = pyproj.CRS.from_user_input(text)
            epsg = crs.to_epsg(min_confidence=70) if text != _WGS84 else None
            crs = (pyproj.CRS.from_epsg(epsg) if epsg else crs).to_2d()
        unnamed = crs.name.lower().startswith(("undefined", "unknown"))
        return None if unnamed or not (crs.is_geographic or crs.is_projected) else crs
    except (CRSError, ProjError):
        return None


def asked_crs(answer: str) -> str:
    """Return the name of a coordinate system that a person typed.

    Parameters
    ----------
    answer : str
        ``EPSG:3006``, ``3006`` or ``OGC:CRS84``; nothing else is passed on.

    Returns
    -------
    str

    Raises
    ------
    ImportFileError
        When it is not an EPSG number of a geographic or projected system.

    Examples
    --------
    >>> asked_crs(" 3006 ")
    'EPSG:3006'
    """
    plain = answer.strip()
    if plain.upper() in {_WGS84, "EPSG:4326", "4326"}:
        return _WGS84
    found = _ASKED.match(plain)
    name = f"EPSG:{found.group(1)}" if found else ""
    if not name or known_crs(name) is None:
        raise ImportFileError(
            f"{clean_text(plain, limit=40)!r} is not the number of a known coordinate system.",
            where="crs",
            todo="Give its EPSG number, for example EPSG:25832.",
        )
    return name


def crs_name(text: str) -> str:
    """Return what to show for a coordinate system: its number and its name."""
    if text == _WGS84:
        return "WGS 84"
    crs = known_crs(text)
    if crs is None:
        return "not known"
    authority = crs.to_authority()
    return f"{':'.join(authority)} {crs.name}" if authority else crs.name


def _group(crs: pyproj.CRS, area: Bounds | None) -> TransformerGroup:
    interest = AreaOfInterest(*area) if area else None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the missing grid is said in our own words
        return TransformerGroup(crs, _WGS84, always_xy=True, area_of_interest=interest, allow_ballpark=False)


def _area_of(crs: pyproj.CRS, bounds: Bounds) -> Bounds | None:
    """Return the longitudes and latitudes that bounds in a coordinate system span, roughly."""
    group = _group(crs, None)
    if not group.transformers:
        return None
    box = group.transformers[0].transform_bounds(*bounds, densify_pts=5, errcheck=False)
    west, south, east, north = box
    sound = np.isfinite(box).all() and -180 <= west <= east <= 180 and -90 <= south <= north <= 90
    return (float(west), float(south), float(east), float(north)) if sound else None


def shift_to_wgs84(text: str, bounds: Bounds) -> Shift:
    """Return how to bring coordinates of a system to WGS 84 at a place.

    Parameters
    ----------
    text : str
        The system, known to `known_crs`.
    bounds : tuple[float, float, float, float]
        Least x, least y, greatest x, greatest y in that system: the best datum transformation depends on the place.

    Returns
    -------
    Shift
        With a note on its accuracy, and on a better grid that is not installed.

    Raises
    ------
    ImportFileError
        When no transformation is known.
    """
    crs = known_crs(text)
    if crs is None:
        raise ImportFileError(
            "The coordinate system is not known.", where="crs", todo="Give its EPSG number."
        )
    name = crs_name(text)
    if text == _WGS84 or crs.to_epsg() == 4326:
        return Shift(name, is_geographic=True, transformer=None, notes=())
    try:
        group = _group(crs, _area_of(crs, bounds))
        if not group.transformers:  # outside every area: better a place that is doubted than none
            group = _group(crs, None)
        if not group.transformers:  # outside every area: better a place that is doubted than none
            group = _group(crs, None)
    except (ProjError, CRSError):
        group = None
    if group is None or not group.transformers:
        raise ImportFileError(
            f"No way is known from {name} to WGS 84.", where="crs", todo="Save the file on WGS 84."
        )
    best = group.transformers[0]
    notes = []
    if best.accuracy > 0:
        notes.append(f"Brought from {name} to WGS 84, good to about {best.accuracy:g} m.")
    elif best.accuracy < 0:
        notes.append(f"Brought from {name} to WGS 84; how well is not known.")
    better = [
        way.accuracy for way in group.unavailable_operations if 0 <= way.accuracy < max(best.accuracy, 0.0)
    ]
    if better:
        notes.append(f"A grid file that would make it good to {min(better):g} m is not installed.")
    return Shift(name, is_geographic=crs.is_geographic, transformer=best, notes=tuple(notes))


def lonlat_deg(shift: Shift, xy: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return longitude and latitude, degrees, shape (n, 2), of coordinates of the same shape; infinite where it fails."""
    if shift.transformer is None or not len(xy):
        return xy
    lon, lat = shift.transformer.transform(xy[:, 0], xy[:, 1], errcheck=False)
    return np.column_stack([lon, lat])


def in_area_of_use(text: str, xy: tuple[float, float]) -> bool | None:
    """Tell whether a place lies in the area its coordinate system is made for; None when the system names none."""
    x, y = xy
    crs = known_crs(text)
    area = crs.area_of_use if crs is not None else None
    if crs is None or area is None:
        return None
    group = _group(crs, None)
    lon, lat = group.transformers[0].transform(x, y, errcheck=False) if group.transformers else (x, y)
    if not (np.isfinite(lon) and np.isfinite(lat)):
        return False
    in_span = (
        area.west <= lon <= area.east if area.west <= area.east else lon >= area.west or lon <= area.east
    )
    return bool(in_span and area.south <= lat <= area.north)


def crs_choices(x: float, y: float) -> tuple[Choice, ...]:
    """Return the systems in which a place would lie where the system is used, each with where that is."""
    choices = []
    if abs(x) <= 180 and abs(y) <= 90:
        return (Choice(_WGS84, f"WGS 84: longitude {x:.4f}, latitude {y:.4f}"),)
    for text in _OFFERED:
        if in_area_of_use(text, (x, y)):
            crs = known_crs(text)
            lon, lat = _group(crs, None).transformers[0].transform(x, y) if crs is not None else (x, y)
            choices.append(Choice(text, f"{crs_name(text)}: longitude {lon:.3f}, latitude {lat:.3f}"))
    return tuple(choices)
