"""The map as a page: served beside its data, or one file that carries everything.

Both are the same folium map with the same script; only where the script takes its data from
differs. Names from people travel as JSON data alone and are shown by the script as text, so none
of them ever enters a template of folium's.
"""

import json
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any
from urllib.parse import urlsplit

from branca.element import MacroElement
from folium.template import Template

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import translated
from orchardmap.maps import legend, signs
from orchardmap.maps.assets import asset_files
from orchardmap.maps.offline import OfflineFigure, PlainMap
from orchardmap.maps.sign_svg import glyph_svg
from orchardmap.maps.words import SENTENCES, legend_text, page_words

__all__ = ["MapConfig", "asset_files", "content_security_policy", "map_file", "map_page"]


@dataclass(frozen=True, slots=True)
class MapConfig:
    """What a served map page has to know.

    ``layer`` is progress, quality or remaining; ``day`` an ISO date or empty for today.
    ``embedded`` leaves heading, figures and day out, for a page that frames the map under its own.
    """

    farm_id: str
    farm_name: str = ""
    day: str = ""
    layer: str = "progress"
    api: str = "/api"
    rows_page: str = "/rows"
    checks_page: str = "/checks"
    quality_page: str = "/quality"
    tile_url: str = ""
    tile_credit: str = ""
    embedded: bool = False
    language: str = "en"
    """Of the page's words, ISO 639-1."""


class _Start(MacroElement):
    """Hands the folium map to our script; everything else it needs stands in the page as JSON."""

    def __init__(self) -> None:
        super().__init__()  # type: ignore[no-untyped-call]

    _template = Template("""
        {% macro script(this, kwargs) %}
        orchardMap.start({{ this._parent.get_name() }}, document);
        {% endmacro %}
    """)


def _frame(language: str) -> tuple[str, str]:
    """Return what stands before and after the map, in a language; no text from people is in it."""

    def said(key: str) -> str:
        return translated(SENTENCES[key], language)

    before = f"""<div id="orchard" class="loading"><header id="orchard-head"></header>
<main id="orchard-main" aria-label="{said("map")}">"""
    north = legend_text(signs.NORTH.words, language)
    after = f"""<svg id="orchard-north" width="34" height="44" viewBox="0 0 34 44" role="img"
 aria-label="{north}">{glyph_svg(signs.NORTH, x=17, y=27)}<text x="17" y="11"
 text-anchor="middle" font-size="12" font-weight="bold" fill="{signs.INK}">N</text></svg>
<div id="orchard-side"><section id="orchard-card" tabindex="0" aria-label="{said("selected")}" hidden></section>
<section id="orchard-legend" tabindex="0" aria-labelledby="orchard-legend-title"><h2 id="orchard-legend-title">
{legend_text(signs.WORDS["title"], language)}</h2>{legend.legend_html(language)}</section></div>
<div id="orchard-over"></div>
<section id="orchard-table" aria-label="{said("blocks")}" tabindex="0" hidden></section>
<p id="orchard-status" role="status"></p>
<p id="orchard-said" class="unseen" role="status"></p>
<p id="orchard-keys" class="unseen"></p>
</main></div>"""
    return before, after


def _as_data(value: object) -> str:
    """Return JSON that may stand in a script element: nothing in it can end the element."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _data_tag(key: str, value: object) -> str:
    return f'<script type="application/json" id="{key}">{_as_data(value)}</script>'


def _page(data: dict[str, Any], *, language: str, nonce: str = "", inline: bool = False) -> str:
    tags = "".join(_data_tag(key, value) for key, value in data.items())
    before, after = _frame(language)
    figure = OfflineFigure(
        own=("orchard.css", "orchard_layer.js"),
        frame=(before, after + tags),
        language=language,
        nonce=nonce,
        inline=inline,
    )
    folium_map = PlainMap(translated(SENTENCES["map_of_blocks"], language))
    folium_map.add_child(_Start())
    figure.add_child(folium_map)
    return figure.render()


def _layer(layer: str) -> str:
    if layer not in signs.VIEWS:
        raise InputError(
            f"There is no layer {layer!r}.", where="layer", todo=f"Choose one of {', '.join(signs.VIEWS)}."
        )
    return layer


def map_page(config: MapConfig, *, nonce: str) -> str:
    """Return the live map page of a farm.

    Parameters
    ----------
    config : MapConfig
        Farm, day, layer and addresses.
    nonce : str
        Fresh for every answer; the same as in `content_security_policy`.

    Returns
    -------
    str
        HTML. It loads its assets from ``/assets`` and its data from ``config.api``, same origin.

    Raises
    ------
    InputError
        If the layer is unknown.
    """
    settings = asdict(config) | {"layer": _layer(config.layer), "source": "served"}
    data = {
        "orchard-config": settings,
        "orchard-signs": legend.as_json() | {"features": legend.features_json()},
        "orchard-words": page_words(config.language),
    }
    return _page(data, language=config.language, nonce=nonce)


def map_file(
    overview: dict[str, Any],
    shapes: dict[str, Any],
    states: dict[str, Any],
    *,
    features: dict[str, Any],
    farm_name: str,
    day: date | str,
) -> str:
    """Return the map of one day as a single file that opens from disk with no network.

    Parameters
    ----------
    overview : dict
        The farm's overview as the service gives it.
    shapes, states : dict of str to dict
        Block id to shape and to state, as the service gives them.
    features : dict
        What lies on the farm beside its blocks, as the service gives it.
    farm_name : str
        Shown as the heading.
    day : date or ISO date
        The day the states stand for.

    Returns
    -------
    str
        HTML with Leaflet, our script, style and data inside, under a policy that lets nothing else in.
    """
    config = MapConfig(farm_id=str(overview.get("farm_id", "")), farm_name=farm_name, day=str(day))
    data = {
        "orchard-config": asdict(config) | {"source": "inside"},
        "orchard-signs": legend.as_json() | {"features": legend.features_json()},
        "orchard-words": page_words(config.language),
        "orchard-data": {"overview": overview, "shapes": shapes, "states": states, "features": features},
    }
    return _page(data, language=config.language, inline=True)


def tile_host(tile_url: str) -> str:
    """Return scheme and host of a tile address, as a policy names who may serve pictures; empty where there is none."""
    parts = urlsplit(tile_url.replace("{s}", "*"))
    return f"{parts.scheme}://{parts.netloc}" if parts.netloc else ""


def content_security_policy(nonce: str, *, tile_url: str = "") -> str:
    """Return the policy header of a served map page.

    Parameters
    ----------
    nonce : str
        The one given to `map_page`.
    tile_url : str, optional
        The configured tile address, whose host may then serve pictures.

    Returns
    -------
    str
        Value of ``Content-Security-Policy``.
    """
    host = tile_host(tile_url)
    return (
        f"default-src 'none'; base-uri 'none'; object-src 'none'; frame-ancestors 'self'; form-action 'self'; "
        f"script-src 'nonce-{nonce}'; style-src 'self' 'nonce-{nonce}'; img-src 'self' data:{host and ' ' + host}; "
        f"connect-src 'self'"
    )
