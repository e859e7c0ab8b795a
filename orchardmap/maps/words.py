"""The sentences of the map's own page, by the key that its script calls them by.

Names in braces are filled in by the script. A key that ends in ``_one`` is for one of a thing, ``_many`` for any other
number of it. English stands here; the other languages in `orchardmap.locale`.
"""

from typing import Any, Final

from orchardmap.locale.catalogue import message, translated

__all__ = ["SENTENCES", "page_words"]

SENTENCES: Final = {
    "loading": message("Loading the map …"),
    "show_all": message("Show all"),
    "blocks_shown": message("Shown: {n} of {all} blocks."),
    "crew_shown": message("Trees pruned by {crew}."),
    "crew_rows_shown": message("Rows pruned by {crew} stand out; rings tell of all crews."),
    "one_crew": message("one crew"),
    "show_features": message("Show on the map"),
    "link": message("Link to this map"),
    "tools": message("Link and print"),
    "print": message("Print"),
    "copy_link": message("Copy link"),
    "link_copied": message("The link is copied."),
    "copy_by_hand": message("Copy the link with Ctrl and C, or by a long press."),
}


def page_words(language: str) -> dict[str, Any]:
    """Return the sentences of the page in a language, English where it lacks one.

    Parameters
    ----------
    language : str
        ISO 639-1 code.

    Returns
    -------
    dict
        ``language``, and ``sentences`` by key.

    Examples
    --------
    >>> page_words("en")["sentences"]["copy_link"]
    'Copy link'
    """
    return {
        "language": language,
        "sentences": {key: translated(sentence, language) for key, sentence in SENTENCES.items()},
    }
