"""``orchardmap load``: a file's blocks or rows, previewed, then taken."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json
from orchardmap.cli.reading import read_bytes
from orchardmap.errors import InputError

if TYPE_CHECKING:
    from orchardmap.model.orchard import Planting
    from orchardmap.store.session import Store
    from orchardmap.usecases.block_plans import BlockWish

__all__ = ["load"]

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
        list[str] | None, typer.Option(help="Answer to another question of the file: key=value.")
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
    from orchardmap.cli.opening import opened_store
    from orchardmap.geodata.preview import answers_from_fields
    from orchardmap.model.orchard import Planting
    from orchardmap.usecases import block_plans, importing, reporting

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
    store = opened_store(database)
    try:
        chosen = reporting.chosen_farm(store, farm)
        told = importing.preview(
            store,
            farm_id=chosen.id,
            data=read_bytes(file),
            filename=file.name,
            answers=answers_from_fields(fields),
            now=datetime.now(UTC),
        )
        _refuse_open_questions(told)
        wishes = [
            replace(wish, code=f"{prefix}{wish.code}", planting=_complete(wish, first_row_offset))
            for wish in block_plans.wishes_from(told, base, given=given)
        ]
        planned = importing.plan(store, token=told["token"], wishes=wishes)
        said = {f["index"] for f in told["features"] if "bearing_deg" in f["properties"] and not bearing}
        wishes = [
            wish
            if wish.rows or wish.index in said
            else replace(wish, planting=replace(wish.planting, bearing_deg=_bearing_deg(bearing, one)))
            for wish, one in zip(wishes, planned, strict=True)
        ]
        planned = importing.plan(store, token=told["token"], wishes=wishes)
        if bearing not in _BY_EDGE:  # the rows' way was said, so the outline need not say it
            for one in planned:
                one["warnings"] = [text for text in one["warnings"] if text != importing.UNSURE_BEARING]
        if not as_json:
            _show(told, planned)
        if preview:
            importing.discard(store, token=told["token"])
            if as_json:
                print_json({
                    "summary": told["summary"],
                    "blocks": [p | {"lines": len(p["lines"])} for p in planned],
                })
            return
        problems = {f["index"]: f"{f['name']}: {f['problem']}" for f in told["features"] if f["problem"]}
        problems |= {one["index"]: one["problem"] for one in planned if one["problem"]}
        if problems and not skip_problems:
            importing.discard(store, token=told["token"])
            raise InputError(
                next(iter(problems.values())),
                todo="Nothing was taken; --skip-problems takes the rest without it.",
            )
        if variety:  # only now: where nothing is taken, nothing is made
            kind = _variety_id(store, chosen.id, variety)
            wishes = [replace(wish, variety_id=kind) for wish in wishes]
        good = [wish for wish, one in zip(wishes, planned, strict=True) if not one["problem"]]
        report = _taken(store, told["token"], good, reasons=problems)
    finally:
        store.close()
    if as_json:
        print_json(report)
        return
    _tell(report)


def _taken(
    store: "Store", token: str, wishes: "list[BlockWish]", *, reasons: dict[int, str]
) -> dict[str, Any]:
    from orchardmap.cli.waiting import at_work
    from orchardmap.usecases import importing

    with at_work("Laying out rows and trees ..."):
        return importing.take(store, token=token, wishes=wishes, reasons=reasons, now=datetime.now(UTC))


def _variety_id(store: "Store", farm_id: str, name: str) -> str:
    """Return the id of the farm's variety of that name, which is made if there is none."""
    from orchardmap.usecases import planting, reporting

    known = reporting.farm_pack(store, farm_id, now=datetime.now(UTC))["varieties"]
    found = {one["name"]: str(one["id"]) for one in known}.get(name)
    by = planting.By("shell", datetime.now(UTC))
    return found or planting.add_variety(store, farm_id=farm_id, name=name, habit="unknown", by=by).id


def _tell(report: dict[str, Any]) -> None:
    trees = sum(block["trees"] for block in report["blocks"])
    typer.echo(
        f"Taken: {len(report['blocks'])} blocks, {sum(b['rows'] for b in report['blocks'])} rows, {trees} trees."
    )
    for left in report["left_out"]:
        typer.echo(f"Left out: {left['name']} ({left['reason']}).")


def _pair(text: str) -> tuple[str, str]:
    key, sign, value = text.partition("=")
    if not sign:
        raise InputError(f"{text!r} is not key=value", where="--answer")
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


def _show(told: dict[str, Any], planned: list[dict[str, Any]]) -> None:
    from rich.console import Console
    from rich.table import Table

    console = Console()
    console.print(told["summary"], markup=False)
    table = Table("code", "ha", "rows", "trees", "trees/ha", "textbook", "row metres")
    for one in planned:
        per_ha = (one["trees_per_ha"] or "", one["textbook_trees_per_ha"] or "")
        cells = (
            one["code"],
            f"{one['area_ha']:.2f}",
            one["rows"],
            one["trees"],
            *per_ha,
            f"{one['length_m']:.0f}",
        )
        table.add_row(*(_plain(cell) for cell in cells))
    console.print(table)
    remarks: dict[str, list[str]] = {}
    for one in planned:
        for remark in [one["problem"], *one["warnings"]]:
            remarks.setdefault(remark or "", []).append(one["code"])
    for feature in told["features"]:
        for remark in [feature["problem"], *feature["notes"]]:
            remarks.setdefault(remark or "", []).append(feature["name"])
    remarks.pop("", None)
    for remark, names in remarks.items():
        shown = ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
        console.print(f"{shown}: {remark}", markup=False)


def _plain(value: object) -> str:
    """Return a table cell in which nothing from a file is taken as markup."""
    return str(value).replace("[", r"\[")
