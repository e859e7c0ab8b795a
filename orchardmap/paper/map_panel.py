"""What stands beside a map on its sheet: what it is, scale bar, north, legend, and what to take care of. HTML; lengths in millimetres."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from html import escape

import numpy as np
import shapely

from orchardmap.locale.catalogue import message, translated
from orchardmap.maps import signs
from orchardmap.maps.feature_svg import feature_picture_svg
from orchardmap.maps.sign_svg import glyph_svg, line_svg, patch_svg, ring_svg
from orchardmap.maps.signs import RingSign
from orchardmap.paper.map_content import MapBlock, MapContent
from orchardmap.paper.map_scale import scale_bar
from orchardmap.paper.text_size import text_width_em

__all__ = [
    "SIGN_WORDS",
    "legend_from_far",
    "legend_panel",
    "north_svg",
    "scale_svg",
    "sign_words",
]

SIGN_WORDS: Mapping[str, dict[str, str]] = {
    one["en"]: one
    for one in (
        message("pruned"),
        message("still to prune"),
        message("overlap of two crews"),
        message("to go over again"),
        message("closed, nobody may enter"),
        message("more faults than by chance"),
        message("confirmed by new checks"),
        message("accepted"),
        message("accepted as far as judged"),
        message("accepted as far as judged: more is pruned since"),
        message("too few checks"),
        message("send back"),
        message("not begun"),
        message("trees claimed by two crews"),
        message("trees to go over again"),
        message("weak area, no return yet"),
        message("Legend"),
        message("Rows, each at its true length"),
        message("crew stopped here"),
        message("Weak areas"),
        message("Blocks from far"),
        message("The larger the ring, the more trees."),
        message("north is up"),
        message("On the farm"),
        message("track"),
        message("gate"),
        message("water"),
        message("shed"),
        message("something else"),
        message("power line"),
        message("Ring: share of trees pruned, clockwise from north. Pith: verdict on the work."),
    )
}
"""The words of the one legend (`orchardmap.maps.signs`) for crews of every language, by what they are there."""
_VERDICT = message("Verdict on the block's work")
_NUMBERS = message("Numbers at row ends: rows. Code, variety and share of trees pruned: blocks.")
_SCALE = message("Scale 1:{scale}")
_AT_FULL_SIZE = message("when printed at full size (100 %) on {paper}")
_BAR_MM = 3.0
_BAR_TEXT_MM = 2.6
_BAR_AIR_MM = 1.0
_LINE_PX = (84, 24)
_MEET = 0.2
"""Of the way to the next row: stretches of one row meet closer than that."""
_MM_PER_PX = 0.17

_Entry = tuple[str, str, tuple[int, int]]
"""Words, drawing, and the size of its box in pixels."""


def scale_svg(scale: int, paper: str, width_mm: float, language: str) -> str:
    """Return the scale as a sentence and a bar; the bar's parts are told by their first and last ends."""
    bar = scale_bar(scale, width_mm - 12)
    part_mm = bar.length_mm / bar.parts
    boxes = "".join(
        f'<rect x="{1 + i * part_mm:.3f}" y="4.2" width="{part_mm:.3f}" height="{_BAR_MM}" stroke="{signs.INK}" '
        f'stroke-width="0.2" fill="{signs.INK if i % 2 == 0 else "#FFFFFF"}"/>'
        for i in range(bar.parts)
    )
    whole_m = bar.part_m * bar.parts
    last_m, middle_m = f"{whole_m:g} m", f"{whole_m / 2:g}"
    room = (text_width_em(middle_m) + text_width_em(last_m)) / 2 * _BAR_TEXT_MM + _BAR_AIR_MM
    marks = [(0.0, "0"), (bar.length_mm, last_m)]
    if bar.length_mm / 2 >= room:  # a short bar has none for the number in its middle
        marks.insert(1, (bar.length_mm / 2, middle_m))
    numbers = "".join(
        f'<text x="{1 + at:.2f}" y="3.2" font-size="{_BAR_TEXT_MM}" text-anchor="{"start" if i == 0 else "middle"}">{text}</text>'
        for i, (at, text) in enumerate(marks)
    )
    said = translated(_SCALE, language).format(scale=scale)
    full = translated(_AT_FULL_SIZE, language).format(paper=paper.upper())
    drawn = (
        f'<svg class="bar" role="img" aria-label="{escape(said)}: {whole_m:g} m" width="{width_mm:g}mm" height="8mm" '
        f'viewBox="0 0 {width_mm:g} 8" fill="{signs.INK}">{boxes}{numbers}</svg>'
    )
    return f'<p class="scale"><b>{escape(said)}</b> {escape(full)}</p>{drawn}'


def north_svg(language: str) -> str:
    """Return the north arrow."""
    said = sign_words(signs.NORTH.words, language)
    return (
        f'<svg class="north" role="img" aria-label="{escape(said)}" width="9mm" height="13mm" viewBox="0 0 24 34">'
        f'{glyph_svg(signs.NORTH, x=12, y=22)}<text x="12" y="9" text-anchor="middle" font-size="10" '
        f'font-weight="700" fill="{signs.INK}">N</text></svg>'
    )


def sign_words(words: str, language: str) -> str:
    """Return words of the legend in a language."""
    return translated(SIGN_WORDS[words], language)


def legend_panel(content: MapContent, language: str) -> str:
    """Return the part of the legend that a map of rows needs; signs that are not on it are left out."""

    def listed(heading: str, entries: Iterable[_Entry]) -> str:
        return _list(
            heading, [(sign_words(words, language), drawing, size) for words, drawing, size in entries]
        )

    drawn = {key for block in content.blocks for key, found in block.stretches.items() if len(found)}
    lines: list[_Entry] = [
        (form.words, line_svg(form.key, start=3, end=81, y=12), _LINE_PX)
        for form in signs.LINES
        if form.key in drawn
    ]
    if any(map(_is_begun_somewhere, content.blocks)):
        stopped = line_svg("pruned", start=3, end=45, y=12) + line_svg("to_prune", start=49, end=81, y=12)
        lines.insert(2, (signs.WORDS["stopped"], stopped, _LINE_PX))
    states = {patch.state for block in content.blocks for patch in block.patches}
    patches = [
        (one.words, patch_svg(one, box=(3, 3, 41, 23)), (44, 26))
        for one in signs.PATCHES
        if one.key in states
    ]
    verdicts = {block.verdict for block in content.blocks}
    piths = [
        (one.words, glyph_svg(one, x=16, y=12, scale=0.85), (32, 24))
        for one in signs.PITHS
        if one.key in verdicts and one.outline
    ]
    return "".join([
        f"<h2>{escape(sign_words(signs.WORDS['title'], language))}</h2>",
        listed(sign_words(signs.WORDS["rows"], language), lines),
        _features({feature.kind for feature in content.features}, language),
        listed(sign_words(signs.WORDS["patches"], language), patches),
        listed(translated(_VERDICT, language), piths),
        f"<p>{escape(translated(_NUMBERS, language))}</p>",
    ])


def _is_begun_somewhere(block: MapBlock) -> bool:
    """Tell whether a crew stopped inside a row of a block: a pruned stretch and one still to prune meet."""
    pruned, left = (np.array(list(block.stretches.get(key, ()))) for key in ("pruned", "to_prune"))
    if not len(pruned) or not len(left):
        return False
    near, _ = shapely.STRtree(pruned).query(left, predicate="dwithin", distance=_MEET * block.pitch_m)
    return len(near) > 0


def legend_from_far(content: MapContent, language: str) -> str:
    """Return the legend of a map whose blocks are rings; signs that are not on it are left out."""
    rings = [
        (sign_words(one.words, language), ring_svg(one, x=18, y=18, radius=12), (36, 36))
        for one in signs.RINGS["progress"]
        if any(_bears(block, one) for block in content.blocks)
    ]
    notes = (signs.VIEWS["progress"][1], signs.WORDS["size"])
    return "".join([
        f"<h2>{escape(sign_words(signs.WORDS['title'], language))}</h2>",
        _list(sign_words(signs.WORDS["blocks"], language), rings),
        *(f"<p>{escape(sign_words(one, language))}</p>" for one in notes),
        # single points are not drawn from far
        _features({one.kind for one in content.features if shapely.get_dimensions(one.shape) > 0}, language),
    ])


def _features(kinds: Collection[str], language: str) -> str:
    """Return what lies on the farm beside its blocks."""
    found = [
        (sign_words(one.words, language), feature_picture_svg(one), _LINE_PX)
        for one in signs.FEATURES
        if one.key in kinds
    ]
    return _list(sign_words(signs.FEATURES_TITLE, language), found)


def _bears(block: MapBlock, sign: RingSign) -> bool:
    """Tell whether a block's ring shows what an entry of the legend is about."""
    return (
        (bool(sign.pith) and sign.pith == block.verdict)
        or (sign.has_overlap and block.has_overlap)
        or (sign.has_again and block.has_again)
        or (sign.has_weak and block.has_weak)
        or (sign.is_closed and bool(block.closed_until))
    )


def _list(heading: str, entries: Sequence[_Entry]) -> str:
    if not entries:
        return ""
    items = "".join(
        f'<li><svg aria-hidden="true" width="{width * _MM_PER_PX:.1f}mm" height="{height * _MM_PER_PX:.1f}mm" '
        f'viewBox="0 0 {width} {height}">{drawing}</svg><span>{escape(words)}</span></li>'
        for words, drawing, (width, height) in entries
    )
    return f"{f'<h3>{escape(heading)}</h3>' if heading else ''}<ul>{items}</ul>"
