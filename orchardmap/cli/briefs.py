"""The `brief` commands: what crews are taught from."""

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app
from orchardmap.errors import InputError

if TYPE_CHECKING:
    from orchardmap.paper.brief_card_sheet import CardSize

__all__ = ["brief"]

_Choice = TypeVar("_Choice", bound=str)

brief = typer.Typer(no_args_is_help=True, help="Briefs: what each variety needs.")
app.add_typer(brief, name="brief")


@brief.command("card")
def brief_card(
    block: Annotated[str, typer.Option(help="Code of a block of the farm: with its dangers.")] = "",
    variety: Annotated[
        str, typer.Option(help="Name of a variety of the farm; with --habit, whatever heads the card.")
    ] = "",
    habit: Annotated[
        str,
        typer.Option(
            help="Of bearing, for a ready-made brief without a database: tip_renewed, tip_alternating, spur_renewed, "
            "spur_long_lived or spur_uncut."
        ),
    ] = "",
    system: Annotated[
        str,
        typer.Option(
            help="With --habit, how trees are trained: axis, tall_spindle, slender_spindle or v_trellis."
        ),
    ] = "axis",
    heavy_setter: Annotated[
        bool, typer.Option("--heavy-setter", help="With --habit: it sets heavily, so thin its spurs besides.")
    ] = False,
    language: Annotated[str, typer.Option(help="Of the pruner: en or es.")] = "en",
    size: Annotated[str, typer.Option(help="a4, to hang up, or a5, to carry.")] = "a4",
    out: Annotated[Path, typer.Option(help="PDF file to write; - is standard output.")] = Path("card.pdf"),
    farm: Annotated[str, typer.Option(help="Name of the farm, where there are several.")] = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write a brief as a card: each point with its drawing, the cautions, and the dangers of the block it is for.

    The published brief that holds now for a block or a variety; with --habit a ready-made one, which nobody has fitted
    to your trees yet: the card says so. Black and white; print at 100 %, on both sides.

    Example: orchardmap brief card --block R5 --language es --size a5 --out card.pdf

    Example: orchardmap brief card --habit spur_renewed --language es --out card.pdf
    """
    from orchardmap.cli.writing import tell_written, write_bytes
    from orchardmap.paper.brief_card_sheet import CARD_SIZES

    if bool(habit) + bool(block) > 1 or not (habit or block or variety):
        raise InputError("say what the card is of", todo="Give --block, --variety, or --habit.")
    sheet = _one_of(CARD_SIZES, size, "--size")
    if habit:
        made = _ready_made_card(
            habit, system, variety, is_heavy_setter=heavy_setter, language=language, size=sheet
        )
    else:
        made = _held_card(database, farm, block=block, variety=variety, language=language, size=sheet)
    write_bytes(out, made)
    tell_written(out, len(made), ". Print it at 100 %.")


def _ready_made_card(
    habit: str, system: str, variety: str, *, is_heavy_setter: bool, language: str, size: "CardSize"
) -> bytes:
    from orchardmap.paper.brief_card import CardHead, brief_card_pdf
    from orchardmap.pruning.general_points import TRAINING_SYSTEMS
    from orchardmap.pruning.habits import HABITS, ready_made

    content = ready_made(
        _one_of(HABITS, habit, "--habit"),
        is_heavy_setter=is_heavy_setter,
        system=_one_of(TRAINING_SYSTEMS, system, "--system"),
    )
    return brief_card_pdf(content, CardHead(variety), language=language, size=size)


def _held_card(
    database: str, farm: str, *, block: str, variety: str, language: str, size: "CardSize"
) -> bytes:
    from orchardmap.cli.opening import opened_store
    from orchardmap.usecases import reporting
    from orchardmap.usecases.brief_cards import CardWish, held_card

    store = opened_store(database, read_only=True)
    try:
        chosen, now = reporting.chosen_farm(store, farm), datetime.now(UTC)
        wish = CardWish(language, size)
        return held_card(store, chosen.id, block=block, variety=variety, wish=wish, now=now).pdf
    finally:
        store.close()


def _one_of(known: tuple[_Choice, ...], said: str, option: str) -> _Choice:
    for one in known:
        if one == said:
            return one
    raise InputError(
        "is none of the choices", where=f"{option} {said[:40]}", todo=f"Give one of: {', '.join(known)}."
    )
