"""A page of plain HTML for a screen, with its style inside and a policy that allows nothing else."""

import base64
import hashlib
from html import escape

__all__ = ["POLICY", "screen_page"]

_STYLE = """
:root { color-scheme: light dark; --paper: #fff; --ink: #1d2024; --quiet: #44484e; --line: #8a9099; --key: #003c72; --on-key: #fff; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #16181b; --ink: #f2f3f5; --quiet: #c9cdd3; --line: #7c838c; --key: #a9cdf2; --on-key: #10161c; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 18px/1.5 system-ui, "DejaVu Sans", sans-serif; }
main { max-width: 44rem; margin: 0 auto; padding: 1.25rem 1.25rem 4rem; overflow-wrap: anywhere; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: .5rem 0 1rem; }
h2 { font-size: 1.25rem; margin: 2.2rem 0 .5rem; }
p, ol, ul { margin: .5rem 0; }
li { margin: .45rem 0; }
a { color: var(--key); }
a.button { display: inline-flex; align-items: center; min-height: 56px; padding: .5rem 1.25rem; border-radius: .5rem;
  background: var(--key); color: var(--on-key); font-weight: 700; text-decoration: none; }
a.button:focus-visible, a:focus-visible, summary:focus-visible { outline: 3px solid var(--ink); outline-offset: 3px; }
pre { font: 700 1.35rem/1.7 "DejaVu Sans Mono", ui-monospace, monospace; white-space: pre-wrap; margin: .75rem 0; }
details { border-top: 1px solid var(--line); }
details:last-of-type { border-bottom: 1px solid var(--line); }
summary { min-height: 56px; padding: .9rem 0; font-weight: 700; cursor: pointer; }
.quiet { color: var(--quiet); }
.code { display: inline-block; background: #fff; padding: .25rem; border: 1px solid var(--line); }
""".strip()

_HASH = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()

POLICY = f"default-src 'none'; style-src 'sha256-{_HASH}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
"""Content-Security-Policy of such a page: its one style, no script, nothing fetched."""


def screen_page(title: str, main: str) -> str:
    """Return a whole page.

    Parameters
    ----------
    title : str
        Plain text.
    main : str
        HTML of the page, in which every text from outside was escaped by the caller.

    Returns
    -------
    str
    """
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n"
        f"<body>\n<main>\n<h1>{escape(title)}</h1>\n{main}\n</main>\n</body>\n</html>\n"
    )
