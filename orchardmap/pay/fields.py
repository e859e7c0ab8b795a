"""Fields of a JSON object, read one by one: what is wrong with one is said with its place."""

import re
from collections.abc import Collection
from datetime import date
from decimal import Decimal
from typing import TypeVar

from orchardmap.errors import InputError
from orchardmap.jobs import refuse_unknown_keys

__all__ = ["Fields"]

Word = TypeVar("Word", bound=str)
_TYPED = re.compile(r"[0-9]{1,12}(?:\.[0-9]{1,12})?")
_LARGEST = 1_000_000_000
_LONGEST = 200


class Fields:
    """An object of a job. A key that is null counts as left out.

    Parameters
    ----------
    value : object
        What has been read from JSON.
    known : collection of str
        Keys that it may have.
    where : str, optional
        Its place, in front of each key's.

    Raises
    ------
    InputError
        If it is no object, or has a key that is not known.
    """

    def __init__(self, value: object, known: Collection[str], where: str = "") -> None:
        if not isinstance(value, dict):
            raise InputError("It must be an object, in braces.", where=where)
        self.given = {str(key): one for key, one in value.items() if one is not None}
        self.where = where
        try:
            refuse_unknown_keys(self.given, known)
        except InputError as error:
            raise self._error(error.where, error.what, error.todo) from None

    def has(self, key: str) -> bool:
        """Tell whether the key is given."""
        return key in self.given

    def number(self, key: str, default: Decimal | None = None) -> Decimal:
        """Return a number >= 0, exactly as it was typed: a JSON number, or text such as "0.45"."""
        if key not in self.given and default is not None:
            return default
        value = self._needed(key, "Give a number.")
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            raise self._error(key, f"It is {value!r}.", "Give a number.")
        if isinstance(value, str) and not _TYPED.fullmatch(value):
            raise self._error(key, f"It is {value[:40]!r}.", "Give a number such as 0.45.")
        # written so that what is no number is refused too
        if not isinstance(value, str) and not 0 <= value <= _LARGEST:
            raise self._error(key, f"It is {value}.", f"Give 0 to {_LARGEST:,}.")
        # the shortest text that names a float is what somebody typed
        return Decimal(str(value))

    def whole(self, key: str, default: int | None = None) -> int:
        """Return a whole number >= 0."""
        if key not in self.given and default is not None:
            return default
        value = self.number(key)
        if value != int(value):
            raise self._error(key, f"It is {value}.", "Give a whole number.")
        return int(value)

    def text(self, key: str) -> str:
        """Return a name; a number will do."""
        value = self._needed(key, "Give a name.")
        if isinstance(value, int) and not isinstance(value, bool):
            value = str(value)
        if not isinstance(value, str) or not value.strip() or len(value) > _LONGEST:
            raise self._error(key, "It is no name.", f"Give up to {_LONGEST} letters.")
        return value.strip()

    def optional_text(self, key: str) -> str | None:
        """Return a name, or None where there is none."""
        return self.text(key) if key in self.given else None

    def day(self, key: str) -> date:
        """Return a day."""
        value = self._needed(key, "Give a day such as 2026-01-31.")
        try:
            return date.fromisoformat(value if isinstance(value, str) else "")
        except ValueError:
            raise self._error(key, f"It is {value!r}.", "Give a day such as 2026-01-31.") from None

    def optional_day(self, key: str) -> date | None:
        """Return a day, or None where there is none."""
        return self.day(key) if key in self.given else None

    def word(self, key: str, words: tuple[Word, ...], default: Word | None = None) -> Word:
        """Return one of a few words."""
        if key not in self.given and default is not None:
            return default
        value, todo = (
            self._needed(key, f"Give one of {', '.join(words)}."),
            f"Give one of {', '.join(words)}.",
        )
        for word in words:
            if value == word:
                return word
        raise self._error(key, f"It is {value!r}.", todo)

    def flag(self, key: str, *, default: bool) -> bool:
        """Return true or false."""
        value = self.given.get(key, default)
        if not isinstance(value, bool):
            raise self._error(key, f"It is {value!r}.", "Give true or false.")
        return value

    def objects(self, key: str, known: Collection[str]) -> list["Fields"]:
        """Return the objects of a list, none where it is left out; their places count from 1."""
        value = self.given.get(key, [])
        if not isinstance(value, list):
            raise self._error(key, "It must be a list, in brackets.")
        return [Fields(one, known, f"{self._at(key)} {number}") for number, one in enumerate(value, 1)]

    def wholes(self, key: str) -> list[int]:
        """Return a list of whole numbers >= 0, empty where it is left out."""
        value = self.given.get(key, [])
        if not isinstance(value, list):
            raise self._error(key, "It must be a list, in brackets.")
        return [Fields({key: one}, [key], self.where).whole(key) for one in value]

    def placed(self, error: InputError) -> InputError:
        """Return an error of what was made from these fields with its place in front."""
        return self._error(error.where, error.what, error.todo)

    def _needed(self, key: str, todo: str) -> object:
        if key not in self.given:
            raise self._error(key, "It is missing.", todo)
        return self.given[key]

    def _at(self, key: str) -> str:
        return ", ".join(part for part in (self.where, key) if part)

    def _error(self, key: str, what: str, todo: str = "") -> InputError:
        return InputError(what, where=self._at(key), todo=todo)
