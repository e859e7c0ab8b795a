"""The `brief` commands: what crews are taught from."""

from pathlib import Path
from typing import Annotated, TypeVar

import typer

from orchardmap.cli.main import app
from orchardmap.errors import InputError

__all__ = ["brief"]

_Choice = TypeVar("_Choice", bound=str)

brief = typer.Typer(no_args_is_help=True, help="Briefs: what each variety needs.")
app.add_typer(brief, name="brief")


@brief.command("card")
def brief_card(
    habit: Annotated[
        str,
        typer.Option(
            help="Of bearing: tip_renewed, tip_alternating, spur_renewed, spur_long_lived or spur_uncut."
        ),
    ],
    system: Annotated[
        str, typer.Option(help="How trees are trained: axis, tall_spindle, slender_spindle or v_trellis.")
    ] = "axis",
    heavy_setter: Annotated[
        bool, typer.Option("--heavy-setter", help="The variety sets heavily: thin its spurs besides.")
    ] = False,
    variety: Annotated[str, typer.Option(help="Its name, to head the card.")] = "",
    language: Annotated[str, typer.Option(help="Of the pruner: en or es.")] = "en",
    size: Annotated[str, typer.Option(help="a4, to hang up, or a5, to carry.")] = "a4",
    out: Annotated[Path, typer.Option(help="PDF file to write.")] = Path("card.pdf"),
) -> None:
    """Write the card of a ready-made brief, without a database: each point with its drawing, and the cautions.

    Black and white; print at 100 %, on both sides. Nobody has fitted a ready-made brief to your trees yet: the card says so.

    Example: orchardmap brief card --habit spur_renewed --language es --size a5 --out card.pdf
    """
    from orchardmap.cli.reading import write_bytes
    from orchardmap.paper.brief_card import CardHead, brief_card_pdf
    from orchardmap.paper.brief_card_sheet import CARD_SIZES
    from orchardmap.pruning.general_points import TRAINING_SYSTEMS
    from orchardmap.pruning.habits import HABITS, ready_made

    content = ready_made(
        _one_of(HABITS, habit, "--habit"),
        is_heavy_setter=heavy_setter,
        system=_one_of(TRAINING_SYSTEMS, system, "--system"),
    )
    made = brief_card_pdf(
        content, CardHead(variety), language=language, size=_one_of(CARD_SIZES, size, "--size")
    )
    write_bytes(out, made)
    typer.echo(f"Wrote {out} ({len(made) / 1000:.0f} kB). Print it at 100 %.")


def _one_of(known: tuple[_Choice, ...], said: str, option: str) -> _Choice:
    for one in known:
        if one == said:
            return one
    raise InputError(
        "is none of the choices", where=f"{option} {said[:40]}", todo=f"Give one of: {', '.join(known)}."
    )
