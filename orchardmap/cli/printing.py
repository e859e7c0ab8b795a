"""``orchardmap labels``: what is printed from the command line."""

from pathlib import Path
from typing import Annotated

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app
from orchardmap.errors import InputError

__all__ = ["labels"]


@app.command()
def labels(
    block: Annotated[list[str], typer.Option(help="Code of a block; may be given several times.")],
    address: Annotated[
        str,
        typer.Option(
            help="Of the service as tablets open it; the setting when left out. Stands in every code."
        ),
    ] = "",
    out: Annotated[Path, typer.Option(help="PDF file to write; - is standard output.")] = Path("labels.pdf"),
    rows: Annotated[str, typer.Option(help="Such as 1-20, or 3,7-9; all when left out.")] = "",
    ends: Annotated[str, typer.Option(help="both, first or far.")] = "both",
    size: Annotated[str, typer.Option(help="Width x height of a label in mm.")] = "99.1x67.7",
    farm: Annotated[str, typer.Option(help="Name of the farm, where there are several.")] = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write labels for the ends of rows: number, block, variety, and a code that a tablet's camera reads.

    A4, black and white; print at 100 %, not fitted to the page. The address is printed on every label: fix it before
    you print.

    Example: orchardmap labels --block H6 --rows 1-20 --address https://orchard.lan:8420 --out labels.pdf
    """
    from orchardmap.cli.making import write_paper
    from orchardmap.usecases.labels import LabelWish, labels_pdf
    from orchardmap_api.settings import settings_from

    origin = address or settings_from().public_address
    if not origin:
        raise InputError(
            "labels carry the service's address", todo="Give --address https://orchard.lan:8420."
        )
    wish = LabelWish(tuple(block), origin, rows, ends, size)
    write_paper(
        out,
        (database, farm),
        lambda store, chosen: labels_pdf(store, chosen.id, wish),
        more=". Print it at 100 %.",
    )
