"""``orchardmap report``: a season on one page of the shell."""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json

__all__ = ["report", "report_lines"]

Json = Mapping[str, Any]


@app.command()
def report(
    farm: Annotated[str, typer.Option(help="Name of the farm, where there are several.")] = "",
    day: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="As of this day; today when left out.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="All of it, as JSON.")] = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Say how far the season is, when it and each block may be finished, how fast crews are, what the checks say, what it costs.

    "Likely" means an even chance. What stands between brackets holds the true pace 8 times in 10.

    Example: orchardmap report --day 2026-01-31
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.waiting import at_work
    from orchardmap.usecases import reporting
    from orchardmap.usecases.season_report import season_report

    store = opened_store(database, read_only=True)
    try:
        chosen = reporting.chosen_farm(store, farm)
        with at_work("Reckoning the season ..."):
            told = season_report(store, chosen.id, day=day.date() if day else None, now=datetime.now(UTC))
    finally:
        store.close()
    if as_json:
        print_json(told)
    else:
        typer.echo("\n".join(report_lines(told)))


def report_lines(told: Json) -> list[str]:
    """Return a season's report as it is printed."""
    from orchardmap.usecases import report_words as words

    season = told["season"] or "no season yet"
    parts = (
        [f"{told['farm']}, {season}: {_day(told['day'])}"],
        ["Progress", *words.progress_lines(told, "en")],
        ["Finish", *words.finish_lines(told["forecast"], "en")],
        ["Blocks, in the order in which they are worked", *_blocks(told["forecast"])],
        ["Trees per person-hour", *_paces(told["forecast"]["paces"])],
        ["Crews", *_crews(told)],
        ["Lots", *words.lot_lines(told["lots"], "en")],
        ["Cost", *words.cost_lines(told["cost"], "en")],
    )
    # a blank line before each part but the first; a heading with nothing below it is left out
    return [
        line
        for at, part in enumerate(parts)
        if at == 0 or len(part) > 1
        for line in ([""] if at else []) + [part[0], *(f"  {one}" for one in part[1:])]
    ]


def _blocks(forecast: Json) -> list[str]:
    """Return whose each block is and when it is done, late ones told by a word."""
    from orchardmap.usecases.report_words import by_words, standing_words

    return _table([
        (
            one["block"],
            one["crew"] or "whoever is free",
            f"{_n(one['trees_left'])} left",
            f"likely {by_words(one['p50'], 'en')}",
            f"9 in 10 {by_words(one['p90'], 'en')}",
            standing_words(one, "en"),
        )
        for one in forecast["blocks"]
    ])


def _paces(paces: Sequence[Json]) -> list[str]:
    listed = sorted(paces, key=lambda one: (one["crew"], one["variety"], one["method"]))
    return _table([
        (
            one["crew"],
            one["variety"] or "no variety",
            one["method"],
            f"{one['trees_per_h']:.1f}",
            f"({one['low']:.1f} to {one['high']:.1f})",
            f"{one['days']} {'day' if one['days'] == 1 else 'days'}",
        )
        for one in listed
    ])


def _crews(told: Json) -> list[str]:
    return _table([
        (
            one["name"],
            f"{_n(one['trees'])} trees",
            f"{one['people']:g} people" if one["people"] is not None else "no people yet",
            f"{_n(round(one['person_hours']))} person-hours",
        )
        for one in told["crews"]
    ])


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Return rows with their columns one below the other."""
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return ["  ".join(cell.ljust(n) for cell, n in zip(row, wide, strict=True)).rstrip() for row in rows]


def _day(day: str) -> str:
    from orchardmap.locale.dates import date_text

    return date_text(date.fromisoformat(day), "en")


def _n(number: int) -> str:
    from orchardmap.locale.numbers import whole_text

    return whole_text(number, "en")
