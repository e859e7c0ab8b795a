"""The definition of what can be asked as a page to read (OGC 17-069r4, requirement oas30/oas-definition-1: JSON and HTML)."""

from html import escape
from typing import Any

__all__ = ["as_html"]

Json = dict[str, Any]


def as_html(document: Json) -> str:
    """Return an OpenAPI document as a page to read: each operation with its parameters and answers, and the fields of each collection."""
    info = document["info"]
    parts = [
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{escape(info["title"])}</title></head><body>',
        f"<h1>{escape(info['title'])}</h1><p>{escape(info['description'])}</p>",
        f"<p>All addresses below begin with <code>{escape(document['servers'][0]['url'])}</code>. "
        "Send <code>Authorization: Bearer TOKEN</code>, or be signed in.</p>",
        *(_operation(document, path, item["get"]) for path, item in document["paths"].items()),
        "<h2>Fields</h2>",
        *(
            _fields(name, shape)
            for name, shape in document["components"]["schemas"].items()
            if name.endswith("Feature")
        ),
        "</body></html>",
    ]
    return "\n".join(parts)


def _operation(document: Json, path: str, told: Json) -> str:
    components = document["components"]
    named = [components["parameters"][one["$ref"].rpartition("/")[2]] for one in told.get("parameters", ())]
    asked = "".join(
        f"<dt><code>{escape(one['name'])}</code></dt><dd>{escape(one['description'])}</dd>" for one in named
    )
    answers = []
    for status, said in told["responses"].items():
        whole = components["responses"][said["$ref"].rpartition("/")[2]] if "$ref" in said else said
        kinds = ", ".join(whole["content"])
        answers.append(f"<li>{status}: {escape(whole['description'])} ({escape(kinds)})</li>")
    return (
        f"<h2><code>GET {escape(path)}</code></h2><p>{escape(told['summary'])}</p>"
        f"{f'<dl>{asked}</dl>' if asked else ''}<ul>{''.join(answers)}</ul>"
    )


def _fields(name: str, shape: Json) -> str:
    fields = shape["properties"]["properties"]["properties"]
    rows = "".join(
        f"<tr><td><code>{escape(field)}</code></td><td>{escape(said['title'])}</td><td>{said.get('format', said['type'])}</td></tr>"
        for field, said in fields.items()
    )
    head = "<tr><th>Field</th><th>What it is</th><th>Kind</th></tr>"
    return f"<h3>{escape(name.removesuffix('Feature'))}</h3><table>{head}{rows}</table>"
