"""A page that asks nobody on the internet for anything.

folium links ten files on four outside hosts. Every map here is rendered through `OfflineFigure`,
which puts our own copy in place of a linked file it knows, drops what the map does not use, and
refuses what it does not know.
"""

import base64
import hashlib

import folium
from branca.element import CssLink, Element, Figure, JavascriptLink
from folium.template import Template

from orchardmap.errors import UnknownError
from orchardmap.maps import assets

__all__ = ["Finished", "OfflineFigure", "PlainMap"]

_KNOWN = {"leaflet": "leaflet.js", "leaflet_css": "leaflet.css"}
_UNUSED = frozenset({
    "jquery",
    "bootstrap",
    "bootstrap_css",
    "awesome_markers",
    "awesome_markers_css",
    "awesome_markers_font_css",
    "awesome_rotate_css",
    "glyphicons_css",
})
"""They serve folium's icons and popups only, and no map of ours has either."""


class Finished(Element):
    """Finished HTML. branca compiles the text of its own elements as a template once more; not of this one.

    Parameters
    ----------
    html : str
        What stands in the page, as it is.
    """

    def __init__(self, html: str) -> None:
        super().__init__()
        self._name = "Finished"
        self.html = html

    def render(self, **kwargs: object) -> str:  # noqa: ARG002
        """Return the HTML as it was given.

        Returns
        -------
        str
            HTML.
        """
        return self.html


class PlainMap(folium.Map):
    """A folium map without folium's page header: no inline style or script, zooming by hand allowed.

    Its controls, its view and its layers are made by our own script.

    Parameters
    ----------
    label : str
        What it is called to those who listen; our own words, never people's.
    """

    _template = Template("""
        {% macro html(this, kwargs) %}
        <div class="folium-map" id="{{ this.get_name() }}" role="region" aria-label="{{ this.label }}"></div>
        {% endmacro %}
        {% macro script(this, kwargs) %}
        const {{ this.get_name() }} = L.map("{{ this.get_name() }}", {
            center: {{ this.location|tojson }}, crs: L.CRS.{{ this.crs }}, ...{{ this.options|tojavascript }}
        });
        {% endmacro %}
    """)

    def __init__(self, label: str = "Map of the blocks") -> None:
        super().__init__(
            location=[0.0, 0.0],
            zoom_start=2,
            tiles=None,
            max_zoom=21,
            zoom_control=False,
            prefer_canvas=True,
            zoom_snap=0.1,
            wheel_px_per_zoom_level=120,
            attribution_control=False,
        )
        self.label = label
        # the same page for the same data, so that its hash can stand in a policy
        self._id = "orchard"


class OfflineFigure(Figure):
    """The page round a map: language, landmark, policy; every asset from here.

    Parameters
    ----------
    nonce : str, optional
        Set on every script and style tag, where the tag is made.
    own : tuple of str
        Our own files, by the names that `orchardmap.maps.assets.asset_url` knows; they follow the map's.
    frame : tuple of (str, str)
        Finished HTML before and after the map. It is no template, so data may stand in it.
    language : str
        Of the page, ISO 639-1.
    inline : bool
        True puts the files into the page and a policy of hashes before them: one self-contained file.
    """

    _template = Template("""<!DOCTYPE html>
<html lang="{{ this.language }}">
<head>
<meta charset="utf-8">
{{ this.policy_tag() }}
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Orchard map</title>
<link rel="icon" href="data:,">
{{ this.header.render(**kwargs) }}
</head>
<body>
{{ this.before }}
{{ this.html.render(**kwargs) }}
{{ this.after }}
{{ this.script_tag() }}
</body>
</html>
""")

    def __init__(
        self,
        *,
        own: tuple[str, ...] = (),
        frame: tuple[str, str] = ("", ""),
        nonce: str = "",
        inline: bool = False,
        language: str = "en",
    ) -> None:
        super().__init__()
        self.language = language
        self.own = own
        self.before, self.after = frame
        self.nonce = nonce
        self.inline = inline
        self._script = ""
        self._hashes: dict[str, list[str]] = {"script-src": [], "style-src": []}
        self.header._children.clear()

    def render(self, **kwargs: object) -> str:
        """Return the whole page.

        Returns
        -------
        str
            HTML.

        Raises
        ------
        UnknownError
            If a part of the map links a file that is neither known nor on the list of unused ones.
        """
        for child in list(self._children.values()):
            child.render(**kwargs)
        self._bring_home()
        for name in self.own:
            self.header.add_child(Finished(self._own(name)), name=f"own {name}")
        self._script = self.script.render(**kwargs)
        if self.inline:
            self._hashes["script-src"].append(_digest(self._script))
        return str(self._template.render(this=self, kwargs=kwargs))

    def _bring_home(self) -> None:
        children = self.header._children
        for name, child in list(children.items()):
            if not isinstance(child, JavascriptLink | CssLink):
                continue
            if name in _UNUSED:
                del children[name]
            elif name in _KNOWN:
                children[name] = Finished(self._own(_KNOWN[name]))
            else:
                raise UnknownError(
                    "A part of the map links a file from outside.",
                    where=f"{name} ({child.url})",
                    todo="Serve it from here and add it to the known files.",
                )

    def _own(self, name: str) -> str:
        if name.endswith(".css"):
            if self.inline:
                return self._inlined("style", assets.style_text(name))
            return f'<link rel="stylesheet" href="{assets.asset_url(name)}"{self._nonce()}>'
        if self.inline:
            return self._inlined("script", assets.script_text(name))
        return f'<script src="{assets.asset_url(name)}"{self._nonce()}></script>'

    def _inlined(self, tag: str, text: str) -> str:
        # a library may hold the words that would end its own tag
        safe = text.replace("</script", "<\\/script").replace("<!--", "<\\!--") if tag == "script" else text
        self._hashes[f"{tag}-src"].append(_digest(safe))
        return f"<{tag}>{safe}</{tag}>"

    def _nonce(self) -> str:
        return f' nonce="{self.nonce}"' if self.nonce else ""

    def script_tag(self) -> str:
        """Return what the parts of the map wrote as script, in its tag; no text from people is in it.

        Returns
        -------
        str
            A script element.
        """
        return f"<script{self._nonce()}>{self._script}</script>"

    def policy_tag(self) -> str:
        """Return the policy of a self-contained file: nothing but what is in it.

        Returns
        -------
        str
            A meta element, or nothing for a served page, whose policy is a header.
        """
        if not self.inline:
            return ""
        sources = "; ".join(f"{kind} {' '.join(hashes)}" for kind, hashes in self._hashes.items())
        policy = f"default-src 'none'; base-uri 'none'; form-action 'none'; img-src data:; {sources}"
        return f'<meta http-equiv="Content-Security-Policy" content="{policy}">'


def _digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
