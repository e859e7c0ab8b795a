"""What `orchardmap load` says: the plan of a file's blocks, what is wrong with which, and what was taken."""

from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from orchardmap.usecases.block_plans import BlockWish

__all__ = ["no_block", "show", "tell"]

_TO_OUTLINE = (
    "The rows run to the outline: --headland leaves room to turn at their ends, where no tree stands."
)


def tell(report: dict[str, Any]) -> None:
    """Say what was taken, and what was left out and why."""
    trees = sum(block["trees"] for block in report["blocks"])
    rows = sum(block["rows"] for block in report["blocks"])
    typer.echo(
        f"Taken: {_many(len(report['blocks']), 'block')}, {_many(rows, 'row')}, {_many(trees, 'tree')}."
    )
    for left in report["left_out"]:
        typer.echo(f"Left out: {left['name']} ({left['reason']}).")


def _many(n: int, thing: str) -> str:
    return f"{n} {thing}" if n == 1 else f"{n} {thing}s"


def no_block(told: dict[str, Any]) -> str:
    """Say why nothing of a file can be taken."""
    single = sum(feature["kind"] == "tree" for feature in told["features"])
    if single:
        return f"it holds {_many(single, 'single tree')} and no block that can be taken: single trees are shown, not taken"
    return "it holds no block that can be taken"


def show(told: dict[str, Any], wishes: "list[BlockWish]", planned: list[dict[str, Any]]) -> None:
    """Show the blocks as they would be taken, and what is to be said of them."""
    from rich.console import Console
    from rich.table import Table

    console = Console()
    good = sum(one["problem"] is None for one in planned)
    if good == len(planned):
        console.print(told["summary"], markup=False)
    else:
        console.print(f"{good} of {_many(len(planned), 'block')} can be taken.")
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
    if planned:
        console.print(table)
    _show_codes(wishes, console)
    remarks: dict[str, list[str]] = {}
    for one in planned:
        ends = [_TO_OUTLINE] if one["to_outline"] else []
        for remark in [one["problem"], *one["warnings"], *one["notes"], *ends]:
            remarks.setdefault(remark or "", []).append(one["code"])
    codes = {wish.index: wish.code for wish in wishes}
    for feature in told["features"]:
        for remark in [feature["problem"], *feature["notes"]]:
            remarks.setdefault(remark or "", []).append(codes.get(feature["index"], feature["name"]))
    remarks.pop("", None)
    for remark, names in remarks.items():
        shown = ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
        console.print(f"{shown}: {remark}", markup=False)


def _show_codes(wishes: "list[BlockWish]", console: "Console") -> None:
    """Say which block is which, where the file's names are no codes."""
    given = [f"{wish.code} is {wish.name}" for wish in wishes if wish.name not in {wish.code, ""}]
    if given:
        more = f" and {len(given) - 10} more" if len(given) > 10 else ""
        console.print(f"Codes: {'; '.join(given[:10])}{more}.", markup=False)


def _plain(value: object) -> str:
    """Return a table cell in which nothing from a file is taken as markup."""
    return str(value).replace("[", r"\[")
