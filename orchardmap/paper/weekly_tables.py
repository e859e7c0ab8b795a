"""The parts of a weekly report by heading, and its tables. Finished HTML."""

from collections.abc import Iterable, Sequence
from html import escape

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import fixed_text, part_text, whole_text
from orchardmap.maps import signs
from orchardmap.maps.sign_svg import glyph_svg
from orchardmap.paper.map_panel import sign_words
from orchardmap.paper.weekly_content import CrewLine, PaceLine, WeeklyReport

__all__ = ["blocks_table", "crews_table", "paces_table", "part_heading", "quality_lines"]

PART = {
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
_LOTS = message("Lots")
_PACE_NOTE = message('What stands under "8 times in 10" holds the true pace so often.')


def part_heading(part: str, language: str) -> str:
    """Return the heading of a part."""
    return f"<h2>{escape(translated(PART[part], language))}</h2>"


def blocks_table(told: WeeklyReport, language: str) -> str:
    """Return what of each block was pruned, how its work is judged and when it is likely done."""

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
    return part_text(pruned, trees, language)


def _verdict(key: str, language: str) -> str:
    glyph = next(one for one in signs.PITHS if one.key == key)
    drawn = f'<svg aria-hidden="true" width="4mm" height="4mm" viewBox="0 0 24 24">{glyph_svg(glyph, x=12, y=12)}</svg> '
    return f"{drawn if glyph.outline else ''}{escape(sign_words(glyph.words, language))}"


def quality_lines(told: WeeklyReport, language: str) -> list[str]:
    """Return how many blocks stand how, and how many lots."""
    counted = [(one, sum(block.verdict == one.key for block in told.blocks)) for one in signs.PITHS]
    blocks = [f"{n} {sign_words(one.words, language)}" for one, n in counted if n]
    listed = ((PART["blocks"], blocks), (_LOTS, told.lots))
    return [f"{translated(words, language)}: {' · '.join(said)}." for words, said in listed if said]


def crews_table(crews: Sequence[CrewLine], language: str) -> str:
    """Return what each crew pruned, and how many they are."""
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


def paces_table(paces: Sequence[PaceLine], language: str) -> str:
    """Return how fast each kind of work goes."""
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
    return f'{part_heading(part, language)}<table class="{part}"><thead>{head}</thead><tbody>{body}</tbody></table>'
