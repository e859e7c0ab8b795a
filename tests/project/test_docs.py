"""The pages of docs/ say what is there: modules, tests, published files, pictures and links."""

import ast
import json
import re
import runpy
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted((ROOT / "docs").glob("*.md"))
PATH = re.compile(r"(?:orchardmap|api|web|tests|bench|docs|sample_geodata)/[\w./-]*\w")
SHOWN = re.compile(r"`([^`\n]+)`")
TITLE = re.compile(r'"([^"]+)"')


def text_of(page: Path) -> str:
    return page.read_text("utf-8")


@cache
def functions_in(name: str) -> frozenset[str]:
    found = ast.walk(ast.parse(text_of(ROOT / name)))
    return frozenset(node.name for node in found if isinstance(node, ast.FunctionDef))


def named_tests(text: str) -> list[tuple[str, str]]:
    """Return each test that a page names, with the file named before it."""
    file, named = "", []
    for shown in SHOWN.findall(text):
        if re.fullmatch(r"tests/[\w/]+\.py", shown):
            file = shown
        elif re.fullmatch(r"test_\w+", shown):
            named.append((file, shown))
    return named


def files_of(text: str) -> set[str]:
    return {shown for shown in SHOWN.findall(text) if PATH.fullmatch(shown)}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_file_and_test_that_a_page_names_is_there(page):
    """A module that moves, or a test that gets another name, takes its line of the page with it."""
    text = text_of(page)
    assert [name for name in sorted(files_of(text)) if not (ROOT / name).exists()] == []
    assert [
        (file, name) for file, name in named_tests(text) if not file or name not in functions_in(file)
    ] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_and_pictures_of_a_page_are_there(page):
    links = [link for link in re.findall(r"\]\(([^)#]+)[^)]*\)", text_of(page)) if "://" not in link]
    assert [link for link in links if not (page.parent / link).exists()] == []
    headings = re.findall(r"^#+ (.+)$", text_of(page), re.MULTILINE)
    anchors = {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}
    assert set(re.findall(r"\]\(#([^)]+)\)", text_of(page))) <= anchors


METHODS = ROOT / "docs" / "methods.md"


def test_front_end_tests_of_the_methods_are_there_by_their_titles():
    for line in text_of(METHODS).splitlines():
        for file, titles in re.findall(r"`(web/tests/[^`]+)`: ((?:\"[^\"]+\"(?:, )?)+)", line):
            assert [t for t in TITLE.findall(titles) if f'"{t}"' not in text_of(ROOT / file)] == [], file


def test_methods_name_every_published_file():
    """Whoever adds a published value says in the page what it is a check of."""
    folder = ROOT / "tests" / "published"
    published = {f"tests/published/{p.name}" for p in folder.iterdir() if p.suffix in {".py", ".json"}}
    assert len(published) > 15
    assert published - files_of(text_of(METHODS)) == set()


def sourced_modules() -> set[str]:
    """Modules that name a source in their docstring or in that of one of their functions or classes."""
    found = set()
    for path in sorted([*(ROOT / "orchardmap").rglob("*.py"), *(ROOT / "api").rglob("*.py")]):
        tree = ast.parse(text_of(path))
        documented = (ast.Module, ast.FunctionDef, ast.ClassDef)
        told = [ast.get_docstring(node) or "" for node in ast.walk(tree) if isinstance(node, documented)]
        if any(re.search(r"\bSources?:", text) for text in told):
            found.add(path.relative_to(ROOT).as_posix())
    return found


def test_methods_name_every_module_that_has_a_source():
    modules = sourced_modules()
    assert len(modules) > 8
    assert modules - files_of(text_of(METHODS)) == set()


def test_every_formula_says_source_module_and_check():
    """No section of formulas leaves one of the three out."""
    sections = re.split(r"^#{2,3} (?=\d)", text_of(METHODS), flags=re.MULTILINE)[1:]
    with_formula = [section for section in sections if "\n    " in section]
    assert len(with_formula) > 40
    for section in with_formula:
        for part in ("- **Source:** ", "- **Module:** ", "- **Checks:** "):
            assert section.count(part) == 1, (section.splitlines()[0], part)


def test_a_page_that_names_what_is_not_there_is_found():
    wrong = "`orchardmap/geometry/nowhere.py`, `tests/project/test_docs.py`: `test_of_nothing`"
    assert [name for name in files_of(wrong) if not (ROOT / name).exists()] == [
        "orchardmap/geometry/nowhere.py"
    ]
    ((file, name),) = named_tests(wrong)
    assert name not in functions_in(file)


GUIDES = ("foreman", "auditor", "manager", "adviser")
OWN_NAME = {"Español"}
"""Languages are named in their own words, in no catalogue."""


def sentences_of_the_screens() -> list[str]:
    catalogue = text_of(ROOT / "web" / "locale" / "es.po")
    quoted = re.findall(r'^msgid(?:_plural)? ((?:"(?:[^"\\]|\\.)*"\s*)+)', catalogue, re.MULTILINE)
    return ["".join(json.loads(line) for line in lines.splitlines() if line) for lines in quoted]


def test_words_in_bold_are_those_on_the_screens():
    """Guides print in bold what stands on a screen, gaps as dots: whoever changes a word there changes it here."""
    known = sentences_of_the_screens()
    assert len(known) > 1_000
    worded = [one for one in known if len(re.sub(r"\{\w+\}|\W", "", one)) > 2]  # not a mere frame for others
    patterns = [re.compile(re.sub(r"\\\{\w+\\\}", ".+", re.escape(one)) + "$") for one in worded]

    def unknown_in(text: str) -> list[str]:
        bold = set(re.findall(r"\*\*([^*]+)\*\*", text)) - OWN_NAME
        return [word for word in sorted(bold) if not any(pattern.match(word) for pattern in patterns)]

    assert unknown_in("**Undo** and **Undo row 15**, not **Frobnicate**") == ["Frobnicate"]
    for guide in GUIDES:
        text = text_of(ROOT / "docs" / f"{guide}.md")
        assert text.count("**") > 12
        assert unknown_in(text) == [], guide


def test_commands_in_the_text_of_a_page_exist_with_their_options():
    """Those set apart as lines are asked by test_repository.py."""
    known = dict(runpy.run_path(str(ROOT / "docs" / "write_commands.py"))["known_commands"]())
    shown = {
        (page.name, one)
        for page in PAGES
        for one in SHOWN.findall(text_of(page))
        if one.startswith("orchardmap ") and one != "orchardmap COMMAND --help"
    }
    assert len(shown) > 40
    for page, one in sorted(shown):
        words = one.replace("...", "").split()[1:]
        path = next((tuple(words[:n]) for n in (1, 2) if tuple(words[:n]) in known), None)
        options = set(re.findall(r"(?<!\S)--[\w-]+", one))
        if path is None:
            assert options <= {"--install-completion", "--show-completion", "--version"}, (page, one)
            continue
        opts = {one for told in known[path].params for one in (*told.opts, *told.secondary_opts)}
        assert options <= opts, (page, one)


def test_every_picture_is_shown_somewhere_and_small():
    shown = {
        Path(link).name
        for page in [*PAGES, ROOT / "README.md"]
        for link in re.findall(r"!\[[^]]+\]\(([^)]+\.png)\)", text_of(page))
    }
    taken = {picture.name: picture.stat().st_size for picture in (ROOT / "docs" / "pictures").glob("*.png")}
    assert shown == set(taken)
    assert [name for name, size in taken.items() if size > 400_000] == []
