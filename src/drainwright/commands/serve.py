"""The command that opens the web app."""

from __future__ import annotations

from typing import Annotated

import typer

from drainwright.commands.office import StoreUrl, refusing
from drainwright.commands.shared import Exit, app

HOST = "127.0.0.1"


@app.command(epilog="Example: drainwright serve --port 8321 --no-open")
def serve(
    port: Annotated[int, typer.Option(min=0, max=65535, help="on this machine; 0: any that is free")] = 8321,
    store: StoreUrl = None,
    show: Annotated[bool, typer.Option("--open/--no-open", help="open it in the browser")] = True,
) -> None:
    """Open the web app on this machine: for the one person at it, reached from nowhere else. Ctrl-C ends it."""
    import socket
    import webbrowser

    import uvicorn

    from drainwright.errors import InputError
    from drainwright.office.app import make_app
    from drainwright.office.settings import Settings
    from drainwright.office.store.opening import default_url, open_store

    with refusing():  # before the browser opens: a store that cannot be had is told here
        open_store(store or default_url()).close()
    try:
        built = make_app(Settings(store=store))
    except InputError as error:
        typer.echo(str(error), err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as door:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((HOST, port))
        except OSError as error:
            typer.echo(f"--port: found {port}, {error.strerror}; expected one that is free, or 0 for any.", err=True)
            raise typer.Exit(Exit.WRONG_INPUT) from None
        door.listen()  # who is quicker than the app waits
        address = f"http://{HOST}:{door.getsockname()[1]}/"
        typer.echo(f"Drainwright is open at {address}\nCtrl-C ends it.")
        if show:
            webbrowser.open(address)
        uvicorn.Server(uvicorn.Config(built, log_level="warning", server_header=False)).run(sockets=[door])


__all__ = ["serve"]
