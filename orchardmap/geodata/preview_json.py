"""A preview as JSON and back: drafts are kept as text between looking and taking."""

from collections.abc import Mapping
from typing import Any

import shapely
from shapely.geometry import mapping, shape

from orchardmap.errors import InputError
from orchardmap.geodata.preview import Choice, Feature, Preview, Question


def _listed(value: object) -> object:
    return [_listed(part) for part in value] if isinstance(value, tuple | list) else value


def _geojson(feature: Feature) -> dict[str, Any] | None:
    if feature.geometry is None:
        return None
    told = mapping(feature.geometry)
    return {"type": told["type"], "coordinates": _listed(told["coordinates"])}


def preview_json(preview: Preview) -> dict[str, Any]:
    """Return a preview as plain JSON values, in the shape of the service's contract.

    Parameters
    ----------
    preview : Preview
        Any preview.

    Returns
    -------
    dict
        ``format``, ``crs``, ``layers``, ``questions``, ``features``, ``summary``, ``notes``, ``ready``. A feature
        with a problem has null for its geometry.
    """
    return {
        "format": preview.format,
        "crs": preview.crs,
        "layers": list(preview.layers),
        "questions": [
            {
                "key": question.key,
                "text": question.text,
                "choices": [{"value": choice.value, "label": choice.label} for choice in question.choices],
                "needed": question.needed,
            }
            for question in preview.questions
        ],
        "features": [
            {
                "index": feature.index,
                "kind": feature.kind,
                "name": feature.name,
                "geometry": _geojson(feature),
                "area_ha": feature.area_ha,
                "notes": list(feature.notes),
                "problem": feature.problem,
                "properties": dict(feature.properties),
            }
            for feature in preview.features
        ],
        "summary": preview.summary,
        "notes": list(preview.notes),
        "ready": preview.is_ready,
    }


def _question(told: Mapping[str, Any]) -> Question:
    choices = tuple(Choice(choice["value"], choice["label"]) for choice in told["choices"])
    return Question(told["key"], told["text"], choices, told["needed"])


def _feature(told: Mapping[str, Any]) -> Feature:
    return Feature(
        told["index"],
        told["kind"],
        told["name"],
        shape(told["geometry"]) if told["geometry"] is not None else None,
        told["area_ha"],
        tuple(told["notes"]),
        told["problem"],
        dict(told["properties"]),
    )


def preview_from_json(told: Mapping[str, Any]) -> Preview:
    """Return the preview that `preview_json` wrote.

    Parameters
    ----------
    told : Mapping
        Plain JSON values, of our own making: a draft that was kept, not something a stranger sent.

    Returns
    -------
    Preview

    Raises
    ------
    InputError
        When something is missing or of the wrong kind.
    """
    try:
        return Preview(
            told["format"],
            told["crs"],
            tuple(told["layers"]),
            tuple(_question(question) for question in told["questions"]),
            tuple(_feature(feature) for feature in told["features"]),
            told["summary"],
            tuple(told["notes"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError, shapely.errors.ShapelyError) as fault:
        raise InputError(
            "The draft of the import cannot be read.", where="import", todo="Load the file again."
        ) from fault
