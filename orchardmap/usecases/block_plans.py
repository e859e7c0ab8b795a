"""From what set-up says of a previewed file's features to blocks that can be planted."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Any

import shapely
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Polygon, shape

from orchardmap.errors import InputError
from orchardmap.geodata.preview import Feature, Preview
from orchardmap.geometry.plantings import checked_planting
from orchardmap.geometry.surveyed import measured_pitch_m
from orchardmap.model.orchard import Planting
from orchardmap.usecases.block_codes import block_codes, code_and_name
from orchardmap.usecases.planting import BlockPlan

__all__ = ["BlockWish", "block_plan", "wishes_from"]

_WIDEST_PITCH_M = 20.0
_NUMBER_KEYS = ("row", "number", "row_number", "no")


@dataclass(frozen=True, slots=True)
class BlockWish:
    """What set-up says about one block of a previewed file."""

    code: str
    name: str
    planting: Planting
    index: int | None = None
    """The feature with the outline; None where only rows were surveyed."""
    rows: tuple[int, ...] = ()
    """Features with the surveyed rows, in any order."""
    variety_id: str | None = None


def _feature(kept: Preview, index: int, kinds: tuple[str, ...]) -> Feature:
    if not 0 <= index < len(kept.features):
        raise InputError(f"the file has no feature {index}", where="index")
    feature = kept.features[index]
    if feature.problem is not None or feature.geometry is None:
        raise InputError(f"this feature cannot be taken: {feature.problem}", where=feature.name)
    if feature.kind not in kinds:
        raise InputError(f"this feature is a {feature.kind}, not a {' or '.join(kinds)}", where=feature.name)
    return feature


def block_plan(wish: BlockWish, kept: Preview) -> BlockPlan:
    """Return the block that a wish asks for.

    Raises
    ------
    InputError
        If a question of the file is open, or a feature cannot be what the wish takes it for.
    """
    waiting = [question.text for question in kept.questions if question.needed]
    if waiting:
        raise InputError(waiting[0], where="file", todo="Answer this first.")
    planting = checked_planting(wish.planting)
    outline = None
    if wish.index is not None:
        geometry = _feature(kept, wish.index, ("block",)).geometry
        assert isinstance(geometry, Polygon | MultiPolygon)  # noqa: S101 - the preview calls only areas blocks
        outline = geometry
    surveyed, numbers = [], []
    for index in wish.rows:
        feature = _feature(kept, index, ("row",))
        lines = [line for line in shapely.get_parts(feature.geometry) if isinstance(line, LineString)]
        surveyed.append(MultiLineString(lines))
        numbers.append(_row_number(feature.properties))
    if len(surveyed) > 1 and measured_pitch_m(surveyed) > _WIDEST_PITCH_M:
        raise InputError(
            f"the rows would stand {measured_pitch_m(surveyed):.0f} m apart on average",
            where=wish.code,
            todo="Take the rows of each block by themselves.",
        )
    own = [number for number in numbers if number is not None]
    usable = len(own) == len(surveyed) == len(set(own))
    return BlockPlan(
        wish.code,
        wish.name,
        wish.variety_id,
        outline,
        planting,
        tuple(surveyed),
        tuple(own) if usable else None,
    )


def _row_number(properties: Mapping[str, Any]) -> int | None:
    """Return the number that a file gives a row, or None where it gives no usable one."""
    said = {key.lower(): value for key, value in properties.items()}
    for key in _NUMBER_KEYS:
        text = str(said.get(key, "")).strip().removesuffix(".0")
        if text.isascii() and text.isdigit() and 1 <= int(text) <= 100_000:
            return int(text)
    return None


def wishes_from(
    kept: Mapping[str, Any], planting: Planting, *, given: Collection[str] = (), prefix: str = ""
) -> list[BlockWish]:
    """Return one wish for every outline of a preview that can be taken, with the surveyed rows that lie in it.

    Rows outside every outline make a block for each value of their ``block`` property. Codes are those of `block_codes`.

    Parameters
    ----------
    kept : mapping
        As `preview` returned it.
    planting : Planting
        For every block, where the file does not say better.
    given : collection of str
        Names of the planting's numbers that hold whatever the file says.
    prefix : str
        Put before each code.

    Returns
    -------
    list of BlockWish
        With the file's own spacings and bearing where it carries them under the names that our exports use: row_spacing_m,
        tree_spacing_m, bearing_deg.
    """
    sound = [f for f in kept["features"] if f["problem"] is None]
    wishes = [_wish(feature, planting, given) for feature in sound if feature["kind"] == "block"]
    outlines = {
        wish.index: shape(sound_outline["geometry"])
        for wish, sound_outline in zip(wishes, [f for f in sound if f["kind"] == "block"], strict=True)
    }
    loose: dict[str, list[int]] = {}
    inside: dict[int | None, list[int]] = {}
    for feature in sound:
        if feature["kind"] != "row":
            continue
        middle = shape(feature["geometry"]).representative_point()
        home = next((index for index, outline in outlines.items() if outline.covers(middle)), None)
        if home is not None:
            inside.setdefault(home, []).append(feature["index"])
        else:
            loose.setdefault(str(feature["properties"].get("block") or ""), []).append(feature["index"])
    wishes = [replace(wish, rows=tuple(inside.get(wish.index, ()))) for wish in wishes]
    wishes += [BlockWish("", "Surveyed rows", planting, rows=tuple(rows)) for rows in loose.values()]
    drawn = [feature for feature in kept["features"] if feature["kind"] == "block"]
    said = [*map(code_and_name, drawn), *((code, "") for code in loose)]
    taken = [code.removeprefix(prefix) for code in kept.get("taken_codes", ()) if code.startswith(prefix)]
    codes = [prefix + code for code in block_codes(said, taken)]
    by_index = dict(zip([feature["index"] for feature in drawn], codes, strict=False))
    of_rows = iter(codes[len(drawn) :])
    wishes = [
        replace(wish, code=next(of_rows) if wish.index is None else by_index[wish.index]) for wish in wishes
    ]
    return [wish if wish.name else replace(wish, name=wish.code) for wish in wishes]


def _wish(feature: Mapping[str, Any], planting: Planting, given: Collection[str]) -> BlockWish:
    said = feature["properties"]

    def number(name: str, otherwise: float) -> float:
        value = said.get(name)
        usable = name not in given and isinstance(value, int | float) and value >= 0
        return float(value) if usable and value is not None else otherwise

    own = replace(
        planting,
        row_spacing_m=number("row_spacing_m", planting.row_spacing_m),
        tree_spacing_m=number("tree_spacing_m", planting.tree_spacing_m),
        bearing_deg=number("bearing_deg", planting.bearing_deg),
    )
    # "Block 2" is nobody's name: the block is called by its code
    name = feature["name"] if feature.get("named", True) else ""
    return BlockWish("", name, own, index=feature["index"])
