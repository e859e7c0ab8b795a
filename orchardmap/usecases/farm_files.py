"""Files of a farm for everyone else's tools, as of a day."""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial
from pathlib import Path

from orchardmap.errors import UnknownError
from orchardmap.geodata.geopackage import append_layer, title_columns
from orchardmap.geodata.write import told_plainly, write_csv, write_geojson
from orchardmap.locale.catalogue import message, translated
from orchardmap.model.layer import Features, Layer
from orchardmap.store import row_tables
from orchardmap.store.session import Store
from orchardmap.usecases.layers import BESIDE, LAYERS, Reading, batches, layer_of, reading
from orchardmap.usecases.moments import refuse_day_to_come
from orchardmap.usecases.steps import Told

__all__ = ["FILES", "FarmFile", "FileWish", "WrittenFile", "file_of", "write_farm_file"]

Layers = Iterator[tuple[Layer, Iterator[Features]]]
"""Each layer of a file with its features, to be taken in this order."""
_POINTS = "positions"
"""Millions on a large farm, so that they come only when they are asked for."""
_AS_OF = message("As of {day}.")


@dataclass(frozen=True, slots=True)
class FarmFile:
    """A file that is made when it is asked for. Its name is the last part of its address."""

    name: str
    media_type: str
    layers: tuple[str, ...]
    write: Callable[[Path, Reading, Layers], int]


@dataclass(frozen=True, slots=True)
class FileWish:
    """Which file of a farm somebody wants, and what they may know."""

    name: str
    """One of `FILES`."""
    day: date | None = None
    """As of this day; None is today."""
    people_of: Collection[str] | None = None
    """Roles of the people whose names are told; None tells all."""
    language: str = "en"
    told: Told = None
    """For whoever waits."""


@dataclass(frozen=True, slots=True)
class WrittenFile:
    """A file that was written."""

    farm_name: str
    day: date
    features: int


def _geopackage(path: Path, read: Reading, layers: Layers) -> int:
    as_of = translated(_AS_OF, read.language).format(day=read.at.day.isoformat())
    counts = {}
    for layer, found in layers:
        counts[layer.name] = append_layer(path, layer, found, language=read.language, as_of=as_of)
    title_columns(path, [layer_of(name) for name in counts], language=read.language)
    return sum(counts.values())


def _workbook(path: Path, read: Reading, layers: Layers) -> int:
    # late: the service that never writes one never reads the library
    from orchardmap.spreadsheets.farm_book import write_farm_book

    return write_farm_book(path, layers, title=read.at.farm.name, day=read.at.day, language=read.language)


def _geojson(path: Path, _: Reading, layers: Layers) -> int:
    with path.open("wb") as file:
        return sum(write_geojson(file, found) for _, found in layers)


def _csv(path: Path, _: Reading, layers: Layers) -> int:
    with path.open("wb") as file:
        return sum(write_csv(file, layer, found) for layer, found in layers)


def _catalogue() -> Iterator[FarmFile]:
    plain = tuple(name for name in LAYERS if name != _POINTS)
    tables = tuple(name for name in plain if name not in BESIDE)
    package = "application/geopackage+sqlite3"
    yield FarmFile("orchard.gpkg", package, plain, _geopackage)
    yield FarmFile("orchard_with_positions.gpkg", package, tuple(LAYERS), _geopackage)
    # what lies beside the blocks is little but where it lies, which a sheet does not show
    sheet = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    yield FarmFile("orchard.xlsx", sheet, tables, _workbook)
    for name in LAYERS:
        yield FarmFile(f"{name}.geojson", "application/geo+json", (name,), _geojson)
        yield FarmFile(f"{name}.csv", "text/csv; charset=utf-8", (name,), _csv)


FILES: Mapping[str, FarmFile] = {file.name: file for file in _catalogue()}
"""By name, in the order that they are told in."""


def file_of(name: str) -> FarmFile:
    """Return a file by its name.

    Raises
    ------
    UnknownError
        If none is called so.
    """
    if name not in FILES:
        raise UnknownError("no file of that name", where=name[:100], todo=f"There are {', '.join(FILES)}.")
    return FILES[name]


def write_farm_file(store: Store, farm_id: str, wish: FileWish, path: Path, *, now: datetime) -> WrittenFile:
    """Write one file of a farm, all of it of one moment of the database.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    wish : FileWish
        Which file, as of when, for whom.
    path : Path
        Where to; ending as the file's name does, and nothing there yet.
    now : datetime with time zone
        The clock.

    Returns
    -------
    WrittenFile

    Raises
    ------
    UnknownError
        If there is no such farm, or no file of that name.
    InputError
        If the day has not come yet.
    StoreError
        If it cannot be written, such as on a full disk.
    """
    file = file_of(wish.name)
    with reading(
        store, farm_id, day=wish.day, now=now, people_of=wish.people_of, language=wish.language
    ) as read:
        refuse_day_to_come(read.at)
        with told_plainly(OSError):
            count = file.write(path, read, _layers(read, file, wish))
        return WrittenFile(read.at.farm.name, read.at.day, count)


def _layers(read: Reading, file: FarmFile, wish: FileWish) -> Layers:
    if wish.told is None:
        yield from ((layer_of(name), batches(read, name)) for name in file.layers)
        return
    sizes = row_tables.block_trees(read.conn, read.at.farm.id)
    rows = {block.code: sizes.get(block.id, (0, 0))[0] for block in read.blocks}
    of = sum(rows.values()) * sum(map(_weight, file.layers))
    done = 0
    for name in file.layers:
        layer = layer_of(name)
        say = partial(_say, wish.told, translated(layer.title, wish.language), of)
        weighed = {code: count * _weight(name) for code, count in rows.items()}
        yield layer, _told(batches(read, name), weighed, say, done)
        done += sum(weighed.values())


def _weight(name: str) -> int:
    """Return what a row of a layer costs, about: each is some forty positions."""
    return 40 if name == _POINTS else 0 if name in BESIDE else 1


def _say(told: Callable[[str, int, int], None], title: str, of: int, done: int) -> None:
    told(title, done, of)


def _told(
    found: Iterator[Features], weighed: Mapping[str, int], say: Callable[[int], None], done: int
) -> Iterator[Features]:
    """Yield the features of a layer, and say after each batch how much of all is done: by the rows of its blocks."""
    say(done)
    for batch in found:
        yield batch
        done += sum(weighed[str(code)] for code in set(batch.columns.get("block", ())))
        say(done)
