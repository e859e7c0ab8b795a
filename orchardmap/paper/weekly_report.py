"""The weekly report: one week of a season on a few pages of A4, as the overview and `orchardmap report` tell it. Black-and-white safe."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import days_text
from orchardmap.locale.numbers import fixed_text, percent_text, whole_text
from orchardmap.maps import signs
from orchardmap.maps.sign_svg import glyph_svg
from orchardmap.paper.burn_up_chart import BurnUp, burn_up_svg
from orchardmap.paper.map_content import MapContent
from orchardmap.paper.map_drawing import map_drawing
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_from_far import far_drawing
from orchardmap.paper.map_panel import legend_from_far, legend_panel, north_svg, scale_svg, sign_words
from orchardmap.paper.map_scale import fitting_scale, smallest_scale
from orchardmap.paper.pdf import FONT

__all__ = ["BlockLine", "CrewLine", "PaceLine", "WeeklyReport", "weekly_report_document"]

_KIND = message("Weekly report")
_WEEK = message("Week of {days}")
_SO_FAR = message("so far")
_THIS_WEEK = message("{trees} trees pruned this week.")
_PART = {
    "progress": message("Progress"),
    "map": message("Map"),
    "finish": message("Finish"),
    "burn_up": message("Burn-up"),
    "blocks": message("Blocks"),
    "quality": message("Quality"),
    "weak": message("Weak areas"),
    "crews": message("Crews"),
    "pace": message("Trees per person-hour"),
    "cost": message("Cost"),
    "cautions": message("Cautions"),
}
_COLUMN = {
    "block": message("Block"),
    "variety": message("Variety"),
    "trees": message("Trees"),
    "pruned": message("Pruned"),
    "week": message("This week"),
    "verdict": message("Verdict"),
    "likely": message("Likely done"),
    "crew": message("Crew"),
    "people": message("People"),
    "hours": message("Person-hours"),
    "season": message("Season"),
    "method": message("Method"),
    "pace": message("Pace"),
    "span": message("8 times in 10"),
    "days": message("Days"),
}
_ALL = message("All")
_NONE_WEAK = message("No weak area stands.")
_LOTS_NOW = message("Lots and cost are told as they stand today; of a week that is over they are left out.")
_PACE_NOTE = message('What stands under "8 times in 10" holds the true pace so often.')
_MAP_MM = (186.0, 112.0)
_CHART_MM = (186.0, 74.0)
_ROWS_FROM_MM = 0.6
_AIR = 1.06


@dataclass(frozen=True, slots=True)
class BlockLine:
    """One block's week."""

    code: str
    variety: str
    trees: int
    pruned: int
    week: int
    """Trees pruned in it."""
    verdict: str
    """A key of `orchardmap.maps.signs.PITHS`."""
    likely: str
    """When it is done and whether that is in time, in words; empty where nothing is forecast."""


@dataclass(frozen=True, slots=True)
class CrewLine:
    """One crew's week."""

    name: str
    week: int
    trees: int
    people: float | None
    person_hours: float


@dataclass(frozen=True, slots=True)
class PaceLine:
    """Trees per person-hour of one kind of work, with bounds that hold the true pace 8 times in 10."""

    crew: str
    variety: str
    method: str
    trees_per_h: float
    low: float
    high: float
    days: int


@dataclass(frozen=True, slots=True)
class WeeklyReport:
    """A week as of its last evening."""

    farm: str
    season: str
    first: date
    last: date
    is_over: bool
    progress: tuple[str, ...]
    finish: tuple[str, ...]
    lots: tuple[str, ...]
    cost: tuple[str, ...]
    """Empty for who may not see it."""
    blocks: tuple[BlockLine, ...]
    crews: tuple[CrewLine, ...]
    paces: tuple[PaceLine, ...]
    weak: tuple[str, ...]
    cautions: tuple[str, ...]
    burn_up: BurnUp | None
    ground: MapContent | None

    @property
    def week(self) -> int:
        """Trees pruned in it."""
        return sum(block.week for block in self.blocks)


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
    meta = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{_style(title)}</style>'
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
        _blocks(told, language),
        _said("quality", _quality(told, language), language),
        _said("weak", told.weak or [translated(_NONE_WEAK, language)], language),
        _crews(told.crews, language),
        _paces(told.paces, language),
        _said("cost", told.cost, language),
        _said("cautions", told.cautions, language),
        f'<p class="note">{escape(translated(_LOTS_NOW, language))}</p>' if told.is_over else "",
    ])
    return f'<!doctype html><html lang="{language}"><head>{meta}</head><body>{body}</body></html>'


def _heading(part: str, language: str) -> str:
    return f"<h2>{escape(translated(_PART[part], language))}</h2>"


def _burn_up(told: BurnUp | None, language: str) -> str:
    if told is None:
        return ""
    return f'<div class="part">{_heading("burn_up", language)}{burn_up_svg(told, _CHART_MM, language)}</div>'


def _said(part: str, sentences: Iterable[str], language: str) -> str:
    """Return sentences under the heading of their part; nothing where there are none."""
    lines = "".join(f"<p>{escape(one)}</p>" for one in sentences)
    return f'<div class="part">{_heading(part, language)}{lines}</div>' if lines else ""


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
        f'<div class="part">{_heading("map", language)}<svg class="map" role="img" aria-label="{escape(ground.farm)}" '
        f'width="{width:g}mm" height="{height:g}mm" viewBox="0 0 {width:g} {height:g}" font-family="{FONT}">{drawing}'
        f'<rect x="0.1" y="0.1" width="{width - 0.2:g}" height="{height - 0.2:g}" fill="none" stroke="{signs.INK}" '
        f'stroke-width="0.2"/></svg><div class="legend"><div>{north_svg(language)}{scale_svg(scale, "a4", 44, language)}</div>'
        f"<div>{legend}</div></div></div>"
    )


def _blocks(told: WeeklyReport, language: str) -> str:
    def n(number: int) -> str:
        return whole_text(number, language)

    rows = [
        (
            escape(one.code), escape(one.variety), n(one.trees), n(one.pruned), _share(one.pruned, one.trees, language),
            n(one.week), _verdict(one.verdict, language), escape(one.likely),
        )
        for one in told.blocks
    ]  # fmt: skip
    trees, pruned = sum(one.trees for one in told.blocks), sum(one.pruned for one in told.blocks)
    total = (
        translated(_ALL, language),
        "",
        n(trees),
        n(pruned),
        _share(pruned, trees, language),
        n(told.week),
        "",
        "",
    )
    heads = [
        *_columns(("block", "variety", "trees", "pruned"), language),
        "%",
        *_columns(("week", "verdict", "likely"), language),
    ]
    return _table("blocks", heads, rows, language, numbers=(2, 3, 4, 5), total=total)


def _share(pruned: int, trees: int, language: str) -> str:
    return percent_text(round(100 * pruned / trees) if trees else 0, language)


def _verdict(key: str, language: str) -> str:
    glyph = next(one for one in signs.PITHS if one.key == key)
    drawn = f'<svg aria-hidden="true" width="4mm" height="4mm" viewBox="0 0 24 24">{glyph_svg(glyph, x=12, y=12)}</svg> '
    return f"{drawn if glyph.outline else ''}{escape(sign_words(glyph.words, language))}"


def _quality(told: WeeklyReport, language: str) -> list[str]:
    """Return how many blocks stand how, and lots."""
    counted = [(one, sum(block.verdict == one.key for block in told.blocks)) for one in signs.PITHS]
    blocks = " · ".join(f"{n} {sign_words(one.words, language)}" for one, n in counted if n)
    return [f"{translated(_PART['blocks'], language)}: {blocks}.", *told.lots] if blocks else list(told.lots)


def _crews(crews: Sequence[CrewLine], language: str) -> str:
    rows = [
        (
            escape(one.name),
            whole_text(one.week, language),
            whole_text(one.trees, language),
            "" if one.people is None else f"{one.people:g}",
            whole_text(round(one.person_hours), language),
        )
        for one in crews
    ]
    return _table(
        "crews",
        _columns(("crew", "week", "season", "people", "hours"), language),
        rows,
        language,
        numbers=(1, 2, 3, 4),
    )


def _paces(paces: Sequence[PaceLine], language: str) -> str:
    rows = [
        (
            escape(one.crew), escape(one.variety), escape(one.method), fixed_text(one.trees_per_h, 1, language),
            f"{fixed_text(one.low, 1, language)}–{fixed_text(one.high, 1, language)}", str(one.days),
        )
        for one in paces
    ]  # fmt: skip
    heads = _columns(("crew", "variety", "method", "pace", "span", "days"), language)
    note = f'<p class="note">{escape(translated(_PACE_NOTE, language))}</p>' if rows else ""
    return _table("pace", heads, rows, language, numbers=(3, 4, 5)) + note


def _columns(keys: Iterable[str], language: str) -> list[str]:
    return [translated(_COLUMN[key], language) for key in keys]


def _table(
    part: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    language: str,
    *,
    numbers: Sequence[int],
    total: Sequence[str] = (),
) -> str:
    """Return rows of finished HTML as a table whose head repeats on every page; nothing without rows."""
    if not rows:
        return ""

    def line(cells: Sequence[str], tag: str = "td") -> str:
        made = (
            f"<{tag}{' class=number' if at in numbers else ''}>{cell}</{tag}>"
            for at, cell in enumerate(cells)
        )
        return f"<tr>{''.join(made)}</tr>"

    body = "".join(map(line, rows)) + (line(total, "th") if total else "")
    head = line([escape(one) for one in heads], "th")
    return (
        f'{_heading(part, language)}<table class="{part}"><thead>{head}</thead><tbody>{body}</tbody></table>'
    )


def _style(title: str) -> str:
    foot = title.replace("\\", "").replace('"', "”")
    return f"""
@page {{ size: A4; margin: 14mm 12mm 16mm;
  @bottom-left {{ content: "{foot}"; width: 160mm; font: 8pt "{FONT}"; }}
  @bottom-right {{ content: counter(page) " / " counter(pages); font: 8pt "{FONT}"; }} }}
html, body {{ margin: 0; color: {signs.INK}; background: #fff; font: 9.5pt/1.35 "{FONT}"; overflow-wrap: break-word; }}
h1 {{ font-size: 22pt; line-height: 1.1; margin: 0; }}
.lead {{ font-size: 12pt; font-weight: 700; margin: 0 0 2mm; }}
h2 {{ font-size: 12pt; margin: 5mm 0 1mm; border-bottom: .4mm solid {signs.INK}; break-after: avoid; }}
p {{ margin: 0 0 .8mm; }}
.part {{ break-inside: avoid; }}
.part svg {{ display: block; }}
.note {{ font-size: 8pt; }}
.burn-up {{ margin-top: 2mm; }}
.legend {{ display: flex; gap: 6mm; font-size: 8pt; margin-top: 1mm; }}
.legend > div:first-child {{ width: 46mm; }}
.legend > div:last-child {{ flex: 1; columns: 3; column-gap: 4mm; }}
.legend h2 {{ display: none; }}
.legend h3 {{ font-size: 8pt; margin: 0 0 .5mm; break-after: avoid; }}
.legend ul {{ list-style: none; margin: 0 0 1mm; padding: 0; }}
.legend li {{ display: flex; align-items: center; gap: 1.5mm; break-inside: avoid; line-height: 1.15; }}
.legend li svg {{ flex: none; }}
table {{ width: 100%; border-collapse: collapse; font-size: 9pt; }}
th, td {{ text-align: left; padding: .7mm 2mm .7mm 0; vertical-align: top; border-bottom: .1mm solid {signs.INK}; }}
thead th {{ border-bottom: .5mm solid {signs.INK}; }}
tbody th {{ border-top: .4mm solid {signs.INK}; }}
tr {{ break-inside: avoid; }}
.number {{ text-align: right; white-space: nowrap; }}
td svg {{ vertical-align: -0.8mm; }}
"""
