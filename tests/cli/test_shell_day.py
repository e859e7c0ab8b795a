"""A day's work by the shell alone: season, crews, marks, checks, and who goes where next."""

import json

import pytest

DATABASE = "sqlite:///farm.sqlite"
OUTLINE = {
    "type": "Feature",
    "properties": {"name": "H6"},
    "geometry": {
        "type": "Polygon",
        "coordinates": [
            [
                [11.30065, 46.4991],
                [11.30065, 46.5009],
                [11.29934, 46.5009],
                [11.29934, 46.4991],
                [11.30065, 46.4991],
            ]
        ],
    },
}


@pytest.fixture
def shell(orchardmap, tmp_path):
    """A farm with one block, a season that holds today, a crew and an auditor, all made by commands."""
    (tmp_path / "h6.geojson").write_text(json.dumps(OUTLINE), "utf-8")

    def said(*arguments, code=0):
        told = orchardmap(*arguments, "--database", DATABASE)
        assert told.code == code, told
        return told

    said("farm", "Long Meadow")
    said("load", "h6.geojson", "--row-spacing", "4", "--tree-spacing", "2", "--bearing", "0")
    said("season", "add", "This winter", "--opens", "2020-11-16", "--must-finish", "2099-03-12")
    said("crew", "add", "Rook", "--method", "platform")
    said("crew", "person", "Kwame Asare", "--role", "foreman", "--crew", "Rook")
    said("crew", "person", "Marit Solbakken", "--role", "auditor")
    return said


def told(said):
    return json.loads(said.out)


def test_season_and_crews_are_listed_as_they_were_added(shell):
    (season,) = told(shell("season", "list", "--json"))
    assert (season["name"], season["opens_on"], season["must_finish_on"]) == (
        "This winter",
        "2020-11-16",
        "2099-03-12",
    )
    assert shell("season", "list").out == "This winter\t2020-11-16\t2099-03-12\tnow\n"
    assert [(one["name"], one["method"], one["people"]) for one in told(shell("crew", "list", "--json"))] == [
        ("Rook", "platform", 1)
    ]


def test_what_was_typed_wrong_is_corrected_by_the_shell(shell):
    corrected = shell("season", "correct", "This winter", "--must-finish", "2099-03-19")
    assert corrected.out == "This winter: 2020-11-16 to 2099-03-19.\n"
    shell("season", "correct", "This winter", "--name", "Winter")
    assert shell("season", "list").out == "Winter\t2020-11-16\t2099-03-19\tnow\n", "the rest stays"
    shell("crew", "rename", "Rook", "Raven")
    assert [one["name"] for one in told(shell("crew", "list", "--json"))] == ["Raven"]
    assert "nobody goes by that name" in shell("season", "correct", "Spring", "--name", "X", code=1).err


def test_marks_show_in_the_rows_and_what_does_not_fit_is_set_aside_with_the_reason(shell):
    rows = told(shell("rows", "h6", "--json"))
    done = shell("mark", "H6", "1-2,4", "--crew", "Rook").out.splitlines()
    trees = sum(one["trees"] for one in told(shell("rows", "H6", "--json")) if one["row"] in (1, 2, 4))
    assert done == ["3 marks taken.", f"{trees} trees are pruned by that for the first time."]
    again = shell("mark", "H6", "1-2,4", "--crew", "Rook").out
    assert again == "3 marks taken.\nNo more trees are pruned by that than were before.\n"
    assert shell("mark", "H6", "3", "--crew", "Rook", "--from", "5", "--to", "9").code == 0
    pruned = {one["row"]: one["pruned"] for one in told(shell("rows", "H6", "--json"))}
    whole = {one["row"]: one["trees"] for one in rows}
    assert [pruned[row] for row in (1, 2, 3, 4, 5)] == [whole[1], whole[2], 5, whole[4], 0]
    beyond = shell("mark", "H6", "1", "--crew", "Rook", "--to", "9999", "--json")
    (receipt,) = told(beyond)
    assert receipt["outcome"] == "set_aside"
    assert receipt["reason"]
    plain = shell("mark", "H6", "1", "--crew", "Rook", "--to", "9999")
    assert receipt["reason"] in plain.err


def test_a_check_is_of_a_tree_seen_while_walking(shell):
    shell("mark", "H6", "1", "--crew", "Rook")
    said = shell("check", "H6", "1", "7", "faulty", "--auditor", "Marit Solbakken", "--note", "stubs")
    assert said.out == "1 check taken.\n"
    figures = told(shell("report", "--json"))["figures"]
    assert (figures["checked"], figures["faulty"], figures["drawn"]) == (1, 1, 0)


def test_a_proposal_is_shown_with_reasons_and_saved_when_that_is_asked_for(shell):
    (before,) = told(shell("plan", "--json"))
    assert (before["crew"], before["block"], before["why"]) == (None, "H6", "")
    (proposed,) = told(shell("plan", "--propose", "--json"))
    assert proposed["why"]
    assert told(shell("plan", "--json")) == [before], "a proposal changes nothing"
    (saved,) = told(shell("plan", "--propose", "--save", "--json"))
    assert [(one["crew"], one["block"]) for one in told(shell("plan", "--json"))] == [(saved["crew"], "H6")]
    assert shell("plan", "--save", code=2).err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("mark", "H7", "1", "--crew", "Rook"), "no such block"),
        (("mark", "H6", "1", "--crew", "Raven"), "Raven: nobody goes by that name. There are: Rook."),
        (("mark", "H6", "1-999", "--crew", "Rook"), "block H6 has no row"),
        (("mark", "H6", "1", "--crew", "Rook", "--from", "9", "--to", "5"), "no stretch of row 1"),
        (("check", "H6", "1", "1", "faulty", "--auditor", "Nobody"), "There are: Marit Solbakken."),
        (("season", "add", "Odd", "--opens", "2026-03-01", "--must-finish", "2026-01-01"), "must finish after it opens"),
        (("crew", "person", "X", "--crew", "Raven"), "nobody goes by that name"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_sentence_and_nothing_is_kept(shell, arguments, words):
    before = shell("rows", "H6", "--json").out
    said = shell(*arguments, code=1)
    assert words in said.err, said.err
    assert "Traceback" not in said.err
    assert said.err.count("\n") == 1
    assert shell("rows", "H6", "--json").out == before


def test_a_word_that_is_none_of_the_choices_ends_with_2(shell):
    assert shell("crew", "add", "Wren", "--method", "rope", code=2).err
    assert shell("check", "H6", "1", "1", "good", code=2).err
