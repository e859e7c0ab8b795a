"""The real service as a process of its own."""

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ready_processes import ReadyProcess


class Server:
    """`orchardmap serve` on a free port; ready when made. The command itself, or (``forked``) what need not import it first."""

    def __init__(self, database_url: str, *options: str, forked: bool = False, **settings: str) -> None:
        environment = {k: v for k, v in os.environ.items() if not k.startswith("ORCHARDMAP_")} | {
            "PYTHONUNBUFFERED": "1",
            **settings,
        }
        command = ["serve", "--database", database_url, "--port", "0", *options]
        self.process: subprocess.Popen[str] | ReadyProcess
        if forked:
            self.process = ReadyProcess(command, environment, Path.cwd())
        else:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "orchardmap", *command],
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                env=environment,
            )
        self.said: list[str] = []
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)
            found = re.search(r"ready at (https?://[^/\s]+)", line)
            if found:
                self.address = found.group(1)
                break
        else:
            raise RuntimeError("the service did not start: " + "".join(self.said))
        # its output must be read on, or a full pipe would stop it
        self._reader = threading.Thread(target=self._read_on, daemon=True)
        self._reader.start()

    def _read_on(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)

    def heard(self, pattern: str) -> str:
        """Return what it says that fits a pattern, as soon as it says it."""
        deadline = time.monotonic() + 20
        while time.monotonic() < deadline:
            for line in list(self.said):
                if found := re.search(pattern, line):
                    return str(found[1])
            time.sleep(0.02)
        raise AssertionError(f"it never said {pattern}: {''.join(self.said)}")

    def kill(self) -> None:
        """Kill it as a power cut would, as far as a process can tell."""
        self.process.send_signal(signal.SIGKILL)
        self._ended()

    def stop(self) -> int:
        """Ask it to stop and return its exit code."""
        self.process.send_signal(signal.SIGTERM)
        return self._ended()

    def _ended(self) -> int:
        code = self.process.wait(timeout=20)
        self._reader.join(timeout=20)
        assert self.process.stdout is not None
        self.process.stdout.close()
        return code


@contextmanager
def served(database_url: str, *options: str, forked: bool = False, **settings: str) -> Iterator[Server]:
    """Serve a database for the length of a ``with`` block."""
    server = Server(database_url, *options, forked=forked, **settings)
    try:
        yield server
    finally:
        if server.process.poll() is None:
            server.stop()
