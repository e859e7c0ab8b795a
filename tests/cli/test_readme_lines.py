"""The lines that README gives a newcomer run one after the other, in a fresh folder, on the files that they name."""

import io
import re
import shlex
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def lines() -> list[tuple[str, list[str]]]:
    """Return what is piped in, and the arguments, of each command of "Your own blocks, by the shell"."""
    section = (ROOT / "README.md").read_text("utf-8").split("## Your own blocks, by the shell\n")[1]
    shown = "\n".join(re.findall(r"^    (.*)$", section.split("\n## ")[0], re.MULTILINE))
    found = []
    for piped, line in re.findall(
        r"(?:echo '([^']*)' \| )?\.venv/bin/orchardmap ([^\n]*)", shown.replace("\\\n", " ")
    ):
        found.append((piped, shlex.split(line, comments=True)))
    return found


def test_every_line_of_your_own_blocks_by_the_shell_does_what_it_says(orchardmap, monkeypatch, tmp_path):
    (tmp_path / "sample_geodata").symlink_to(ROOT / "sample_geodata")
    ran = []
    for piped, arguments in lines():
        if arguments == ["serve"]:  # tests/cli/test_listening.py runs it
            continue
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(piped.encode()), encoding="utf-8"))
        said = orchardmap(*arguments)
        assert said.code == 0, (arguments, said.err)
        ran.append(arguments[0])
    assert {"farm", "season", "crew", "load", "map", "report", "labels", "paper", "brief", "calc"} == set(ran)
    made = {path.name for path in tmp_path.iterdir() if path.suffix in {".pdf", ".html"}}
    assert made == {"map.html", "labels.pdf", "b1.pdf", "card.pdf"}
