"""``orchardmap certificates``: the farm's own authority and server certificate, for https on a farm's network."""

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import AsJson, app, print_json

if TYPE_CHECKING:
    from orchardmap.certificates.reading import Told

__all__ = ["certificates"]


@app.command()
def certificates(
    names: Annotated[
        list[str] | None,
        typer.Option("--for", help="Host name or address that tablets use; may be given several times."),
    ] = None,
    folder: Annotated[Path, typer.Option(help="Where they are kept.")] = Path("certificates"),
    title: Annotated[str, typer.Option(help="What tablets list the authority as.")] = "",
    authority_key: Annotated[
        Path | None, typer.Option(help="The authority's key, when it is kept elsewhere.")
    ] = None,
    new_authority: Annotated[
        bool, typer.Option("--new-authority", help="Make another authority; every tablet must trust it anew.")
    ] = False,
    show: Annotated[
        bool, typer.Option("--show", help="Only say what is there: names, dates, fingerprint.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Make the farm's own certificates, or renew the server's.

    A tablet keeps marks without a signal only over https that it trusts. This makes an authority for this farm alone and a
    certificate for the service; run again, it renews the certificate under the same authority, and no tablet notices.

    Whoever has the authority's key can pose as the named addresses to every tablet that trusts it (and, on a device that
    ignores the limit written into it, as any site). Keep it off the service's machine: move authority.key to a stick,
    and give --authority-key when you renew.

    Example: orchardmap certificates --for orchard.lan --for 192.168.1.20
    """
    from orchardmap.usecases import network

    if show:
        there = network.certified(folder)
    else:
        there = network.renew_certificates(
            folder,
            names=names or [],
            title=title,
            authority_key=authority_key,
            new_authority=new_authority,
            now=datetime.now(UTC),
        )
    if as_json:
        print_json({
            "folder": str(folder),
            "authority": _value(there.authority),
            "server": _value(there.server),
            "authority_is_new": there.authority_is_new,
        })
        return
    _tell("Authority", there.authority)
    _tell("Server", there.server)
    if show:
        return
    typer.echo(f"\nServe with them: orchardmap serve --host 0.0.0.0 --certificates {folder}")
    if there.authority_is_new:
        typer.echo(
            "Tablets must trust this authority: the page /trust takes them through it.\n"
            f"Move {folder / 'authority.key'} off this machine: whoever has it can pose as these addresses to every tablet."
        )
    else:
        typer.echo("The authority is the same: tablets that trust it need nothing. Restart the service.")


def _value(said: "Told") -> dict[str, Any]:
    return {
        "title": said.title,
        "names": [str(name) for name in said.names],
        "begins_at": said.begins_at.isoformat(),
        "ends_at": said.ends_at.isoformat(),
        "fingerprint_sha256": said.fingerprint,
    }


def _tell(what: str, said: "Told") -> None:
    from orchardmap.certificates.names import in_words
    from orchardmap.certificates.reading import grouped

    typer.echo(f"{what}: {said.title}")
    typer.echo(f"  speaks for {in_words(said.names)}")
    typer.echo(f"  from {said.begins_at:%Y-%m-%d} to {said.ends_at:%Y-%m-%d}")
    if what == "Authority":
        typer.echo("  fingerprint (SHA-256), to compare on each tablet before trusting:")
        for line in grouped(said.fingerprint):
            typer.echo(f"    {line}")
