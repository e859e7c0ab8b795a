"""Notices on timing in sentences: what is at risk, by which limit and by whose finding, and that it is advice."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import date_text, days_text
from orchardmap.locale.numbers import number_text
from orchardmap.pruning.bud_break import GREEN_TIP_F_DAYS, LEAST_MARGIN_DAYS
from orchardmap.pruning.farm_settings import FarmSettings
from orchardmap.pruning.timing_notices import BlockAtWork, Notice, NoticeKind
from orchardmap.units import celsius_to_fahrenheit

__all__ = ["notice_json"]

Sentences = Mapping[str, str]
_NAMED = 8
"""So many blocks are named in a sentence; the others are a number."""
_SPANS = 4
"""So many spans of days of cuts, the latest ones."""

_TITLES: Mapping[NoticeKind, Sentences] = {
    "frost_on_cuts": message("Hard frost on fresh cuts"),
    "frost_ahead": message("Hard frost in the forecast"),
    "wet_cuts": message("Canker-prone trees pruned in the wet"),
    "wet_ahead": message("Rain on canker-prone trees"),
    "order": message("Trees that bear every other year come last"),
    "green_tip": message("Green tip"),
}
_HIGH = message("{temperature} on {frost_days}. Cuts made within {hours} hours before it are at high risk.")
_FALLING = message(
    "{temperature} on {frost_days}. Cuts made up to {days} days before it are at risk, less with each day between."
)
_FROST_AHEAD = message(
    "{temperature} on {frost_days}. Cuts made from {high_from} on would be at high risk, from {falling_from} on at a "
    "falling one. Better stop in time, and go on when it is over."
)
_WET_CUTS = message(
    "It rained {rain} mm or more on the days when these were cut, and canker gets in by fresh cuts."
)
_WET_AHEAD = message("{rain} mm or more on {days}: leave canker-prone trees for a dry day. Blocks: {blocks}.")
_PLACE = message("Blocks: {blocks}. Rows: {rows}. Days of the cuts: {cut_days}.")
_ORDER = message(
    "Begun, though they bear every other year: {blocks}. Not finished, though they bear every year: {others}. "
    "In the first ones flower buds can be counted later on."
)
_GREEN_TIP = message(
    "About {estimate} ({earliest} to {latest}): an estimate by degree days, {margin} days either way at the least."
)
_PUBLISHED = message("By the smallest and the largest sum that was published: {earliest} to {latest}.")
_NOT_YET = message(
    "After {table_ends}, where the table of weather ends or has a gap: {sum} of {target} degree days by then (°F above 43)."
)
_FORECAST = message("As forecast, not measured: {days}.")
_LEFT = message("Trees left to prune: {left}.")
_MORE = message("{blocks} and {more} more")
_DEFERS = message("Advice, not a rule: who knows the trees and the weather of the place decides.")

_FROST_SOURCE = "Penn State, in Fruit Growers News, 14 January 2016"
_WET_SOURCE = "NIAB, Cultural control of apple canker; how much rain makes a wet day is common practice"
_SOURCES: Mapping[NoticeKind, str] = {
    "frost_on_cuts": _FROST_SOURCE,
    "frost_ahead": _FROST_SOURCE,
    "wet_cuts": _WET_SOURCE,
    "wet_ahead": _WET_SOURCE,
    "order": "Miranda Sazo & Robinson, Cornell, 2024",
    "green_tip": (
        "UMass, Predicting green tip, 1 April 2019; Scaffolds, Geneva NY, 20 March 1995; "
        "Drepper et al. 2020, Agronomy"
    ),
}
_SETTINGS: Mapping[NoticeKind, tuple[str, ...]] = {
    "frost_on_cuts": ("hard_frost_c", "frost_high_risk_days", "frost_falling_risk_days"),
    "frost_ahead": ("hard_frost_c", "frost_high_risk_days", "frost_falling_risk_days"),
    "wet_cuts": ("wet_day_mm",),
    "wet_ahead": ("wet_day_mm",),
    "order": (),
    "green_tip": (),
}


def notice_json(notice: Notice, settings: FarmSettings) -> dict[str, Any]:
    """Return a notice as the service tells it.

    Parameters
    ----------
    notice : Notice
        From `timing_notices`.
    settings : FarmSettings
        That it was made with.

    Returns
    -------
    dict
        ``title``, ``text`` and ``defers`` in every language there is a catalogue for; ``settings`` by name, in their own unit.
    """
    tip = notice.green_tip
    return {
        "kind": notice.kind,
        "level": notice.level,
        "asks_today": notice.asks_today,
        "title": dict(_TITLES[notice.kind]),
        "text": {language: _text(notice, settings, language) for language in languages()},
        "defers": dict(_DEFERS),
        "source": _SOURCES[notice.kind],
        "settings": {name: getattr(settings, name) for name in _SETTINGS[notice.kind]},
        "days": [day.isoformat() for day in notice.days],
        "forecast_days": [day.isoformat() for day in notice.forecast_days],
        "cut_days": [day.isoformat() for day in notice.cut_days],
        "rows": notice.rows,
        "blocks": [{"id": block.id, "code": block.code} for block in notice.blocks],
        "green_tip": None
        if tip is None
        else {
            name: None if (day := getattr(tip, name)) is None else day.isoformat()
            for name in ("estimate", "earliest", "latest", "published_earliest", "published_latest")
        },
    }


def _text(notice: Notice, settings: FarmSettings, language: str) -> str:
    said = [*_SAID[notice.kind](notice, settings, language), *_forecast(notice, language)]
    return " ".join(_filled(sentence, values, language) for sentence, values in said)


def _filled(sentence: Sentences, values: Mapping[str, str], language: str) -> str:
    return translated(sentence, language).format(**values)


Said = list[tuple[Sentences, Mapping[str, str]]]


def _frost_on_cuts(notice: Notice, settings: FarmSettings, language: str) -> Said:
    high, falling = settings.frost_high_risk_days, settings.frost_falling_risk_days
    values = _frost(notice, language) | {"hours": str(24 * high), "days": str(falling)}
    return [(_HIGH if notice.level == "high" else _FALLING, values), _place(notice, language)]


def _frost_ahead(notice: Notice, settings: FarmSettings, language: str) -> Said:
    first = notice.days[0]
    begins = {
        name: date_text(first - timedelta(days=days), language)
        for name, days in (
            ("high_from", settings.frost_high_risk_days),
            ("falling_from", settings.frost_falling_risk_days),
        )
    }
    return [(_FROST_AHEAD, _frost(notice, language) | begins)]


def _wet_cuts(notice: Notice, settings: FarmSettings, language: str) -> Said:
    return [(_WET_CUTS, {"rain": number_text(settings.wet_day_mm, language)}), _place(notice, language)]


def _wet_ahead(notice: Notice, settings: FarmSettings, language: str) -> Said:
    rain, blocks = number_text(settings.wet_day_mm, language), _names(notice.blocks, language)
    return [(_WET_AHEAD, {"rain": rain, "days": days_text(notice.days, language), "blocks": blocks})]


def _order(notice: Notice, _settings: FarmSettings, language: str) -> Said:
    values = {"blocks": _names(notice.blocks, language), "others": _names(notice.others, language)}
    return [(_ORDER, values)]


def _green_tip(notice: Notice, _settings: FarmSettings, language: str) -> Said:
    tip, ends = notice.green_tip, notice.table_ends
    assert tip is not None  # noqa: S101 - what a notice of this kind is made of
    assert ends is not None  # noqa: S101 - likewise
    left = (_LEFT, {"left": number_text(notice.left, language)})
    if tip.estimate is None or tip.earliest is None or tip.latest is None:
        values = {
            "table_ends": date_text(ends, language),
            "sum": number_text(round(tip.f_days, 1), language),
            "target": number_text(GREEN_TIP_F_DAYS, language),
        }
        return [(_NOT_YET, values), left]
    estimated = {"estimate": date_text(tip.estimate, language), "margin": str(LEAST_MARGIN_DAYS)}
    said: Said = [(_GREEN_TIP, estimated | _span(tip.earliest, tip.latest, language))]
    if tip.published_earliest is not None and tip.published_latest is not None:
        said.append((_PUBLISHED, _span(tip.published_earliest, tip.published_latest, language)))
    return [*said, left]


_SAID: Mapping[NoticeKind, Callable[[Notice, FarmSettings, str], Said]] = {
    "frost_on_cuts": _frost_on_cuts,
    "frost_ahead": _frost_ahead,
    "wet_cuts": _wet_cuts,
    "wet_ahead": _wet_ahead,
    "order": _order,
    "green_tip": _green_tip,
}


def _forecast(notice: Notice, language: str) -> Said:
    """Say which days nobody measured; a notice that looks ahead says so by its own words."""
    if not notice.forecast_days:
        return []
    return [(_FORECAST, {"days": days_text(notice.forecast_days, language, most=_SPANS)})]


def _frost(notice: Notice, language: str) -> dict[str, str]:
    assert notice.tmin_c is not None  # noqa: S101 - what a notice of frost is made of
    celsius, fahrenheit = (
        number_text(round(value, 1), language)
        for value in (notice.tmin_c, celsius_to_fahrenheit(notice.tmin_c))
    )
    return {
        "temperature": f"{celsius} °C ({fahrenheit} °F)",
        "frost_days": days_text(notice.days, language),
    }


def _place(notice: Notice, language: str) -> tuple[Sentences, Mapping[str, str]]:
    values = {
        "blocks": _names(notice.blocks, language),
        "rows": str(notice.rows),
        "cut_days": days_text(notice.cut_days, language, most=_SPANS),
    }
    return _PLACE, values


def _span(earliest: date, latest: date, language: str) -> dict[str, str]:
    return {"earliest": date_text(earliest, language), "latest": date_text(latest, language)}


def _names(blocks: Sequence[BlockAtWork], language: str) -> str:
    codes = ", ".join(block.code for block in blocks[:_NAMED])
    if len(blocks) <= _NAMED:
        return codes
    return _filled(_MORE, {"blocks": codes, "more": str(len(blocks) - _NAMED)}, language)
