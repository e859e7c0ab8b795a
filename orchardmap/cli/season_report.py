"""``orchardmap report``: a season on one page of the shell."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json

__all__ = ["report", "report_lines"]

Json = Mapping[str, Any]
_MISSING = {
    "season": "a season that is open (Set-up)",
    "blocks": "blocks with rows (Set-up)",
    "expected_pace": "the pace that the farm expects, in trees per person-hour (calendar)",
    "crews": "how many people prune: a crew-day, or the people of a crew (calendar)",
}
_LOTS = {"accepted": "accepted", "send_back": "sent back", "too_few": "waiting for checks"}


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
    from orchardmap.usecases import reporting
    from orchardmap.usecases.season_report import season_report

    store = opened_store(database, read_only=True)
    try:
        chosen = reporting.chosen_farm(store, farm)
        told = season_report(store, chosen.id, day=day.date() if day else None, now=datetime.now(UTC))
    finally:
        store.close()
    if as_json:
        print_json(told)
    else:
        typer.echo("\n".join(report_lines(told)))


def report_lines(told: Json) -> list[str]:
    """Return a season's report as it is printed."""
    season = told["season"] or "no season yet"
    parts = (
        [f"{told['farm']}, {season}: {_day(told['day'])}"],
        ["Progress", *_progress(told)],
        ["Finish", *_finish(told["forecast"])],
        ["Blocks, in the order in which they are worked", *_blocks(told["forecast"])],
        ["Trees per person-hour", *_paces(told["forecast"]["paces"])],
        ["Crews", *_crews(told)],
        ["Lots", *_lots(told["lots"])],
        ["Cost", *_cost(told["cost"])],
    )
    # a blank line before each part but the first; a heading with nothing below it is left out
    return [
        line
        for at, part in enumerate(parts)
        if at == 0 or len(part) > 1
        for line in ([""] if at else []) + [part[0], *(f"  {one}" for one in part[1:])]
    ]


def _progress(told: Json) -> Iterator[str]:
    figures = told["figures"]
    yield (
        f"{_n(figures['pruned'])} of {_n(figures['trees'])} trees pruned ({figures['share']:.0%}), "
        f"{_n(figures['trees_left'])} left; {_n(figures['rows_done'])} of {_n(figures['rows'])} rows finished."
    )
    if figures["recent_per_day"] is not None:
        yield f"{_n(figures['recent_per_day'])} trees a day on the last {figures['recent_days']} days worked."
    if figures["needed_per_day"]:
        yield f"{_n(figures['needed_per_day'])} a day are needed on the {figures['working_days_left']} working days left."
    if told["held"]:
        yield f"{_n(told['held'])} trees are claimed by two crews and wait for a manager."


def _finish(forecast: Json) -> Iterator[str]:
    must = forecast["must_finish_on"]
    if must:
        yield f"Must be finished on {_day(must)}."
    finish = forecast["finish"]
    if finish is None:
        for name in forecast["missing"]:
            yield f"Nothing can be forecast yet. Missing: {_MISSING[name]}."
        return
    if not forecast["trees_left"]:
        yield f"Finished on {_day(finish['p50'])}."
        yield from _scored(forecast["scored"], "that day")
        return
    yield f"Likely {_by(finish['p50'])}; 1 in 10 {_by(finish['p10'])}; 9 in 10 {_by(finish['p90'])}."
    if must <= forecast["fan"][0][0]:
        yield "That day is over, and trees are left."
    else:
        yield f"In time {_in_hundred(forecast['chance'])}. {_short(forecast['short_people'])}"
    if forecast["straight_line"]:
        yield f"For comparison, the mean of all working days so far comes to {_day(forecast['straight_line'])}."
    yield from _scored(forecast["scored"], "the day that is likely now")
    for one in forecast["gone"]:
        yield f"{one['crew']} was there last on {_day(one['last_day'])}, and is not reckoned with."


def _scored(scored: Json | None, day: str) -> Iterator[str]:
    if scored:
        yield (
            f"{scored['inside']} of {scored['issued']} earlier evenings' intervals, reckoned anew, hold {day}: "
            "those of one season stand and fall together."
        )


def _in_hundred(chance: float) -> str:
    """Say a chance as the screens do: a part of a hundredth left out, never all or none."""
    if chance > 0.99:
        return "more than 99 times in 100"
    n = int(100 * chance + 1e-9)
    return f"{n} {'time' if n == 1 else 'times'} in 100" if n else "less than once in 100"


def _short(people: int | None) -> str:
    if people is None:
        return "No number of people makes it 9 times in 10."
    if not people:
        return "That is 9 times in 10 or more: nobody is missing."
    return f"Short by {people} {'person' if people == 1 else 'people'} for 9 times in 10."


def _by(day: str | None) -> str:
    return f"by {_day(day)}" if day else "never"


def _blocks(forecast: Json) -> list[str]:
    """Return whose each block is and when it is done, late ones told by a word."""
    return _table([
        (
            one["block"],
            one["crew"] or "whoever is free",
            f"{_n(one['trees_left'])} left",
            f"likely {_by(one['p50'])}",
            f"9 in 10 {_by(one['p90'])}",
            _standing(one),
        )
        for one in forecast["blocks"]
    ])


def _standing(block: Json) -> str:
    must = block["must_finish_on"]
    if (block["p50"] or "9999") > must:
        return f"late for {_day(must)}"
    return f"may be late for {_day(must)}" if (block["p90"] or "9999") > must else "in time"


def _cost(cost: Json | None) -> Iterator[str]:
    if not cost or not cost.get("credited"):
        return
    coin = cost["currency"]
    yield f"{coin} {_money(cost['cost'])} for {_n(cost['credited'])} trees whose pay is known, {coin} {_money(cost['cost_per_tree'])} a tree."
    if cost["expected"] is not None:
        yield f"The season comes to {coin} {_money(cost['expected'])}, each tree left at what its block, variety or rate costs."
    if cost["budget"]:
        yield f"The budget is {coin} {_money(cost['budget']['whole'])}."
    if not cost["is_whole"]:
        yield "Something is missing for the whole cost: see Pay."


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


def _lots(lots: Mapping[str, int] | None) -> list[str]:
    return [f"{lots[verdict]} {words}" for verdict, words in _LOTS.items() if lots and lots.get(verdict)]


def _table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Return rows with their columns one below the other."""
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return ["  ".join(cell.ljust(n) for cell, n in zip(row, wide, strict=True)).rstrip() for row in rows]


def _day(day: str) -> str:
    from orchardmap.locale.dates import date_text

    return date_text(date.fromisoformat(day), "en")


def _money(amount: str) -> str:
    return f"{Decimal(amount):,f}"


def _n(number: int) -> str:
    from orchardmap.locale.numbers import whole_text

    return whole_text(number, "en")
