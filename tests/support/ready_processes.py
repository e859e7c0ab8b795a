"""The command `orchardmap` in a process of its own that need not import it first: forked off one that has.

What is imported is the same, and so are the process, its signals and its end, but for what Python does at its own end. Half
of the time of a test that starts a service was spent importing it.
"""

import multiprocessing
import os
import signal
import sys
from collections.abc import Mapping
from contextlib import suppress
from multiprocessing.reduction import DupFd
from pathlib import Path
from typing import Any

_FORKS = multiprocessing.get_context("forkserver")
_FORKS.set_forkserver_preload(["orchardmap.cli.serving"])


def _run(arguments: list[str], environment: dict[str, str], folder: str, out: Any) -> None:
    # a shell that runs the tests in its background has what it starts ignore SIGINT
    signal.signal(signal.SIGINT, signal.default_int_handler)
    said = out.detach()
    os.dup2(said, 1)
    os.dup2(said, 2)
    os.close(said)
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(line_buffering=True)  # type: ignore[union-attr]
    os.environ.clear()
    os.environ.update(environment)
    os.chdir(folder)
    sys.argv = ["orchardmap", *arguments]
    from orchardmap.cli.main import run

    run()


class ReadyProcess:
    """Spoken to as a `subprocess.Popen` with both of its streams in ``stdout``."""

    def __init__(self, arguments: list[str], environment: Mapping[str, str], folder: Path) -> None:
        read, write = os.pipe()
        self._process = _FORKS.Process(
            target=_run, args=(arguments, dict(environment), str(folder), DupFd(write)), daemon=True
        )
        self._process.start()
        os.close(write)
        self.stdout = os.fdopen(read, encoding="utf-8")  # closed by whoever reads it
        assert self._process.pid is not None
        self.pid: int = self._process.pid

    def poll(self) -> int | None:
        """Return the exit code, None while it runs."""
        return self._process.exitcode

    def wait(self, timeout: float) -> int:
        """Wait until it has ended and return its exit code."""
        self._process.join(timeout)
        code = self._process.exitcode
        if code is None:
            raise TimeoutError(f"The process {self.pid} still runs after {timeout:g} s.")
        return code

    def send_signal(self, number: int) -> None:
        """Send it a signal; none once it has ended."""
        if self.poll() is None:
            with suppress(ProcessLookupError):
                os.kill(self.pid, number)

    def terminate(self) -> None:
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)
