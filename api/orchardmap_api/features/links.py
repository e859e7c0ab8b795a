"""Addresses and links of the service's documents (OGC 17-069r4, 5.2; RFC 8288)."""

from collections.abc import Mapping, Sequence
from urllib.parse import quote, urlencode

__all__ = ["GEOJSON", "HTML", "JSON", "JSON_SCHEMA", "OPENAPI", "Link", "address", "link", "next_address"]

JSON, GEOJSON, HTML = "application/json", "application/geo+json", "text/html"
JSON_SCHEMA = "application/schema+json"
OPENAPI = "application/vnd.oai.openapi+json;version=3.0"
"""17-069r4, requirement oas30/oas-definition-1; desktop clients look for it by this very name."""

Link = dict[str, str]


def address(root: str, *parts: str, query: Sequence[tuple[str, str]] = ()) -> str:
    """Return the address of something below a root, each part percent-encoded as a whole.

    Examples
    --------
    >>> address("http://x/ogc", "collections", "rows", "items", query=[("bbox", "1,2,3,4")])
    'http://x/ogc/collections/rows/items?bbox=1,2,3,4'
    >>> address("http://x/ogc", "a/b")
    'http://x/ogc/a%2Fb'
    """
    path = "/".join([root, *(quote(part, safe="") for part in parts)])
    # what a list or an interval is told with stays readable; RFC 3986, 3.4, lets a query hold it
    told = urlencode(query, quote_via=quote, safe=",/:")
    return f"{path}?{told}" if told else path


def link(href: str, rel: str, kind: str, title: str) -> Link:
    """Return a link with everything that the standard wants of one (requirement fc-rel-type: rel and type)."""
    return {"href": href, "rel": rel, "type": kind, "title": title}


def next_address(
    root: str, parts: Sequence[str], said: Sequence[tuple[str, str]], changes: Mapping[str, str]
) -> str:
    """Return the address of the next page: everything that was asked, with what changes."""
    kept = [(name, value) for name, value in said if name not in changes]
    return address(root, *parts, query=[*kept, *changes.items()])
