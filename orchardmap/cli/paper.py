"""The `paper` commands: sheets for the wall, for crews and for the week."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app

__all__ = ["paper"]

paper = typer.Typer(no_args_is_help=True, help="Paper for the wall and the crews: PDF, black-and-white safe.")
app.add_typer(paper, name="paper")

Blocks = Annotated[
    list[str] | None,
    typer.Option("--block", help="Code of a block; may be given several times. All when left out."),
]
Day = Annotated[
    datetime | None, typer.Option("--day", formats=["%Y-%m-%d"], help="As of this day; today when left out.")
]
Language = Annotated[str, typer.Option(help="Of the reader: en or es.")]
FarmName = Annotated[str, typer.Option("--farm", help="Name of the farm, where there are several.")]


@paper.command("wall-map")
def wall_map(
    size: Annotated[str, typer.Option(help="Of the paper: a2, a3 or a4.")] = "a3",
    block: Blocks = None,
    scale: Annotated[
        int | None,
        typer.Option(
            min=100, max=100_000, help="2500 for 1:2500; the largest round one that fits when left out."
        ),
    ] = None,
    day: Day = None,
    language: Language = "en",
    out: Annotated[Path, typer.Option(help="PDF file to write; - is standard output.")] = Path(
        "wall-map.pdf"
    ),
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write the wall map: every row at its true length, at a true scale, with legend, scale bar and north.

    What does not fit one sheet so that rows stand apart comes on several, with one that shows how they lie. Print at
    100 %, not fitted to the page, or the scale is not true.

    Example: orchardmap paper wall-map --size a2 --out wall-map.pdf
    """
    from orchardmap.cli.making import write_paper
    from orchardmap.paper.wall_map import WallMapWish
    from orchardmap.usecases.wall_map import wall_map_pdf

    asked = day.date() if day else None
    wish = WallMapWish(size, language, tuple(block or ()), scale, most_sheets=None if scale else 24)
    write_paper(
        out,
        (database, farm),
        lambda store, chosen: wall_map_pdf(store, chosen.id, wish, day=asked, now=datetime.now(UTC)),
        more=". Print it at 100 %.",
    )


@paper.command("crew-sheets")
def crew_sheets(
    block: Annotated[list[str], typer.Option("--block", help="Code of a block; may be given several times.")],
    only_left: Annotated[
        bool, typer.Option("--only-left", help="Leave the rows out in which there is nothing to do.")
    ] = False,
    address: Annotated[
        str,
        typer.Option(
            help="Of the service as tablets open it, for a code on the sheet; the setting when left out."
        ),
    ] = "",
    day: Day = None,
    language: Language = "en",
    out: Annotated[Path, typer.Option(help="PDF file to write; - is standard output.")] = Path(
        "crew-sheets.pdf"
    ),
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write crew sheets for blocks: rows in walking order with boxes to tick, dangers, and the brief in short.

    Rows that are done stand there as done as of the day. A4, black and white.

    Example: orchardmap paper crew-sheets --block R4 --language es --out crew-sheets.pdf
    """
    from orchardmap.cli.making import write_paper
    from orchardmap.usecases.crew_sheets import CrewSheetWish, crew_sheets_pdf
    from orchardmap_api.settings import settings_from

    asked = day.date() if day else None
    wish = CrewSheetWish(tuple(block), language, only_left, address or settings_from().public_address)
    write_paper(
        out,
        (database, farm),
        lambda store, chosen: crew_sheets_pdf(store, chosen.id, wish, day=asked, now=datetime.now(UTC)),
    )


@paper.command("weekly")
def weekly(
    day: Annotated[
        datetime | None,
        typer.Option("--day", formats=["%Y-%m-%d"], help="Any day of the week; today when left out."),
    ] = None,
    language: Language = "en",
    cost: Annotated[bool, typer.Option("--cost/--no-cost", help="Tell what the season cost so far.")] = True,
    out: Annotated[Path, typer.Option(help="PDF file to write; - is standard output.")] = Path(
        "weekly-report.pdf"
    ),
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write the weekly report: progress, forecast, map, burn-up, blocks, quality, crews, pace, cost, cautions.

    A week is Monday to Sunday; one that is not over is told up to today. Its figures are those of `orchardmap report`.

    Example: orchardmap paper weekly --day 2026-01-28 --no-cost --out week.pdf
    """
    from orchardmap.cli.making import write_paper
    from orchardmap.usecases.weekly_report import weekly_report_pdf

    asked = day.date() if day else None
    write_paper(
        out,
        (database, farm),
        lambda store, chosen: weekly_report_pdf(
            store, chosen.id, day=asked, language=language, with_cost=cost, now=datetime.now(UTC)
        ),
    )
