"""How far long work is, for whoever waits for it."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

__all__ = ["Told", "counted"]

Told = Callable[[str, int, int], None] | None
"""Called with what is being done, how many steps are done, and how many there are; 0 where nobody knows."""
One = TypeVar("One")


def counted(found: Sequence[One], words: str, told: Told) -> Iterator[One]:
    """Yield things one after the other, and tell of each that it is done."""
    for done, one in enumerate(found, 1):
        yield one
        if told is not None:
            told(words, done, len(found))
