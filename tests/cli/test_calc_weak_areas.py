"""`orchardmap calc weak-areas`: a strict table of checks in, areas with their odds out."""

import json
import random
from math import log

import pytest

HEADER = "row,position,faulty"
LINES = [f"{row},{at},{int(row in {3, 4} and at in {5, 6, 7})}" for row in range(1, 9) for at in range(1, 13)]
"""96 trees; the faulty ones are 3 and 4 at 5 to 7, and no others."""
LLR = round(-6 * log(6 / 96) - 90 * log(90 / 96), 8)
"""All six are inside, none is outside: 22.444."""
PATCH = {"rows": [3, 4], "positions": [5, 7], "checked": 6, "faulty": 6, "llr": LLR, "p": 0.001}


def table(*lines, header=HEADER):
    return "\n".join([header, *lines]) + "\n"


def told(said):
    assert (said.code, said.err) == (0, "")
    return json.loads(said.out)


def test_the_planted_patch_is_the_one_area(orchardmap, tmp_path):
    (tmp_path / "c.csv").write_text(table(*LINES), "utf-8")
    assert told(orchardmap("calc", "weak-areas", "c.csv")) == {"areas": [PATCH | {"state": "suspect"}]}


def test_order_of_lines_columns_and_line_ends_change_nothing(orchardmap, tmp_path):
    lines = LINES[:]
    random.Random(4).shuffle(lines)
    turned = [",".join(line.split(",")[::-1]) for line in lines]
    text = "\ufeff" + table(*turned, header="Faulty, position, row").replace("\n", "\r\n")
    (tmp_path / "c.csv").write_text(text, "utf-8")
    assert told(orchardmap("calc", "weak-areas", "c.csv")) == {"areas": [PATCH | {"state": "suspect"}]}


def test_new_trees_confirm_or_clear(orchardmap, tmp_path):
    """Every second tree of the block was checked first; the new ones stand between them in the patch."""
    first = [f"{row},{at},{int(row < 7 and at < 12)},0" for row in range(1, 25) for at in range(1, 49, 2)]
    for faulty, state in ((1, "confirmed"), (0, "none")):
        new = [f"{row},{at},{faulty},1" for row in range(1, 7) for at in range(2, 11, 2)]
        (tmp_path / "c.csv").write_text(table(*first, *new, header=f"{HEADER},recheck"), "utf-8")
        (area,) = told(orchardmap("calc", "weak-areas", "c.csv"))["areas"]
        assert (area["rows"], area["positions"], area["checked"]) == ([1, 6], [1, 11], 36)
        assert (area["state"], area["recheck"]["checked"], area["recheck"]["faulty"]) == (
            state,
            30,
            30 * faulty,
        )
        assert (area["recheck"]["p"] < 1e-20) if faulty else (area["recheck"]["p"] == 1.0)


def test_options_are_taken(orchardmap, tmp_path):
    (tmp_path / "c.csv").write_text(table(*LINES), "utf-8")
    spaced = told(orchardmap("calc", "weak-areas", "c.csv", "--row-spacing", "3.5", "--tree-spacing", "1.25"))
    assert (spaced["areas"][0]["width_m"], spaced["areas"][0]["length_m"]) == (7.0, 3.8)
    few = told(orchardmap("calc", "weak-areas", "c.csv", "--permutations", "99", "--seed", "5"))
    assert few == {"areas": [PATCH | {"p": 0.01, "state": "suspect"}]}
    narrow = told(orchardmap("calc", "weak-areas", "c.csv", "--most-rows", "1"))["areas"]
    assert [area["rows"] for area in narrow] == [[3, 3], [4, 4]]
    strict = told(orchardmap("calc", "weak-areas", "c.csv", "--level", "0.0001"))["areas"]
    assert [area["state"] for area in strict] == ["none"]
    large = told(orchardmap("calc", "weak-areas", "c.csv", "--least-checks", "20", "--most-share", "0.3"))
    assert 20 <= large["areas"][0]["checked"] <= 28


def test_rows_are_listed_when_asked_for(orchardmap, tmp_path):
    """Beta(10 x 5/48 + 5, 10 x 43/48 + 1) above 1.5 x 5/48: 0.9808 by scipy.stats.beta."""
    lines = [f"{row},{at},{int(row == 5 and at > 1)}" for row in range(1, 9) for at in range(1, 7)]
    (tmp_path / "c.csv").write_text(table(*lines), "utf-8")
    rows = told(orchardmap("calc", "weak-areas", "c.csv", "--rows"))["weak_rows"]
    assert rows == [{"row": 5, "checked": 6, "faulty": 5, "sureness": 0.9808}]


@pytest.mark.parametrize("faulty", ["0", "1"])
def test_where_all_trees_are_alike_no_area_is_weak(orchardmap, tmp_path, faulty):
    (tmp_path / "c.csv").write_text(
        table(*(f"{row},{at},{faulty}" for row in "12" for at in "1234")), "utf-8"
    )
    assert told(orchardmap("calc", "weak-areas", "c.csv", "--rows")) == {"areas": [], "weak_rows": []}


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "line 1"),
        (b"row,position,faulty\n", "no line with a check"),
        (b"row,position\n1,1\n", "line 1"),
        (b"row,position,faulty,note\n1,1,0,x\n", "line 1"),
        (b"row,position,faulty,faulty\n1,1,0,0\n", "twice"),
        (b"row,position,faulty\n1,1,0\n\n1,2\n", "line 4: It has 2 cells for 3 columns"),
        (b"row,position,faulty\n1.5,1,0\n", "line 2, row: '1.5' is no whole number"),
        (b"row,position,faulty\n1,-1,0\n", "line 2, position: '-1'"),
        ("row,position,faulty\n1,\u0663,0\n".encode(), "line 2, position"),
        (b"row,position,faulty\n1,12345678,0\n", "line 2, position"),
        (b"row,position,faulty\n1,1,2\n", "line 2, faulty: '2' is neither 0 nor 1"),
        (b"row,position,faulty\n1,1,\n", "line 2, faulty"),
        (b"row,position,faulty,recheck\n1,1,0,yes\n", "line 2, recheck"),
        (
            b"row,position,faulty\n3,7,0\n1,1,0\n3,7,1\n",
            "line 4, position: Row 3, position 7 stands in line 2 already",
        ),
        (b"row,position,faulty,recheck\n3,7,0,0\n3,7,1,1\n", "by trees that are new"),
        (b"row,position,faulty\n1,\xff,0\n", "UTF-8"),
    ],
)
def test_what_is_not_plain_is_refused_with_its_line_and_column(orchardmap, tmp_path, content, says):
    (tmp_path / "c.csv").write_bytes(content)
    said = orchardmap("calc", "weak-areas", "c.csv")
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith("orchardmap: c.csv")
    assert says in said.err


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("level", "0"),
        ("level", "1"),
        ("permutations", "0"),
        ("permutations", "100000"),
        ("most-rows", "0"),
        ("most-share", "1"),
        ("least-checks", "0"),
        ("row-spacing", "5000"),
    ],
)
def test_settings_that_say_nothing_are_refused(orchardmap, tmp_path, option, value):
    (tmp_path / "c.csv").write_text(table(*LINES), "utf-8")
    said = orchardmap("calc", "weak-areas", "c.csv", f"--{option}", value)
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith(f"orchardmap: {option.replace('-', '_')}: It must")


def test_more_checks_than_are_looked_at_together(orchardmap, tmp_path):
    lines = (f"{row},{at},0" for row in range(100) for at in range(101))
    (tmp_path / "c.csv").write_text(table(*lines), "utf-8")
    said = orchardmap("calc", "weak-areas", "c.csv")
    assert said.code == 1
    assert "10,100 checks; at most 10,000" in said.err
