"""The commands by what they are for, in the order in which somebody needs them: so that `--help` can be read from the top."""

import typer
from typer.models import CommandInfo, TyperInfo

__all__ = ["PANELS", "arranged"]

PANELS: dict[str, tuple[str, ...]] = {
    "Begin": ("demo", "farm", "correct-farm", "load", "season", "crew", "serve"),
    "The work": ("rows", "mark", "check", "plan"),
    "Look and tell": ("report", "map"),
    "Paper and files": ("paper", "labels", "brief", "export", "import"),
    "Keep it safe": ("backup", "verify", "restore", "rebuild", "audit", "take-in"),
    "People and tablets": ("user", "key", "certificates"),
    "Reckon from a file, without a database": ("calc",),
}


def arranged(app: typer.Typer) -> None:
    """Put each command of an app into its panel, in order; one that is in none comes last, under "Commands"."""
    panel = {name: title for title, names in PANELS.items() for name in names}
    order = list(panel)

    def place(one: CommandInfo | TyperInfo) -> int:
        return order.index(_name(one)) if _name(one) in panel else len(order)

    app.registered_commands.sort(key=place)
    app.registered_groups.sort(key=place)
    for command in app.registered_commands:
        command.rich_help_panel = panel.get(_name(command))
    for group in app.registered_groups:
        group.rich_help_panel = panel.get(_name(group))


def _name(one: CommandInfo | TyperInfo) -> str:
    return one.name or (one.callback.__name__ if one.callback else "")
