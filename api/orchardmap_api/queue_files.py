"""Files that a tablet saves of the records it could not send, handed in by a manager at the service.

A file is looked through whole before anything of it is taken; then it goes the way of the tablet's own uploads, so that
whatever the tablet sends later, or a second reading of the file, is answered "already there".
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, StrictInt, ValidationError

from orchardmap.errors import InputError
from orchardmap.model.people import ANYBODY
from orchardmap.model.work import Outcome
from orchardmap.store.session import Store
from orchardmap.usecases import reporting
from orchardmap_api.handing_in import BATCHES, AnyBatch, hand_in
from orchardmap_api.schemas import Id

__all__ = ["Fate", "QueueFile", "read_queue_file", "take_in"]

Kind = Literal["marks", "withdrawals", "checks", "crew_days", "tree_counts"]
_AT_ONCE = 200
_LARGEST_SKEW_S = 3.9e9
"""123 years: a clock that far off is still one of a calendar that can be reckoned with."""
_NOT_ONE = "is not a file of records that a tablet saved"


class QueuedRecord(BaseModel):
    """A record as the tablet kept it; what the tablet noted beside it is not needed here."""

    model_config = ConfigDict(extra="ignore", frozen=True)

    kind: Kind
    farm_id: Annotated[Id, Field(alias="farmId")]
    made_under: Annotated[StrictInt, Field(alias="schema", ge=1)]
    record: dict[str, Any]


class QueueFile(BaseModel):
    """What a tablet wrote under "Save as a file"."""

    model_config = ConfigDict(extra="ignore", frozen=True)

    format: Literal["orchardmap-records"]
    skew_s: (
        Annotated[float, Field(strict=True, ge=-_LARGEST_SKEW_S, le=_LARGEST_SKEW_S, allow_inf_nan=False)]
        | None
    ) = None
    """The tablet's clock minus the service's, in seconds, as last known; None for a clock that nobody compared."""
    records: list[QueuedRecord]


@dataclass(frozen=True, slots=True)
class Fate:
    """What became of one record of a file."""

    kind: str
    id: str
    row: int | None
    outcome: Outcome | Literal["refused"]
    """``refused``: nothing can be made of it; it is in the file and nowhere else."""
    reason: str = ""


def read_queue_file(data: bytes, *, where: str) -> QueueFile:
    """Return a file's records, as yet unchecked.

    Parameters
    ----------
    data : bytes
        The file.
    where : str
        Its name, for messages.

    Raises
    ------
    InputError
        If it was cut, or is no such file.
    """
    try:
        said = json.loads(data)
    except (ValueError, RecursionError) as error:
        todo = "It may have been cut: copy it whole, or save it again on the tablet. Nothing was taken."
        raise InputError("cannot be read as JSON", where=where, todo=todo) from error
    try:
        return QueueFile.model_validate(said)
    except ValidationError as error:
        todo = "Give the file that the tablet saved under What waits. Nothing was taken."
        raise InputError(f"{_NOT_ONE} ({_first(error)})", where=where, todo=todo) from error


def take_in(store: Store, file: QueueFile, *, now: datetime) -> list[Fate]:
    """Take a file's records, each as if its tablet had sent it now; a manager hands it in, so they may be any crew's.

    Parameters
    ----------
    store : Store
        Open for writing. Each upload is one transaction; after an interruption the file is taken in again.
    file : QueueFile
        As read.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    list of Fate
        One for each record of the file, in the order in which they were taken, those refused first.

    Raises
    ------
    NewerClientError
        If a newer tablet made one of them: nothing is taken.
    """
    sent_at = now + timedelta(seconds=file.skew_s or 0.0)
    farms = {farm.id for farm in reporting.all_farms(store)}
    fates: list[Fate] = []
    good: list[QueuedRecord] = []
    for one in file.records:
        fault = _fault(one, sent_at) if str(one.farm_id) in farms else "its farm is not one of this database"
        if fault:
            fates.append(_fate(one, "refused", fault))
        else:
            good.append(one)
    for upload in _uploads(good):
        batch = _batch(upload, sent_at)
        receipts = hand_in(store, batch, farm_id=str(upload[0].farm_id), now=now, sender=ANYBODY)
        fates += [_fate(one, r.outcome, r.reason) for one, r in zip(upload, receipts, strict=True)]
    return fates


def _batch(upload: Sequence[QueuedRecord], sent_at: datetime) -> AnyBatch:
    """Return records of one kind and wire version as the batch that a tablet would send."""
    kind, schema = upload[0].kind, upload[0].made_under
    said = {"sent_at": sent_at, "schema": schema, kind: [one.record for one in upload]}
    return BATCHES[kind].model_validate(said)


def _fault(one: QueuedRecord, sent_at: datetime) -> str:
    """Return why nothing can be made of a record, or an empty text."""
    try:
        _batch([one], sent_at)
    except ValidationError as error:
        return _first(error)
    return ""


def _uploads(records: Sequence[QueuedRecord]) -> Iterator[Sequence[QueuedRecord]]:
    """Yield what goes together, in the order in which a tablet sends: one kind, farm and wire version."""
    for kind in get_args(Kind):
        of_kind = [one for one in records if one.kind == kind]
        for key in sorted({(str(one.farm_id), one.made_under) for one in of_kind}):
            same = [one for one in of_kind if (str(one.farm_id), one.made_under) == key]
            for start in range(0, len(same), _AT_ONCE):
                yield same[start : start + _AT_ONCE]


def _fate(one: QueuedRecord, outcome: Outcome | Literal["refused"], reason: str) -> Fate:
    record_id, row = str(one.record.get("id", ""))[:40], one.record.get("row")
    # a file may hold anything: what is no plain text is shown as what it is, and moves nobody's terminal
    shown = record_id if record_id.isprintable() else ascii(record_id)
    return Fate(one.kind, shown, row if type(row) is int else None, outcome, reason)


def _first(error: ValidationError) -> str:
    """Say what is wrong first, without what was given: a file may hold anything."""
    found = error.errors(include_input=False, include_url=False)[0]
    where = ".".join(str(part)[:60] for part in found["loc"])
    return f"{where}: {found['msg']}" if where else found["msg"]
