"""The command that makes a firm with its first owner."""

from __future__ import annotations

from typing import Annotated

import typer

from drainwright.commands.office import StoreUrl, refusing
from drainwright.commands.shared import Exit, app

firm_app = typer.Typer(
    name="firm", no_args_is_help=True, rich_markup_mode=None, help="The firm whose people sign in to the web app."
)
app.add_typer(firm_app)


@firm_app.callback()
def _firm() -> None:
    """The firm whose people sign in to the web app."""


@firm_app.command("new", epilog="Example: drainwright firm new 'Example Drainage Company' --email ash@example.org")
def new(
    firm: Annotated[str, typer.Argument(help="the firm's name", show_default=False)],
    email: Annotated[str, typer.Option(help="the owner signs in with it", show_default=False)],
    name: Annotated[str, typer.Option(help="the owner's name")] = "Owner",
    store: StoreUrl = None,
) -> None:
    """Make the firm and its first owner in a store where nobody signs in yet; the password is asked for."""
    from drainwright.errors import InputError
    from drainwright.office.people.passwords import checked, hashed
    from drainwright.office.store.opening import default_url, open_store
    from drainwright.office.store.people import first_owner

    password = typer.prompt("Password", hide_input=True, confirmation_prompt=True)
    try:
        kept = hashed(checked(password, name, email))
    except InputError as error:
        typer.echo(f"{error}. Nothing was made.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    with refusing():
        opened = open_store(store or default_url())
        try:
            made = first_owner(opened, firm, name, email, kept)
        finally:
            opened.close()
    typer.echo(f"{made.name} owns {firm} and signs in as {made.email}. Open it with: drainwright serve --people")


__all__ = ["new"]
