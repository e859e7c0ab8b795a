"""`orchardmap brief card`: a ready-made brief as PDF in a file without a database, and a farm's own."""

from contextlib import closing

import pytest

from orchardmap.pruning.habits import ready_made
from orchardmap.pruning.sentences import point_text
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import brief_publishing, briefing, ground_editing, planting
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from pdf_pages import letters, opened
from small_farm import NOW, small_farm


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


@pytest.fixture(scope="module")
def farm_file(tmp_path_factory):
    """A farm whose variety has a published brief, and whose first block is steep and closed to nobody."""
    address = sqlite_url(tmp_path_factory.mktemp("farm") / "farm.sqlite")
    with closing(open_store(address)) as store:
        farm = small_farm(store)
        subject = BriefSubject(farm.season.id, farm.blocks[0].variety_id)
        brief = briefing.make_brief(
            store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
        )
        brief_publishing.publish(store, farm_id=farm.farm.id, brief_id=brief.id, revision=1, by=None, now=NOW)
        planting.add_variety(store, farm_id=farm.farm.id, name="Bare", habit="spur")
        steep = {"slope_percent": 30}
        ground_editing.edit_block(store, block_id=farm.blocks[0].id, changes=steep, now=NOW)
    return address


@pytest.mark.parametrize(
    ("words", "has_slope"), [(("--block", "k1"), True), (("--variety", "Irish Peach"), False)]
)
def test_card_of_a_block_or_a_variety_of_the_farm_is_its_published_brief(
    orchardmap, tmp_path, farm_file, words, has_slope
):
    """A block's code in any case; the block's dangers stand on its card alone."""
    told = orchardmap("brief", "card", *words, "--database", farm_file, "--out", "c.pdf")
    assert (told.code, told.err) == (0, "")
    said = "".join(letter.said for page in letters((tmp_path / "c.pdf").read_bytes()) for letter in page)
    assert "IrishPeach" in said
    assert "Version1" in said
    assert ("upto30percent" in said, "BlockK1" in said) == (has_slope, has_slope)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "say what the card is of. Give --block, --variety, or --habit."),
        (("--block", "K1", "--habit", "spur_uncut"), "say what the card is of"),
        (("--block", "Z9"), "Z9: no such block on this farm"),
        (("--variety", "Nobody's"), "no such variety on this farm"),
        (("--variety", "Bare"), "Bare: no published brief holds for it. Publish one first."),
        (("--block", "K1", "--farm", "Else"), "Else: no such farm"),
        (("--block", "K1", "--language", "pl"), "pl: No card is made in this language."),
    ],
)
def test_card_that_no_brief_holds_for_is_one_sentence(orchardmap, tmp_path, farm_file, words, says):
    told = orchardmap("brief", "card", *words, "--database", farm_file)
    assert (told.code, told.out) == (1, "")
    assert says in told.err
    assert list(tmp_path.iterdir()) == []
