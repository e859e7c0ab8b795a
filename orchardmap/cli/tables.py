"""Tables of the command line: in columns where somebody looks, one line a thing where another program reads."""

import sys
from collections.abc import Iterable, Sequence

import typer

__all__ = ["print_table"]


def print_table(heads: Sequence[str], lines: Iterable[Sequence[str]], *, nothing: str) -> None:
    """Print lines below their heads; words for where there are none.

    What goes to another program is separated by tabs and never cut to a width; heads go to people only.
    """
    told = [tuple(line) for line in lines]
    if not sys.stdout.isatty():
        typer.echo("\n".join("\t".join(line) for line in told) if told else nothing)
        return
    if not told:
        typer.echo(nothing)
        return
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(*heads, box=box.SIMPLE_HEAD, pad_edge=False)
    for line in told:
        table.add_row(*(Text(cell) for cell in line))
    Console().print(table)
