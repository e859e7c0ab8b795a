"""Run the command line in this process and see what a shell would see."""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from orchardmap.cli.main import run


@dataclass(frozen=True)
class Said:
    """What a command left behind."""

    code: int
    out: str
    err: str


Command = Callable[..., Said]


@pytest.fixture
def orchardmap(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Command:
    """`orchardmap(...)` runs the command in an empty folder and returns its exit code and what it said."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    for name in ("ORCHARDMAP_DATABASE_URL", "ORCHARDMAP_PORT", "ORCHARDMAP_HOST"):
        monkeypatch.delenv(name, raising=False)

    def call(*arguments: str) -> Said:
        capsys.readouterr()
        monkeypatch.setattr(sys, "argv", ["orchardmap", *arguments])
        code = 0
        try:
            run()
        except SystemExit as ended:
            code = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
        told = capsys.readouterr()
        return Said(code, told.out, told.err)

    return call
