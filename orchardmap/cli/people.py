"""``orchardmap user`` and ``orchardmap audit``: accounts by the shell, and the chain of the audit log."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, AsJson, Database, app, print_json, tell

if TYPE_CHECKING:
    from orchardmap.model.access import Account
    from orchardmap.store.session import Store

__all__ = ["user"]

user = typer.Typer(
    no_args_is_help=True,
    help="Accounts, by whoever has the shell. On SQLite stop the service first: one process writes at a time.",
)
audit = typer.Typer(no_args_is_help=True, help="The audit log.")
app.add_typer(user, name="user")
app.add_typer(audit, name="audit")

Login = Annotated[str, typer.Argument(help="Login of the account.")]
Farm = Annotated[str, typer.Option("--farm", help="Name of the farm, where there are several.")]


@contextmanager
def _opened(database: str, *, read_only: bool = False, makes: bool = False) -> Iterator["Store"]:
    from orchardmap.cli.opening import opened_store

    store = opened_store(database, read_only=read_only, makes=makes)
    try:
        yield store
    finally:
        store.close()


def _now() -> datetime:
    return datetime.now(UTC)


def _account(store: "Store", login: str) -> "Account":
    from orchardmap.usecases import account_keeping

    return account_keeping.by_login(store, login)


def _asked_password() -> str:
    """Ask for a password twice, or read one line of what is piped in."""
    # never an argument: arguments stand in the shell's history and in every list of processes
    if sys.stdin.isatty():
        asked: str = typer.prompt("Password", hide_input=True, confirmation_prompt=True)
        return asked
    return sys.stdin.readline().rstrip("\r\n")


@user.command()
def add(
    login: Login,
    name: Annotated[str, typer.Option(help="Name of the person; the login when left out.")] = "",
    makes_farms: Annotated[
        bool, typer.Option("--makes-farms", help="May make farms, and manages those it makes.")
    ] = False,
    ask_password: Annotated[
        bool,
        typer.Option(
            "--password",
            help="Ask for a password, or read one line; without one, `user link` lets the person in.",
        ),
    ] = False,
    as_json: AsJson = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Make an account.

    Example: orchardmap user add gwen --name "Gwen Pugh" --makes-farms --password
    """
    from orchardmap.usecases import account_keeping

    password = _asked_password() if ask_password else None
    with _opened(database, makes=True) as store:
        made = account_keeping.add_account(
            store, login=login, name=name or login, password=password, makes_farms=makes_farms, now=_now()
        )
    value = {"id": made.id, "login": made.login, "name": made.name, "makes_farms": made.makes_farms}
    tell(f"Made the account {made.login} ({made.id}).", value, as_json=as_json)


@user.command("list")
def list_accounts(as_json: AsJson = False, database: Database = DEFAULT_DATABASE) -> None:
    """List all accounts with what they are on which farm.

    Example: orchardmap user list
    """
    from orchardmap.usecases import account_keeping

    with _opened(database, read_only=True) as store:
        everybody = account_keeping.everybody(store)
    if as_json:
        print_json([_listed(account, roles) for account, roles in everybody])
        return
    for account, roles in everybody:
        said = ", ".join(f"{role} on {farm}" for farm, role in roles) or "on no farm"
        more = " (makes farms)" if account.makes_farms else ""
        typer.echo(f"{account.login}: {account.name}, {'disabled' if account.disabled_at else said}{more}")


def _listed(account: "Account", roles: list[tuple[str, str]]) -> dict[str, Any]:
    return {
        "id": account.id,
        "login": account.login,
        "name": account.name,
        "makes_farms": account.makes_farms,
        "disabled": account.disabled_at is not None,
        "roles": [{"farm": farm, "role": role} for farm, role in roles],
    }


@user.command()
def link(
    login: Login,
    address: Annotated[
        str, typer.Option(help="Of the service, as browsers use it.")
    ] = "http://127.0.0.1:8420",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Make a one-time link that lets an account in; it works for three days, also while the login is locked.

    Example: orchardmap user link gwen --address https://orchard.lan
    """
    from orchardmap.usecases import account_keeping

    with _opened(database) as store:
        code = account_keeping.make_link(store, _account(store, login), now=_now())
    typer.echo(f"{address.rstrip('/')}/sign-in#link={code}")


@user.command()
def password(login: Login, database: Database = DEFAULT_DATABASE) -> None:
    """Set an account's password; its sessions and links end. Asks for it on the terminal, else reads one line.

    Example: orchardmap user password gwen
    """
    from orchardmap.usecases import new_password

    asked = _asked_password()
    with _opened(database) as store:
        new_password.set_password(store, _account(store, login), password=asked, now=_now())
    typer.echo(f"The password of {login} is set. Whoever was signed in by that account is signed out.")


@user.command()
def token(login: Login, database: Database = DEFAULT_DATABASE) -> None:
    """Make a session for a script: it sends `Authorization: Bearer TOKEN`. It ends after 12 hours without a request.

    Example: orchardmap user token gwen
    """
    from orchardmap.usecases import account_keeping

    with _opened(database) as store:
        typer.echo(account_keeping.make_token(store, _account(store, login), now=_now()))


@user.command()
def role(
    login: Login,
    role: Annotated[str, typer.Argument(help="manager, foreman, auditor, adviser, or none.")],
    farm: Farm = "",
    crew: Annotated[str, typer.Option(help="Name of a foreman's crew.")] = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Say what an account is on a farm.

    Example: orchardmap user role tomasz adviser --farm "Long Meadow"
    """
    from orchardmap.usecases import account_keeping, reporting

    with _opened(database) as store:
        chosen = reporting.chosen_farm(store, farm)
        account = _account(store, login)
        account_keeping.say_role(store, account, farm_id=chosen.id, role=role, crew=crew, now=_now())
    typer.echo(f"{account.login} is now {role} on {chosen.name}.")


@user.command()
def disable(login: Login, database: Database = DEFAULT_DATABASE) -> None:
    """End an account: no way in is left, and its sessions end at once.

    Example: orchardmap user disable gwen
    """
    from orchardmap.usecases import account_keeping

    with _opened(database) as store:
        account_keeping.disable(store, _account(store, login), now=_now())
    typer.echo(f"{login} is disabled.")


@audit.command("verify")
def verify_audit(
    head: Annotated[
        str, typer.Option(help="NUMBER:HASH that an earlier check printed, kept elsewhere.")
    ] = "",
    as_json: AsJson = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Follow the chain of the audit log and name the first bad entry; exit code 1 when there is one.

    Whoever can write the database could forge the whole chain: a printed head kept elsewhere is what proves that nothing
    before it was changed.

    Example: orchardmap audit verify --head 812:9f3a…
    """
    from orchardmap.usecases import audit as chain

    with _opened(database, read_only=True) as store:
        found = chain.verify(store, known=head)
    words = f"The audit log is whole: {found.entries} entries. Keep this head elsewhere: {found.head}"
    if found.fault:
        words = f"The audit log is not whole: {found.fault}."
    value = {
        "whole": not found.fault,
        "fault": found.fault or None,
        "entries": found.entries,
        "head": found.head,
    }
    tell(words, value, as_json=as_json)
    raise typer.Exit(1 if found.fault else 0)
