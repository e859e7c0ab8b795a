"""The files a map page needs, from the installed packages, under names that carry their hash.

A name changes whenever its bytes do, so a service may call each of them immutable.
"""

import hashlib
import json
from functools import cache
from importlib import resources
from pathlib import Path

from xstatic.pkg import leaflet

from orchardmap.maps import legend, signs

__all__ = ["asset_files", "asset_url", "script_text", "style_text"]

SCRIPT_PARTS = (
    "words.js",
    "geometry.js",
    "drawing.js",
    "rings.js",
    "source.js",
    "layer.js",
    "near.js",
    "near_seats.js",
    "near_names.js",
    "patches.js",
    "ground.js",
    "far_seats.js",
    "far_plan.js",
    "far.js",
    "extent.js",
    "panels.js",
    "table.js",
    "keyboard.js",
    "checks.js",
    "weak_cards.js",
    "cards.js",
    "look.js",
    "draw.js",
    "draw_file.js",
    "address.js",
    "print.js",
    "following.js",
    "orchard_layer.js",
)
"""Our own script, in the order the parts build on one another; served as one file."""


def _own_text(name: str) -> str:
    return resources.files("orchardmap.maps").joinpath("assets", name).read_text(encoding="utf-8")


def _leaflet_text(name: str) -> str:
    text = Path(leaflet.BASE_DIR, name).read_text(encoding="utf-8")
    return text.replace("\r\n", "\n")


@cache
def script_text(name: str) -> str:
    """Return a script, without a pointer to a source map that is not served.

    Parameters
    ----------
    name : str
        ``leaflet.js`` or ``orchard_layer.js``.

    Returns
    -------
    str
        JavaScript.
    """
    if name == "leaflet.js":
        text = _leaflet_text("leaflet.js")
        return "\n".join(line for line in text.split("\n") if not line.startswith("//# sourceMappingURL"))
    return "\n".join(_own_text(part) for part in SCRIPT_PARTS)


@cache
def style_text(name: str) -> str:
    """Return a style sheet; ours carries the palette as custom properties.

    Parameters
    ----------
    name : str
        ``leaflet.css`` or ``orchard.css``.

    Returns
    -------
    str
        CSS without any outside address: the pictures of Leaflet's own layer switch and marker are not used.
    """
    if name == "leaflet.css":
        lines = _leaflet_text("leaflet.css").split("\n")
        return "\n".join(line for line in lines if "url(" not in line)
    palette = "".join(f"--{key.replace('_', '-')}:{colour};" for key, colour in signs.PALETTE.items())
    return f":root{{{palette}}}\n{_own_text('orchard.css')}"


@cache
def asset_files() -> dict[str, tuple[bytes, str]]:
    """Return every file of the served map page.

    Returns
    -------
    dict of str to (bytes, str)
        Path on the service (``/assets/<name>-<hash>.<ext>``) to bytes and content type; a name is
        never used again for other bytes.

    Examples
    --------
    >>> sorted(path.split("-")[0] for path in asset_files())
    ['/assets/leaflet', '/assets/leaflet', '/assets/legend', '/assets/orchard', '/assets/orchard_layer']
    """
    made = {
        "leaflet.js": (script_text("leaflet.js"), "text/javascript; charset=utf-8"),
        "orchard_layer.js": (script_text("orchard_layer.js"), "text/javascript; charset=utf-8"),
        "leaflet.css": (style_text("leaflet.css"), "text/css; charset=utf-8"),
        "orchard.css": (style_text("orchard.css"), "text/css; charset=utf-8"),
        "legend.json": (json.dumps(legend.as_json()), "application/json"),
    }
    return {_hashed(name, text): (text.encode(), kind) for name, (text, kind) in made.items()}


def _hashed(name: str, text: str) -> str:
    stem, _, extension = name.rpartition(".")
    return f"/assets/{stem}-{hashlib.sha256(text.encode()).hexdigest()[:16]}.{extension}"


def asset_url(name: str) -> str:
    """Return the path under which a file of the map page is served.

    Parameters
    ----------
    name : str
        ``leaflet.js``, ``leaflet.css``, ``orchard_layer.js``, ``orchard.css`` or ``legend.json``.

    Returns
    -------
    str
        ``/assets/<name>-<hash>.<ext>``.
    """
    stem, _, extension = name.rpartition(".")
    return next(
        path
        for path in asset_files()
        if path.startswith(f"/assets/{stem}-") and path.endswith(f".{extension}")
    )
