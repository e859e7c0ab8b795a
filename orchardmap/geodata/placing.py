"""Where a file's coordinates lie on Earth; and the questions when it does not say, or says what cannot be."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from orchardmap.geodata.crs import (
    Bounds,
    asked_crs,
    crs_choices,
    crs_name,
    in_area_of_use,
    known_crs,
    lonlat_deg,
    shift_to_wgs84,
)
from orchardmap.geodata.pieces import Piece
from orchardmap.geodata.preview import Answers, Choice, Question, RawFile

_LEAST_LATITUDE_DEG = 15.0
_GREATEST_LATITUDE_DEG = 66.0
"""Between these apples are grown (common practice); a file that lies outside only gets a question."""
_YES_NO = (Choice("yes", "Yes, swap them"), Choice("no", "No, they are right"))


@dataclass(frozen=True, slots=True)
class Placed:
    """Coordinates of all pieces on WGS 84, or the questions that stand before that."""

    crs: str | None
    """What to show."""
    lonlat: NDArray[np.float64] | None
    """Shape (n, 2), degrees, in the order of `shapely.get_coordinates`; None while a needed question is open."""
    questions: tuple[Question, ...]
    notes: tuple[str, ...]


def _xy(located: Sequence[Piece]) -> NDArray[np.float64]:
    return shapely.get_coordinates([piece.geometry for piece in located])


def _crs_question(raw: RawFile, middle: tuple[float, float]) -> Question:
    x, y = middle
    if raw.crs is None:
        text = "The file does not say in which coordinate system it is. Which one?"
    elif known_crs(raw.crs) is None:
        text = "The file names a coordinate system that is not known. Which one is it?"
    else:
        text = (
            f"The file says {crs_name(raw.crs)}, which is in degrees, but its numbers ({x:,.0f}, {y:,.0f}) are too large "
            "for degrees: they may be metres. In which coordinate system are they?"
        )
    return Question("crs", text, crs_choices(x, y), needed=True)


def _swap_question(text: str, *, needed: bool) -> Question:
    return Question("swap_axes", text, _YES_NO, needed=needed)


def _degree_question(raw: RawFile, middle: tuple[float, float], *, asked: bool) -> Question | None:
    """Return what is doubtful about coordinates that claim to be degrees."""
    x, y = middle
    if abs(x) > 360 or abs(y) > 90:
        if abs(x) <= 90 and abs(y) <= 360 and not asked:
            text = f"The latitudes would be beyond the pole ({y:.4f}). Are latitude and longitude swapped?"
            return _swap_question(text, needed=True)
        return _crs_question(raw, middle)
    unlikely = not _LEAST_LATITUDE_DEG <= abs(y) <= _GREATEST_LATITUDE_DEG
    likelier = _LEAST_LATITUDE_DEG <= abs(x) <= _GREATEST_LATITUDE_DEG
    if unlikely and likelier and not (asked or raw.axes_named):
        text = (
            f"As the file stands it lies at longitude {x:.4f}, latitude {y:.4f}. "
            "Are latitude and longitude swapped?"
        )
        return _swap_question(text, needed=False)
    return None


def _grid_question(crs: str, middle: tuple[float, float], *, asked: bool) -> tuple[Question | None, str]:
    """Return what is doubtful about coordinates of a projected system: a question, or a note."""
    x, y = middle
    if in_area_of_use(crs, (x, y)) is not False:
        return None, ""
    if not asked and in_area_of_use(crs, (y, x)):
        text = f"As the file stands it lies outside the area of {crs_name(crs)}; with the axes swapped it lies inside. Swap them?"
        return _swap_question(text, needed=True), ""
    return (
        None,
        f"It lies outside the area that {crs_name(crs)} is made for: is that the right coordinate system?",
    )


def _middle(xy: NDArray[np.float64]) -> tuple[float, float]:
    # the median: one wild vertex must not put the whole file in doubt
    x, y = np.median(xy[np.isfinite(xy).all(axis=1)], axis=0)
    return float(x), float(y)


def _bounds(xy: NDArray[np.float64]) -> Bounds:
    sound = xy[np.isfinite(xy).all(axis=1)]
    (west, south), (east, north) = np.percentile(sound, [1, 99], axis=0)
    return float(west), float(south), float(east), float(north)


def placed(raw: RawFile, located: Sequence[Piece], *, answers: Answers) -> Placed:
    """Return where pieces lie on WGS 84, or what must be asked first.

    Parameters
    ----------
    raw : RawFile
        The file as read.
    located : sequence of Piece
        Those that have a geometry.
    answers : Answers
        ``crs`` replaces what the file says; ``swap_axes`` exchanges its two numbers.

    Returns
    -------
    Placed

    Raises
    ------
    ImportFileError
        When the answer to the question of the coordinate system is not one that is known.
    """
    crs = asked_crs(answers.crs) if answers.crs else raw.crs
    xy = _xy(located)
    if not np.isfinite(xy).all(axis=1).any():
        return Placed(crs_name(crs) if crs else None, xy, (), ())
    if answers.swap_axes:
        xy = xy[:, ::-1].copy()
    middle = _middle(xy)
    known = known_crs(crs) if crs else None
    if crs is None or known is None:
        return Placed(None, None, (_crs_question(raw, middle),), ())
    asked = answers.swap_axes is not None
    note = ""
    if known.is_geographic:
        question = _degree_question(raw, middle, asked=asked)
    else:
        question, note = _grid_question(crs, middle, asked=asked)
    questions = (question,) if question else ()
    if question and question.needed:
        return Placed(crs_name(crs), None, questions, ())
    shift = shift_to_wgs84(crs, _bounds(xy))
    notes = (*shift.notes, note) if note else shift.notes
    return Placed(shift.name, lonlat_deg(shift, xy), questions, notes)
