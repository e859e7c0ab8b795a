"""What a request for features asks is read as the standard writes it, and whatever is written otherwise is refused (OGC 17-069r4, 7.15)."""

from datetime import UTC, date, datetime, timedelta, timezone
from urllib.parse import parse_qsl, urlsplit
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import ParameterError
from orchardmap_api.features.links import address, next_address
from orchardmap_api.features.query import (
    DEFAULT_LIMIT,
    MOST,
    Asked,
    as_of,
    asked_of,
    box_of,
    days_of,
    limit_of,
    only_known,
    when_of,
)

ROME = ZoneInfo("Europe/Rome")
lons, lats = st.floats(-180, 180), st.floats(-90, 90)
heights = st.floats(allow_nan=False, allow_infinity=False)
days = st.dates()
moments = st.datetimes(
    datetime(2, 1, 1),  # noqa: DTZ001 - the zones are drawn below
    datetime(9998, 1, 1),  # noqa: DTZ001
    timezones=st.integers(-23 * 60, 23 * 60).map(lambda m: timezone(timedelta(minutes=m))),
)
texts = st.text(min_size=1, max_size=20)


@given(lons, lats, lons, lats, st.tuples(heights, heights) | st.none())
def test_box_is_its_four_sides_whichever_way_it_crosses_the_globe(west, south, east, north, rise):
    """With heights (six numbers) it is the same box; west above east stays as said: it crosses the antimeridian."""
    south, north = sorted((south, north))
    low, high = ([repr(one)] for one in sorted(rise)) if rise else ([], [])
    said = ",".join([repr(west), repr(south), *low, repr(east), repr(north), *high])
    assert box_of(said) == (west, south, east, north)


NO_BOXES = """
,,, | 1,2,3 | 1,2,3,4,5 | 1,2,3,4,5,6,7 | a,2,3,4 | 1,2,3,nan | 1,2,3,inf | 1,2,3,1e999 | 1;2;3;4 | 1,5,3,4 | 181,2,3,4 | 1,2,-180.1,4
1,-91,3,4 | 1,2,3,91 | 1_0,2,3,4 | \u0661,2,3,4 | 1,2,9,3,4,8 | 1,2,0,3,4,1e999 | 0x1,2,3,4 | 1,2,3,4, | 1,,3,4 | 1 2,2,3,4
"""
NO_MOMENTS = """
.. | / | ../.. | ../ | 2026 | 2026-01 | 2026-02-30 | 2026-1-2 | 20260102 | today | 2026-01-02T10 | 2026-01-02T10:00Z | 2026-01-02T10:00:00
2026-01-02T25:00:00Z | 2026-01-02T10:00:00 01:00 | 2026-01-02 10:00:00Z | 2026-01-02T10:00:00+25:00 | 2026-01-02/2026-01-03/2026-01-04
\u0662\u0660\u0662\u0666-\u0660\u0661-\u0660\u0662 | 0000-02-30 | 2026-W01-1 | 2026-01-02// | .../2026-01-02
"""


def each(table: str) -> list[str]:
    """The entries of a table, and nothing at all."""
    return ["", *(one.strip() for line in table.strip().splitlines() for one in line.split(" | "))]


@pytest.mark.parametrize("said", each(NO_BOXES))
def test_what_is_no_box_is_refused(said):
    with pytest.raises(ParameterError) as refused:
        box_of(said)
    assert refused.value.where == "bbox"


@given(st.integers(1))
def test_limit_is_what_is_said_up_to_the_most(number):
    assert limit_of(str(number)) == min(number, MOST)
    assert limit_of("000" + str(number)) == min(number, MOST)


NO_LIMITS = "0 | 00 | -1 | +1 | 1.0 | 1e3 | 1 2 | ten | \u0663 | \u00b2 | 0x1 | 1_0"


@pytest.mark.parametrize("said", [*each(NO_LIMITS), " 1", "9" * 5000 + "x"])
def test_what_is_no_number_of_features_is_refused(said):
    with pytest.raises(ParameterError, match="no number of features"):
        limit_of(said)


def test_limit_of_five_thousand_digits_is_the_most():
    assert limit_of("9" * 5000) == MOST


@given(moments)
def test_moment_is_read_as_rfc_3339_writes_it(moment):
    for said in (moment.isoformat(), moment.isoformat().replace("T", "t")):
        assert when_of(said) == (moment, moment)
    plain = moment.astimezone(UTC).isoformat().replace("+00:00", "Z")
    assert when_of(plain)[0] == moment


@given(days, days, st.sampled_from(["..", ""]))
def test_interval_is_its_two_days_and_an_open_end_is_none(one, other, is_open):
    first, last = sorted((one, other))
    assert when_of(f"{first}/{last}") == (first, last)
    assert when_of(f"{first}/{is_open}") == (first, None)
    assert when_of(f"{is_open}/{last}") == (None, last)
    assert when_of(f"{first}") == (first, first)
    assert when_of(f"{first}T/{last}T") == (first, last), "as GDAL writes it"
    if first < last:
        with pytest.raises(ParameterError, match="ends before it begins"):
            when_of(f"{last}/{first}")


@given(moments, moments)
def test_interval_of_moments_ends_after_it_begins(one, other):
    first, last = sorted((one, other))
    assert when_of(f"{first.isoformat()}/{last.isoformat()}") == (first, last)
    if first < last:
        with pytest.raises(ParameterError):
            when_of(f"{last.isoformat()}/{first.isoformat()}")


@pytest.mark.parametrize("said", each(NO_MOMENTS))
def test_what_is_no_moment_is_refused(said):
    with pytest.raises(ParameterError) as refused:
        when_of(said)
    assert refused.value.where == "datetime"


@given(moments)
def test_day_of_a_moment_is_the_farms_own(moment):
    assert days_of((moment, None), ROME) == (moment.astimezone(ROME).date(), None)


@pytest.mark.parametrize("said", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:00:00-14:00"])
def test_first_and_last_moment_of_all_have_a_day(said):
    first, _ = days_of(when_of(said), ROME)
    assert first in (date.min, date.max)


def test_leap_second_is_a_moment():
    """RFC 3339, 5.7, gives this very one; a second 60 of any other minute is none."""
    assert when_of("1990-12-31T23:59:60Z") == when_of("1990-12-31T23:59:59Z")
    with pytest.raises(ParameterError):
        when_of("1990-12-31T23:58:60Z")


def test_year_0_is_before_all_that_is_known_here():
    """QGIS asks so for what is of a day or earlier."""
    first, last = when_of("0000-01-01T00:00:00Z/2026-01-19")
    assert (days_of((first, None), ROME)[0], last) == (date.min, date(2026, 1, 19))
    assert when_of("0000-02-29/0001-01-01")[0] == date.min


@given(days | st.none(), days | st.none(), days)
def test_looked_at_is_the_last_day_that_is_over_or_today(first, last, today):
    found = as_of((first, last), today)
    if first is not None and first > today:
        assert found is None, "nothing is known of days to come"
    else:
        assert found == (first, last if last is not None and last < today else None)


@given(st.lists(st.tuples(texts, texts), max_size=4))
def test_only_parameters_that_are_known_and_said_once_are_taken(said):
    names = [name for name, _ in said]
    known = set(names)
    if len(known) == len(names):
        assert only_known(said, sorted(known)) == dict(said)
        if known:
            with pytest.raises(ParameterError, match="no such parameter"):
                only_known(said, sorted(known - {names[0]}))
    else:
        with pytest.raises(ParameterError, match="twice"):
            only_known(said, sorted(known))


def test_nothing_said_asks_for_the_first_page_of_all():
    assert asked_of([]) == Asked(None, None, None, DEFAULT_LIMIT, None)


@given(st.lists(texts, max_size=4), st.lists(st.tuples(texts, texts), max_size=4))
def test_address_gives_back_what_was_put_into_it(parts, query):
    made = urlsplit(address("http://x/ogc", *parts, query=query))
    assert made.geturl().isascii()
    assert made.path.count("/") == 1 + len(parts)
    assert parse_qsl(made.query, keep_blank_values=True) == query


@given(st.dictionaries(st.sampled_from(["bbox", "datetime", "limit", "after"]), texts), texts)
def test_next_page_keeps_every_filter_and_says_once_where_it_goes_on(said, after):
    made = urlsplit(next_address("http://x", ("rows", "items"), list(said.items()), {"after": after}))
    assert dict(parse_qsl(made.query, keep_blank_values=True)) == said | {"after": after}
    assert made.query.count("after=") == 1
