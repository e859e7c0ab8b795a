"""Languages of the web screens, with GNU gettext as the witness: what it finds in the sources is what the catalogues hold."""

import gettext
import re
import subprocess
from pathlib import Path

import pytest

WEB = Path(__file__).resolve().parents[2] / "web"
CATALOGUES = sorted((WEB / "locale").glob("*.po"))


def run(*command: str | Path) -> str:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What xgettext finds in the sources of the pages."""
    found = tmp_path_factory.mktemp("web-locale") / "all.pot"
    sources = sorted(WEB.glob("src/**/*.ts"))
    keywords = ["--keyword", "--keyword=t", "--keyword=tn:1,2"]
    run("xgettext", "--from-code=UTF-8", "--language=JavaScript", *keywords, "-o", found, *sources)
    return found


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_every_sentence_of_the_screens_is_translated_and_none_is_left_over(path, asked, tmp_path):
    run("msgcmp", path, asked)  # fails where one is missing, fuzzy or empty
    run("msgcmp", "--use-untranslated", asked, path)  # and the other way round
    assert run("msgattrib", "--only-obsolete", path) == ""


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_a_catalogue_of_the_screens_is_well_formed_and_counts_as_gettext_does(path, tmp_path):
    """Compiled by msgfmt, its rule for numbers asked by Python's gettext: the same that the pages compile into theirs."""
    run("msgfmt", "--check", "-o", tmp_path / "x.mo", path)
    with (tmp_path / "x.mo").open("rb") as compiled:
        told = gettext.GNUTranslations(compiled)
    assert told.info()["language"] == path.stem
    if path.stem == "es":
        said = [told.ngettext("{n} tree", "{n} trees", n) for n in (0, 1, 2, 1_000_000)]
        assert said == ["{n} árboles", "{n} árbol", "{n} árboles", "{n} árboles"]


def test_screens_and_crews_are_spoken_to_in_the_same_languages():
    """A brief in a language whose buttons are English would help nobody, nor the other way round."""
    of_crews = sorted(path.stem for path in (WEB.parent / "orchardmap" / "locale").glob("*.po"))
    assert [path.stem for path in CATALOGUES] == of_crews


@pytest.mark.parametrize("english", ["tree", "block", "adviser", "brief"])
def test_a_thing_has_the_same_spanish_name_on_screens_and_for_crews(english):
    on_screens = (WEB / "locale" / "es.po").read_text("utf-8")
    for_crews = (WEB.parent / "orchardmap" / "locale" / "es.po").read_text("utf-8")
    term = re.search(rf"(?:#   |· ){english} ([^·\n]+)", on_screens)
    assert term is not None
    for text in (on_screens, for_crews):
        assert re.search(rf"^msgstr.*{term[1].strip()}", text, re.IGNORECASE | re.MULTILINE)
