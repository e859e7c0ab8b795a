"""Every error that orchardmap raises on purpose.

Each one says what is wrong, where, and what to do about it, so that the command line, the
service and a log can show the same sentence.

::

    OrchardmapError
    ├── InputError          what was given cannot be used
    │   ├── OutlineError    an outline or row line breaks a rule of geometry
    │   ├── ImportFileError a file cannot be read as what it claims to be
    │   ├── RecordError     a mark, withdrawal or check is not well formed
    │   ├── ParameterError  a parameter of an address is not known, or malformed
    │   └── UnfitBriefError a brief cannot be published as it is
    ├── NewerClientError    it was made by a newer program than this one
    ├── UnknownError        nothing of that name or id is known here
    ├── ConflictError       it would overwrite or contradict what is already there
    │   └── ChangedError    it is another one than was looked at: look again
    ├── SignInError         nobody known asks: sign in, or pair the tablet again
    │   └── RevokedError    the tablet was revoked
    ├── NotAllowedError     whoever asks may not do that
    │   └── UnconfirmedError        not before the own password is given again
    │       └── NoPasswordError     nor can it be: the account has none
    ├── LockedError         too many wrong tries: wait
    ├── GoneError           a code or link is used up or too old
    └── StoreError          the database cannot do it now (locked, full, too new, not safe)
"""

from collections.abc import Mapping, Sequence
from typing import Any


class OrchardmapError(Exception):
    """Base of all errors raised on purpose.

    Parameters
    ----------
    what : str
        The sentence that says what is wrong.
    where : str, optional
        The place: a file, a feature, a field, a row.
    todo : str, optional
        What the reader can do about it.
    """

    def __init__(self, what: str, *, where: str = "", todo: str = "") -> None:
        self.what = what
        self.where = where
        self.todo = todo
        super().__init__(what, where, todo)

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        if not self.todo:
            return f"{place}{self.what}"
        stop = "" if self.what.endswith((".", "!", "?")) else "."
        return f"{place}{self.what}{stop} {self.todo}"


class InputError(OrchardmapError):
    """What was given cannot be used."""


class OutlineError(InputError):
    """An outline or a row line breaks a rule of geometry."""


class ImportFileError(InputError):
    """A file cannot be read as what it claims to be."""


class RecordError(InputError):
    """A mark, a withdrawal or a check is not well formed."""


class ParameterError(InputError):
    """A parameter of an address is not known, or cannot be used."""


class UnfitBriefError(InputError):
    """A brief cannot be published as it is.

    Parameters
    ----------
    faults : sequence of mapping
        Everything that is to be mended: ``where``, ``what`` to do there in English, and the same by language in ``texts``.
    """

    def __init__(self, faults: Sequence[Mapping[str, Any]]) -> None:
        self.faults = tuple(faults)
        super().__init__(
            "It cannot be published yet: " + " ".join(f"[{one['where']}] {one['what']}" for one in faults),
            where="brief",
            todo="Mend these, save, and publish again.",
        )


class NewerClientError(OrchardmapError):
    """It was made by a newer program than this one: whoever sent it keeps it and waits."""


class UnknownError(OrchardmapError):
    """Nothing of that name or id is known here."""


class ConflictError(OrchardmapError):
    """It would overwrite or contradict what is already there."""


class ChangedError(ConflictError):
    """It is another one by now than was looked at: nothing was taken, and whoever asks looks again."""


class SignInError(OrchardmapError):
    """Nobody known asks: no session, an ended one, or wrong words."""


class RevokedError(SignInError):
    """The tablet that asks was revoked."""


class NotAllowedError(OrchardmapError):
    """Whoever asks is known, and may not do that."""


class UnconfirmedError(NotAllowedError):
    """Whoever asks may do that, but gave the password too long ago."""


class NoPasswordError(UnconfirmedError):
    """It was too long ago, and the account has no password to give again."""


class LockedError(OrchardmapError):
    """Too many wrong tries: the next one must wait.

    Parameters
    ----------
    what, where, todo : str
        As for every error.
    retry_after_s : int
        Seconds until the next try is looked at.
    """

    def __init__(self, what: str, *, where: str = "", todo: str = "", retry_after_s: int) -> None:
        super().__init__(what, where=where, todo=todo)
        self.retry_after_s = retry_after_s


class GoneError(OrchardmapError):
    """A code or link is used up, too old, or never was: nobody is told which."""


class StoreError(OrchardmapError):
    """The database cannot do it now, or would not do it safely."""


class PaperError(OrchardmapError):
    """What paper is made with is missing on this machine."""
