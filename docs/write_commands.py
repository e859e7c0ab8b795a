"""Write docs/commands.md from the command line itself: every command with what it does and an example that works."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typer.main

from orchardmap.cli.main import app
from orchardmap.cli.panels import PANELS

PAGE = Path(__file__).with_name("commands.md")
HEAD = """# Commands

Written by `docs/write_commands.py` from the program itself; a test holds this page to it. `orchardmap COMMAND --help` says every option. Where the program was installed by `make`, it is
`.venv/bin/orchardmap`.

- **Database**: `--database sqlite:///file` or `postgresql://user@host/name`, else the setting `ORCHARDMAP_DATABASE_URL`, else `orchardmap.sqlite` in this folder. On SQLite one process writes at a time: commands
  that only read may run beside the service, those that write ask you to stop it. All settings stand in the [README](../README.md#settings).
- **`--json`** (marked below) says the answer as one JSON document on standard output, and nothing else there; `calc` always does. What goes wrong is then one such document too,
  `{"error": {"what": ..., "where": ..., "todo": ...}}`, beside the sentence on the error stream (of `calc` the sentence alone).
- **`--out -`** writes a file to standard output, and says what was written on the error stream. A file takes its place when it is whole; until then, and where it cannot be
  written, what was there stays. A link is followed, a pipe or device is written to.
- **Exit codes**: 0 done; 1 not done, with one sentence on the error stream that says what, where and what to do (also: a row that differs in `rebuild --check`, a log that is not whole, a refused record of `take-in`);
  2 the command line was not understood; 130, 143, 129 stopped by Ctrl+C, SIGTERM, SIGHUP, with nothing left half-written. 1 without a word: whoever read the answer through a pipe went away.
  `serve` and `demo` end with 0 when they are asked to stop.
- **Long work** says on the error stream how far it is, if that is a terminal, by a bar where its steps are known; a script reads nothing of it.
- **Completion**: `orchardmap --install-completion` for your shell (bash, zsh, fish, PowerShell), or `eval "$(orchardmap --show-completion bash)"` for this one only.
"""


def commands(command: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield every command of the program with the words that call it."""
    found = getattr(command, "commands", None)
    if found is None:
        yield path, command
        return
    for name, one in found.items():
        yield from commands(one, (*path, name))


def known_commands() -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield every command of the program."""
    return commands(typer.main.get_command(app))


def line(path: tuple[str, ...], command: Any) -> str:
    """Return the line of the table for one command."""
    first = re.split(r"\n\s*\n", (command.help or "").strip())[0]
    does = " ".join(first.split())
    example = re.search(r"Example: (orchardmap .*?)\s*(?:\n|$)", command.help or "")
    has_json = any("--json" in parameter.opts for parameter in command.params) or path[0] == "calc"
    shown = (example.group(1) if example else "").replace("|", "\\|")
    return f"| `{' '.join(path)}` | {does} | {'yes' if has_json else ''} | `{shown}` |"


def page() -> str:
    """Return the page."""
    known = dict(known_commands())
    titles = {name: title for title, names in PANELS.items() for name in names}
    parts = [HEAD]
    for title in [*PANELS, "Others"]:
        lines = [line(path, one) for path, one in known.items() if titles.get(path[0], "Others") == title]
        if lines:
            parts.append(
                f"## {title}\n\n| command | what it does | JSON | example |\n| --- | --- | --- | --- |\n"
                + "\n".join(lines)
                + "\n"
            )
    return "\n".join(parts)


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
