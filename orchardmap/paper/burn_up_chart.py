"""The burn-up on paper: what is pruned, day by day, and the fan of what is to come. SVG in millimetres."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import day_month_text, month_text
from orchardmap.locale.numbers import whole_text
from orchardmap.maps import signs
from orchardmap.paper.text_size import text_width_em

__all__ = ["BurnUp", "burn_up_svg"]

_ALT = message("Trees pruned day by day, and how it may go on")
_MUST = message("must finish {day}")
_KEY = {
    "pruned": message("pruned"),
    "likely": message("likely"),
    "fan": message("8 times in 10 between these"),
}
_LEFT_MM, _BOTTOM_MM, _TOP_MM, _RIGHT_MM = 15.0, 6.0, 9.0, 4.0
_TEXT_MM = 2.6
_TICK_STEPS = (1, 2, 2.5, 5, 10)


@dataclass(frozen=True, slots=True)
class BurnUp:
    """What the chart shows, as the forecast tells it."""

    first: date
    pruned: Sequence[tuple[date, int]]
    """Trees pruned by the end of each day worked."""
    fan: Sequence[tuple[date, int, int, int]]
    """By the end of each day to come: 1 time in 10 no more than, likely, 9 times in 10 no more than; empty without a forecast."""
    trees: int
    must_finish_on: date | None
    day: date
    """As of which it is drawn."""


def burn_up_svg(told: BurnUp, size_mm: tuple[float, float], language: str) -> str:
    """Return the chart as an SVG element of that width and height."""
    chart = _Chart(told, size_mm)
    parts = [
        *_axes(chart, language),
        *_fan(chart),
        *_pruned(chart),
        *_days(chart, language),
        *_key(chart, language),
    ]
    width, height = size_mm
    return (
        f'<svg class="burn-up" role="img" aria-label="{escape(translated(_ALT, language))}" width="{width:g}mm" '
        f'height="{height:g}mm" viewBox="0 0 {width:g} {height:g}" font-size="{_TEXT_MM}" fill="{signs.INK}">{"".join(parts)}</svg>'
    )


class _Chart:
    """Days and trees to millimetres."""

    def __init__(self, told: BurnUp, size_mm: tuple[float, float]) -> None:
        self.told, (self.width, self.height) = told, size_mm
        ends = [told.day, *(day for day, _ in told.pruned), *(one[0] for one in told.fan)]
        self.last = max([*ends, told.must_finish_on or told.day]) + timedelta(2)
        self.days = max((self.last - told.first).days, 1)
        self.bottom = self.height - _BOTTOM_MM

    def x(self, day: date) -> float:
        return _LEFT_MM + (day - self.told.first).days / self.days * (self.width - _LEFT_MM - _RIGHT_MM)

    def y(self, trees: float) -> float:
        return self.bottom - trees / max(self.told.trees, 1) * (self.bottom - _TOP_MM)


def _line(path: str, width: float, dash: str = "") -> str:
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="{path}" fill="none" stroke="{signs.INK}" stroke-width="{width}"{dashed}/>'


def _text(x: float, y: float, text: str, anchor: str = "middle") -> str:
    return f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}">{escape(text)}</text>'


def _axes(chart: _Chart, language: str) -> Iterator[str]:
    """Draw the trees upwards in round steps, all of them at the top, and the months along."""
    step = _round_step(chart.told.trees / 4)
    ticks = [n for n in range(0, chart.told.trees, step) if chart.told.trees - n > 0.35 * step]
    for trees in [*ticks, chart.told.trees]:
        y = chart.y(trees)
        yield _line(
            f"M{_LEFT_MM},{y:.2f} H{chart.width - _RIGHT_MM:.2f}",
            0.3 if trees in (0, chart.told.trees) else 0.1,
        )
        yield _text(_LEFT_MM - 1, y + 0.9, whole_text(trees, language), "end")
    for month in _months(chart.told.first, chart.last):
        x = chart.x(month)
        yield _line(f"M{x:.2f},{chart.bottom:.2f} v1.2", 0.2)
        name = month_text(month, language)
        if x + 0.8 + text_width_em(name) * _TEXT_MM < chart.width:
            yield _text(x + 0.6, chart.bottom + 4, name, "start")


def _round_step(rough: float) -> int:
    power = 10 ** math.floor(math.log10(max(rough, 1)))
    return max(1, int(next(step * power for step in _TICK_STEPS if step * power >= rough)))


def _months(first: date, last: date) -> Iterator[date]:
    at = date(first.year, first.month, 1)
    while at <= last:
        if at >= first:
            yield at
        at = date(at.year + at.month // 12, at.month % 12 + 1, 1)


def _pruned(chart: _Chart) -> Iterator[str]:
    """Draw what is pruned as steps: nothing was known to lie between two evenings."""
    if chart.told.pruned:
        path = f"M{chart.x(chart.told.first):.2f},{chart.y(0):.2f}"
        path += "".join(f" H{chart.x(day):.2f} V{chart.y(trees):.2f}" for day, trees in chart.told.pruned)
        yield _line(f"{path} H{chart.x(max(chart.told.day, chart.told.pruned[-1][0])):.2f}", 0.8)


def _fan(chart: _Chart) -> Iterator[str]:
    if not chart.told.fan:
        return
    days = [chart.x(day) for day, *_ in chart.told.fan]
    low, likely, high = (
        " L".join(f"{x:.2f},{chart.y(trees):.2f}" for x, trees in zip(days, of, strict=True))
        for of in zip(*(trees for _, *trees in chart.told.fan), strict=True)
    )
    back = " L".join(reversed(high.split(" L")))
    yield f'<path d="M{low} L{back} Z" fill="#DDDDDD"/>'
    yield _line(f"M{low}", 0.2) + _line(f"M{high}", 0.2) + _line(f"M{likely}", 0.5, "1.6 0.9")


def _days(chart: _Chart, language: str) -> Iterator[str]:
    """Mark the day of the report and the one by which all must be finished, their words in lines of their own."""
    told = chart.told
    marks = [(told.day, "{day}", "0.4 0.7")]
    if told.must_finish_on:
        marks.append((told.must_finish_on, translated(_MUST, language), "2 0.6 0.4 0.6"))
    for at, (day, words, dash) in enumerate(marks):
        x, top = chart.x(day), _TOP_MM - 1.6 - 3.3 * at
        said = words.format(day=day_month_text(day, language))
        yield _line(f"M{x:.2f},{top:.2f} V{chart.bottom:.2f}", 0.25, dash)
        is_far = x + text_width_em(said) * _TEXT_MM > chart.width
        yield _text(x - 0.8 if is_far else x + 0.8, top + 0.4, said, "end" if is_far else "start")


def _key(chart: _Chart, language: str) -> Iterator[str]:
    """Say what the lines are, in the corner that a season leaves empty."""
    x, y = _LEFT_MM + 3, _TOP_MM + 5
    shown = ["pruned", *(["likely", "fan"] if chart.told.fan else [])]
    words = [translated(_KEY[key], language) for key in shown]
    width = 12 + 0.88 * _TEXT_MM * max(map(text_width_em, words))
    yield f'<rect x="{x - 1:.2f}" y="{y - 3:.2f}" width="{width:.2f}" height="{4.2 * len(shown) + 1:.2f}" fill="#FFFFFF"/>'
    for at, key in enumerate(shown):
        line = y + 4.2 * at
        if key == "fan":
            yield f'<rect x="{x}" y="{line - 1.4:.2f}" width="8" height="2.8" fill="#DDDDDD" stroke="{signs.INK}" stroke-width="0.2"/>'
        else:
            yield _line(
                f"M{x},{line:.2f} h8", 0.8 if key == "pruned" else 0.5, "" if key == "pruned" else "1.6 0.9"
            )
        yield _text(x + 10, line + 0.9, words[at], "start")
