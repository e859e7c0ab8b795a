"""``orchardmap load``: a file's blocks or rows, previewed, then taken."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json
from orchardmap.cli.reading import read_bytes
from orchardmap.errors import ConflictError, InputError

if TYPE_CHECKING:
    from orchardmap.geodata.preview import Preview
    from orchardmap.model.orchard import Planting
    from orchardmap.store.session import Store
    from orchardmap.usecases.block_plans import BlockWish

__all__ = ["load"]

_NOTHING = {False: "Nothing was taken", True: "As it stands nothing can be taken"}
_UNSURE_BEARING = (
    "The outline does not say which way the rows run: look at the map, and say --bearing in degrees where it is wrong; "
    "in the browser, two points along row 1 say it."
)
_ANSWERS = ("split_parts", "swap_axes", "decimal_comma", "crs", "layer", "as_placed")
_BY_EDGE = {"longest-edge": "longest_edge", "across-longest-edge": "across_longest_edge"}


@app.command()
def load(
    file: Annotated[
        Path,
        typer.Argument(help="GeoJSON, GeoPackage, zipped Shapefile, KML, KMZ, GPX, CSV, DXF or FlatGeobuf."),
    ],
    row_spacing: Annotated[
        float | None, typer.Option(help="From row to row, in metres; needed where the file does not say.")
    ] = None,
    tree_spacing: Annotated[
        float | None, typer.Option(help="From tree to tree in the row, in metres; likewise.")
    ] = None,
    bearing: Annotated[
        str,
        typer.Option(help="Of the rows: degrees from true north, or longest-edge, or across-longest-edge."),
    ] = "",
    headland: Annotated[float, typer.Option(help="Taken off both ends of each row, in metres.")] = 0.0,
    first_row_offset: Annotated[
        float | None, typer.Option(help="From the first side to row 1, in metres; half a row when left out.")
    ] = None,
    end_offset: Annotated[float, typer.Option(help="From a row's end to its first tree, in metres.")] = 0.0,
    variety: Annotated[str, typer.Option(help="What is planted; made if the farm does not have it.")] = "",
    prefix: Annotated[
        str, typer.Option(help="Put before the codes, so that they differ from those on the farm.")
    ] = "",
    crs: Annotated[
        str, typer.Option(help="Coordinate system, where the file does not say: EPSG:number.")
    ] = "",
    layer: Annotated[str, typer.Option(help="Layer to read, where there are several.")] = "",
    answer: Annotated[
        list[str] | None,
        typer.Option(
            help="Answer to another question of the file, key=value, once for each: split_parts=yes or no (an outline of several parts"
            " becomes a block for each), swap_axes=yes or no (north and east are the wrong way round), decimal_comma=yes or no (a comma"
            " in a table is a decimal sign), as_placed=yes (blocks far from the farm's, or from each other, do belong to it). load says which of"
            " them it asks."
        ),
    ] = None,
    farm: Annotated[str, typer.Option(help="Name of the farm, where there are several.")] = "",
    skip_problems: Annotated[
        bool, typer.Option("--skip-problems", help="Leave out what cannot be taken, and take the rest.")
    ] = False,
    preview: Annotated[bool, typer.Option("--preview", help="Only show what would be taken.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the report as JSON.")] = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Load blocks from a file: outlines in, rows and trees out.

    Example: orchardmap load blocks.geojson --row-spacing 4 --tree-spacing 1.2 --bearing longest-edge --preview
    """
    from orchardmap.cli.loading_words import no_block, show, tell
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.waiting import at_work
    from orchardmap.model.orchard import Planting
    from orchardmap.usecases import block_plans, importing, reporting
    from orchardmap.usecases.planting import By

    fields = {"crs": crs, "layer": layer} | dict(_pair(text) for text in answer or [])
    asked = {
        "row_spacing_m": row_spacing,
        "tree_spacing_m": tree_spacing,
        "bearing_deg": 0.0 if bearing else None,
    }
    given = {name: value for name, value in asked.items() if value is not None}
    base = Planting(
        0.0, row_spacing or 0.0, tree_spacing or 0.0, end_offset_m=end_offset, headland_m=headland
    )
    store = opened_store(database, read_only=preview)
    try:
        chosen = reporting.chosen_farm(store, farm)
        kept, told = _read(store, chosen.id, file, fields)
        wishes = [
            replace(wish, planting=_complete(wish, first_row_offset))
            for wish in block_plans.wishes_from(told, base, given=given, prefix=prefix)
        ]
        wishes, planned = _laid(kept, told, wishes, bearing)
        if not as_json:
            show(told, wishes, planned)
        elif preview:
            blocks = [p | {"lines": len(p["lines"])} for p in planned]
            print_json({"summary": told["summary"], "blocks": blocks})
        problems = {f["index"]: (f["name"], f["problem"]) for f in told["features"] if f["problem"]}
        problems |= {one["index"]: (one["code"], one["problem"]) for one in planned if one["problem"]}
        if problems and not skip_problems:
            raise InputError(
                ": ".join(next(iter(problems.values()))),
                todo=f"{_NOTHING[preview]}; --skip-problems takes the rest without it.",
            )
        if not any(one["problem"] is None for one in planned):
            raise InputError(no_block(told), where=file.name, todo=f"{_NOTHING[preview]}.")
        _refuse_what_is_there(wishes, told, prefix)
        _refuse_far(store, chosen.id, kept, (wishes, planned), fields)
        if preview:
            return
        if variety:  # only now: where nothing is taken, nothing is made
            kind = _variety_id(store, chosen.id, variety)
            wishes = [replace(wish, variety_id=kind) for wish in wishes]
        good = [wish for wish, one in zip(wishes, planned, strict=True) if not one["problem"]]
        with at_work("Taking the blocks ..."):
            by, reasons = By("shell", datetime.now(UTC)), {i: reason for i, (_, reason) in problems.items()}
            report = importing.take_kept(store, chosen.id, kept, good, reasons=reasons, by=by)
    finally:
        store.close()
    if as_json:
        print_json(report)
        return
    tell(report)


def _read(
    store: "Store", farm_id: str, file: Path, fields: dict[str, str]
) -> "tuple[Preview, dict[str, Any]]":
    """Return what was understood of a file that asks nothing more."""
    from orchardmap.cli.waiting import at_work
    from orchardmap.geodata.preview import answers_from_fields
    from orchardmap.usecases import importing

    data, answers = read_bytes(file), answers_from_fields(fields)
    with at_work("Reading the file ..."):
        kept, told = importing.look(store, farm_id=farm_id, data=data, filename=file.name, answers=answers)
    _refuse_open_questions(told)
    return kept, told


def _laid(
    kept: "Preview", told: dict[str, Any], wishes: "list[BlockWish]", bearing: str
) -> "tuple[list[BlockWish], list[dict[str, Any]]]":
    """Return the wishes with the bearing that was asked for, and their rows; what one of them cannot be stands in its plan."""
    from orchardmap.cli.waiting import shown_steps
    from orchardmap.usecases import bearing_offers, import_plans

    with shown_steps() as steps:
        planned = import_plans.plan_of(kept, wishes, steps)
    said = {f["index"] for f in told["features"] if "bearing_deg" in f["properties"] and not bearing}
    wishes = [
        wish
        if wish.rows or wish.index in said
        else replace(wish, planting=replace(wish.planting, bearing_deg=_bearing_deg(bearing, one)))
        for wish, one in zip(wishes, planned, strict=True)
    ]
    with shown_steps() as steps:
        planned = import_plans.plan_of(kept, wishes, steps)
    # where the rows' way was said in degrees, the outline need not say it; nobody clicks in a terminal
    unsure = [_UNSURE_BEARING] if bearing in _BY_EDGE else []
    for one in planned:
        warnings = [unsure if text == bearing_offers.UNSURE_BEARING else [text] for text in one["warnings"]]
        one["warnings"] = [text for texts in warnings for text in texts]
    return wishes, planned


def _refuse_what_is_there(wishes: "list[BlockWish]", told: dict[str, Any], prefix: str) -> None:
    """Refuse what the farm has already: a code that the file itself says, or what lies upon a block; a prefix says that it is meant."""
    from orchardmap.usecases.block_codes import code_and_name

    of_file = {f["index"]: f for f in told["features"]}
    said = {f"{prefix}{code_and_name(of_file[wish.index])[0]}" for wish in wishes if wish.index is not None}
    twice = sorted(said & set(told["taken_codes"]) - {prefix})
    if twice:
        raise ConflictError(
            "the farm has a block of that code already",
            where=", ".join(twice)[:200],
            todo="Give the new blocks codes of their own by --prefix; nothing was overwritten.",
        )
    wished = [i for wish in wishes for i in (wish.index, *wish.rows) if i is not None]
    upon = sorted({of_file[i]["upon"] or "" for i in wished} - {""})
    if upon and not prefix:
        raise ConflictError(
            "blocks of the file lie upon blocks that the farm has already",
            where=", ".join(upon)[:200],
            todo="Nothing was taken. Where they are meant all the same, give them codes of their own by --prefix.",
        )


def _refuse_far(
    store: "Store",
    farm_id: str,
    kept: "Preview",
    asked: "tuple[list[BlockWish], list[dict[str, Any]]]",
    fields: dict[str, str],
) -> None:
    """Refuse blocks far from the farm's or from each other, unless ``as_placed`` was answered with yes; then they are told."""
    from orchardmap.usecases import block_places

    good = [wish for wish, one in zip(*asked, strict=True) if not one["problem"]]
    try:
        with store.read() as conn:
            block_places.refuse_far_blocks(conn, farm_id, kept, good)
    except InputError as far:
        if fields.get("as_placed", "").lower() not in {"yes", "true", "1"}:
            todo = "If they do belong to this farm, add --answer as_placed=yes; else make a farm for them (orchardmap farm) and load them with --farm."
            raise InputError(far.what, todo=f"Nothing was taken. {todo}") from None
        typer.echo(f"{far.what}.", err=True)


def _variety_id(store: "Store", farm_id: str, name: str) -> str:
    """Return the id of the farm's variety of that name, which is made if there is none."""
    from orchardmap.usecases import planting, reporting

    known = reporting.farm_pack(store, farm_id, now=datetime.now(UTC))["varieties"]
    found = {one["name"]: str(one["id"]) for one in known}.get(name)
    by = planting.By("shell", datetime.now(UTC))
    return found or planting.add_variety(store, farm_id=farm_id, name=name, habit="unknown", by=by).id


def _pair(text: str) -> tuple[str, str]:
    key, sign, value = text.partition("=")
    if not sign:
        raise InputError(f"{text!r} is not key=value", where="--answer")
    if key.strip() not in _ANSWERS:
        raise InputError(
            f"no file asks {key.strip()!r}", where="--answer", todo=f"Give one of {', '.join(_ANSWERS)}."
        )
    return key.strip(), value.strip()


def _refuse_open_questions(told: dict[str, Any]) -> None:
    """Say what the file leaves open: what must be answered is an error, the rest goes to the error stream."""
    for question in told["questions"]:
        choices = ", ".join(choice["value"] for choice in question["choices"])
        key = question["key"]
        option = f"--{key}" if key in {"crs", "layer"} else f"--answer {key}="
        advice = f"Answer with {option}" + (f" ({choices})." if choices else ".")
        if question.get("needed", True):
            raise InputError(question["text"], where="file", todo=advice)
        typer.echo(f"{question['text']} {advice}", err=True)


def _complete(wish: "BlockWish", first_row_offset: float | None) -> "Planting":
    """Return the wish's planting with row 1 half a row from the first side, unless it was said otherwise."""
    planting = wish.planting
    for name, option in (("row_spacing_m", "--row-spacing"), ("tree_spacing_m", "--tree-spacing")):
        if getattr(planting, name) <= 0:
            raise InputError(
                "the file does not say how far apart they stand",
                where=wish.name,
                todo=f"Give {option}, in metres.",
            )
    offset_m = planting.row_spacing_m / 2 if first_row_offset is None else first_row_offset
    return replace(planting, first_row_offset_m=offset_m)


def _bearing_deg(asked: str, planned: dict[str, Any]) -> float:
    if asked in _BY_EDGE:
        offered = {one["code"]: one["bearing_deg"] for one in planned["bearings"]}
        if _BY_EDGE[asked] not in offered:
            return 0.0  # the block cannot be taken anyway: the plan says why
        return float(offered[_BY_EDGE[asked]])
    try:
        return float(asked) % 360.0
    except ValueError:
        offered_text = "; ".join(f"{one['label']}: {one['bearing_deg']}" for one in planned["bearings"])
        raise InputError(
            "the file does not say which way the rows run",
            where="--bearing",
            todo=f"Give degrees from true north, longest-edge or across-longest-edge. {planned['code']}: {offered_text}.",
        ) from None
