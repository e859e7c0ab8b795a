"""The dangers of a block in words for its crew, each in every language there is a catalogue for."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import number_text, range_text
from orchardmap.model.hazard import Hazard
from orchardmap.pruning.cautions import clearance_text, deferring_text

__all__ = ["closure_hazard", "ending_by_law", "line_hazard", "rows_text", "slope_hazard"]

_LINE_ROW = message(
    "Power line over or near row {rows}: keep yourself, ladders, poles and platforms at least {clearance} m away. "
    "If in doubt, do not work there."
)
_LINE_ROWS = message(
    "Power line over or near rows {rows}: keep yourself, ladders, poles and platforms at least {clearance} m away. "
    "If in doubt, do not work there."
)
_SLOPE = message(
    "Steep ground, up to {percent} percent: ladder feet on firm ground, the third leg uphill; go slowly on wet grass."
)
_CLOSURE = message("Closed block: nobody goes in from {start_day}, {start_time}, to {end_day}, {end_time}.")


def rows_text(rows: Sequence[int], language: str) -> str:
    """Return row numbers as they are said: neighbours as one stretch.

    Parameters
    ----------
    rows : sequence of int
        In order, each once.
    language : str
        ISO 639-1 code.

    Returns
    -------
    str

    Examples
    --------
    >>> rows_text([1, 2, 3, 7, 9, 10], "en")
    '1 to 3, 7, 9 to 10'
    """
    stretches: list[list[int]] = []
    for row in rows:
        if stretches and row == stretches[-1][1] + 1:
            stretches[-1][1] = row
        else:
            stretches.append([row, row])
    return ", ".join(range_text(str(first), str(last), language) for first, last in stretches)


def line_hazard(rows: Sequence[int], clearance_m: float) -> Hazard:
    """Return the danger of a power line near some rows of a block.

    Parameters
    ----------
    rows : sequence of int
        Numbers of the rows from which it is within reach, in order; one at least.
    clearance_m : float, metres
        Least distance from `orchardmap.pruning.clearance.line_clearance_m`; said no shorter than it is.

    Returns
    -------
    Hazard
    """
    said = _LINE_ROW if len(rows) == 1 else _LINE_ROWS
    texts = {
        language: _filled(
            said, language, rows=rows_text(rows, language), clearance=clearance_text(clearance_m, language)
        )
        for language in languages()
    }
    return Hazard("overhead-lines", texts, tuple(rows))


def slope_hazard(slope_percent: float) -> Hazard:
    """Return the danger of a steep block.

    Parameters
    ----------
    slope_percent : float, percent
        Rise over run at its steepest.

    Returns
    -------
    Hazard

    Examples
    --------
    >>> slope_hazard(22.5).texts["es"][:36]
    'Terreno empinado, hasta el 22,5 por '
    """
    return Hazard("slope", {
        language: _filled(_SLOPE, language, percent=number_text(round(slope_percent, 1), language))
        for language in languages()
    })  # fmt: skip


def closure_hazard(starts_at: datetime, ends_at: datetime) -> Hazard:
    """Return the danger of a block that is closed, or will be.

    Parameters
    ----------
    starts_at, ends_at : datetime
        In the farm's own time zone, as the crew's watches go.

    Returns
    -------
    Hazard
    """
    return Hazard("closure", {
        language: _filled(
            _CLOSURE, language,
            start_day=date_text(starts_at.date(), language), start_time=f"{starts_at:%H:%M}",
            end_day=date_text(ends_at.date(), language), end_time=f"{ends_at:%H:%M}",
        )
        for language in languages()
    })  # fmt: skip


def ending_by_law(hazards: Sequence[Hazard]) -> tuple[Hazard, ...]:
    """Return hazards as one set, whose last sentence defers to law, label and licensed practice.

    Parameters
    ----------
    hazards : sequence of Hazard
        In the order they are said; none stay none.

    Returns
    -------
    tuple of Hazard
    """
    if not hazards:
        return ()
    *before, last = hazards
    texts = {language: f"{text} {deferring_text(language)}" for language, text in last.texts.items()}
    return (*before, replace(last, texts=texts))


def _filled(said: Mapping[str, str], language: str, **parts: str) -> str:
    return translated(said, language).format(**parts)
