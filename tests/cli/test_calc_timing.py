"""`orchardmap calc timing`: a strict table of temperatures, in Celsius or Fahrenheit."""

import json
from datetime import date, timedelta

import pytest

HEADER_C, HEADER_F = "date,tmin_c,tmax_c", "date,tmin_f,tmax_f"


def table(header, line, n=59 + 31, first="2026-01-01"):
    start = date.fromisoformat(first)
    return "\n".join([header, *(f"{start + timedelta(k)},{line}" for k in range(n))]) + "\n"


def test_celsius_and_fahrenheit_tables_give_the_same_answer(orchardmap, tmp_path):
    """41 / 59 F are exactly 5 / 15 C: 7 degree days a day above 43 F; 120 on the 18th day of March."""
    (tmp_path / "c.csv").write_text(table(HEADER_C, "5,15"), "utf-8")
    (tmp_path / "f.csv").write_text("\ufeff" + table(HEADER_F, "41, 59").replace("\n", "\r\n"), "utf-8")
    celsius, fahrenheit = (orchardmap("calc", "timing", name) for name in ("c.csv", "f.csv"))
    assert (celsius.code, celsius.err) == (0, "")
    told = json.loads(celsius.out)
    assert told == json.loads(fahrenheit.out)
    assert told["green_tip"]["estimate"] == "2026-03-18"
    assert told["green_tip"]["degree_days_f"] == 31 * 7
    assert (told["first_day"], told["last_day"], told["wet_days"]) == ("2026-01-01", "2026-03-31", None)


def test_rain_frost_start_and_sum_are_taken(orchardmap, tmp_path):
    lines = table("rain_mm,date,tmax_c,tmin_c", "0", n=0)
    lines += "3,2026-02-01,-1,-19\n0,2026-02-02,15,5\n0,2026-02-03,15,5\n"
    (tmp_path / "w.csv").write_text(lines, "utf-8")
    said = orchardmap("calc", "timing", "w.csv", "--start", "2026-02-01", "--green-tip", "14")
    told = json.loads(said.out)
    assert (told["wet_days"], told["frost_days"]) == (["2026-02-01"], ["2026-02-01"])
    assert told["frost_risk"] == {"high": ["2026-02-01"], "falling": []}
    assert told["green_tip"]["estimate"] == "2026-02-03"
    assert told["green_tip"]["published_latest"] is None
    assert json.loads(orchardmap("calc", "timing", "w.csv").out)["green_tip"] is None  # no 1 March in it


def test_rain_in_inches_is_that_in_millimetres(orchardmap, tmp_path):
    """An inch is 25.4 mm exactly: 0.008 in is a wet day (0.2 mm), 0.007 in is none."""
    lines = "date,tmin_f,tmax_f,rain_in\n2026-02-01,30,40,0.008\n2026-02-02,30,40,0.007\n"
    (tmp_path / "w.csv").write_text(lines, "utf-8")
    assert json.loads(orchardmap("calc", "timing", "w.csv").out)["wet_days"] == ["2026-02-01"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "line 1"),
        (b"date,tmin_c,tmax_c\n", "no line with a day"),
        (b"date,tmin_c\n2026-01-01,1\n", "line 1"),
        (b"date,tmin_c,tmax_f\n2026-01-01,1,50\n", "line 1"),
        (b"date,tmin_c,tmax_c,snow\n2026-01-01,1,5,0\n", "line 1"),
        (b"date,tmin_c,tmax_c,rain_mm,rain_mm\n2026-01-01,1,5,0,0\n", "twice"),
        (b"date;tmin_c;tmax_c\n2026-01-01;1;5\n", "line 1"),
        (b"date,tmin_c,tmax_c\n2026-01-01,1,5\n\n2026-01-02,,5\n", "line 4, tmin_c"),
        (b"date,tmin_c,tmax_c\n2026-01-01,1\n", "line 2: It has 2 cells for 3 columns"),
        (b'date,tmin_c,tmax_c\n2026-01-01,"1,5",5\n', "decimal point"),
        (b"date,tmin_c,tmax_c\n2026-01-01,nan,5\n", "line 2, tmin_c"),
        (b"date,tmin_c,tmax_c\n2026-01-01,41,61\n", "line 2, tmax_c"),
        (b"date,tmin_c,tmax_c,rain_mm\n2026-01-01,1,5,-1\n", "rain_mm"),
        (b"date,tmin_c,tmax_c\n01/02/2026,1,5\n", "line 2, date"),
        (b"date,tmin_c,tmax_c\n2026-02-30,1,5\n", "line 2, date"),
        (b"date,tmin_c,tmax_c\n2026-01-01,1,5\n2026-01-03,1,5\n", "2026-01-01: After it comes 2026-01-03"),
        (b"date,tmin_c,tmax_c\n2026-01-01,9,5\n", "line 2: Its maximum is below its minimum"),
        (
            b"date,tmin_c,tmax_c\n2026-01-01,1,5\n2026-01-01,1,5\n",
            "line 3, date: 2026-01-01 stands in line 2",
        ),
        (b"date,tmin_c,tmax_c,rain_mm,rain_in\n2026-01-01,1,5,0,0\n", "line 1"),
        (b"date,tmin_c,tmax_c\n2026-01-01,\xff,5\n", "UTF-8"),
    ],
)
def test_what_is_not_plain_is_refused_in_one_sentence(orchardmap, tmp_path, content, says):
    (tmp_path / "w.csv").write_bytes(content)
    said = orchardmap("calc", "timing", "w.csv")
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith("orchardmap: ")
    assert says in said.err
    assert "Traceback" not in said.err


def test_start_outside_of_the_table_is_told_where_it_runs(orchardmap, tmp_path):
    (tmp_path / "w.csv").write_text(table(HEADER_C, "5,15", n=10), "utf-8")
    said = orchardmap("calc", "timing", "w.csv", "--start", "2026-03-01")
    assert said.code == 1
    assert "from 2026-01-01 to 2026-01-10" in said.err
