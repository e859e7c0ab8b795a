"""One door for every file: bytes and answers in, a preview out."""

from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely

from orchardmap.errors import ImportFileError
from orchardmap.geodata.features import features
from orchardmap.geodata.gdal import Stored, read_binary
from orchardmap.geodata.geojson import read_geojson
from orchardmap.geodata.gpx import read_gpx
from orchardmap.geodata.kml import read_kml
from orchardmap.geodata.pieces import Piece, pieces
from orchardmap.geodata.placing import placed
from orchardmap.geodata.preview import MAX_FILE_VERTICES, Answers, Choice, Feature, Preview, Question, RawFile
from orchardmap.geodata.shapefile import geodatabase, shapefiles
from orchardmap.geodata.sniff import Sniffed, sniffed
from orchardmap.geodata.table import read_table
from orchardmap.geodata.text import clean_text


def _raw(found: Sniffed, answers: Answers) -> RawFile:
    match found.format:
        case "GeoJSON":
            return read_geojson(found.data)
        case "KML" | "KMZ":
            return read_kml(found.data, file_format=found.format)
        case "GPX":
            return read_gpx(found.data)
        case "CSV":
            return read_table(found.data, answers=answers)
        case "Shapefile":
            stored, notes = shapefiles(found.members)
            return read_binary("Shapefile", stored, layer=answers.layer, notes=notes)
        case "file geodatabase":
            return read_binary("file geodatabase", geodatabase(found.members), layer=answers.layer)
        case "GeoPackage" | "FlatGeobuf" | "DXF":
            name = {"GeoPackage": "input.gpkg", "FlatGeobuf": "input.fgb", "DXF": "input.dxf"}[found.format]
            return read_binary(found.format, [Stored({name: found.data}, name)], layer=answers.layer)


def _parts_question(raw: RawFile, answers: Answers) -> tuple[Question, ...]:
    several = sum(
        1
        for feature in raw.features
        if feature.geometry is not None
        and feature.geometry.geom_type == "MultiPolygon"
        and shapely.get_num_geometries(feature.geometry) > 1
    )
    if not several or answers.split_parts is not None:
        return ()
    text = f"{several} outline{'s have' if several > 1 else ' has'} several parts. One block in parts, or a block for each part?"
    choices = (Choice("no", "One block in parts"), Choice("yes", "A block for each part"))
    return (Question("split_parts", text, choices, needed=False),)


def _count(number: int, word: str) -> str:
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"


def summary(found: Sequence[Feature], *, questions: Sequence[Question]) -> str:
    """Return one sentence on what can be taken and what cannot.

    Parameters
    ----------
    found : sequence of Feature
        All features of a preview.
    questions : sequence of Question
        All questions of a preview.

    Returns
    -------
    str
    """
    waiting = [question for question in questions if question.needed]
    if waiting:
        many = _count(len(found), "feature")
        return (
            f"{many} found; {_count(len(waiting), 'question')} to answer first." if found else waiting[0].text
        )
    counts = Counter(feature.kind for feature in found if feature.problem is None)
    told = ", ".join(_count(counts[kind], kind) for kind in ("block", "row") if counts[kind])
    wrong = sum(1 for feature in found if feature.problem is not None)
    left = f"; {_count(wrong, 'feature')} cannot be taken" if wrong else ""
    single = f"; {_count(counts['tree'], 'single tree')} shown only" if counts["tree"] else ""
    return f"{told or 'Nothing'} can be taken{left}{single}."


def _check_size(found: Sequence[Piece]) -> None:
    vertices = int(shapely.get_num_coordinates([piece.geometry for piece in found]).sum())
    if vertices > MAX_FILE_VERTICES:
        raise ImportFileError(
            f"It has {vertices:,} vertices; at most {MAX_FILE_VERTICES:,} are read from one file."
        )


def read_file(data: bytes, *, filename: str, answers: Answers | None = None) -> Preview:
    """Return what a file from a stranger holds, and what must be asked before it can be taken.

    Nothing is stored. The same bytes and answers give the same preview.

    Parameters
    ----------
    data : bytes
        The file: GeoJSON, GeoPackage, zipped Shapefile, KML, KMZ, GPX, CSV, DXF, FlatGeobuf or zipped file
        geodatabase, known by its bytes.
    filename : str
        What the person calls it: shown in messages, never believed and never opened.
    answers : Answers, optional
        What was said to the questions of the preview before.

    Returns
    -------
    Preview
        Geometries on WGS 84 (EPSG:4326, longitude first), flat.

    Raises
    ------
    ImportFileError
        When it is none of these, damaged, or too large. Its ``where`` names the file.
    """
    shown = clean_text(filename.replace("\\", "/").rsplit("/", 1)[-1], limit=100) or "file"
    try:
        # numbers that are none are found and said with their vertex; numpy need not warn of them too
        with np.errstate(all="ignore"):
            return _preview(data, answers or Answers())
    except ImportFileError as fault:
        where = f"{shown}, {fault.where}" if fault.where else shown
        raise ImportFileError(fault.what, where=where, todo=fault.todo) from fault


def _preview(data: bytes, answers: Answers) -> Preview:
    raw = _raw(sniffed(data), answers)
    if any(question.key == "layer" for question in raw.questions):
        return Preview(
            raw.format, None, raw.layers, raw.questions, (), summary((), questions=raw.questions), raw.notes
        )
    found = pieces(raw.features, split_parts=bool(answers.split_parts))
    _check_size(found)
    waiting = any(question.needed for question in raw.questions)
    place = placed(raw, [piece for piece in found if piece.geometry is not None], answers=answers)
    questions = (*raw.questions, *place.questions, *_parts_question(raw, answers))
    lonlat = None if waiting else place.lonlat
    seen = features(found, lonlat, waits_for="waits for an answer")
    told = summary(seen, questions=questions)
    return Preview(raw.format, place.crs, raw.layers, questions, seen, told, (*raw.notes, *place.notes))
