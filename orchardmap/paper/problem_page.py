"""What a browser shows where an address leads to nothing that can be shown. All its words stand here."""

from collections.abc import Sequence
from html import escape

from orchardmap.paper.screen_page import screen_page

__all__ = ["problem_page"]


def problem_page(title: str, sentences: Sequence[str]) -> str:
    """Return the page: what went wrong, each sentence by itself, and the way to the first screen.

    Parameters
    ----------
    title : str
        Plain text, as everything here.
    sentences : sequence of str
        What, where and what to do; empty ones are left out.

    Returns
    -------
    str
    """
    said = "".join(f"<p>{escape(one)}</p>" for one in sentences if one)
    return screen_page(title, f'{said}<p><a class="button" href="/">To the first screen</a></p>')
