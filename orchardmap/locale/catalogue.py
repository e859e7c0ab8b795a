"""Sentences in every language there is a catalogue for. English stands in the code and is the key of the others.

The catalogues are part of the program and read once. A new language is one more file, ``<language>.po`` with its
ISO 639-1 code, and its decimal sign in `orchardmap.locale.numbers`.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from orchardmap.locale.po import po_entries

__all__ = ["SOURCE_LANGUAGE", "languages", "message", "translated"]

SOURCE_LANGUAGE = "en"


@cache
def _catalogues() -> dict[str, dict[str, str]]:
    found = (file for file in files("orchardmap.locale").iterdir() if file.name.endswith(".po"))
    texts = {file.name.removesuffix(".po"): file.read_text("utf-8") for file in found}
    return {language: po_entries(texts[language]) for language in sorted(texts)}


def languages() -> tuple[str, ...]:
    """Return the languages that sentences are kept in: English first, then those with a catalogue.

    Returns
    -------
    tuple of str
        ISO 639-1 codes.

    Examples
    --------
    >>> languages()
    ('en', 'es')
    """
    return (SOURCE_LANGUAGE, *_catalogues())


def message(sentence: str) -> dict[str, str]:
    """Return a sentence in all languages that have it. The call also marks the sentence for ``xgettext``.

    Parameters
    ----------
    sentence : str
        English, a literal; names in braces are filled in later.

    Returns
    -------
    dict of str to str
        Language to sentence, English first; a language that lacks it is left out.

    Examples
    --------
    >>> message("Keep one leader; cut out any rival.")["en"]
    'Keep one leader; cut out any rival.'
    """
    told = {SOURCE_LANGUAGE: sentence}
    for language, entries in _catalogues().items():
        if sentence in entries:
            told[language] = entries[sentence]
    return told


def translated(sentences: Mapping[str, str], language: str) -> str:
    """Return a message in a language, or in English where that language lacks it.

    Parameters
    ----------
    sentences : mapping of str to str
        From `message`.
    language : str
        ISO 639-1 code.

    Returns
    -------
    str

    Examples
    --------
    >>> translated(message("Keep one leader; cut out any rival."), "xx")
    'Keep one leader; cut out any rival.'
    """
    return sentences.get(language, sentences[SOURCE_LANGUAGE])
