"""A season's report in sentences, the same in the shell and on paper: what is told by `orchardmap.usecases.season_report`."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import date_text
from orchardmap.locale.numbers import fixed_text, part_text, whole_text

__all__ = ["by_words", "cost_lines", "finish_lines", "lot_lines", "progress_lines", "standing_words"]

Json = Mapping[str, Any]
Writer = Callable[[date, str], str]
"""Writes a day in a language."""
_MISSING = {
    "season": message("a season that is open (Set-up)"),
    "blocks": message("blocks with rows (Set-up)"),
    "expected_pace": message("the pace that the farm expects, in trees per person-hour (calendar)"),
    "crews": message("how many people prune: a crew-day, or the people of a crew (calendar)"),
}
_LOTS = {
    "accepted": message("{n} accepted"),
    "send_back": message("{n} sent back"),
    "too_few": message("{n} waiting for checks"),
}
_PRUNED = message(
    "{pruned} of {trees} trees pruned ({share}), {left} left; {rows_done} of {rows} rows finished."
)
_RECENT = message("{trees} trees a day on the last {days} days worked.")
_RECENT_ONE = message("{trees} trees on the one day worked so far.")
_NEEDED_TODAY = message("{trees} are needed on the one working day left.")
_HELD_ONE = message("1 tree is claimed by two crews and waits for a manager.")
_NEEDED = message("{trees} a day are needed on the {days} working days left.")
_HELD = message("{trees} trees are claimed by two crews and wait for a manager.")
_MUST = message("Must be finished on {day}.")
_ALL_PRUNED = message("Every tree is pruned.")
_NOTHING_YET = message("Nothing can be forecast yet. Missing: {what}.")
_FINISHED = message("Finished on {day}.")
_LIKELY = message("Likely {likely}; 1 in 10 {early}; 9 in 10 {late}.")
_OVER = message("That day is over, and trees are left.")
_IN_TIME = message("In time {chance}. {short}")
_STRAIGHT = message("For comparison, the mean of all working days so far comes to {day}.")
_GONE = message("{crew} was there last on {day}, and is not reckoned with.")
_UNSAID = message(
    "Today's trees and hours enter the forecast once today's crew-day of {crews} is said, at midnight at the latest."
)
_THAT_DAY = message("that day")
_LIKELY_NOW = message("the day that is likely now")
_SCORED = message(
    "{inside} of {issued} earlier evenings' intervals, reckoned anew, hold {day}: those of one season stand and fall together."
)
_MORE_THAN_99 = message("more than 99 times in 100")
_ONCE = message("1 time in 100")
_TIMES = message("{n} times in 100")
_LESS_THAN_ONCE = message("less than once in 100")
_NO_NUMBER = message("No number of people makes it 9 times in 10.")
_NOBODY = message("That is 9 times in 10 or more: nobody is missing.")
_SHORT_ONE = message("Short by 1 person for 9 times in 10.")
_SHORT_MANY = message("Short by {n} people for 9 times in 10.")
_BY = message("by {day}")
_NEVER = message("by no day that can be told")
_LATE = message("late for {day}")
_MAY_BE_LATE = message("may be late for {day}")
_ON_TIME = message("in time")
_COST = message("{cost} for {trees} trees whose pay is known, {cost_per_tree} a tree.")
_EXPECTED = message("The season comes to {cost}, each tree left at what its block, variety or rate costs.")
_BUDGET = message("The budget is {cost}.")
_NOT_WHOLE = message("Something is missing for the whole cost: see Pay.")


def progress_lines(told: Json, language: str) -> Iterator[str]:
    """Say how far the season is, and at which pace it went and must go."""

    def say(sentence: Mapping[str, str], **numbers: int) -> str:
        return translated(sentence, language).format(**{
            key: whole_text(n, language) for key, n in numbers.items()
        })

    figures = told["figures"]
    share = part_text(figures["pruned"], figures["trees"], language)
    yield translated(_PRUNED, language).format(
        share=share,
        **{key: whole_text(figures[key], language) for key in ("pruned", "trees", "rows_done", "rows")},
        left=whole_text(figures["trees_left"], language),
    )
    if figures["recent_per_day"] is not None:
        days = figures["recent_days"]
        yield say(_RECENT_ONE if days == 1 else _RECENT, trees=figures["recent_per_day"], days=days)
    if figures["needed_per_day"]:
        days = figures["working_days_left"]
        yield say(_NEEDED_TODAY if days == 1 else _NEEDED, trees=figures["needed_per_day"], days=days)
    if told["held"]:
        yield say(_HELD_ONE if told["held"] == 1 else _HELD, trees=told["held"])


def finish_lines(forecast: Json, language: str) -> Iterator[str]:
    """Say when the season may be finished, how surely, and what it is short of."""

    def say(sentence: Mapping[str, str], **words: str) -> str:
        return translated(sentence, language).format(**words)

    must, finish = forecast["must_finish_on"], forecast["finish"]
    if must:
        yield say(_MUST, day=_day(must, language))
    if forecast["unsaid_today"]:
        yield say(_UNSAID, crews=", ".join(forecast["unsaid_today"]))
    if finish is None and forecast["trees"] and not forecast["trees_left"]:
        yield say(_ALL_PRUNED)
        return
    if finish is None:
        for name in forecast["missing"]:
            yield say(_NOTHING_YET, what=translated(_MISSING[name], language))
        return
    if not forecast["trees_left"]:
        yield say(_FINISHED, day=_day(finish["p50"], language))
        yield from _scored(forecast["scored"], _THAT_DAY, language)
        return
    likely, early, late = (by_words(finish[one], language) for one in ("p50", "p10", "p90"))
    yield say(_LIKELY, likely=likely, early=early, late=late)
    if must <= forecast["fan"][0][0]:
        yield say(_OVER)
    else:
        chance, short = _in_hundred(forecast["chance"], language), _short(forecast["short_people"], language)
        yield say(_IN_TIME, chance=chance, short=short)
    if forecast["straight_line"]:
        yield say(_STRAIGHT, day=_day(forecast["straight_line"], language))
    yield from _scored(forecast["scored"], _LIKELY_NOW, language)
    for one in forecast["gone"]:
        yield say(_GONE, crew=one["crew"], day=_day(one["last_day"], language))


def _scored(scored: Json | None, day: Mapping[str, str], language: str) -> Iterator[str]:
    if scored:
        yield translated(_SCORED, language).format(
            inside=scored["inside"], issued=scored["issued"], day=translated(day, language)
        )


def _in_hundred(chance: float, language: str) -> str:
    """Say a chance as the screens do: a part of a hundredth left out, never all or none."""
    if chance > 0.99:
        return translated(_MORE_THAN_99, language)
    n = int(100 * chance + 1e-9)
    return translated((_LESS_THAN_ONCE, _ONCE, _TIMES)[min(n, 2)], language).format(n=n)


def _short(people: int | None, language: str) -> str:
    if people is None:
        return translated(_NO_NUMBER, language)
    return translated((_NOBODY, _SHORT_ONE, _SHORT_MANY)[min(people, 2)], language).format(n=people)


def by_words(day: str | None, language: str, *, write: Writer = date_text) -> str:
    """Say by which day (ISO 8601) something is likely done; None is never."""
    if not day:
        return translated(_NEVER, language)
    return translated(_BY, language).format(day=write(date.fromisoformat(day), language))


def standing_words(block: Json, language: str, *, write: Writer = date_text) -> str:
    """Say whether a block's forecast is in time for the day by which it must be finished."""
    must = block["must_finish_on"]
    late = (block["p50"] or "9999") > must
    may_be_late = (block["p90"] or "9999") > must
    words = _LATE if late else _MAY_BE_LATE if may_be_late else _ON_TIME
    return translated(words, language).format(day=write(date.fromisoformat(must), language))


def lot_lines(lots: Mapping[str, int] | None, language: str) -> list[str]:
    """Say how many lots stand how; nothing where there are none."""
    return [
        translated(words, language).format(n=lots[verdict])
        for verdict, words in _LOTS.items()
        if lots and lots.get(verdict)
    ]


def cost_lines(cost: Json | None, language: str) -> Iterator[str]:
    """Say what the season cost and comes to; nothing where nobody's pay is known."""
    if not cost or not cost.get("credited"):
        return

    def money(amount: str) -> str:
        said, places = Decimal(amount), -int(Decimal(amount).as_tuple().exponent)
        return f"{cost['currency']} {fixed_text(float(said), places, language)}"

    yield translated(_COST, language).format(
        cost=money(cost["cost"]),
        trees=whole_text(cost["credited"], language),
        cost_per_tree=money(cost["cost_per_tree"]),
    )
    if cost["expected"] is not None:
        yield translated(_EXPECTED, language).format(cost=money(cost["expected"]))
    if cost["budget"]:
        yield translated(_BUDGET, language).format(cost=money(cost["budget"]["whole"]))
    if not cost["is_whole"]:
        yield translated(_NOT_WHOLE, language)


def _day(day: str, language: str) -> str:
    return date_text(date.fromisoformat(day), language)
