"""Languages: GNU gettext's own tools as the witness, and no sentence that a crew reads escapes the catalogue."""

import ast
import gettext
import re
import subprocess
from pathlib import Path

import pytest

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, message
from orchardmap.locale.numbers import number_text
from orchardmap.locale.po import po_entries
from orchardmap.pruning.sentences import placeholders

PACKAGE = Path(__file__).resolve().parents[2] / "orchardmap"
CATALOGUES = sorted((PACKAGE / "locale").glob("*.po"))
MODULES = sorted(str(path) for path in PACKAGE.rglob("*.py") if path.name != "catalogue.py")

AWKWARD = r"""# a comment
msgid ""
msgstr "Content-Type: text/plain; charset=UTF-8\n"

#: some/file.py
msgid "with \"quotes\", a \\ and\ttab"
msgstr "con \"comillas\", una \\ y\ttabulador"
msgid "no blank line before"
msgstr ""
"en dos "
"líneas"

#, python-format
#, fuzzy
msgid "doubtful"
msgstr "dudoso"

#, fuzzy
#, python-format
msgid "flags twice"
msgstr "señas dos veces"

msgid "not done"
msgstr ""

#~ msgid "gone"
#~ msgstr "ido"
"""


def by_gnu_gettext(text: str, folder: Path) -> gettext.GNUTranslations:
    """Compiled by msgfmt, read by Python's gettext: neither is ours."""
    (folder / "x.po").write_text(text, "utf-8")
    done = subprocess.run(
        ["msgfmt", "--check-format", "--check-domain", "-o", folder / "x.mo", folder / "x.po"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    with (folder / "x.mo").open("rb") as compiled:
        return gettext.GNUTranslations(compiled)


def marked_sentences() -> set[str]:
    """What xgettext finds in the code."""
    command = ["xgettext", "--from-code=UTF-8", "--language=Python", "--keyword=message", "-o", "-", *MODULES]
    found = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return set(po_entries(re.sub(r'msgstr ""\n(?!")', 'msgstr "x"\n', found)))


@pytest.mark.parametrize("text", [AWKWARD, *(path.read_text("utf-8") for path in CATALOGUES)])
def test_a_catalogue_is_read_as_gnu_gettext_reads_it(text, tmp_path):
    told, witness = po_entries(text), by_gnu_gettext(text, tmp_path)
    asked = [*told, "flags twice", "doubtful", "not done", "gone"]
    assert len(told) >= 2
    assert [told.get(sentence, sentence) for sentence in asked] == [witness.gettext(s) for s in asked]


@pytest.mark.parametrize("text", [
    'msgid "a"', 'msgstr "a"', 'msgid "a"\nmsgid "b"\nmsgstr "c"\nmsgstr "d"', 'msgid a\nmsgstr "b"', '"loose"',
    'msgctxt "c"\nmsgid "a"\nmsgstr "b"', 'msgid "a"\nmsgid_plural "as"\nmsgstr[0] "b"', 'msgid "a"\nmsgstr "b"\nmsgid "a"\nmsgstr "c"',
    'msgid "a\nmsgstr "b"', "nonsense",
])  # fmt: skip
def test_what_is_not_understood_is_refused_with_its_line(text):
    with pytest.raises(InputError, match=r"^line \d+"):
        po_entries(text)


def test_every_catalogue_translates_exactly_what_the_code_says():
    """None missing in any language, none left over from a sentence that was changed."""
    marked = marked_sentences()
    assert len(marked) > 60
    assert [path.stem for path in CATALOGUES] == list(languages()[1:]) == ["es"]
    for path in CATALOGUES:
        assert set(po_entries(path.read_text("utf-8"))) == marked, path.name


@pytest.mark.parametrize("path", CATALOGUES, ids=lambda path: path.stem)
def test_every_translation_says_something_else_with_the_same_gaps(path):
    for sentence, translation in po_entries(path.read_text("utf-8")).items():
        assert sorted(placeholders(translation)) == sorted(placeholders(sentence)), sentence
        bare = re.sub(r"\{.*?\}|\W", "", sentence)
        assert translation.strip() == translation
        assert translation != sentence or not bare, sentence
        assert translation.endswith(".") == sentence.endswith("."), sentence


def test_every_language_has_its_decimal_sign():
    """By Unicode CLDR Spanish has a comma, which English has not."""
    assert {language: number_text(0.5, language) for language in languages()} == {"en": "0.5", "es": "0,5"}


def unmarked_sentences(text: str) -> list[str]:
    """Texts that read as a sentence and are neither marked, a docstring, nor part of an error (errors speak English)."""
    tree = ast.parse(text)
    excused: set[int] = set()
    for node in ast.walk(tree):
        is_marked = (
            isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "message"
        )
        is_statement = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        is_todo = isinstance(node, ast.keyword) and node.arg == "todo"
        is_todo |= isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "todo"
        if is_marked or is_statement or is_todo or isinstance(node, ast.Raise):
            excused |= {id(part) for part in ast.walk(node)}
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in excused
        and re.search(r"^[A-Z].* .*[.!?]$", node.value)
    ]


@pytest.mark.parametrize("path", sorted((PACKAGE / "pruning").rglob("*.py")), ids=lambda path: path.stem)
def test_no_sentence_of_pruning_escapes_the_catalogue(path):
    assert unmarked_sentences(path.read_text("utf-8")) == []


def test_the_search_for_sentences_finds_one_and_excuses_the_right_ones():
    caught = 'x = f("Cut it out.")\ny = {"en": "Leave that whole."}\n'
    assert unmarked_sentences(caught) == ["Cut it out.", "Leave that whole."]
    excused = """
'A docstring.'
x = message("Cut it out.")
todo = "Mend it so."
check(todo="Or mend it so.")
raise E("It is bad.")
"""
    assert unmarked_sentences(excused) == []


def test_a_language_that_lacks_a_sentence_is_left_out_of_it():
    """A point must not claim a language that it does not speak."""
    assert message("Nobody has translated this.") == {"en": "Nobody has translated this."}
