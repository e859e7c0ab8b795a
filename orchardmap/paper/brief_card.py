"""The brief card: what a pruner does to the trees of a variety, point by point, large enough to read at arm's length."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from html import escape

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import decimal_sign, number_text
from orchardmap.model.brief import BriefContent, BudTarget, Point, PointClass
from orchardmap.model.hazard import Hazard
from orchardmap.paper.brief_card_sheet import SHEETS, CardSheet, CardSize, card_style
from orchardmap.paper.brief_signs import bud_sign, check_sign, key_signs, weight_sign
from orchardmap.paper.pdf import pdf_of
from orchardmap.pruning.cautions import CAUTIONS, caution_texts
from orchardmap.pruning.clearance import LineClearance
from orchardmap.pruning.habit_words import habit_text
from orchardmap.pruning.pictures import PICTURES, picture_svg
from orchardmap.pruning.sentences import point_text

__all__ = ["CardHead", "brief_card_document", "brief_card_pdf", "key_words"]

_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:c?m\b|%))")

_KIND = message("Pruning brief")
_SEASON = message("Season {season}")
_VERSION = message("Version {version}")
_NOT_PUBLISHED = message("Ready-made; not yet fitted to these trees by an adviser")
_DRAFT = message("Draft, not published: not to work by yet")
_BLOCK = message("Block {block}")
_HAZARDS = message("Dangers in this block")
_TARGET = message("To leave on an average tree")
_NOTES = message("Notes")
_CAUTIONS = message("Work safely")
_CLASSES: dict[PointClass, dict[str, str]] = {
    "critical": message("critical"),
    "major": message("major"),
    "minor": message("minor"),
}
_CHECKED = message("checked")
_TAUGHT = message("taught")
_KEY = {
    "stays": message("stays"),
    "goes": message("goes"),
    "cut": message("cut here"),
    "uncut": message("do not cut"),
    "fruit_bud": message("fruit bud"),
    "leaf_bud": message("leaf bud"),
    "year_ring": message("a year ended here"),
}
_TARGETS = {
    "buds_per_limb": message("buds on each limb"),
    "buds_per_tree": message("buds on the tree"),
    "limbs_per_tree": message("limbs on the tree"),
    "fruit_per_tree": message("apples on the tree"),
}


@dataclass(frozen=True, slots=True)
class CardHead:
    """What stands at the top of every page of a card: plain text, left out where empty or None."""

    title: str = ""
    """Name of the variety."""
    farm: str = ""
    season: str = ""
    version: int | None = None
    """Of the published brief; without one the card says that it is a draft, or ready-made."""
    published_on: date | None = None
    """By the farm's calendar."""
    block: str = ""
    """Code of the block that the card is for, with its name."""
    is_draft: bool = False
    """What a draft names and there is not, a drawing or a caution, is passed over."""


def brief_card_pdf(
    content: BriefContent,
    head: CardHead,
    *,
    language: str = "en",
    size: CardSize = "a4",
    hazards: Sequence[Hazard] = (),
    clearance_m: float = LineClearance().base_m,
) -> bytes:
    """Return the card of a brief as PDF, black on white, its fonts inside.

    Parameters
    ----------
    content : BriefContent
        One that may be published (`orchardmap.pruning.brief.content_problems`), or a draft.
    head : CardHead
    language : str
        One of `orchardmap.locale.catalogue.languages`. A sentence that the brief lacks in it stands in the language
        that the brief was written in.
    size : CardSize
        Upright.
    hazards : sequence of Hazard
        Of the block that the card is for, as one set; they come first.
    clearance_m : float, metres
        Least distance from the farm's power lines, for the caution that names it.

    Raises
    ------
    InputError
        If no card is made in that language.
    UnknownError
        If the brief is no draft and names a picture or a caution that there is not.
    PaperError
        If this machine lacks what paper is made with.
    """
    document = brief_card_document(
        content, head, language=language, size=size, hazards=hazards, clearance_m=clearance_m
    )
    return pdf_of(document)


def brief_card_document(
    content: BriefContent,
    head: CardHead,
    *,
    language: str = "en",
    size: CardSize = "a4",
    hazards: Sequence[Hazard] = (),
    clearance_m: float = LineClearance().base_m,
) -> str:
    """Return the card as an HTML document for `orchardmap.paper.pdf.pdf_of`; see `brief_card_pdf`.

    Raises
    ------
    InputError
        If no card is made in that language.
    UnknownError
        If the brief is no draft and names a picture or a caution that there is not.
    """
    if head.is_draft:
        content = _without_unknown(content)
    if language not in languages():
        raise InputError(
            "No card is made in this language",
            where=language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    sheet, kind = SHEETS[size], translated(_KIND, language)
    title = head.title or kind
    habit = habit_text(content.habit, language, is_heavy_setter=content.is_heavy_setter)
    facts = [kind if head.title else "", *_facts(head, language)]
    heading = "".join([
        f"<h1>{escape(title)}</h1><p>{escape(habit)}</p>",
        f"<p>{' · '.join(f'<span>{escape(fact)}</span>' for fact in facts if fact)}</p>",
    ])
    body = "".join([
        f"<thead>{_whole_row('head', heading, sheet, cell='th')}</thead><tbody>",
        _whole_row("hazards", _hazards(hazards, language), sheet),
        _whole_row("target", _target(content.bud_target, language), sheet),
        *_point_rows(content.points, language, sheet),
        _whole_row("notes", _notes(content.notes, language), sheet),
        _whole_row("cautions", _cautions(content.cautions, language, clearance_m), sheet),
        "</tbody>",
    ])
    meta = f'<meta charset="utf-8"><title>{escape(title)}</title><style>{card_style(sheet)}</style>'
    return (
        f'<!doctype html><html lang="{language}"><head>{meta}</head><body><table>{body}</table></body></html>'
    )


def _without_unknown(content: BriefContent) -> BriefContent:
    """Return a draft's content without the cautions and the names of drawings that there are not."""
    points = (p if p.picture in PICTURES else replace(p, picture="") for p in content.points)
    known = tuple(key for key in content.cautions if key in CAUTIONS)
    return replace(content, points=tuple(points), cautions=known)


def _whole_row(kind: str, html: str, sheet: CardSheet, *, cell: str = "td") -> str:
    if not html:
        return ""
    return f'<tr class="{kind}"><{cell} colspan="{sheet.columns}">{html}</{cell}></tr>'


def _facts(head: CardHead, language: str) -> Iterator[str]:
    yield head.farm
    if head.block:
        yield translated(_BLOCK, language).format(block=head.block)
    if head.season:
        yield translated(_SEASON, language).format(season=head.season)
    if head.version is None:
        yield translated(_DRAFT if head.is_draft else _NOT_PUBLISHED, language)
    else:
        yield translated(_VERSION, language).format(version=head.version)
    if head.published_on is not None:
        yield date_text(head.published_on, language)


def _hazards(hazards: Sequence[Hazard], language: str) -> str:
    if not hazards:
        return ""
    texts = (translated(hazard.texts, language) for hazard in hazards)
    lines = "".join(f"<li>{_with_bold_start(_sentence(text))}</li>" for text in texts)
    return f"<h2>{translated(_HAZARDS, language)}</h2><ul>{lines}</ul>"


def _target(target: BudTarget, language: str) -> str:
    wanted = [
        f"<li><b>{number_text(number, language)}</b> {translated(words, language)}</li>"
        for part, words in _TARGETS.items()
        if (number := getattr(target, part)) is not None
    ]
    if not wanted:
        return ""
    return f"{bud_sign()}<div><h2>{translated(_TARGET, language)}</h2><ul>{''.join(wanted)}</ul></div>"


def _point_rows(points: Sequence[Point], language: str, sheet: CardSheet) -> Iterator[str]:
    """Return the points in rows, and behind them the key, where a last row has room for it."""
    cells = [_point(number, point, language) for number, point in enumerate(points, 1)]
    cells.append(_key(language, sheet.columns - len(cells) % sheet.columns))
    for start in range(0, len(cells), sheet.columns):
        yield f"<tr>{''.join(cells[start : start + sheet.columns])}</tr>"


def _point(number: int, point: Point, language: str) -> str:
    drawn = (
        picture_svg(point.picture, low=point.low, high=point.high, decimal_sign=decimal_sign(language))
        if point.picture
        else ""
    )
    weight = f"{weight_sign(point.point_class)} {translated(_CLASSES[point.point_class], language)}"
    check = (
        f"{check_sign(point.is_checked)} {translated(_CHECKED if point.is_checked else _TAUGHT, language)}"
    )
    return (
        f'<td class="point {point.point_class}"><div class="picture">{drawn}</div><div class="words">'
        f'<p class="number">{number}</p><p class="meta">{weight}<br>{check}</p>'
        f'<p class="sentence">{_sentence(point_text(point, language))}</p></div></td>'
    )


def key_words(language: str) -> dict[str, str]:
    """Return what the signs of `orchardmap.paper.brief_signs.key_signs` mean, by their names; English where it has no catalogue."""
    return {name: translated(words, language) for name, words in _KEY.items()}


def _key(language: str, columns: int) -> str:
    words = key_words(language)
    signs = (f"<li>{sign} {words[name]}</li>" for name, sign in key_signs().items())
    return f'<td class="key" colspan="{columns}"><ul>{"".join(signs)}</ul></td>'


def _notes(notes: Mapping[str, str], language: str) -> str:
    said = notes.get(language) or next(iter(notes.values()), "")
    return (
        f'<h2>{translated(_NOTES, language)}</h2><p class="text">{escape(said)}</p>' if said.strip() else ""
    )


def _cautions(keys: Sequence[str], language: str, clearance_m: float) -> str:
    *texts, deferring = caution_texts(keys, language, clearance_m=clearance_m)
    lines = "".join(f"<li>{_with_bold_start(_sentence(text))}</li>" for text in texts)
    return f'<h2>{translated(_CAUTIONS, language)}</h2><ul>{lines}</ul><p class="law">{escape(deferring)}</p>'


def _sentence(text: str) -> str:
    """Return a sentence as HTML; no line breaks between a number and its unit."""
    return escape(_BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", text))


def _with_bold_start(text: str) -> str:
    """Return a caution with the hazard that it opens with in bold, for whoever only glances."""
    hazard, colon, rest = text.partition(": ")
    return f"<b>{hazard}:</b> {rest}" if colon else text
