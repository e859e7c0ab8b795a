"""Build the front end while the Python package is built, and put it into the wheel.

The wheel carries ``web/dist`` as ``orchardmap_api/web``. A source distribution carries ``web/dist`` beside
the sources, so that installing from it needs no Node.js. ``ORCHARDMAP_SKIP_WEB=1`` leaves the front end out.
"""

import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

SKIP = "ORCHARDMAP_SKIP_WEB"
PLACE_IN_WHEEL = "orchardmap_api/web"


class WebBuildHook(BuildHookInterface[Any]):
    """Runs ``npm ci`` and ``npm run build`` in ``web/``."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build the front end and tell hatchling where it goes.

        Parameters
        ----------
        version : str
            Kind of build: ``standard``, or ``editable``, which copies nothing (the service then
            finds ``web/dist`` in the repository).
        build_data : dict
            Filled in for hatchling.
        """
        if version == "editable" or os.environ.get(SKIP, "") not in {"", "0"}:
            return
        root = Path(self.root)
        dist = root / "web" / "dist"
        is_unpacked_sdist = (root / "PKG-INFO").is_file() and (dist / "index.html").is_file()
        if not is_unpacked_sdist:
            build_front_end(root / "web")
        if self.target_name == "sdist":
            build_data["artifacts"].append("/web/dist/")
        else:
            build_data["force_include"][str(dist)] = PLACE_IN_WHEEL


def build_front_end(web: Path) -> None:
    """Install what ``package-lock.json`` names and build ``dist``.

    Parameters
    ----------
    web : Path
        The front end's folder.

    Raises
    ------
    RuntimeError
        If npm is not there, or one of its steps fails.
    """
    npm = shutil.which("npm")
    if npm is None:
        raise RuntimeError(
            f"The front end cannot be built: npm was not found. Install Node.js 20 or later, or set {SKIP}=1 "
            "to build the package without its pages."
        )
    for step in (["ci", "--no-audit", "--no-fund"], ["run", "build"]):
        done = subprocess.run([npm, *step], cwd=web, check=False, capture_output=True, text=True)  # noqa: S603
        if done.returncode != 0:
            told = "\n".join((done.stdout + done.stderr).splitlines()[-20:])
            raise RuntimeError(f"npm {' '.join(step)} failed in {web}:\n{told}")
