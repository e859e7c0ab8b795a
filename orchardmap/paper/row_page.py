"""What a row-end code's address says when it does not lead to one row. All its words stand here."""

from collections.abc import Sequence
from html import escape

from orchardmap.paper.screen_page import screen_page

__all__ = ["no_row_page", "which_row_page"]


def no_row_page(code: str, row: str, *, block_is_known: bool) -> str:
    """Return the page for a row that is not there."""
    said = (
        f"Block {escape(code[:200])} has no row {escape(row[:20])}."
        if block_is_known
        else f"No block here goes by the code {escape(code[:200])}."
    )
    return screen_page(
        "This row is not known here",
        f"<p>{said}</p><p>The label may belong to another farm, or the block was named anew since it was printed. "
        'Choose the row by its number instead.</p><p><a class="button" href="/rows">Open the rows</a></p>',
    )


def which_row_page(choices: Sequence[tuple[str, str]]) -> str:
    """Return the page for a code that means a row on several farms.

    Parameters
    ----------
    choices : sequence of (str, str)
        Words and path of each.
    """
    links = "".join(
        f'<li><a class="button" href="{escape(path)}">{escape(words)}</a></li>' for words, path in choices
    )
    return screen_page("Which farm?", f"<p>Several of your farms have this row.</p><ul>{links}</ul>")
