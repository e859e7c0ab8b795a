"""The dangers of a block in words: every number said once and as it is, in every language, and the law last."""

import re
from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.locale.catalogue import languages
from orchardmap.pruning.cautions import deferring_text
from orchardmap.pruning.clearance import line_clearance_m
from orchardmap.pruning.hazard_texts import (
    closure_hazard,
    ending_by_law,
    line_hazard,
    rows_text,
    slope_hazard,
)

ROME = ZoneInfo("Europe/Rome")
CLOSURE = closure_hazard(datetime(2026, 1, 9, 16, 0, tzinfo=ROME), datetime(2026, 1, 10, 7, 30, tzinfo=ROME))


@given(st.sets(st.integers(1, 60), min_size=1), st.sampled_from(languages()))
def test_rows_as_they_are_said_are_those_rows(rows, language):
    """Read back: stretches of neighbours, never two that touch."""
    stretches = [
        [int(number) for number in re.findall(r"\d+", part)]
        for part in rows_text(sorted(rows), language).split(", ")
    ]
    assert [row for part in stretches for row in range(part[0], part[-1] + 1)] == sorted(rows)
    assert all(one[-1] + 1 < other[0] for one, other in pairwise(stretches))


def test_line_says_rows_and_the_distance_of_its_voltage():
    """R4 of the trade notes: 3.05 m at 50 kV, 4.85 m at 230 kV."""
    told = line_hazard([12, 13, 14, 15], line_clearance_m(50))
    assert (told.key, told.rows) == ("overhead-lines", (12, 13, 14, 15))
    assert "rows 12 to 15: keep yourself" in told.texts["en"]
    assert "3.05 m away" in told.texts["en"]
    assert "las filas 12 a 15 " in told.texts["es"]
    single = line_hazard([7], line_clearance_m(230))
    assert "row 7: keep" in single.texts["en"]
    assert "a 4,85 m como mínimo" in single.texts["es"]


def test_slope_and_closure_say_their_numbers_in_the_farms_own_hours():
    assert "up to 22.5 percent" in slope_hazard(22.49).texts["en"]
    assert "hasta el 22,5 por ciento" in slope_hazard(22.49).texts["es"]
    assert "from 9 January 2026, 16:00, to 10 January 2026, 07:30." in CLOSURE.texts["en"]
    assert (
        "desde el 9 de enero de 2026 a las 16:00 hasta el 10 de enero de 2026 a las 07:30."
        in CLOSURE.texts["es"]
    )


@pytest.mark.parametrize("language", languages())
def test_each_set_ends_with_the_law_once_and_none_stays_none(language):
    each = [line_hazard([1], 3.05), slope_hazard(20), CLOSURE]
    told = ending_by_law(each)
    assert [one.key for one in told] == ["overhead-lines", "slope", "closure"]
    said = " ".join(one.texts[language] for one in told)
    assert said.endswith(deferring_text(language))
    assert said.count(deferring_text(language)) == 1
    assert ending_by_law([]) == ()
    assert not re.search(r"[{}]", said)
