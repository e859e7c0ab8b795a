"""`orchardmap brief card`: a ready-made brief as PDF in a file, without a database."""

import pytest

from orchardmap.pruning.habits import ready_made
from orchardmap.pruning.sentences import point_text
from pdf_pages import letters, opened


def test_a_card_is_written_as_asked(orchardmap, tmp_path):
    words = (
        "--habit",
        "spur_uncut",
        "--system",
        "v_trellis",
        "--heavy-setter",
        "--variety",
        "Ashmead's Kernel",
    )
    told = orchardmap("brief", "card", *words, "--language", "es", "--size", "a5", "--out", "c.pdf")
    assert (told.code, told.err) == (0, "")
    assert told.out.startswith("Wrote c.pdf")
    assert [path.name for path in tmp_path.iterdir()] == ["c.pdf"], "it needs and makes no database"
    made = (tmp_path / "c.pdf").read_bytes()
    said = "".join(letter.said for page in letters(made) for letter in page)
    for point in ready_made("spur_uncut", is_heavy_setter=True, system="v_trellis").points:
        assert point_text(point, "es").replace(" ", "") in said
    assert "Ashmead'sKernel" in said
    with opened(made) as document:
        assert document[0].get_width() == pytest.approx(148 * 72 / 25.4, abs=0.05)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--habit", "spurry"), "--habit spurry: is none of the choices. Give one of: tip_renewed,"),
        (("--habit", "spur_uncut", "--system", "hedge"), "--system hedge: is none of the choices."),
        (("--habit", "spur_uncut", "--size", "a3"), "--size a3: is none of the choices. Give one of: a4, a5."),
        (("--habit", "spur_uncut", "--language", "pl"), "pl: No card is made in this language."),
        (("--habit", "spur_uncut", "--out", "nowhere/c.pdf"), "cannot be written"),
    ],
)  # fmt: skip
def test_what_cannot_be_written_is_one_sentence(orchardmap, tmp_path, words, says):
    told = orchardmap("brief", "card", *words)
    assert (told.code, told.out) == (1, "")
    assert says in told.err
    assert list(tmp_path.iterdir()) == []
