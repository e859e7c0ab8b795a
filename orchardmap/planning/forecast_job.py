"""`orchardmap calc forecast`: from a job in JSON to the days on which a season may be finished, without a database."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Any

from orchardmap.errors import InputError
from orchardmap.jobs import answers_in_order, needed_number, number_given, refuse_unknown_keys
from orchardmap.planning.forecast import DRAWS, finish_forecast, straight_line
from orchardmap.planning.pace import PaceDay, PacePrior, Work
from orchardmap.planning.season import Season
from orchardmap.planning.work_calendar import LOST_CHANCE, WorkCalendar

__all__ = ["calculated_forecast", "calculated_forecasts"]

_KEYS = (
    "today", "must_finish", "calendar", "crews", "history", "remaining", "expected_rate_per_h", "seed", "draws",
)  # fmt: skip
_WORK_KEYS = ("variety", "method", "system")
_MOST_DRAWS = 100_000
_MOST_WORKS = 2_000
"""Crews times kinds of work: each pair has a pace of its own, and all are drawn together."""
_MOST_PACES = 20_000_000
"""Draws times those."""
_MOST = 1e9
_PACES = 1e-3, 1e6
"""Trees of a person-hour, beyond which a day is a slip."""
_FOUND_WHOLE = 0.99
_SHARE_OF_BEST_DAY = {1: 0.90, 2: 0.935, 3: 0.95, 5: 0.965, 10: 0.975, 20: 0.985}
"""Of its whole hours that a crew works on the best of so many days, where a tenth is away on the mean: by simulation."""


def calculated_forecasts(document: object) -> dict[str, Any] | list[dict[str, Any]]:
    """Return the answer to whatever a job file holds: one job, or a list of them.

    Parameters
    ----------
    document : object
        Parsed JSON: a job (see `calculated_forecast`) or a list.

    Returns
    -------
    dict or list of dict
        One answer, or a list of them in the same order.

    Raises
    ------
    InputError
        If a job cannot be answered; ``where`` names the job (from 1) and the key.
    """
    if isinstance(document, Mapping):
        return calculated_forecast(document)
    return answers_in_order(document, calculated_forecast)


def calculated_forecast(job: object) -> dict[str, Any]:
    """Return by when a season may be finished.

    Parameters
    ----------
    job : mapping
        ``today`` and ``must_finish`` (days), ``calendar``, ``crews``, ``history``, ``remaining``,
        ``expected_rate_per_h`` (trees of one person in an hour), ``seed`` and ``draws``, as `orchardmap calc forecast`
        tells in its help.

    Returns
    -------
    dict
        ``p10``, ``p50``, ``p90``: the first day by which so many seasons in a hundred are finished, null for never;
        ``chance`` of being finished by ``must_finish``; ``straight_line``: the day that the mean of all days comes to.

    Raises
    ------
    InputError
        If a key is missing, unknown, or holds what cannot be used; ``where`` names the key.
    """
    given = _object(job, "", _KEYS)
    today, must = _day(given, "today"), _day(given, "must_finish")
    calendar = _calendar(given.get("calendar"))
    people = _people(given)
    history = _whole_days(_history(given, today), people, calendar)
    season = Season(
        first=today + timedelta(days=any(one.day == today for one in history)),
        calendar=calendar,
        people=people,
        history=history,
        remaining=_remaining(given),
        prior=PacePrior(_number(given, "expected_rate_per_h", above=0.0, most=1e6)),
    )
    draws = _whole(given, "draws", least=1, most=_MOST_DRAWS, default=DRAWS)
    seed = _whole(given, "seed", least=0, most=2**53, default=1)
    _refuse_too_much(len(people) * len(season.left), draws)
    finish = finish_forecast(season, seed=seed, draws=draws)
    line = straight_line(season)
    return {name: _text(finish.day(share)) for name, share in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9))} | {
        "chance": finish.chance(must),
        "straight_line": _text(line),
    }


def _refuse_too_much(works: int, draws: int) -> None:
    if works > _MOST_WORKS:
        raise InputError(
            f"{works} pairs of a crew and a kind of work are left; {_MOST_WORKS} are the most.",
            where="remaining",
            todo="Put varieties that are pruned alike together.",
        )
    if works * draws > _MOST_PACES:
        raise InputError(
            f"{draws} of {works} paces are too many.",
            where="draws",
            todo=f"Give {_MOST_PACES // works} at the most.",
        )


def _text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _object(value: object, where: str, keys: tuple[str, ...]) -> dict[str, Any]:
    if not isinstance(value, Mapping):
        raise InputError("It is not an object with keys.", where=where or "job")
    given = {str(key): one for key, one in value.items() if one is not None}
    with _within(where):
        refuse_unknown_keys(given, keys)
    return given


def _list(given: Mapping[str, Any], key: str, keys: tuple[str, ...]) -> list[tuple[str, dict[str, Any]]]:
    value = given.get(key, [])
    if not isinstance(value, list):
        raise InputError("It must be a list.", where=key)
    return [(f"{key} {n}", _object(one, f"{key} {n}", keys)) for n, one in enumerate(value, 1)]


@contextmanager
def _within(where: str) -> Iterator[None]:
    """Put the place in front of the key that an error names."""
    try:
        yield
    except InputError as error:
        place = ", ".join(part for part in (where, error.where) if part)
        raise InputError(error.what, where=place, todo=error.todo) from error


def _number(
    given: Mapping[str, Any],
    key: str,
    *,
    above: float | None = None,
    least: float = 0.0,
    most: float = _MOST,
    default: float | None = None,
) -> float:
    number = default if default is not None and key not in given else needed_number(given, key)
    low = least if above is None else above
    if not (low <= number <= most) or number == above:
        said = f"above {low:g}" if above is not None else f"at least {low:g}"
        raise InputError(f"It is {number:g}; it must be {said} and at most {most:g}.", where=key)
    return number


def _whole(given: Mapping[str, Any], key: str, *, least: int, most: int, default: int) -> int:
    number = _number(given, key, least=least, most=most, default=default)
    if number != int(number):
        raise InputError(f"It is {number:g}; it must be a whole number.", where=key)
    return int(number)


def _word(given: Mapping[str, Any], key: str, *, needed: bool = True) -> str:
    value = given.get(key, "")
    if not isinstance(value, str) or (needed and not value):
        raise InputError(
            "It is missing." if value == "" else f"It is {value!r}; it must be a name.", where=key
        )
    return value


def _day(given: Mapping[str, Any], key: str) -> date:
    if given.get(key, "") == "":
        raise InputError("It is missing.", where=key)
    return _read_day(given[key], key)


def _read_day(text: object, where: str) -> date:
    try:
        day = date.fromisoformat(text if isinstance(text, str) else "")
    except ValueError as error:
        raise InputError(f"It is {text!r}; it must be a day such as 2026-01-31.", where=where) from error
    if not 1900 <= day.year <= 2200:
        raise InputError(f"It is {text!r}; its year must be from 1900 to 2200.", where=where)
    return day


def _calendar(value: object) -> WorkCalendar:
    keys = ("weekmask", "holidays", "hours_per_day", "lost_chance", "latitude_deg")
    given = _object({} if value is None else value, "calendar", keys)
    holidays = given.get("holidays", [])
    if not isinstance(holidays, list):
        raise InputError("It must be a list of days.", where="calendar, holidays")
    lost = given.get("lost_chance", LOST_CHANCE)
    chances = lost if isinstance(lost, list) else [lost] * 12
    with _within("calendar"):
        return WorkCalendar(
            _word(given, "weekmask") if "weekmask" in given else "1111100",
            frozenset(_read_day(one, "holidays") for one in holidays),
            _number(given, "hours_per_day", above=0.0, most=24.0, default=8.0),
            tuple(number_given(chance, "lost_chance") for chance in chances),
            number_given(given["latitude_deg"], "latitude_deg") if "latitude_deg" in given else None,
        )


def _people(given: Mapping[str, Any]) -> dict[str, float]:
    people: dict[str, float] = {}
    for where, crew in _list(given, "crews", ("crew", "people")):
        with _within(where):
            name, n = _word(crew, "crew"), _number(crew, "people", most=1e5)
        if name in people:
            raise InputError(f"{name} stands there twice.", where=where)
        people[name] = n
    if not people:
        raise InputError("Nobody is there to prune.", where="crews", todo='Add {"crew": "A", "people": 6}.')
    return people


def _work(given: Mapping[str, Any], crew: str) -> Work:
    return Work(
        crew, _word(given, "variety"), *(_word(given, key, needed=False) for key in ("method", "system"))
    )


def _remaining(given: Mapping[str, Any]) -> dict[Work, float]:
    if "remaining" not in given:
        raise InputError("It is missing.", where="remaining")
    left: dict[Work, float] = defaultdict(float)
    for where, one in _list(given, "remaining", (*_WORK_KEYS, "trees")):
        with _within(where):
            left[_work(one, "")] += _number(one, "trees")
    return dict(left)


def _history(given: Mapping[str, Any], today: date) -> list[PaceDay]:
    keys = ("day", "crew", *_WORK_KEYS, "trees", "person_hours", "people")
    found: list[PaceDay] = []
    for where, one in _list(given, "history", keys):
        with _within(where):
            day, work = _day(one, "day"), _work(one, _word(one, "crew"))
            trees, hours = _number(one, "trees"), _number(one, "person_hours")
            if trees and hours and not _PACES[0] <= trees / hours <= _PACES[1]:
                raise InputError(f"{trees:g} trees in {hours:g} person-hours cannot be.")
            people = _number(one, "people", default=0.0)
        if day > today:
            raise InputError(f"{day} is after today.", where=f"{where}, day")
        if trees and not hours:
            raise InputError(
                f"{trees:g} trees in no hours.", where=where, todo="Add the hours, or leave the day out."
            )
        # a day on which nothing was pruned tells of lost days only, by not being there
        if trees:
            found.append(PaceDay(day, work, trees, hours, people or None))
    return found


def _whole_days(history: list[PaceDay], people: Mapping[str, float], calendar: WorkCalendar) -> list[PaceDay]:
    """Say of each day how many hours its crew has when everybody comes."""
    # where nobody told how many people it had, its best day does: people who are added now were not there then
    hours: dict[str, dict[date, float]] = defaultdict(lambda: defaultdict(float))
    for one in history:
        hours[one.work.crew][one.day] += one.person_hours
    whole = {}
    for crew, by_day in hours.items():
        listed = people.get(crew, 0.0) * calendar.hours_per_day or 1e-9
        best = max(by_day.values())
        share = next(value for days, value in reversed(_SHARE_OF_BEST_DAY.items()) if days <= len(by_day))
        whole[crew] = listed if _FOUND_WHOLE <= best / listed <= 1.0 / _FOUND_WHOLE else best / share
    return [
        PaceDay(
            one.day,
            one.work,
            one.trees,
            one.person_hours,
            one.full_person_hours * calendar.hours_per_day if one.full_person_hours else whole[one.work.crew],
        )
        for one in history
    ]
