"""The weekly report: one week of a season on a few pages of A4, as the overview and `orchardmap report` tell it. Black-and-white safe."""

from collections.abc import Iterable
from datetime import date
from html import escape

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import days_text
from orchardmap.locale.numbers import whole_text
from orchardmap.maps import signs
from orchardmap.paper.burn_up_chart import BurnUp, burn_up_svg
from orchardmap.paper.made import made_words
from orchardmap.paper.map_content import MapContent
from orchardmap.paper.map_drawing import map_drawing
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_from_far import far_drawing
from orchardmap.paper.map_lines import on_white
from orchardmap.paper.map_panel import legend_from_far, legend_panel, north_svg, scale_svg
from orchardmap.paper.map_scale import fitting_scale, smallest_scale
from orchardmap.paper.pdf import FONT
from orchardmap.paper.weekly_content import WeeklyReport
from orchardmap.paper.weekly_style import weekly_style
from orchardmap.paper.weekly_tables import (
    blocks_table,
    crews_table,
    paces_table,
    part_heading,
    quality_lines,
)

__all__ = ["weekly_report_document"]

_KIND = message("Weekly report")
_WEEK = message("Week of {days}")
_SO_FAR = message("so far")
_THIS_WEEK = message("{trees} trees pruned this week.")
_NONE_WEAK = message("No weak area stands.")
_LOTS_NOW = message("Lots and cost are told as they stand today; of a week that is over they are left out.")
_MAP_MM = (186.0, 104.0)
_CHART_MM = (186.0, 74.0)
_ROWS_FROM_MM = 0.6
_AIR = 1.06


def weekly_report_document(told: WeeklyReport, *, language: str = "en") -> str:
    """Return the report as an HTML document for `orchardmap.paper.pdf.pdf_of`.

    Raises
    ------
    InputError
        If no report is made in that language.
    """
    if language not in languages():
        raise InputError(
            "No report is made in this language",
            where=language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    ordinals = range(told.first.toordinal(), told.last.toordinal() + 1)
    days = days_text([date.fromordinal(one) for one in ordinals], language)
    week = translated(_WEEK, language).format(days=days) + (
        "" if told.is_over else f", {translated(_SO_FAR, language)}"
    )
    title = f"{told.farm}: {translated(_KIND, language)}, {week}"
    meta = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{weekly_style(title, made_words(told.made_at, language))}</style>'
    body = "".join([
        f"<h1>{escape(told.farm)}</h1>",
        f'<p class="lead">{escape(" · ".join(one for one in (translated(_KIND, language), told.season, week) if one))}</p>',
        _said(
            "progress",
            [translated(_THIS_WEEK, language).format(trees=whole_text(told.week, language)), *told.progress],
            language,
        ),
        _said("finish", told.finish, language),
        _map(told.ground, language),
        _burn_up(told.burn_up, language),
        blocks_table(told, language),
        _said("quality", quality_lines(told, language), language),
        _said("weak", told.weak or [translated(_NONE_WEAK, language)], language),
        crews_table(told.crews, language),
        paces_table(told.paces, language),
        _said("cost", told.cost, language),
        _said("cautions", told.cautions, language),
        f'<p class="note">{escape(translated(_LOTS_NOW, language))}</p>' if told.is_over else "",
    ])
    return f'<!doctype html><html lang="{language}"><head>{meta}</head><body>{on_white(body)}</body></html>'


def _burn_up(told: BurnUp | None, language: str) -> str:
    if told is None:
        return ""
    return (
        f'<div class="part">{part_heading("burn_up", language)}{burn_up_svg(told, _CHART_MM, language)}</div>'
    )


def _said(part: str, sentences: Iterable[str], language: str) -> str:
    """Return sentences under the heading of their part; nothing where there are none."""
    lines = "".join(f"<p>{escape(one)}</p>" for one in sentences)
    return f'<div class="part">{part_heading(part, language)}{lines}</div>' if lines else ""


def _map(ground: MapContent | None, language: str) -> str:
    """Return the farm at a round scale: its rows where they stand apart, else its blocks from far."""
    if ground is None:
        return ""
    west, south, east, north = ground.bounds_m
    scale = fitting_scale(((east - west) * _AIR, (north - south) * _AIR), _MAP_MM)
    frame = MapFrame(_MAP_MM, scale, ((west + east) / 2, (south + north) / 2))
    has_rows = scale <= smallest_scale(min(block.pitch_m for block in ground.blocks), _ROWS_FROM_MM)
    drawing = map_drawing(ground, frame, language) if has_rows else far_drawing(ground, frame, language)
    legend = legend_panel(ground, language) if has_rows else legend_from_far(ground, language)
    width, height = _MAP_MM
    return (
        f'<div class="part">{part_heading("map", language)}<svg class="map" role="img" aria-label="{escape(ground.farm)}" '
        f'width="{width:g}mm" height="{height:g}mm" viewBox="0 0 {width:g} {height:g}" font-family="{FONT}">{drawing}'
        f'<rect x="0.1" y="0.1" width="{width - 0.2:g}" height="{height - 0.2:g}" fill="none" stroke="{signs.INK}" '
        f'stroke-width="0.2"/></svg><div class="legend"><div>{north_svg(language)}{scale_svg(scale, "a4", 44, language)}</div>'
        f"<div>{legend}</div></div></div>"
    )
