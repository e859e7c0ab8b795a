"""What to call what a file holds: the file's own words where it has them, else Block 1, Row 1, Tree 1."""

from collections import Counter
from collections.abc import Mapping, Sequence

from orchardmap.geodata.preview import Kind, Value

_WORDS: dict[Kind, tuple[str, ...]] = {
    "block": (
        "name", "block", "block_name", "blockname", "code", "block_code", "label", "title", "parcel", "field",
        "number", "no", "nr", "ref", "block_id", "blockid", "uniqueid", "id",
    ),
    "row": ("row", "row_number", "rownumber", "row_no", "name", "label", "number", "no", "nr", "id"),
    "tree": ("tree", "name", "label", "plant", "number", "no", "nr", "id"),
}  # fmt: skip
_DEFAULTS: dict[Kind, str] = {"block": "Block", "row": "Row", "tree": "Tree"}
_LONGEST = 80


def _text(value: Value) -> str:
    if value is None or isinstance(value, bool):
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)[:_LONGEST].strip()


def _is_telling(texts: Sequence[str]) -> bool:
    """Tell whether texts can serve as names: most are there, and they differ."""
    filled = [text for text in texts if text]
    return bool(filled) and 2 * len(filled) >= len(texts) and 2 * len(set(filled)) > len(filled)


def _keys(properties: Sequence[Mapping[str, Value]], kind: Kind) -> list[str]:
    """Return the keys that may hold names, best first."""
    found = {key.lower(): key for own in reversed(properties) for key in own}
    exact = [found[word] for word in _WORDS[kind] if word in found]
    ending = [key for low, key in found.items() if low.endswith(("_name", "_id", " id", " name"))]
    return exact + [key for key in ending if key not in exact]


def names(properties: Sequence[Mapping[str, Value]], *, kind: Kind) -> list[str]:
    """Return a name for each of several features of one kind.

    Parameters
    ----------
    properties : sequence of mappings
        What the file says about each.
    kind : Kind
        Block, row or tree.

    Returns
    -------
    list of str
        From the first property that is called like a name, is mostly filled in and mostly differs; numbered
        names fill the gaps. Two may be the same: `doubled` says which.

    Examples
    --------
    >>> names([{"NAME": "Home"}, {"NAME": "Hill"}, {}], kind="block")
    ['Home', 'Hill', 'Block 3']
    >>> names([{"crop": "apple"}, {"crop": "apple"}], kind="block")
    ['Block 1', 'Block 2']
    """
    for key in _keys(properties, kind):
        texts = [_text(own.get(key)) for own in properties]
        if _is_telling(texts):
            break
    else:
        texts = [""] * len(properties)
    word = _DEFAULTS[kind]
    bare = kind != "block"
    named = []
    for place, text in enumerate(texts, start=1):
        # a row called 7 reads as "Row 7"; a block called 7 may really be called that
        named.append(f"{word} {text}" if text and bare and text.isdigit() else text or f"{word} {place}")
    return named


def made_up(name: str, properties: Mapping[str, Value]) -> bool:
    """Tell whether a name is the word and number that `names` made, and stands nowhere in what the file says."""
    bare = name.partition(" part ")[0]
    word, _, number = bare.partition(" ")
    said = {_text(value) for value in properties.values()}
    return word in _DEFAULTS.values() and number.isdigit() and not {bare, name} & said


def doubled(block_names: Sequence[str]) -> set[str]:
    """Return the names that more than one block has.

    Parameters
    ----------
    block_names : sequence of str
        Names of all blocks of a file.

    Returns
    -------
    set of str
        In small letters: whether letters are large or small makes no difference.

    Examples
    --------
    >>> doubled(["Home", "home", "Hill"])
    {'home'}
    """
    counts = Counter(name.casefold() for name in block_names)
    return {name for name, count in counts.items() if count > 1}
