"""A farm that is offered to programs of other people, and such a program in a process of its own."""

import json
import os
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Offer:
    """What a client is given, and what it must find there, worked out without the service."""

    root: str
    """Address of the farm's landing page."""
    other_root: str
    """Of a farm that the token is not for."""
    token: str
    key: str
    """A reading key of the farm: what is told first to whoever sets a program up."""
    row_lengths_m: dict[str, float]
    """Of each row by its feature's id, from the store: geodesic, on WGS 84."""

    def found_by(self, python: str, script: Path, home: Path, **more: str) -> Any:
        """Run a script of an interpreter, with the offer in its environment; return the JSON of the last line that it prints."""
        given = {"ROOT": self.root, "OTHER_ROOT": self.other_root, "TOKEN": self.token, "KEY": self.key}
        own = {"HOME": str(home), "XDG_RUNTIME_DIR": str(home)} | more
        done = subprocess.run(
            [python, str(script)],
            env=os.environ | given | own,
            capture_output=True,
            text=True,
            timeout=150,
            check=False,
        )
        assert done.returncode == 0, done.stderr + done.stdout
        return json.loads(done.stdout.strip().splitlines()[-1])
